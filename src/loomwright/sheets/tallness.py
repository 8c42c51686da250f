"""How tall blocks are at most, roughly: enough to see that a card fits one page without setting it twice."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from loomwright.sheets.table_layout import MM_PER_POINT, PAD_EM

Json = dict[str, Any]

LETTER_EM: Final = 0.6  # more than a letter of the condensed face takes on the average; ours
LINE_EM: Final = 1.45  # a line with its lead; ours
BETWEEN_MM: Final = 4.0  # room above and below a block; ours
HEADING_MM: Final = 7.0
FACT_MM: Final = 5.5  # a line of facts or running text, also in bench type; ours


def at_most_mm(blocks: Iterable[Json], room_mm: float) -> float:
    """Return a height that blocks handed to the template do not exceed [mm].

    Args:
        blocks: blocks as the template takes them
        room_mm: width they are set in, above 0 [mm]
    """
    return sum(_block_mm(block, room_mm) + BETWEEN_MM for block in blocks)


def _block_mm(block: Json, room_mm: float) -> float:
    match block["kind"]:
        case "table":
            return _table_mm(block)
        case "figure":
            return float(block["height"]) + FACT_MM * _lines(block["caption"], max(block["width"], 25.0))
        case "row":
            return sum(_block_mm(one, room_mm) + BETWEEN_MM for one in block["figures"])
        case "beside":
            parts = zip(block["parts"], block["widths"], strict=True)
            return max((at_most_mm(part, wide) for part, wide in parts), default=0.0)
        case "heading":
            return HEADING_MM * _lines(block["text"], room_mm, 1.3)
        case "paragraph":
            return FACT_MM * _lines(block["text"], room_mm)
        case "run":
            return FACT_MM * _lines("   ".join(word for pair in block["pairs"] for word in pair), room_mm)
        case "facts":
            return FACT_MM * sum(_lines(value, room_mm / 3) for _, value in block["pairs"])
    return float("inf")  # unknown here: the template measures


def _table_mm(table: Json) -> float:
    size_mm = table["size"] * MM_PER_POINT
    rooms = [wide / size_mm - 2 * PAD_EM for wide in table["widths"]]
    rows = [row for group in table["groups"] for row in group["rows"]]
    em = sum(_row_em(row, rooms, table["drop"]) for row in rows)
    em += _row_em([head["head"] for head in table["heads"]], rooms, table["drop"]) + LINE_EM
    em += sum(LINE_EM + 2 * table["drop"] for group in table["groups"] if group["title"])
    words = sum(_lines(table[key], sum(table["widths"])) for key in ("title", "note") if table[key])
    return float(em * size_mm + FACT_MM * words)


def _row_em(cells: Sequence[str], rooms: Sequence[float], drop: float) -> float:
    lines = max(
        (1 + int(len(cell) * LETTER_EM / room) for cell, room in zip(cells, rooms, strict=True)), default=1
    )
    return lines * LINE_EM + 2 * drop


def _lines(text: str, room_mm: float, larger: float = 1.0) -> int:
    return 1 + int(len(text) * LETTER_EM * larger * FACT_MM / LINE_EM / room_mm)
