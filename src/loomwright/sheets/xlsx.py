"""Tables written as one XLSX workbook: numbers as numbers, units in the heads, heads that stay in sight."""

import io
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Final

from loomwright.pack.pages import PackHead, Sheet, Table
from loomwright.sheets.table_layout import shown

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

FIXED_DATE: Final = datetime(2000, 1, 1, tzinfo=UTC)  # the job's own date stands above each table
NAME_LIMIT: Final = 31  # of a worksheet's name
TEXT_LIMIT: Final = 32767  # of a cell
_NOT_IN_NAMES: Final = "[]:*?/\\'"
WIDEST: Final = 60  # letters


def sheet_name(title: str, taken: Iterable[str]) -> str:
    """Return a worksheet name: forbidden signs left out, at most 31 letters, unlike those already taken."""
    plain = "".join(letter for letter in title if letter.isprintable() and letter not in _NOT_IN_NAMES)
    plain = plain.strip()[:NAME_LIMIT] or "Table"
    if plain.lower() == "history":  # kept by the spreadsheet for itself
        plain = "History of job"
    used = {name.lower() for name in taken}
    name, number = plain, 2
    while name.lower() in used:
        name = f"{plain[: NAME_LIMIT - 1 - len(str(number))]} {number}"
        number += 1
    return name


class _Book:
    """One workbook being written."""

    def __init__(self, out: io.BytesIO, head: PackHead) -> None:
        import xlsxwriter

        self.book = xlsxwriter.Workbook(out, {"in_memory": True})
        self.book.set_properties({"title": head.job, "comments": head.digest, "created": FIXED_DATE})
        self.title = self.book.add_format({"bold": True, "font_size": 13})
        self.grey = self.book.add_format({"font_color": "#595959"})
        self.heads = self.book.add_format(
            {"bold": True, "bottom": 2, "text_wrap": True, "valign": "bottom", "bg_color": "#E8E8E8"}
        )
        self.plain = self.book.add_format({"valign": "top", "text_wrap": True})
        self.numbers: dict[int | None, Format] = {}
        self.head = head
        self.names: list[str] = []

    def number_format(self, decimals: int | None) -> "Format":
        if decimals not in self.numbers:
            pattern = "General" if decimals is None else "0." + "0" * decimals if decimals else "0"
            self.numbers[decimals] = self.book.add_format({"num_format": pattern, "valign": "top"})
        return self.numbers[decimals]

    def add(self, sheet: Sheet, table: Table) -> None:
        """Add one table as a worksheet."""
        name = sheet_name(table.title or sheet.title, self.names)
        self.names.append(name)
        page: Worksheet = self.book.add_worksheet(name)
        head = self.head
        tail = " · ".join(part for part in (head.job, head.revision, head.issued, head.digest) if part)
        page.write_string(0, 0, " · ".join((*sheet.stamps, table.title or sheet.title)), self.title)
        page.write_string(1, 0, tail, self.grey)
        grouped = any(group.title for group in table.groups)
        shift = int(grouped)
        if grouped:
            page.write_string(3, 0, "group", self.heads)
        for place, column in enumerate(table.columns):
            words = f"{column.head} [{column.unit}]" if column.unit else column.head
            page.write_string(3, place + shift, words, self.heads)
        row = 4
        for group in table.groups:
            for cells in group.rows:
                if grouped:
                    page.write_string(row, 0, group.title[:TEXT_LIMIT], self.plain)
                for place, cell in enumerate(cells):
                    self._cell(page, row, place + shift, cell, table.columns[place].decimals)
                row += 1
        self._fit(page, table, grouped, row)

    def _cell(self, page: "Worksheet", row: int, place: int, cell: Any, decimals: int | None) -> None:
        if cell is None or cell == "":
            return
        if isinstance(cell, bool):
            page.write_boolean(row, place, cell)
        elif isinstance(cell, int | float) and abs(cell) < 1e300:  # neither infinite nor not a number
            page.write_number(row, place, cell, self.number_format(decimals))
        elif isinstance(cell, str):
            page.write_string(row, place, cell[:TEXT_LIMIT], self.plain)  # never read as a formula

    def _fit(self, page: "Worksheet", table: Table, grouped: bool, end: int) -> None:
        widths = [
            max(
                [len(column.head) + len(column.unit) + 3]
                + [len(shown(row[place], column)) for row in table.rows]
            )
            for place, column in enumerate(table.columns)
        ]
        if grouped:
            widths.insert(0, max(len(group.title) for group in table.groups))
        for place, wide in enumerate(widths):
            page.set_column(place, place, min(max(wide + 1, 8), WIDEST))
        page.freeze_panes(4, 0)
        page.autofilter(3, 0, max(end - 1, 3), len(widths) - 1)
        page.repeat_rows(3)
        page.set_landscape()
        page.set_paper(9)  # A4
        page.fit_to_pages(1, 0)


def pack_xlsx(head: PackHead, sheets: Iterable[Sheet]) -> bytes:
    """Return every table of the sheets as a workbook, one worksheet per table; same input, same bytes.

    Args:
        head: job, revision and digest, written above every table
        sheets: sheets of the pack; those without a table are left out

    Returns:
        The workbook. Text stays text even where it begins with =, +, - or @. A sheet's stamps stand
        before the title.
    """
    out = io.BytesIO()
    book = _Book(out, head)
    for sheet in sheets:
        for table in sheet.tables:
            book.add(sheet, table)
    if not book.names:
        page = book.book.add_worksheet("No tables")
        page.write_string(0, 0, "This pack has no tables.")
    book.book.close()
    return out.getvalue()
