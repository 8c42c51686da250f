"""A table written as CSV: UTF-8, RFC 4180, and nothing a spreadsheet would take for a formula.

A text that begins with =, +, -, @, a tab or a line break gets an apostrophe in front, since a spreadsheet
would run it as a formula when the file is opened. Numbers are written as numbers, minus sign and all.
"""

import csv
import io
import math
from typing import Final

from loomwright.pack.pages import Cell, Column, Table

FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n")


def guarded(text: str) -> str:
    """Return a text with an apostrophe in front where a spreadsheet would read it as a formula."""
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def _written(cell: Cell, column: Column) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, str):
        return guarded(cell)
    if not math.isfinite(cell):
        return ""
    if column.decimals is not None:
        text = f"{cell:.{column.decimals}f}"
        return text[1:] if text.startswith("-") and not text.strip("-0.") else text
    return repr(cell)


def table_csv(table: Table) -> bytes:
    """Return a table as CSV, one line per row, heads with units first; same input, same bytes.

    Args:
        table: the table; its groups, where they have titles, become a first column "group"

    Returns:
        UTF-8 without a byte order mark, lines ended by CR LF, fields quoted where RFC 4180 asks for it.
        Numbers have the decimals of their column and a point.
    """
    grouped = any(group.title for group in table.groups)
    heads = [f"{one.head} [{one.unit}]" if one.unit else one.head for one in table.columns]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([guarded(head) for head in (["group", *heads] if grouped else heads)])
    for group in table.groups:
        for row in group.rows:
            cells = [_written(cell, column) for cell, column in zip(row, table.columns, strict=True)]
            writer.writerow([guarded(group.title), *cells] if grouped else cells)
    return out.getvalue().encode("utf-8")
