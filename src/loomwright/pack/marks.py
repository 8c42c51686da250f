"""A drawing as a tuple of marks in millimetres, composed once, never rounded, never altered by a writer.

x runs right, y runs up, the origin is the lower left corner of the drawing. Angles are in degrees,
counted anticlockwise from the x axis.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from loomwright.pack.lettering import width_mm

Point = tuple[float, float]
Side = Literal["left", "middle", "right"]
Level = Literal["base", "middle", "top", "bottom"]

BLACK: Final = "#000000"
GREY: Final = "#6e6e6e"
PALE: Final = "#b4b4b4"
WHITE: Final = "#ffffff"


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle [mm]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width_mm(self) -> float:
        """Width [mm]."""
        return self.right - self.left

    @property
    def height_mm(self) -> float:
        """Height [mm]."""
        return self.top - self.bottom

    def meets(self, other: "Box") -> bool:
        """Return True if the two rectangles share at least a point."""
        return (
            self.left <= other.right
            and other.left <= self.right
            and self.bottom <= other.top
            and other.bottom <= self.top
        )

    def holds(self, point: Point) -> bool:
        """Return True if the point is inside or on the edge."""
        return self.left <= point[0] <= self.right and self.bottom <= point[1] <= self.top

    def encloses(self, other: "Box") -> bool:
        """Return True if the other rectangle lies wholly inside."""
        return self.holds((other.left, other.bottom)) and self.holds((other.right, other.top))

    def grown(self, by_mm: float) -> "Box":
        """Return the rectangle with every edge moved outward (inward where negative)."""
        return Box(self.left - by_mm, self.bottom - by_mm, self.right + by_mm, self.top + by_mm)


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn.

    Attributes:
        width_mm: line width, above 0 [mm]
        dash_mm: lengths of dash, gap, dash, gap ...; empty for a full line [mm]
        start_mm: how far into the dash pattern the line starts [mm]
        ink: "#rrggbb"; a colour never says anything that line, text or hatch does not say too
    """

    width_mm: float = 0.35
    dash_mm: tuple[float, ...] = ()
    start_mm: float = 0.0
    ink: str = BLACK


FULL: Final = Pen()
THIN: Final = Pen(width_mm=0.18)
BOLD_PEN: Final = Pen(width_mm=0.7)
DASHED: Final = Pen(width_mm=0.25, dash_mm=(3.0, 1.5))
CHAIN: Final = Pen(width_mm=0.18, dash_mm=(8.0, 1.5, 1.0, 1.5))


@dataclass(frozen=True, slots=True)
class Hatch:
    """Parallel lines inside an outline; anchored to the drawing's origin, so that it runs on across tiles."""

    angle_deg: float = 45.0
    pitch_mm: float = 3.0
    pen: Pen = THIN


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line from start to end."""

    start: Point
    end: Point
    pen: Pen = FULL
    layer: str = "drawing"


@dataclass(frozen=True, slots=True)
class Polyline:
    """An open line through two or more points."""

    points: tuple[Point, ...]
    pen: Pen = FULL
    layer: str = "drawing"


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, anticlockwise from `start_deg` over `sweep_deg` (0 to 360)."""

    centre: Point
    radius_mm: float
    start_deg: float
    sweep_deg: float
    pen: Pen = FULL
    layer: str = "drawing"

    def at(self, angle_deg: float) -> Point:
        """Return the point of the circle at an angle."""
        turn = math.radians(angle_deg)
        return (
            self.centre[0] + self.radius_mm * math.cos(turn),
            self.centre[1] + self.radius_mm * math.sin(turn),
        )


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle; no pen, no outline; no fill, see through."""

    centre: Point
    radius_mm: float
    pen: Pen | None = FULL
    fill: str = ""
    layer: str = "drawing"


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline without crossings; filled, hatched, both or neither."""

    points: tuple[Point, ...]
    pen: Pen | None = FULL
    fill: str = ""
    hatch: Hatch | None = None
    layer: str = "drawing"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text.

    Attributes:
        at: where the anchor sits
        text: one line; control characters print as a space
        height_mm: height of a capital letter, above 0 [mm]
        side: which side of the text sits at the anchor
        level: which height of the text sits at the anchor; top is the capital's top
        angle_deg: turned about the anchor, anticlockwise [°]
        bold: bold face
        ink: "#rrggbb"
        layer: layer name
    """

    at: Point
    text: str
    height_mm: float = 3.0
    side: Side = "left"
    level: Level = "base"
    angle_deg: float = 0.0
    bold: bool = False
    ink: str = BLACK
    layer: str = "text"

    @property
    def base(self) -> Point:
        """Where the base line starts at its left end, after the turn."""
        along = {"left": 0.0, "middle": -0.5, "right": -1.0}[self.side]
        up = {"base": 0.0, "middle": -0.5, "top": -1.0, "bottom": 0.3}[self.level]
        return self._turned(along * width_mm(self.text, self.height_mm, self.bold), up * self.height_mm)

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """The four corners of the text's own box, descenders included, after the turn."""
        wide = width_mm(self.text, self.height_mm, self.bold)
        left = {"left": 0.0, "middle": -0.5, "right": -1.0}[self.side] * wide
        base = {"base": 0.0, "middle": -0.5, "top": -1.0, "bottom": 0.3}[self.level] * self.height_mm
        low, high = base - 0.3 * self.height_mm, base + 1.1 * self.height_mm
        return (
            self._turned(left, low),
            self._turned(left + wide, low),
            self._turned(left + wide, high),
            self._turned(left, high),
        )

    def _turned(self, along: float, up: float) -> Point:
        turn = math.radians(self.angle_deg)
        cos, sin = math.cos(turn), math.sin(turn)
        return self.at[0] + along * cos - up * sin, self.at[1] + along * sin + up * cos


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that belong together under one name ("section:trunk"), optionally seen only through a window."""

    name: str
    marks: "tuple[Mark, ...]"
    window: Box | None = None


Stroke = Line | Polyline | Arc
Mark = Line | Polyline | Arc | Circle | Polygon | Text | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """A composed drawing.

    Attributes:
        title: what it shows
        width_mm: extent to the right of the origin, above 0 [mm]
        height_mm: extent above the origin, above 0 [mm]
        marks: marks in the order they are laid on top of each other
    """

    title: str
    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]

    @property
    def box(self) -> Box:
        """The drawing's own rectangle."""
        return Box(0.0, 0.0, self.width_mm, self.height_mm)


