"""The manual's page on the library: every name stands in it, its samples run and say what they print."""

import re
from pathlib import Path

import pytest

from loomwright.library.contacts import contacts
from loomwright.library.coverings import covers, grommets, sleeves
from loomwright.library.face_text import parse_faces
from loomwright.library.faces import faces
from loomwright.library.fuses import fuse_types
from loomwright.library.kinds import kinds
from loomwright.library.splices import splices
from loomwright.library.tables import packaged
from loomwright.library.wires import cables, families

PAGE = (Path(__file__).parents[2] / "docs" / "library.md").read_text("utf-8")
ROW_NAMES = [*kinds(), *families(), *sleeves(), *covers(), *splices(), *contacts(), *fuse_types()]


@pytest.mark.parametrize("name", ROW_NAMES)
def test_every_name_has_its_row(name):
    assert f"| {name} |" in PAGE


def test_cables_grommets_and_faces_are_listed():
    assert [name for name in cables() if f"- {name}:" not in PAGE] == []
    assert [one.label for one in grommets() if one.label not in PAGE] == []
    assert [name for name in faces() if f"`{name}`" not in PAGE] == []


def test_pages_count_of_cavities_is_right():
    for name, one in kinds().items():
        assert re.search(rf"^\| {re.escape(name)} \| {len(one.cavities)} \|", PAGE, re.MULTILINE), name


@pytest.mark.parametrize("table", ["kinds", "kind_cavities", "wires", "wire_families"])
def test_every_column_is_explained(table):
    header = next(line for line in packaged(f"{table}.csv").splitlines() if not line.startswith("#"))
    plain = " ".join(PAGE.split())
    assert ", ".join(header.split(",")) in plain


def test_the_sample_prints_what_it_says():
    (sample,) = (
        block for block in re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL) if "nearest_kinds(" in block
    )
    names: dict[str, object] = {}
    head, _, lines = sample.partition("\n\n")
    exec(head, names)
    for line in lines.strip().splitlines():
        code, _, printed = line.partition("  #")
        assert str(eval(code, names)) == printed.strip()


def test_the_sample_face_is_read():
    (text,) = re.findall(r"```text\n(face .*?)```", PAGE, re.DOTALL)
    (one,) = parse_faces(text, "docs/library.md")
    assert one.ids == ("1", "2", "3", "4", "5", "6")
