"""Rows of an uploaded table, CSV or XLSX, to look at and to choose from; formulas are never worked out.

A spreadsheet is only read: of a formula the value counts that the spreadsheet's own program stored last.
"""

import io
import zlib
from collections.abc import Iterable
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, Final
from zipfile import BadZipFile, ZipFile

from loomwright.errors import LoomwrightError, Unreadable
from loomwright.jobfile.table_file import text_rows

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet._read_only import ReadOnlyWorksheet

Plain = dict[str, object]
MOST_BYTES: Final = 8_000_000
MOST_UNPACKED: Final = 60_000_000
MOST_PARTS: Final = 500
MOST_SHEETS: Final = 20
MOST_ROWS: Final = 2000
MOST_COLUMNS: Final = 40
MOST_LETTERS: Final = 500
_HEAD: Final = 4096
_ZIP: Final = b"PK\x03\x04"
_OLD_BINARY: Final = b"\xd0\xcf\x11\xe0"
_FAULTS: Final = (
    BadZipFile, KeyError, ValueError, TypeError, AttributeError, IndexError, SyntaxError, EOFError, OSError,
    RuntimeError, zlib.error,
)  # fmt: skip
"""What reading a broken spreadsheet raises."""


class NoTable(LoomwrightError):
    """An uploaded file is no table that can be read, or too big."""


def sheets_of(raw: bytes) -> list[Plain]:
    """Return the sheets of a table: name, rows of texts, how many formulas, whether some was left out.

    Args:
        raw: the file's bytes; XLSX by its content, else CSV
    Raises:
        NoTable: it can't be read, in words.
    """
    if len(raw) > MOST_BYTES:
        raise NoTable(f"The file is too big; at most {MOST_BYTES // 1_000_000} MB.")
    if raw.startswith(_OLD_BINARY):
        raise NoTable(
            "This is a spreadsheet of the old kind, or one with a password. Save it as XLSX or CSV."
        )
    if not raw.startswith(_ZIP):
        return [_csv(raw)]
    try:
        _look_through(raw)
        return _sheets(raw)
    except _FAULTS as fault:
        raise NoTable("This is no readable XLSX. Open it in your spreadsheet and save it again.") from fault


def _csv(raw: bytes) -> Plain:
    try:
        rows = [cells for _, cells in text_rows("table.csv", raw)]
    except Unreadable as fault:
        raise NoTable(" ".join(x for x in (fault.what_is, fault.should, fault.remedy) if x)) from fault
    return _told("", rows[: MOST_ROWS + 1], 0)


def _look_through(raw: bytes) -> None:
    """Refuse what unpacks too big or brings definitions of its own along, before it is read."""
    with ZipFile(io.BytesIO(raw)) as packed:
        parts = packed.infolist()
        if len(parts) > MOST_PARTS or sum(one.file_size for one in parts) > MOST_UNPACKED:
            raise NoTable("The spreadsheet unpacks to more than is taken. Save the one sheet by itself.")
        for one in parts:
            if one.filename.endswith((".xml", ".rels")):
                with packed.open(one) as part:
                    if b"<!" in part.read(_HEAD).replace(b"<!--", b""):
                        raise NoTable("The spreadsheet holds what no spreadsheet needs; it is not read.")


def _sheets(raw: bytes) -> list[Plain]:
    from openpyxl import load_workbook  # heavy

    def opened(values: bool) -> "Workbook":
        return load_workbook(io.BytesIO(raw), read_only=True, data_only=values, keep_links=False)

    stored, written = opened(values=True), opened(values=False)
    found = []
    for one, same in list(zip(stored.worksheets, written.worksheets, strict=True))[:MOST_SHEETS]:
        rows = [[_cell(x.value) for x in row] for row in _rows(one)]
        formulas = sum(x.data_type == "f" for row in _rows(same) for x in row)
        found.append(_told(one.title, rows, formulas))
    return found


def _rows(sheet: "ReadOnlyWorksheet") -> Iterable[tuple[Any, ...]]:
    sheet.reset_dimensions()  # what a sheet says of its size need not be so
    for row in sheet.iter_rows(max_row=MOST_ROWS + 1):
        yield row[: MOST_COLUMNS + 1]


def _told(name: str, rows: list[list[str]], formulas: int) -> Plain:
    """Rows without empty cells and rows behind the last full one."""
    kept = [_trimmed([x[:MOST_LETTERS] for x in row[:MOST_COLUMNS]]) for row in rows[:MOST_ROWS]]
    while kept and not kept[-1]:
        kept.pop()
    cut = len(rows) > MOST_ROWS or any(len(row) > MOST_COLUMNS for row in rows)
    return {"name": name, "rows": kept, "formulas": formulas, "cut": cut}


def _trimmed(row: list[str]) -> list[str]:
    while row and not row[-1]:
        row.pop()
    return row


def _cell(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case float() if value.is_integer():
            return str(int(value))
        case datetime() | date() | time():
            return value.isoformat()
    return str(value).strip()
