"""What explains a forming board on the board itself: title, how it is seen, bars, key of symbols, stamp."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from loomwright.building.built import Board
from loomwright.pack.draw_board_symbols import KEY, drawn
from loomwright.pack.draw_place import WORDS, Corners, Room, Words, around, at_share
from loomwright.pack.lettering import shortened
from loomwright.pack.marks import (
    BLACK,
    BOLD_PEN,
    FULL,
    Circle,
    Hatch,
    Line,
    Mark,
    Point,
    Polygon,
    Text,
)
from loomwright.pack.pages import PackHead

SEEN: Final = "seen from above: looking outward from the datum 9 o'clock is left"
FULL_SIZE: Final = "Full size 1 : 1, lengths in mm. Measure both bars before use."
ANGLES: Final = ("Angles here are not the car's: how a section leaves", "stands beside its branch point.")
BAR_MM: Final = 100.0
WIDE_MM: Final = 176.0
HIGH_MM: Final = 136.0
GAP_MM: Final = 6.0
STEP_MM: Final = 20.0
STAMP_INK: Final = "#d0d0d0"
STAMP_MM: Final = 14.0
STAMP_EVERY_MM: Final = 230.0


@dataclass(frozen=True, slots=True)
class HeadBox:
    """What the block has to say, and the board's size [mm]."""

    title: str
    head: PackHead
    stamp: str
    demo: bool
    width_mm: float
    height_mm: float


def bars_and_key(box: HeadBox, room: Room) -> tuple[tuple[Mark, ...], float, float]:
    """Return the block, laid where the board is free, and the width and height a drawing needs for it [mm].

    Args:
        box: what to say
        room: what stands on the board so far
    """
    at = _free(box, room)
    return (*_block(box, at), *_corner()), at[0] + WIDE_MM + GAP_MM, at[1] + HIGH_MM + GAP_MM


def _free(box: HeadBox, room: Room) -> Point:
    """Return the lower left corner of a free place, nearest to the board's corner; else above the board."""
    places = []
    x = GAP_MM + 8.0
    while x + WIDE_MM + GAP_MM <= box.width_mm:
        y = GAP_MM + 8.0
        while y + HIGH_MM + GAP_MM <= box.height_mm:
            places.append((x + y, x, y))
            y += STEP_MM
        x += STEP_MM
    for _, x, y in sorted(places):
        if room.cost(_around(x, y)) == 0.0:
            room.take(_around(x, y), WORDS)
            return x, y
    return GAP_MM + 8.0, box.height_mm + GAP_MM


def _around(x: float, y: float) -> Corners:
    right, top = x + WIDE_MM + 3.0, y + HIGH_MM + 3.0
    return (x - 3.0, y - 3.0), (right, y - 3.0), (right, top), (x - 3.0, top)


def _block(box: HeadBox, at: Point) -> Iterator[Mark]:
    x, y = at
    top = y + HIGH_MM
    frame = ((x, y), (x + WIDE_MM, y), (x + WIDE_MM, top), (x, top))
    yield Polygon(frame, FULL, layer="head")
    for line, height, bold, below in _lines(box):
        text = shortened(line, WIDE_MM - 8.0, height, bold)
        yield Text((x + 4.0, top - below), text, height, bold=bold, layer="head")
    yield from _bar((x + 10.0, y + 8.0), False)
    yield from _bar((x + WIDE_MM - 8.0, y + 8.0), True)
    yield from _key((x + 14.0, top - 54.0))
    yield from _sight((x + 125.0, top - 90.0))


def _lines(box: HeadBox) -> Iterator[tuple[str, float, bool, float]]:
    """Yield text, height, weight and distance from the top of the block's lines."""
    stamp = f"   {box.stamp}" if box.stamp else ""
    revision = f"revision {box.head.revision}" if box.head.revision else "not issued"
    yield f"{box.title}{stamp}", 5.0, True, 9.0
    parts = ("invented data" if box.demo else "", box.head.job, revision, box.head.issued, box.head.digest)
    yield " · ".join(part for part in parts if part), 3.5, False, 17.0
    yield SEEN, 3.5, True, 25.0
    yield FULL_SIZE, 3.5, False, 31.5
    yield ANGLES[0], 3.5, False, 38.0
    yield ANGLES[1], 3.5, False, 44.0


