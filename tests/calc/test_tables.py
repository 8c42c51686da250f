"""Published tables: every row says where it comes from."""

from importlib.resources import files

import pytest

from loomwright.calc.tables import Row, row_of, rows, rows_without_source, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Mark

TABLES = sorted(
    file.name.removesuffix(".csv")
    for file in (files("loomwright.calc") / "tables").iterdir()
    if file.name.endswith(".csv") and file.name != "sources.csv"
)


@pytest.mark.parametrize("table", TABLES)
def test_every_row_has_its_source(table):
    assert list(rows_without_source(table)) == []
    assert rows(table)


@pytest.mark.parametrize("table", TABLES)
def test_every_source_can_be_read_by_a_builder(table):
    for row in rows(table):
        source = source_of(row)
        assert source.text
        assert source.mark in Mark


def test_every_listed_document_is_used():
    used = {row["source"] for table in TABLES for row in rows(table)}
    assert {row["id"] for row in rows("sources")} == used


def test_a_row_without_source_is_refused():
    nameless = Row(
        "invented", 3, (("area_mm2", "0.5"), ("source", "NOBODY"), ("locator", "row 1"), ("seen", "seen"))
    )
    with pytest.raises(OutOfRange, match=r"sources\.csv"):
        source_of(nameless)


def test_missing_locator_is_named(monkeypatch):
    bare = Row("invented", 3, (("area_mm2", "0.5"), ("source", "OURS"), ("locator", ""), ("seen", "perhaps")))
    monkeypatch.setattr(
        "loomwright.calc.tables.rows", lambda table: (bare,) if table == "invented" else rows(table)
    )
    assert list(rows_without_source("invented")) == [
        "invented:3  no locator",
        "invented:3  seen is perhaps, not one of seen, second-hand, memory, ours",
    ]


def test_marks():
    assert source_of(rows("ac4313_table_11_9")[0]).mark is Mark.STANDARD
    assert source_of(rows("iso6722_resistance")[0]).mark is Mark.MEMORY
    assert source_of(rows("free_air_current")[0]).mark is Mark.MAKER
    assert source_of(rows("free_air_fit")[0]).mark is Mark.OURS
    assert source_of(row_of("drop_limits", "system", "feed, note")).mark is Mark.PRACTICE


def test_unknown_table_and_row_are_told():
    with pytest.raises(OutOfRange, match="calc/tables"):
        rows("no_such_table")
    with pytest.raises(OutOfRange, match="one of 22, 20"):
        row_of("ac4313_table_11_3", "awg", "21")
