"""Published values as data: every row carries its source, its place in the text and how it was read."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

from loomwright.errors import OutOfRange
from loomwright.sources import Mark, Source

NEEDED: Final = ("source", "locator", "seen")
READ: Final = ("seen", "second-hand", "memory", "ours")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a published table; `line` is its line in the file."""

    table: str
    line: int
    cells: tuple[tuple[str, str], ...]

    def __getitem__(self, column: str) -> str:
        for name, text in self.cells:
            if name == column:
                return text
        raise KeyError(f"table {self.table} has no column {column}")

    def number(self, column: str) -> float:
        """Return the number in a column; the cell must not be empty."""
        return float(self[column])

    def maybe(self, column: str) -> float | None:
        """Return the number in a column, or None where the text prints nothing."""
        text = self[column]
        return float(text) if text else None


@cache
def rows(table: str) -> tuple[Row, ...]:
    """Return the rows of a table in printed order.

    Args:
        table: file name in calc/tables without ".csv"
    Returns:
        frozen rows; read once and kept
    Raises:
        OutOfRange: there is no such table.
    """
    file = files("loomwright.calc") / "tables" / f"{table}.csv"
    if not file.is_file():
        raise OutOfRange("table", table, "a file in calc/tables", "check the spelling")
    with file.open(encoding="utf-8") as text:
        reader = csv.DictReader(text)
        return tuple(Row(table, reader.line_num, tuple(cells.items())) for cells in reader)


def row_of(table: str, column: str, text: str) -> Row:
    """Return the first row whose column holds exactly this text.

    Raises:
        OutOfRange: no row holds it; the message lists what the table has.
    """
    for row in rows(table):
        if row[column] == text:
            return row
    known = ", ".join(dict.fromkeys(row[column] for row in rows(table)))
    raise OutOfRange(f"{column} in table {table}", text, f"one of {known}", "take a listed one")


@cache
def value(table: str, name: str) -> float:
    """Return one named value of a table whose first column is the name and which has a column "value"."""
    return row_of(table, rows(table)[0].cells[0][0], name).number("value")


@cache
def _titles() -> dict[str, tuple[str, str]]:
    return {row["id"]: (row["title"], row["kind"]) for row in rows("sources")}


@cache
def source_of(row: Row) -> Source:
    """Return where a row comes from: document, table and mark.

    Args:
        row: a row with the columns source, locator and seen
    Returns:
        the mark is "from memory" or "ours" where the row says so, else that of the document's kind
    Raises:
        OutOfRange: the row's source or reading is not known.
    """
    if row["source"] not in _titles():
        name = f"source of {row.table}:{row.line}"
        raise OutOfRange(name, row["source"], "a key of calc/tables/sources.csv", "add the document there")
    title, kind = _titles()[row["source"]]
    text = f"{title}, {row['locator']}"
    if row["seen"] in ("memory", "ours"):
        return Source(Mark.MEMORY if row["seen"] == "memory" else Mark.OURS, text)
    kinds = {"standard": Mark.STANDARD, "maker": Mark.MAKER, "practice": Mark.PRACTICE, "ours": Mark.OURS}
    return Source(kinds[kind], f"{text} (second-hand copy)" if row["seen"] == "second-hand" else text)


def rows_without_source(table: str) -> Iterator[str]:
    """Yield "table:line  what is missing" for every row that does not say where it comes from."""
    for row in rows(table):
        have = dict(row.cells)
        for column in NEEDED:
            if not have.get(column):
                yield f"{table}:{row.line}  no {column}"
        if have.get("source") and have["source"] not in _titles():
            yield f"{table}:{row.line}  source {have['source']} is not in sources.csv"
        if have.get("seen") and have["seen"] not in READ:
            yield f"{table}:{row.line}  seen is {have['seen']}, not one of {', '.join(READ)}"
