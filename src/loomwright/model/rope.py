"""What was measured on the rope, and what a section passes by tape and eye."""

from dataclasses import dataclass

from loomwright.edits import Path
from loomwright.model.words import HazardKind


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading on a tape: the running distance from the run's start to a point or end.

    Attributes:
        measured_to: "centre" (branch point), "wire exit", "mating face" or "device"
        give_mm: give or take of this reading [mm], None = the run's
    """

    point: str
    mm: float
    measured_to: str
    give_mm: float | None
    path: Path


@dataclass(frozen=True, slots=True)
class Parting:
    """A co-run: the end leaves the others at `at_mm` and goes on `more_mm` by itself.

    Attributes:
        start: branch point where its own sheath begins, "" = the last one before `at_mm`
    """

    end: str
    at_mm: float
    more_mm: float
    measured_to: str
    give_mm: float | None
    start: str
    path: Path


@dataclass(frozen=True, slots=True)
class RopeRun:
    """One tape along the rope, or one section measured by itself (a run with one reading).

    Attributes:
        start: point where the tape's zero lies; the start of the first run of a loom is its datum
        give_mm: give or take of a reading [mm], None = shop default
        common_mm: doubt common to all readings of the tape (stretch, zero) [mm]
        method: "hand", "tape", "photo", "form", "drawing"
    """

    name: str
    loom: str
    start: str
    readings: tuple[Reading, ...]
    partings: tuple[Parting, ...]
    give_mm: float | None
    common_mm: float | None
    method: str
    path: Path


@dataclass(frozen=True, slots=True)
class Near:
    """A hazard beside a section.

    Attributes:
        mm: least clear distance [mm]
        at_mm: where along the section, None = all of it
        over_mm: over which length [mm], None = not told
        shielded_by: what stands between, "" = nothing
        crosses: the section crosses it and does not run along it
        below: the section runs below it (for fluid lines) or directly above it is False
        temperature_c: surface temperature of a hot part [degrees C]
    """

    kind: HazardKind
    mm: float
    path: Path
    at_mm: float | None = None
    over_mm: float | None = None
    shielded_by: str = ""
    crosses: bool = False
    above: bool = False
    temperature_c: float | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Bend:
    """A bend of a section: where, how tight (centre line), how far to the nearest support."""

    at_mm: float
    radius_mm: float
    angle_deg: float
    support_mm: float | None
    path: Path


@dataclass(frozen=True, slots=True)
class Tie:
    """A tie, clip or clamp at a place, and what it is fixed to."""

    at_mm: float
    to: str
    path: Path
    what: str = "tie"


@dataclass(frozen=True, slots=True)
class Passes:
    """What a section passes, by tape and eye, and the builder's choices for it.

    Attributes:
        area: area the section lies in, "" = by its device or loom
        air_c: air temperature [degrees C], None = the area's
        via: the way it takes, in words
        ties_noted: ties were entered at all (only then spacing is checked)
        covering: covering chosen by the builder, "" = shop default
        lay: "straight", "concentric", "" = shop default
        measured_od_mm: bundle measured with calipers [mm]; replaces the computed one
        loop: True = it crosses to a moving area and has a free loop
        twist_deg: how far the rope's witness line turns from the inner to the outer end, clockwise looking
            outward [degrees]
    """

    section: str
    path: Path
    near: tuple[Near, ...] = ()
    bends: tuple[Bend, ...] = ()
    ties: tuple[Tie, ...] = ()
    ties_noted: bool = False
    via: str = ""
    area: str = ""
    air_c: float | None = None
    covering: str = ""
    sleeve: str = ""
    lay: str = ""
    measured_od_mm: float | None = None
    loop_mm: float | None = None
    photo: str = ""
    twist_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Exit:
    """How a section leaves a point.

    Attributes:
        point: branch point or datum
        to: the next point or end along the section
        axes: car axes it points to, one or two of up, down, left, right, front, back
        lean: "outward", "square" or "back"
    """

    point: str
    to: str
    axes: tuple[str, ...]
    lean: str
    path: Path


@dataclass(frozen=True, slots=True)
class BuiltSection:
    """A section of the tree as it will be built where that differs from the rope.

    Attributes:
        inner, outer: its points
        mm: length to build [mm]
        reason: where the length comes from
        beside: (section, mm) it runs beside, and how long from that one's inner point: one from the same
            inner point, and on, where that one ends, one from there; None = as on the rope
    """

    loom: str
    inner: str
    outer: str
    mm: float
    give_mm: float | None
    reason: str
    path: Path
    beside: tuple[tuple[str, float], ...] | None = None


@dataclass(frozen=True, slots=True)
class BoardAngle:
    """The direction a section is drawn in on the forming board, fixed by the builder.

    Attributes:
        section: its name in the tree, "B1-B2"
        angle_deg: direction of its last piece, 0 = right, anticlockwise, 0 to 360 [degrees]
        reason: why
    """

    loom: str
    section: str
    angle_deg: float
    reason: str
    path: Path
