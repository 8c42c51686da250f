"""A plot of four panels: copper, sheath, hours and money of several trees over their branch points."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from loomwright.model.plan import PlanRow
from loomwright.pack.marks import (
    BOLD_PEN,
    PALE,
    THIN,
    WHITE,
    Box,
    Circle,
    Drawing,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
    Side,
    Text,
    bounds,
)

PANELS: Final = (
    ("copper [g]", "copper_g", 0),
    ("sheath [m]", "sheath_m", 1),
    ("time [h]", "hours", 1),
    ("money [the shop's own]", "money", 0),
)
"""Head with unit, field of a row, decimals; by rows, from the upper left."""
WIDTH_MM: Final = 250.0
HEIGHT_MM: Final = 132.0
ACROSS: Final = 2
FIELD: Final = Box(16.0, 9.0, 119.0, 54.0)  # of the first panel, from its own lower left corner
EDGE_MM: Final = 7.0  # from the axes to the outermost points
GRID: Final = Pen(width_mm=0.13, ink=PALE)
NEAR_MM: Final = 7.0  # least distance between numbers under an axis
STEPS: Final = 4  # about so many steps of a scale
CAPTION: Final = (
    "Every dot is a tree that was priced. Line: the cheapest in money for each number of branch points. "
    "Ring: the chosen tree. Square: the tree as it was. Scales do not start at zero."
)


@dataclass(frozen=True, slots=True)
class _Panel:
    """Where the figures of one measure lie."""

    left: float
    bottom: float
    first: int
    last: int
    low: float
    high: float

    def at(self, points: int, value: float) -> Point:
        x = self.left + FIELD.left + EDGE_MM
        wide, tall = FIELD.width_mm - 2 * EDGE_MM, FIELD.height_mm
        share = 0.5 if self.last == self.first else (points - self.first) / (self.last - self.first)
        return x + wide * share, self.bottom + FIELD.bottom + tall * (value - self.low) / (
            self.high - self.low
        )


def draw_fewer_points(rows: Sequence[PlanRow], chosen: str, before: str = "") -> Drawing:
    """Return copper, sheath, hours and money of several trees over their number of branch points.

    Args:
        rows: trees, one or more
        chosen: name of the one that is ringed; the first of that name
        before: name of the one that is squared, "" = none
    """
    marks: list[Mark] = []
    for at, (head, field, decimals) in enumerate(PANELS):
        left = (at % ACROSS) * WIDTH_MM / ACROSS
        bottom = HEIGHT_MM / 2 if at < ACROSS else 0.0
        marks += _panel(rows, (left, bottom), head, field, decimals, (chosen, before))
    return Drawing("Trees over their number of branch points", WIDTH_MM, HEIGHT_MM, tuple(marks))


def cheapest(rows: Sequence[PlanRow]) -> tuple[PlanRow, ...]:
    """Return the row of least money for each number of branch points, by rising number."""
    found: dict[int, PlanRow] = {}
    for one in sorted(rows, key=lambda one: (one.branch_points, one.money)):
        found.setdefault(one.branch_points, one)
    return tuple(found.values())


def _panel(
    rows: Sequence[PlanRow], corner: Point, head: str, field: str, decimals: int, named: tuple[str, str]
) -> Iterator[Mark]:
    values = [float(getattr(one, field)) for one in rows]
    step = _step(max(values) - min(values), decimals)
    low = math.floor(min(values) / step + 1e-9) * step
    high = max(low + step, math.ceil(max(values) / step - 1e-9) * step)
    points = sorted({one.branch_points for one in rows})
    panel = _Panel(*corner, points[0], points[-1], low, high)
    yield from _axes(panel, head, step, points)
    line = [panel.at(one.branch_points, float(getattr(one, field))) for one in cheapest(rows)]
    if len(line) > 1:
        yield Polyline(tuple(line), THIN)
    spots = [panel.at(one.branch_points, value) for one, value in zip(rows, values, strict=True)]
    yield from (Circle(spot, 0.7, None, "#000000") for spot in spots)
    taken: list[Box] = []
    for name, shape, words in zip(named, (_ring, _square), ("chosen", "as it was"), strict=True):
        at = next((n for n, one in enumerate(rows) if name and one.name == name), None)
        if at is None:
            continue
        yield shape(spots[at])
        text = _label(spots[at], f"{words} {values[at]:.{decimals}f}", panel, (*_along(line), *spots), taken)
        taken.append(bounds(text))
        box = taken[-1].grown(0.2)
        corners = (
            (box.left, box.bottom),
            (box.right, box.bottom),
            (box.right, box.top),
            (box.left, box.top),
        )
        yield Polygon(corners, None, WHITE)
        yield text


def _ring(at: Point) -> Mark:
    return Circle(at, 1.8, BOLD_PEN)


def _square(at: Point) -> Mark:
    (x, y), half = at, 1.6
    return Polygon(((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)))


def _label(at: Point, words: str, panel: _Panel, ink: Sequence[Point], taken: Sequence[Box]) -> Text:
    """Return a mark's words beside it: above or below, left or right, where they cover least."""
    x, y = at
    left, right = panel.left + FIELD.left, panel.left + FIELD.right
    best: tuple[float, int, Text] | None = None
    for order, (dx, dy) in enumerate(
        (dx, dy) for dy in (2.6, -2.6, 5.6, -5.6, 9.0, -9.0) for dx in (0.0, 2.0, -2.0, 9.0, -9.0)
    ):
        side: Side = "middle" if not dx else ("left" if dx > 0 else "right")
        text = Text((x + dx, y + dy), words, 2.6, side, "bottom" if dy > 0 else "top", bold=True)
        box = bounds(text).grown(0.4)
        off = max(0.0, left + 0.5 - box.left) + max(0.0, box.right - right - 4.0)
        off += max(0.0, panel.bottom + FIELD.bottom - box.bottom)
        off += max(0.0, box.top - panel.bottom - FIELD.top - 2.0)
        covered = sum(box.grown(0.6).holds(one) for one in ink) + 50 * sum(box.meets(one) for one in taken)
        rank = (100 * off + 3 * covered + abs(dy) + abs(dx) / 10, order)
        if best is None or rank < best[:2]:
            best = (*rank, text)
    assert best is not None
    return best[2]


