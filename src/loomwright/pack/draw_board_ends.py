"""What stands at the ends of a forming board: trim zone, line of the wire exit, housing and latch."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.building.ends import function_of
from loomwright.library.faces import Face
from loomwright.model.device import Connector, Device
from loomwright.model.job import Job
from loomwright.pack.draw_place import Corners, Words
from loomwright.pack.lettering import shortened
from loomwright.pack.marks import BOLD_PEN, FULL, WHITE, Circle, Hatch, Line, Mark, Pen, Point, Polygon
from loomwright.sizing.plugs import face_of

NAME_MM: Final = 6.0
WORDS_MM: Final = 3.5
LINE_MM: Final = 70.0  # longest line of words beside an end; ours
DEPTH_MM: Final = 26.0  # drawn length of a housing; ours
WIDEST_MM: Final = 78.0
USUAL_MM: Final = 20.0
LEAST_TRIM_MM: Final = 7.0  # drawn width of a trim zone at least; ours
OUTLINE: Final = Pen(width_mm=0.5)
DASHES: Final = Pen(width_mm=0.35, dash_mm=(3.0, 1.5))


@dataclass(frozen=True, slots=True)
class End:
    """One end on the board.

    Attributes:
        at: where the wire exit is [mm]
        ahead: direction in which the loom runs on, of length 1
        trim_mm: length of the trim zone [mm]; 0 = fixed end
        half_mm: half the drawn width of the section [mm]
    """

    name: str
    at: Point
    ahead: Point
    trim_mm: float
    half_mm: float
    connector: Connector | None
    device: Device | None
    face: Face | None

    def out(self, along_mm: float, left_mm: float = 0.0) -> Point:
        """Return a point so far beyond the wire exit and to the left of the direction of travel [mm]."""
        (x, y), (u, v) = self.at, self.ahead
        return x + along_mm * u - left_mm * v, y + along_mm * v + left_mm * u

    @property
    def ring(self) -> bool:
        """What sits there are rings for studs and no housing."""
        return self.face is not None and all(one.size_class.startswith("ring") for one in self.face.cavities)

    @property
    def width_mm(self) -> float:
        """Drawn width of the housing [mm]."""
        if self.connector and self.connector.width_mm:
            return min(WIDEST_MM, self.connector.width_mm)
        return min(WIDEST_MM, self.face.outline.width_mm) if self.face else USUAL_MM

    @property
    def housing(self) -> Corners:
        """Outline of the housing beyond the trim zone."""
        near, far, half = self.trim_mm, self.trim_mm + DEPTH_MM, self.width_mm / 2
        return self.out(near, -half), self.out(far, -half), self.out(far, half), self.out(near, half)

    @property
    def trim_zone(self) -> Corners:
        """Outline of the trim zone."""
        half = max(self.half_mm, LEAST_TRIM_MM / 2)
        return (
            self.out(0, -half),
            self.out(self.trim_mm, -half),
            self.out(self.trim_mm, half),
            self.out(0, half),
        )


def end_of(job: Job, name: str, line: tuple[Point, ...], half_mm: float, trim_mm: float) -> End:
    """Return an end of the board.

    Args:
        name: end name
        line: line of the section that leads to it
        half_mm: half the section's drawn width [mm]
        trim_mm: trim left there, 0 or more [mm]
    """
    (x1, y1), (x2, y2) = line[-2:]
    size = math.dist(line[-2], line[-1]) or 1.0
    connector = job.connector.get(name)
    device = job.device.get(connector.device) if connector else None
    face = face_of(job, connector) if connector else None
    ahead = ((x2 - x1) / size, (y2 - y1) / size)
    return End(name, line[-1], ahead, trim_mm, half_mm, connector, device, face)


def end_marks(end: End) -> Iterator[Mark]:
    """Yield trim zone, line of the wire exit and housing."""
    if end.trim_mm > 0:
        yield Polygon(end.trim_zone, DASHES, hatch=Hatch(45.0, 2.5), layer="trim")
    half = max(end.half_mm, LEAST_TRIM_MM / 2) + 3.0
    yield Line(end.out(0, -half), end.out(0, half), BOLD_PEN, layer="end")
    if end.ring:
        yield from _ring(end)
    elif end.connector:
        yield Polygon(end.housing, OUTLINE, WHITE, layer="end")
        yield from _latch(end)


def _ring(end: End) -> Iterator[Mark]:
    centre = end.out(end.trim_mm + DEPTH_MM / 2)
    yield Line(end.out(end.trim_mm), end.out(end.trim_mm + DEPTH_MM / 2 - 9.0), OUTLINE, layer="end")
    yield Circle(centre, 9.0, OUTLINE, WHITE, layer="end")
    yield Circle(centre, 4.0, OUTLINE, layer="end")


def _latch(end: End) -> Iterator[Mark]:
    """Yield the latch where it lies with the face's top up from the board: dashed where it is underneath."""
    side = end.face.latch if end.face else ""
    middle, half = end.trim_mm + DEPTH_MM / 2, end.width_mm / 2
    wide = min(6.0, half * 0.6)
    hand = {"left": half + 2.0, "right": -half - 2.0}.get(side, 0.0)
    if not side:
        return
    half_wide = 2.0 if hand else wide
    points = tuple(end.out(middle + a, hand + b * half_wide) for a, b in ((-7, -1), (7, -1), (7, 1), (-7, 1)))
    yield Polygon(points, DASHES if side == "bottom" else FULL, WHITE, layer="end")


def latch_words(face: Face | None) -> str:
    """Return where latch and key are, as seen from the wires; empty where the face has neither."""
    if face is None:
        return ""
    parts = [f"{what} {where}" for what, where in (("latch", face.latch), ("key", face.key)) if where]
    return f"{', '.join(parts)}, seen from the wires" if parts else ""


def end_words(end: End) -> tuple[Words, ...]:
    """Return the lines that stand at an end: its name, device, latch, trim."""
    words = function_of(end.device) if end.device else ""
    trim = (
        f"trim zone {end.trim_mm:.0f} mm"
        if end.trim_mm > 0
        else "fixed first, no trim"
        if end.connector
        else ""
    )
    latch = "" if end.ring else latch_words(end.face)
    lines = (shortened(line, LINE_MM, WORDS_MM) for line in (words, latch, trim) if line)
    return (Words(end.name, NAME_MM, True), *(Words(line, WORDS_MM) for line in lines))


def end_outlines(end: End) -> tuple[Corners, ...]:
    """Return what an end takes up on the board."""
    taken: tuple[Corners, ...] = (end.trim_zone,) if end.trim_mm > 0 else ()
    return (*taken, end.housing) if end.connector else taken
