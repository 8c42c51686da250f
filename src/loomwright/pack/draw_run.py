"""The run drawn over a photo of the car: lines of the sections, names of points, nothing to scale."""

from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import hypot
from typing import Final

from loomwright.model.photo import RunPhoto, Spot
from loomwright.model.tree import Section, Tree
from loomwright.pack.lettering import width_mm
from loomwright.pack.marks import (
    BLACK,
    THIN,
    WHITE,
    Box,
    Circle,
    Drawing,
    Group,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
    Text,
)

WIDE_MM: Final = 240.0
HIGH_MM: Final = 135.0
LETTER_MM: Final = 2.4
HALO: Final = Pen(1.9, ink=WHITE)
WAY: Final = Pen(0.8)
NOT_DRAWN: Final = Pen(0.6, (2.0, 1.6))
_BESIDE: Final = ((1, 1), (-1, 1), (1, -1), (-1, -1), (0, 1.6), (0, -1.6), (1.2, 0), (-1.2, 0))
_STEPS: Final = (3.0, 6.0, 10.0)


def draw_run(photo: RunPhoto, trees: Iterable[Tree]) -> Drawing:
    """Return what lies over a photo; a name no tree has is left out.

    Args:
        photo: a photo with its size known
        trees: the looms
    """
    wide = min(WIDE_MM, HIGH_MM * photo.width_px / photo.height_px)
    high = wide * photo.height_px / photo.width_px

    def at(spot: Spot) -> Point:
        return spot[0] * wide, (1.0 - spot[1]) * high

    names = known_names(trees)
    taps = {name: at(spot) for name, spot in photo.points if name in names}
    ways = tuple((name, tuple(map(at, way)), drawn) for name, way, drawn in ways_of(photo, trees))
    marks: list[Mark] = [Group(f"section:{name}", tuple(_way(way, drawn))) for name, way, drawn in ways]
    marks += [Circle(place, 1.3, Pen(0.5), WHITE) for place in taps.values()]
    labels = _Labels(Box(0.0, 0.0, wide, high), [Box(x - 1, y - 1, x + 1, y + 1) for x, y in taps.values()])
    for name, place in taps.items():
        marks += labels.beside(place, name, bold=True)
    for name, way, drawn in ways:
        if drawn:
            marks += labels.beside(_middle(way), name, bold=False)
    return Drawing(f"Run over photo {photo.name}", wide, high, tuple(marks))


def known_names(trees: Iterable[Tree]) -> frozenset[str]:
    """Return the names of all points and ends of trees."""
    return frozenset(name for tree in trees for s in tree.sections for name in (s.inner, s.outer))


def ways_of(photo: RunPhoto, trees: Iterable[Tree]) -> Iterator[tuple[str, tuple[Spot, ...], bool]]:
    """Yield sections with their way over a photo and whether it was drawn, in tree order.

    A way runs from the inner point over the corners to the outer one; a point that isn't tapped is left
    out. What was not drawn runs straight between both points.
    """
    points, lines = dict(photo.points), dict(photo.lines)
    for tree in trees:
        for section in tree.sections:
            key = line_key(photo, section)
            ends = [points.get(section.inner), points.get(section.outer)]
            corners = lines.get(key, ())
            way = tuple(one for one in (ends[0], *corners, ends[1]) if one is not None)
            if len(way) >= 2 and (key in lines or None not in ends):
                yield section.name, way, key in lines


def line_key(photo: RunPhoto, section: Section) -> str:
    """Return the name a section has among a photo's lines: "engine/B1-B2" or, as a rule, "B1-B2"."""
    whole = f"{section.loom}/{section.name}"
    return whole if whole in dict(photo.lines) else section.name


def strangers(photo: RunPhoto, trees: tuple[Tree, ...]) -> tuple[str, ...]:
    """Return the names on a photo that no tree has."""
    names = known_names(trees)
    keys = {line_key(photo, section) for tree in trees for section in tree.sections}
    lost = [name for name, _ in photo.points if name not in names]
    return (*lost, *(name for name, _ in photo.lines if name not in keys))


def _way(way: tuple[Point, ...], drawn: bool) -> Iterator[Mark]:
    yield Polyline(way, HALO)
    yield Polyline(way, WAY if drawn else NOT_DRAWN)


def _middle(way: tuple[Point, ...]) -> Point:
    """The point half-way along a line."""
    left = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(way)) / 2
    for a, b in pairwise(way):
        long = hypot(b[0] - a[0], b[1] - a[1])
        if long >= left and long > 0:
            share = left / long
            return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
        left -= long
    return way[-1]


class _Labels:
    """Places names on white ground within the photo, where nothing stands yet."""

    def __init__(self, within: Box, taken: list[Box]) -> None:
        self.within, self.taken = within, taken

    def beside(self, place: Point, name: str, bold: bool) -> tuple[Mark, ...]:
        wide, high = width_mm(name, LETTER_MM, bold) / 2 + 0.9, LETTER_MM / 2 + 0.9
        tries = [
            self._inside(place[0] + x * (step - 2 + wide), place[1] + y * step, wide, high)
            for step in _STEPS
            for x, y in _BESIDE
        ]
        box = next((one for one in tries if not any(one.meets(held) for held in self.taken)), tries[0])
        self.taken.append(box)
        middle = ((box.left + box.right) / 2, (box.bottom + box.top) / 2)
        corners = (
            (box.left, box.bottom),
            (box.right, box.bottom),
            (box.right, box.top),
            (box.left, box.top),
        )
        return (
            Polygon(corners, THIN if bold else None, WHITE),
            Text(middle, name, LETTER_MM, "middle", "middle", bold=bold, ink=BLACK),
        )

    def _inside(self, x: float, y: float, wide: float, high: float) -> Box:
        x = max(self.within.left + wide, min(self.within.right - wide, x))
        y = max(self.within.bottom + high, min(self.within.top - high, y))
        return Box(x - wide, y - high, x + wide, y + high)
