"""How wide the columns of a table are, and what each cell says."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.pack.lettering import clean, width_em
from loomwright.pack.pages import Cell, Column, Table

MM_PER_POINT: Final = 25.4 / 72
SIZES_PT: Final = (9.5, 8.5, 7.5)
BIG_SIZES_PT: Final = (13.0, 11.5, 10.0)
CLOSE_SIZES_PT: Final = (8.5, 8.0, 7.5)
BIG_CLOSE_SIZES_PT: Final = (11.0, 10.0, 9.0)
SIZES: Final = (
    ((False, False), SIZES_PT),
    ((False, True), BIG_SIZES_PT),
    ((True, False), CLOSE_SIZES_PT),
    ((True, True), BIG_CLOSE_SIZES_PT),
)
"""Type sizes to try, by whether the table is close and whether it is set for the bench."""
PAD_EM: Final = 0.42  # room left and right in a cell, each
BLANK_EM: Final = 7.0  # least room to write in
WORD_EM: Final = 16.0  # a longer word may break
HEAD_EM: Final = 12.0  # a longer head may wrap
TINY: Final = 1e-6
SLACK: Final = 1.01  # widths are measured without kerning

_Want = tuple[float, float]  # least and natural width of a column [em]


@dataclass(frozen=True, slots=True)
class TableLayout:
    """A table's type size and column widths on one page width."""

    size_pt: float
    widths_mm: tuple[float, ...]


def shown(cell: Cell, column: Column) -> str:
    """Return a cell as printed: numbers with the column's decimals, a true minus, nothing for None."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, str):
        return cell
    if not math.isfinite(cell):
        return ""
    if column.decimals is not None:
        text = f"{cell:.{column.decimals}f}"
    else:
        text = str(cell) if isinstance(cell, int) else f"{cell:.6g}"
    if text.startswith("-") and not text.strip("-0."):
        text = text[1:]
    return text.replace("-", "−", 1) if text.startswith("-") else text


def breakable(text: str, room_em: float, bold: bool = False) -> str:
    """Return a text in which every word too long for a width may break anywhere.

    Args:
        text: any text; control characters come out as spaces
        room_em: width it has to fit [em]
        bold: set in the bold face
    """
    text = clean(text)
    if len(text) <= room_em:  # no letter is wider than an em
        return text
    words = text.split(" ")
    return " ".join(
        "\u200b".join(word) if width_em(word, bold) * SLACK > room_em + TINY else word for word in words
    )


def _longest_word(texts: Iterable[str], bold: bool) -> float:
    words = {word for text in texts for word in text.replace("-", "- ").replace("/", "/ ").split()}
    return max((width_em(word, bold) for word in words), default=0.0) * SLACK


def _widest(texts: Iterable[str], bold: bool) -> float:
    return max((width_em(text, bold) for text in set(texts)), default=0.0) * SLACK


def _wants(column: Column, texts: Sequence[str]) -> _Want:
    """Return the least and the natural width of a column [em], padding included."""
    pad = 2 * PAD_EM
    head_least = min(max(_longest_word((column.head,), True), width_em(column.unit) * SLACK), WORD_EM)
    if column.kind == "tick":
        wide = max(1.2, head_least) + pad
        return wide, wide
    if column.kind == "blank":
        wide = max(BLANK_EM, head_least, _widest(texts, False)) + pad
        return wide, wide
    if column.kind == "number":
        wide = max(head_least, _widest(texts, column.bold)) + pad
        return wide, wide
    natural = max(_widest(texts, column.bold), min(_widest((column.head,), True), HEAD_EM), head_least)
    least = min(max(_longest_word(texts, column.bold), head_least), WORD_EM)
    return least + pad, max(natural, least) + pad


def _level(wants: Sequence[_Want], room: float) -> list[float]:
    """Return widths that fill the room: the widest columns give first, none below its least."""
    low, high = 0.0, max(natural for _, natural in wants)
    for _ in range(40):
        middle = (low + high) / 2
        if sum(min(natural, max(least, middle)) for least, natural in wants) > room:
            high = middle
        else:
            low = middle
    return [min(natural, max(least, low)) for least, natural in wants]


def _stretched(table: Table, widths: list[float], room: float) -> list[float]:
    """Return widths with the room left over given to columns to write in, else to text columns."""
    spare = room - sum(widths)
    free = [n for n, column in enumerate(table.columns) if column.width_mm is None]
    takers = [n for n in free if table.columns[n].kind == "blank"]
    takers = takers or [n for n in free if table.columns[n].kind == "text"] or free
    total = sum(widths[n] for n in takers)
    if spare > 0 and total > 0:
        for n in takers:
            widths[n] += spare * widths[n] / total
    return widths


def layout(table: Table, room_mm: float, big: bool = False) -> TableLayout:
    """Return type size and column widths of a table.

    Args:
        table: the table
        room_mm: width of the page between its margins, above 0 [mm]
        big: bench type

    Returns:
        Widths that add up to the room. The type shrinks in two steps before words are broken, that of a close
        table before rows take more than a line.
    """
    columns = table.columns
    free = [
        None if column.width_mm is not None else _wants(column, [shown(row[n], column) for row in table.rows])
        for n, column in enumerate(columns)
    ]
    sizes = dict(SIZES)[table.close, big]
    fits = [size for size in sizes if _sum(columns, free, size, 0) <= room_mm]
    whole = [size for size in fits if _sum(columns, free, size, 1) <= room_mm]
    size = next(iter((whole if table.close else []) + fits), sizes[-1])
    em_mm = size * MM_PER_POINT
    room = room_mm / em_mm
    wants = [
        want or ((column.width_mm or 0.0) / em_mm,) * 2 for want, column in zip(free, columns, strict=True)
    ]
    least = sum(low for low, _ in wants)
    widths = _level(wants, room) if least <= room else [low * room / least for low, _ in wants]
    widths = _stretched(table, widths, room)
    return TableLayout(size, tuple(wide * em_mm for wide in widths))


def _sum(columns: Sequence[Column], free: Sequence[_Want | None], size: float, natural: int) -> float:
    """Return the width all columns take together, at least (0) or unbroken (1) [mm]."""
    told = zip(free, columns, strict=True)
    return sum(
        want[natural] * size * MM_PER_POINT if want else column.width_mm or 0.0 for want, column in told
    )
