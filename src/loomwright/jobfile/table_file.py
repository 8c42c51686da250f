"""Tables somebody else wrote: CSV with any delimiter, or a spreadsheet; columns found by their headings."""

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.errors import Unreadable

_DELIMITERS: Final = ";\t,|"
_HEAD_WITHIN: Final = 15  # rows looked through for the headings
_NUMBER: Final = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*(?:mm|a|amps?)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row: its number in the file (from 1) and its cells by column word."""

    number: int
    cells: Mapping[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")


@dataclass(frozen=True, slots=True)
class Table:
    """The rows below the headings; `columns` are those that were found."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[TableRow, ...]


def number_in(text: str) -> float | None:
    """Return the number in a cell; decimal point or comma, "mm" or "A" behind it; None = no number."""
    found = _NUMBER.fullmatch(text.strip())
    return float(found[1].replace(",", ".")) if found else None


def plain(number: float) -> int | float:
    """Return a whole number as such, so that it is written without a point."""
    return int(number) if number.is_integer() else number


def table_of(
    name: str, raw: bytes, spellings: Mapping[str, tuple[str, ...]], needed: tuple[str, ...]
) -> Table:
    """Return a table, its columns told from their headings.

    Args:
        name: file name; its ending tells a spreadsheet (.xlsx) from text
        raw: the file's bytes
        spellings: for every column word the headings it goes by, in lower case
        needed: columns without which the table says nothing
    Raises:
        Unreadable: no such file format, not UTF-8, or no row with the needed headings.
    """
    rows = _sheet_rows(name, raw) if name.lower().endswith((".xlsx", ".xlsm")) else text_rows(name, raw)
    for at, (_, cells) in enumerate(rows[:_HEAD_WITHIN]):
        columns = _columns(cells, spellings)
        if all(one in columns for one in needed):
            return Table(name, tuple(columns), _below(rows[at + 1 :], columns))
    raise Unreadable(
        name,
        None,
        "No row names the columns.",
        f"One row should hold the heading{'s' if len(needed) > 1 else ''} {' and '.join(needed)}.",
        "Put them above the data; others may stand between.",
    )


def _below(rows: list[tuple[int, list[str]]], columns: Mapping[str, int]) -> tuple[TableRow, ...]:
    found = []
    for number, cells in rows:
        if any(cells):
            picked = {name: cells[at] if at < len(cells) else "" for name, at in columns.items()}
            found.append(TableRow(number, picked))
    return tuple(found)


def _plain(heading: str) -> str:
    return " ".join(re.sub(r"[^a-z0-9+\- ]", " ", heading.lower()).split())


def _columns(cells: list[str], spellings: Mapping[str, tuple[str, ...]]) -> dict[str, int]:
    plain = [_plain(cell) for cell in cells]
    found: dict[str, int] = {}
    for column, words in spellings.items():
        for word in (column, *words):
            if word in plain and plain.index(word) not in found.values():
                found[column] = plain.index(word)
                break
    return found


def text_rows(name: str, raw: bytes) -> list[tuple[int, list[str]]]:
    """Return the rows of a CSV with their line numbers, cells stripped.

    Args:
        name: file name, for what is told
        raw: the file's bytes
    Raises:
        Unreadable: it is not UTF-8, or no CSV.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw[: fault.start].count(b"\n") + 1
        raise Unreadable(
            name, line, "The text is not UTF-8.", "It should be.", 'Save it again as "CSV UTF-8".'
        ) from None
    if "\0" in text:
        raise Unreadable(name, None, "This is no text.", "A CSV or XLSX file is needed.", "Save it as one.")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))
    rows: list[tuple[int, list[str]]] = []
    try:
        while True:
            number = reader.line_num + 1
            try:
                cells = next(reader)
            except StopIteration:
                return rows
            rows.append((number, [cell.strip() for cell in cells]))
    except csv.Error as fault:
        raise Unreadable(
            name, reader.line_num, f"{fault}.", "A CSV row is needed.", "Correct the row."
        ) from None


def _delimiter(text: str) -> str:
    """Return the delimiter that splits the first rows most evenly into two cells and more."""
    lines = [line for line in text.splitlines()[:_HEAD_WITHIN] if line.strip()]

    def evenness(delimiter: str) -> tuple[int, int]:
        counts = [line.count(delimiter) for line in lines]
        used = [count for count in counts if count]
        return (len(used), max((used.count(count) for count in used), default=0))

    return max(_DELIMITERS, key=evenness)


def _sheet_rows(name: str, raw: bytes) -> list[tuple[int, list[str]]]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook  # heavy

    try:
        book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
        rows = list(book.worksheets[0].iter_rows(values_only=True))
    except (BadZipFile, KeyError, ValueError, OSError, IndexError) as fault:
        raise Unreadable(
            name,
            None,
            f"This is no readable spreadsheet ({fault}).",
            "An XLSX file is needed.",
            "Save it again.",
        ) from None
    return [(at, [_cell(one) for one in row]) for at, row in enumerate(rows, 1)]


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value).strip()
