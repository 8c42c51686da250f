"""Marks as the drawing operators of a PDF page, in millimetres."""

import math
from collections.abc import Iterable, Iterator, Sequence

from loomwright.pack.lettering import CAP_HEIGHT, Face, runs
from loomwright.pack.marks import (
    Arc,
    Circle,
    Group,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
    Text,
)
from loomwright.sheets.clip import hatch_lines
from loomwright.sheets.svg import number

SEGMENT_DEG = 45.0  # largest arc drawn as one cubic curve; within 5e-6 of the radius


def _at(point: Point) -> str:
    return f"{point[0]:.4f} {point[1]:.4f}"


def _colour(ink: str) -> str:
    return " ".join(number(int(ink[place : place + 2], 16) / 255) for place in (1, 3, 5))


def _path(points: Sequence[Point]) -> str:
    return " l ".join(map(_at, points)).replace(" l ", " m ", 1) + (" l" if len(points) > 1 else " m")


def _ring(points: Sequence[Point]) -> str:
    """An outline to be closed, in short where it is an upright rectangle."""
    if len(points) == 4 and _upright(points):
        (left, low), _, (right, high), _ = points
        return f"{left:.4f} {low:.4f} {right - left:.4f} {high - low:.4f} re"
    return _path(points)


def _upright(points: Sequence[Point]) -> bool:
    """Whether four points are an upright rectangle, from its lower left corner on."""
    (a, b), (c, d), (e, f), (g, h) = points
    return b == d and c == e and f == h and g == a


def arc_path(arc: Arc) -> str:
    """Return the path of an arc as cubic curves.

    Source: Bezier form of a circular arc, control points at 4/3 tan(sweep/4) radii along the tangents.
    """
    count = max(1, math.ceil(arc.sweep_deg / SEGMENT_DEG - 1e-9))
    step = arc.sweep_deg / count
    reach = 4 / 3 * math.tan(math.radians(step) / 4) * arc.radius_mm
    parts = [f"{_at(arc.at(arc.start_deg))} m"]
    for index in range(count):
        low, high = arc.start_deg + index * step, arc.start_deg + (index + 1) * step
        (x0, y0), (x1, y1) = arc.at(low), arc.at(high)
        a, b = math.radians(low), math.radians(high)
        first = (x0 - reach * math.sin(a), y0 + reach * math.cos(a))
        second = (x1 + reach * math.sin(b), y1 - reach * math.cos(b))
        parts.append(f"{_at(first)} {_at(second)} {_at((x1, y1))} c")
    return " ".join(parts)


class Content:
    """Writes the operators of one page and notes which glyphs of which face it used.

    Attributes:
        used: character by glyph number, by face name; shared by the pages of a document
    """

    def __init__(self, used: dict[str, dict[int, str]]) -> None:
        self.used = used
        self._pen: Pen | None = None
        self._fill = ""

    def _stroke(self, pen: Pen) -> Iterator[str]:
        if pen != self._pen:
            dash = " ".join(map(number, pen.dash_mm))
            start = number(pen.start_mm)
            yield f"{number(pen.width_mm)} w {_colour(pen.ink)} RG [{dash}] {start} d"
            self._pen = pen

    def _filled(self, ink: str) -> Iterator[str]:
        if ink != self._fill:
            yield f"{_colour(ink)} rg"
            self._fill = ink

    def _outlined(self, path: str, pen: Pen | None, fill: str) -> Iterator[str]:
        if fill:
            yield from self._filled(fill)
        if pen is not None:
            yield from self._stroke(pen)
        paint = {(True, True): "b", (True, False): "f", (False, True): "s"}.get((bool(fill), pen is not None))
        if paint:
            yield f"{path} {paint}"

    def _line(self, points: Sequence[Point], pen: Pen) -> Iterator[str]:
        yield from self._stroke(pen)
        yield f"{_path(points)} S"

    def _polygon(self, mark: Polygon) -> Iterator[str]:
        if mark.hatch is None:
            yield from self._outlined(_ring(mark.points), mark.pen, mark.fill)
            return
        yield from self._outlined(_ring(mark.points), None, mark.fill)
        for line in hatch_lines(mark.points, mark.hatch, mark.layer):
            yield from self._line((line.start, line.end), line.pen)
        yield from self._outlined(_ring(mark.points), mark.pen, "")

    def _glyphs(self, face: Face, text: str) -> str:
        used = self.used.setdefault(face.name, {})
        codes = []
        for letter in text:
            glyph = face.glyphs.get(ord(letter), 0)
            used.setdefault(glyph, letter)
            codes.append(f"{glyph:04x}")
        return "".join(codes)

    def _text(self, mark: Text) -> Iterator[str]:
        yield from self._filled(mark.ink)
        x, y = mark.base
        turn = math.radians(mark.angle_deg)
        cos, sin = number(math.cos(turn)), number(math.sin(turn))
        size = mark.height_mm / CAP_HEIGHT
        across = number(-math.sin(turn))
        yield f"BT {cos} {sin} {across} {cos} {_at((x, y))} Tm"
        for face, text in runs(mark.text.replace("\u200b", ""), mark.bold):
            yield f"/{face.name} {number(size)} Tf <{self._glyphs(face, text)}> Tj"
        yield "ET"

    def _group(self, mark: Group) -> Iterator[str]:
        if mark.window is None:
            yield from self.marks(mark.marks)
            return
        seen = mark.window
        wide, high = number(seen.width_mm), number(seen.height_mm)
        yield f"q {_at((seen.left, seen.bottom))} {wide} {high} re W n"
        yield from self.marks(mark.marks)
        yield "Q"
        self._pen, self._fill = None, ""

    def marks(self, marks: Iterable[Mark]) -> Iterator[str]:
        """Yield operators for marks, in drawing order."""
        for mark in marks:
            match mark:
                case Line():
                    yield from self._line((mark.start, mark.end), mark.pen)
                case Polyline():
                    yield from self._line(mark.points, mark.pen)
                case Arc():
                    yield from self._stroke(mark.pen)
                    yield f"{arc_path(mark)} S"
                case Circle():
                    ring = arc_path(Arc(mark.centre, mark.radius_mm, 0.0, 360.0))
                    yield from self._outlined(ring, mark.pen, mark.fill)
                case Polygon():
                    yield from self._polygon(mark)
                case Text():
                    yield from self._text(mark)
                case Group():
                    yield from self._group(mark)