def _along(line: Sequence[Point]) -> Iterator[Point]:
    """Points close together on a line."""
    for (x0, y0), (x1, y1) in pairwise(line):
        many = max(1, math.ceil(math.dist((x0, y0), (x1, y1))))
        for n in range(many + 1):
            yield x0 + (x1 - x0) * n / many, y0 + (y1 - y0) * n / many


def _axes(panel: _Panel, head: str, step: float, points: Sequence[int]) -> Iterator[Mark]:
    left, bottom = panel.left + FIELD.left, panel.bottom + FIELD.bottom
    right, top = panel.left + FIELD.right, panel.bottom + FIELD.top
    for n in range(round((panel.high - panel.low) / step) + 1):
        value = panel.low + n * step
        y = panel.at(panel.first, value)[1]
        yield Line((left, y), (right, y), GRID)
        yield Text((left - 1.5, y), f"{value:.{_places(step)}f}", 2.4, "right", "middle")
    yield Line((left, bottom), (right, bottom))
    yield Line((left, bottom), (left, top))
    yield Text((left - 14.0, top + 3.5), head, 2.8, bold=True)
    last = -math.inf
    for many in points:
        x = panel.at(many, panel.low)[0]
        yield Line((x, bottom), (x, bottom - 1.0), THIN)
        if x - last >= NEAR_MM:
            yield Text((x, bottom - 1.8), str(many), 2.4, "middle", "top")
            last = x
    yield Text(((left + right) / 2, bottom - 8.0), "branch points", 2.4, "middle")


def _places(step: float) -> int:
    return max(0, -math.floor(math.log10(step) + 1e-9))


def _step(span: float, decimals: int) -> float:
    """Return a round step that makes about `STEPS` of a span."""
    raw = max(span, 10.0**-decimals) / STEPS
    size = 10.0 ** math.floor(math.log10(raw))
    return next(many * size for many in (1, 2, 5, 10) if many * size >= raw * (1 - 1e-9))