def _bar(start: Point, upright: bool) -> Iterator[Mark]:
    x, y = start
    end = (x, y + BAR_MM) if upright else (x + BAR_MM, y)
    yield Line(start, end, BOLD_PEN, layer="bar")
    for a, b in (start, end):
        feet = ((a - 2.0, b), (a + 2.0, b)) if upright else ((a, b - 2.0), (a, b + 2.0))
        yield Line(*feet, BOLD_PEN, layer="bar")
    if not upright:
        yield Text((x + BAR_MM / 2, y + 2.5), "100 mm", 3.5, "middle", layer="bar")
    else:
        yield Text((x - 2.5, y + BAR_MM / 2), "100 mm", 3.5, "middle", angle_deg=90.0, layer="bar")


def _key(at: Point) -> Iterator[Mark]:
    x, y = at
    for n, (kind, words, meaning) in enumerate(KEY):
        level = y - 8.0 * n
        yield from drawn(kind, words, (x, level), 0.0, 4.0)
        yield Text((x + 10.0, level), meaning, 3.5, level="middle", layer="head")
    level = y - 8.0 * len(KEY)
    zone = ((x - 6.0, level - 2.5), (x + 6.0, level - 2.5), (x + 6.0, level + 2.5), (x - 6.0, level + 2.5))
    yield Polygon(zone, FULL, hatch=Hatch(45.0, 2.5), layer="head")
    yield Text((x + 10.0, level), "trim zone: cut off at test fit", 3.5, level="middle", layer="head")


def _sight(at: Point) -> Iterator[Mark]:
    """Yield a small picture of the hands: outward is up the page here."""
    x, y = at
    yield Circle(at, 2.0, FULL, BLACK, layer="head")
    yield Line(at, (x, y + 20.0), BOLD_PEN, layer="head")
    yield Polygon(((x - 2.5, y + 18.0), (x + 2.5, y + 18.0), (x, y + 25.0)), FULL, BLACK, layer="head")
    yield Text((x, y - 8.0), "datum", 3.5, "middle", layer="head")
    yield Text((x, y + 28.0), "outward", 3.5, "middle", layer="head")
    yield Text((x - 6.0, y + 8.0), "9 o'clock", 3.5, "right", layer="head")
    yield Text((x + 6.0, y + 8.0), "3 o'clock", 3.5, layer="head")


def _corner() -> Iterator[Mark]:
    """Yield the board's corner, which marking-out figures count from."""
    yield Line((0.0, 0.0), (10.0, 0.0), FULL, layer="corner")
    yield Line((0.0, 0.0), (0.0, 10.0), FULL, layer="corner")
    yield Text((2.0, 2.0), "corner 0, 0 of the marking-out sheet", 3.5, layer="corner")


def stamps(board: Board, stamp: str, room: Room) -> Iterator[Text]:
    """Yield pale words beside the sections, often enough that each sheet with some of the loom shows them."""
    if not stamp:
        return
    placed: list[Point] = []
    for section in board.sections:
        count = max(1, round(section.length_mm / STAMP_EVERY_MM))
        for n in range(count):
            (x, y), _ = at_share(section.line, (n + 0.5) / count)
            if all(abs(x - a) > STAMP_EVERY_MM * 0.7 or abs(y - b) > STAMP_EVERY_MM / 2 for a, b in placed):
                placed.append((x, y))
                words = (Words(stamp, STAMP_MM, True),)
                found = room.place(around(words, (x, y), section.finished_mm / 2 + 3.0))
                yield replace(found.texts[0], ink=STAMP_INK, layer="stamp")
