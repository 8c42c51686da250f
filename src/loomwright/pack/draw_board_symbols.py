"""The symbols of the forming board, all our own, each explained in the board's key."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

from loomwright.building.built import BoardMark
from loomwright.pack.draw_place import Corners, at_mm, square
from loomwright.pack.marks import (
    BLACK,
    BOLD_PEN,
    FULL,
    THIN,
    WHITE,
    Circle,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
)

PEG_MM: Final = 2.2
FEET_MM: Final = 3.0
BEYOND_MM: Final = 2.5  # how far cross bars reach past the bundle; ours
COVER_PEN: Final = Pen(width_mm=0.5, dash_mm=(1.5, 1.0))


def symbol(mark: BoardMark, line: Sequence[Point], width_mm: float) -> Iterator[Mark]:
    """Yield the symbol of a mark.

    Args:
        mark: what is marked
        line: its section's line [mm]
        width_mm: the section's drawn width [mm]
    """
    at = (mark.x_mm, mark.y_mm)
    _, deg = at_mm(line, mark.mm)
    yield from drawn(mark.kind, mark.words, at, deg, width_mm)


def drawn(kind: str, words: str, at: Point, deg: float, width_mm: float) -> Iterator[Mark]:
    """Yield a symbol at a point of a bundle that runs in a direction [degrees]."""
    half = width_mm / 2 + BEYOND_MM

    def local(along: float, left: float) -> Point:
        c, s = math.cos(math.radians(deg)), math.sin(math.radians(deg))
        return at[0] + along * c - left * s, at[1] + along * s + left * c

    match kind:
        case "mount":
            yield Circle(at, PEG_MM, THIN, layer="mount")
            yield Line(local(-PEG_MM, 0), local(PEG_MM, 0), THIN, layer="mount")
            yield Line(local(0, -PEG_MM), local(0, PEG_MM), THIN, layer="mount")
        case "splice":
            r = max(half, 4.0)
            yield Polygon((local(-r, 0), local(0, -r), local(r, 0), local(0, r)), FULL, BLACK, layer="splice")
        case "tie":
            for along in (-1.0, 1.0):
                yield Line(local(along, -half), local(along, half), BOLD_PEN, layer="tie")
        case "label":
            points = (local(-6, -half), local(6, -half), local(6, half), local(-6, half))
            yield Polygon(points, FULL, WHITE, layer="label")
            yield Line(local(-4, 0), local(4, 0), FULL, layer="label")
        case "sleeve end":
            foot = -FEET_MM if words.endswith("ends") else FEET_MM
            points = (local(foot, -half), local(0, -half), local(0, half), local(foot, half))
            yield Polyline(points, FULL, layer="sleeve end")
        case "cover end":
            yield Line(local(0, -half), local(0, half), COVER_PEN, layer="cover end")
        case "co-run parts":
            tip = (local(-4, -2.5), local(4, 0), local(-4, 2.5))
            yield Polygon(tip, FULL, BLACK, layer="parting")


def symbol_outline(mark: BoardMark, width_mm: float) -> Corners:
    """Return what a symbol takes up."""
    half = width_mm / 2 + BEYOND_MM
    reach = {"mount": PEG_MM, "splice": max(half, 4.0), "label": 7.5}.get(mark.kind, half)
    return square((mark.x_mm, mark.y_mm), reach)


KEY: Final = (
    ("mount", "", "peg or tie mount"),
    ("splice", "", "splice, with its name"),
    ("tie", "", "tie or clip on the car"),
    ("label", "", "label goes here"),
    ("sleeve end", "starts", "sleeve starts or ends"),
    ("cover end", "", "branch cover ends"),
    ("co-run parts", "", "parts from its neighbour here"),
)
"""Kind, words and meaning of every symbol, in the order of the board's key."""
