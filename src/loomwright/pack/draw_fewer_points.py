"""A plot: what a loom costs over its number of branch points."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

from loomwright.model.plan import PlanRow
from loomwright.pack.marks import THIN, Box, Circle, Drawing, Line, Mark, Polyline, Text

WIDTH_MM: Final = 170.0
HEIGHT_MM: Final = 110.0
FIELD: Final = Box(24.0, 20.0, 162.0, 96.0)
MEASURES: Final = (
    ("money", "money"),
    ("hours", "hours"),
    ("copper g", "copper_g"),
    ("sheath m", "sheath_m"),
    ("mass g", "mass_g"),
)


def draw_fewer_points(rows: Sequence[PlanRow], chosen: int, measure: str = "money") -> Drawing:
    """Return one measure of several plans over their number of branch points, as a drawing.

    Args:
        rows: one plan for each number of branch points
        chosen: branch points of the plan that is ringed
        measure: "money", "hours", "copper g", "sheath m" or "mass g"
    """
    field = dict(MEASURES)[measure]
    points = sorted((one.branch_points, float(getattr(one, field))) for one in rows)
    step = _step(max(y for _, y in points) - min(y for _, y in points))
    low = math.floor(min(y for _, y in points) / step) * step
    high = max(low + step, math.ceil(max(y for _, y in points) / step) * step)
    first, last = points[0][0], max(points[-1][0], points[0][0] + 1)

    def place(x: float, y: float) -> tuple[float, float]:
        wide, tall = FIELD.right - FIELD.left, FIELD.top - FIELD.bottom
        return (
            FIELD.left + 6 + (wide - 12) * (x - first) / (last - first),
            FIELD.bottom + tall * (y - low) / (high - low),
        )

    marks: list[Mark] = [
        Line((FIELD.left, FIELD.bottom), (FIELD.right, FIELD.bottom)),
        Line((FIELD.left, FIELD.bottom), (FIELD.left, FIELD.top)),
        Text((FIELD.left, FIELD.top + 5), measure, 3.5, bold=True),
        Text(((FIELD.left + FIELD.right) / 2, 6.0), "branch points", 3.5, "middle"),
    ]
    marks += _scale(low, high, step)
    marks += [Text((place(x, low)[0], FIELD.bottom - 5), str(x), 3.0, "middle") for x, _ in points]
    marks.append(Polyline(tuple(place(x, y) for x, y in points)))
    for x, y in points:
        marks.append(Circle(place(x, y), 1.2, fill="#000000"))
        if x == chosen:
            marks.append(Circle(place(x, y), 2.8))
    return Drawing(f"{measure} over branch points", WIDTH_MM, HEIGHT_MM, tuple(marks))


def _step(span: float) -> float:
    """Return a round step that makes about five of a span."""
    raw = max(span, 1e-6) / 5
    size = 10.0 ** math.floor(math.log10(raw))
    return next(many * size for many in (1, 2, 5, 10) if many * size >= raw)


def _scale(low: float, high: float, step: float) -> Iterator[Mark]:
    at = low
    tall = FIELD.top - FIELD.bottom
    while at <= high + step / 2:
        y = FIELD.bottom + tall * (at - low) / (high - low)
        yield Line((FIELD.left, y), (FIELD.right, y), THIN)
        yield Text((FIELD.left - 2, y - 1), f"{at:g}", 2.8, "right")
        at += step