def flat(marks: Iterable[Mark]) -> Iterator[Line | Polyline | Arc | Circle | Polygon | Text]:
    """Yield every mark with the groups taken apart, in drawing order."""
    for mark in marks:
        if isinstance(mark, Group):
            yield from flat(mark.marks)
        else:
            yield mark


def _around(points: Iterable[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def _arc_box(arc: Arc) -> Box:
    end = arc.start_deg + arc.sweep_deg
    first = math.ceil(arc.start_deg / 90)
    quarters = [90.0 * turn for turn in range(first, math.floor(end / 90) + 1)]
    return _around(arc.at(angle) for angle in (arc.start_deg, end, *quarters))


def bounds(mark: Mark) -> Box:
    """Return the rectangle around a mark's geometry (line width not counted; text by its own box)."""
    match mark:
        case Line():
            return _around((mark.start, mark.end))
        case Polyline() | Polygon():
            return _around(mark.points)
        case Arc():
            return _arc_box(mark)
        case Circle():
            (x, y), r = mark.centre, mark.radius_mm
            return Box(x - r, y - r, x + r, y + r)
        case Text():
            return _around(mark.corners)
        case Group():
            return extent(mark.marks)


def extent(marks: Iterable[Mark]) -> Box:
    """Return the rectangle around all marks.

    Raises:
        ValueError: there is no mark.
    """
    boxes = [bounds(mark) for mark in flat(marks)]
    return Box(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )


def reach_mm(mark: Mark) -> float:
    """Return how far a mark's ink may reach past its geometry: half its widest line [mm]."""
    match mark:
        case Text():
            return 0.0
        case Group():
            return max((reach_mm(one) for one in mark.marks), default=0.0)
        case Polygon():
            hatch = mark.hatch.pen.width_mm if mark.hatch else 0.0
            return max(mark.pen.width_mm if mark.pen else 0.0, hatch) / 2
        case _:
            return mark.pen.width_mm / 2 if mark.pen else 0.0


def _pen_scaled(pen: Pen, factor: float) -> Pen:
    return Pen(
        pen.width_mm * factor, tuple(dash * factor for dash in pen.dash_mm), pen.start_mm * factor, pen.ink
    )


def placed(mark: Mark, dx_mm: float, dy_mm: float, factor: float = 1.0) -> Mark:
    """Return a mark scaled about the origin, then moved.

    Args:
        mark: any mark
        dx_mm: move to the right [mm]
        dy_mm: move up [mm]
        factor: scale of everything, line widths and text included; above 0
    """

    def at(point: Point) -> Point:
        return point[0] * factor + dx_mm, point[1] * factor + dy_mm

    def drawn(pen: Pen) -> Pen:
        return pen if factor == 1.0 else _pen_scaled(pen, factor)

    match mark:
        case Line():
            return replace(mark, start=at(mark.start), end=at(mark.end), pen=drawn(mark.pen))
        case Polyline():
            return replace(mark, points=tuple(map(at, mark.points)), pen=drawn(mark.pen))
        case Arc():
            return replace(
                mark, centre=at(mark.centre), radius_mm=mark.radius_mm * factor, pen=drawn(mark.pen)
            )
        case Circle():
            pen = drawn(mark.pen) if mark.pen else None
            return replace(mark, centre=at(mark.centre), radius_mm=mark.radius_mm * factor, pen=pen)
        case Polygon():
            return _polygon_placed(mark, dx_mm, dy_mm, factor)
        case Text():
            return replace(mark, at=at(mark.at), height_mm=mark.height_mm * factor)
        case Group():
            window = mark.window
            if window is not None:
                window = Box(*at((window.left, window.bottom)), *at((window.right, window.top)))
            inner = tuple(placed(one, dx_mm, dy_mm, factor) for one in mark.marks)
            return Group(mark.name, inner, window)


def _polygon_placed(mark: Polygon, dx_mm: float, dy_mm: float, factor: float) -> Polygon:
    hatch = mark.hatch
    if hatch is not None and factor != 1.0:
        hatch = Hatch(hatch.angle_deg, hatch.pitch_mm * factor, _pen_scaled(hatch.pen, factor))
    pen = _pen_scaled(mark.pen, factor) if mark.pen and factor != 1.0 else mark.pen
    points = tuple((x * factor + dx_mm, y * factor + dy_mm) for x, y in mark.points)
    return Polygon(points, pen, mark.fill, hatch, mark.layer)
