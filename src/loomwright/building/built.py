"""What the bench needs: board, build order, slide-on order, labels."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from loomwright.building.exit_paths import LoomExits
from loomwright.building.exits import Leaving
from loomwright.findings import Finding


@dataclass(frozen=True, slots=True)
class BoardPoint:
    """A point on the forming board, from the lower left corner [mm]."""

    name: str
    x_mm: float
    y_mm: float
    kind: str  # "datum", "branch point", "end"


@dataclass(frozen=True, slots=True)
class BoardSection:
    """A section on the board: a polyline of true length from inner to outer point."""

    section: str  # key loom/section
    line: tuple[tuple[float, float], ...]
    length_mm: float
    finished_mm: float
    wires: int
    trim_mm: float


@dataclass(frozen=True, slots=True)
class BoardMark:
    """Something marked on the board at a place: splice, sleeve end, tie, label, exit words."""

    kind: str  # "splice", "sleeve end", "cover end", "tie", "label", "exit", "co-run parts", "mount"
    words: str
    section: str
    mm: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class MarkingOutRow:
    """One peg: running distance from the datum, from the last point, and x, y from the corner [mm]."""

    point: str
    after: str
    running_mm: float
    step_mm: float
    x_mm: float
    y_mm: float
    words: str


@dataclass(frozen=True)
class Board:
    """One loom's forming board, seen from above, at 1:1.

    Attributes:
        width_mm, height_mm: size, the corner is the origin
        angles: (key loom/section, direction in degrees, 0 = right, counter-clockwise), kept between runs; as
            found, before what the builder fixed
        crossings: number of crossings that could not be avoided (0 = none)
        against_hand: names of sections fixed on the other hand than they leave on the car
    """

    loom: str
    width_mm: float
    height_mm: float
    points: tuple[BoardPoint, ...]
    sections: tuple[BoardSection, ...]
    marks: tuple[BoardMark, ...]
    marking_out: tuple[MarkingOutRow, ...]
    angles: tuple[tuple[str, float], ...]
    crossings: int
    against_hand: tuple[str, ...] = ()

    @cached_property
    def point(self) -> dict[str, BoardPoint]:
        """Points by name."""
        return {p.name: p for p in self.points}


@dataclass(frozen=True, slots=True)
class SlideOn:
    """One thing to slide on at an end or section, in order from the body outward.

    Attributes:
        end: rope end, section name, splice name or branch point
        order: 1 goes on first
        cut_mm: length to cut [mm], 0 = it isn't cut
        before: what must not be done before it is on
        rule: rule it rests on, "R9 cannot"
    """

    loom: str
    end: str
    order: int
    what: str
    size: str
    cut_mm: float
    before: str
    rule: str = ""


@dataclass(frozen=True, slots=True)
class BuildStep:
    """One step of the build order.

    Attributes:
        phase: "cut", "prepare", "lay up", "bare fit", "sheath", "ends", "bench test", "close", "install",
            "power up"
        rules: ordering rules it rests on, "R6 cannot", "R11 should"
        cautions: keys of cautions to print at this step
        name: what it does in short, the same for every step of a kind: "slide B1-B2", "crimp INJ1"
    """

    number: int
    loom: str
    phase: str
    words: str
    items: tuple[str, ...]
    rules: tuple[str, ...]
    cautions: tuple[str, ...]
    irreversible: bool
    name: str = ""


@dataclass(frozen=True, slots=True)
class Label:
    """A label: text, where it goes, its size.

    Attributes:
        from_end_mm: how far from the end of the wire as cut, beyond all that trimming takes off [mm]; 0 = it
            isn't on a wire
    """

    kind: str  # "wire", "splice", "branch point", "plug", "loom"
    text: str
    place: str
    width_mm: float
    of: str
    from_end_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Later:
    """A wire that begins in an exit only beyond the branch point: its label, and what it begins at."""

    wire: str
    at: str


@dataclass(frozen=True, slots=True)
class ExitGroup:
    """The wires that leave a branch point by one exit.

    Attributes:
        section: key loom/section
        order: 1 is gathered first
        layer: "outside", or "core" for the exit that goes on furthest
        clock: hour as seen looking outward, None = straight on or not noted
        wires: labels of those that are in it at the branch point, those that run furthest first
        later: those that begin in it further on
    """

    loom: str
    point: str
    section: str
    order: int
    layer: str
    clock: int | None
    words: str
    wires: tuple[str, ...]
    later: tuple[Later, ...] = ()


@dataclass(frozen=True, slots=True)
class GroupLie:
    """Where the wires of one exit lie inside a sheath before it.

    Attributes:
        section: key loom/section of the exit; of the core the last section it goes on to
        point: branch point at which it leaves; of the core where that last section begins
        clock: hour from the witness line, looking outward; None = in the middle, or wherever there is room
        core: it goes on in the middle
        wires: labels
    """

    section: str
    point: str
    clock: int | None
    core: bool
    wires: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SectionLies:
    """How the groups lie inside one section's sheath.

    Attributes:
        section: key loom/section
        groups: from the inside out, which is the order in which they are laid on
    """

    loom: str
    section: str
    groups: tuple[GroupLie, ...]


@dataclass(frozen=True)
class Built:
    """Everything the bench needs besides sizes."""

    exits: tuple[LoomExits, ...]
    boards: tuple[Board, ...]
    slide_on: tuple[SlideOn, ...]
    steps: tuple[BuildStep, ...]
    labels: tuple[Label, ...]
    exit_groups: tuple[ExitGroup, ...]
    findings: tuple[Finding, ...]
    lies: tuple[SectionLies, ...] = ()

    @cached_property
    def leaving(self) -> dict[str, Mapping[str, Leaving]]:
        """How sections leave their inner points: by loom, by section."""
        return {one.loom: one.leaving for one in self.exits}

    @cached_property
    def board(self) -> dict[str, Board]:
        """Boards by loom."""
        return {b.loom: b for b in self.boards}
