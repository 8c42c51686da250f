"""A drawing of the pack as plain data, so that a page draws exactly what the paper shows."""

from typing import Final

from loomwright.pack.lettering import width_mm
from loomwright.pack.marks import (
    Arc,
    Circle,
    Drawing,
    Group,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
    Text,
    flat,
)

Plain = dict[str, object]
DIGITS: Final = 4  # as in the pack's own drawings for screens [mm]


def drawing_view(drawing: Drawing) -> Plain:
    """Return a drawing: size and marks in mm, y turned downward as a page counts it."""
    return {
        "title": drawing.title,
        "width_mm": rounded(drawing.width_mm),
        "height_mm": rounded(drawing.height_mm),
        "marks": [mark_view(one, drawing.height_mm) for one in flat(drawing.marks)],
    }


def rounded(value: float) -> float:
    """Return a length rounded as drawings for screens are [mm]."""
    return round(value, DIGITS) + 0.0


def mark_view(mark: Mark, high_mm: float) -> Plain:
    """Return one mark.

    Args:
        mark: any mark but a group
        high_mm: height of its drawing, from which y counts downward [mm]
    """
    match mark:
        case Line():
            return {
                "is": "line",
                "points": _points((mark.start, mark.end), high_mm),
                **_pen(mark.pen, mark.layer),
            }
        case Polyline():
            return {"is": "line", "points": _points(mark.points, high_mm), **_pen(mark.pen, mark.layer)}
        case Polygon():
            fill = {"fill": mark.fill} if mark.fill else {}
            return {
                "is": "shape",
                "points": _points(mark.points, high_mm),
                **fill,
                **_pen(mark.pen, mark.layer),
            }
        case Circle():
            return _circle(mark, high_mm)
        case Arc():
            return _arc(mark, high_mm)
        case Text():
            return _text(mark, high_mm)
        case Group():
            raise TypeError("take groups apart first")


def _points(points: tuple[Point, ...], high_mm: float) -> list[list[float]]:
    return [[rounded(x), rounded(high_mm - y)] for x, y in points]


def _pen(pen: Pen | None, layer: str) -> Plain:
    found: Plain = {"layer": layer}
    if pen is not None:
        found["pen_mm"] = pen.width_mm
        if pen.dash_mm:
            found["dash_mm"] = list(pen.dash_mm)
    return found


def _circle(mark: Circle, high_mm: float) -> Plain:
    x, y = mark.centre
    fill = {"fill": mark.fill} if mark.fill else {}
    place = {"x": rounded(x), "y": rounded(high_mm - y), "r": rounded(mark.radius_mm)}
    return {"is": "circle", **place, **fill, **_pen(mark.pen, mark.layer)}


def _arc(mark: Arc, high_mm: float) -> Plain:
    steps = max(2, round(mark.sweep_deg / 6.0) + 1)
    points = tuple(mark.at(mark.start_deg + mark.sweep_deg * n / (steps - 1)) for n in range(steps))
    return {"is": "line", "points": _points(points, high_mm), **_pen(mark.pen, mark.layer)}


def _text(mark: Text, high_mm: float) -> Plain:
    return {
        "is": "text",
        "x": rounded(mark.at[0]),
        "y": rounded(high_mm - mark.at[1]),
        "text": mark.text,
        "tall_mm": rounded(mark.height_mm),
        "wide_mm": rounded(width_mm(mark.text, mark.height_mm, mark.bold)),
        "side": mark.side,
        "level": mark.level,
        "turned_deg": -mark.angle_deg,
        "bold": mark.bold,
        "layer": mark.layer,
    }
