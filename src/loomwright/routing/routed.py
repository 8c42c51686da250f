"""What routing gives: wires with their ways, splices, commons inside boxes."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from loomwright.findings import Finding
from loomwright.model.circuit import LoomPlace
from loomwright.model.tree import Tree
from loomwright.model.words import CircuitKind, Join


class EndKind(StrEnum):
    """What a wire ends in."""

    PIN = "pin"  # a contact in a cavity
    STUD = "stud"  # a ring on a stud
    SPLICE = "splice"
    JOINT = "joint"  # one-to-one joint with the wire of a pigtail or moulded lead
    SEALED = "sealed"  # a spare wire's sealed end
    DRAIN_CUT = "screen cut back"  # the undrained end of a screen


@dataclass(frozen=True, slots=True)
class WireEnd:
    """One end of a wire.

    Attributes:
        name: pin id ("INJ1:1"), splice name ("SP3") or point name for a sealed end or a cut screen
        point: point of the tree where this end leaves it; for a splice the outer point of its section
        place: spot on the loom for a splice or a lead's joint; None = at the point itself
    """

    kind: EndKind
    name: str
    point: str
    place: LoomPlace | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """Part of a wire's way: from one mm to another along a section (from the section's inner end)."""

    section: str
    from_mm: float
    to_mm: float

    @property
    def mm(self) -> float:
        """Length along the section [mm]."""
        return abs(self.to_mm - self.from_mm)


@dataclass(frozen=True, slots=True)
class Wire:
    """One cut piece between two terminations or splices.

    Attributes:
        identity: circuit and both ends, "inj 1 | ECU.A:14 | INJ1:2"; never changes. A splice stands in it as
            "splice", its loom and part, so that it doesn't hang on the splice's name
        circuit: name; of a spare wire the spare's name
        number: given once, kept, never used again
        colour: IEC 60757 letters, "" = bare, a screen
        cable: name of the cable it is a core of, "" = single
        way: steps from end a to end b
        screen: it is the screen of its cable, not a core
    """

    identity: str
    number: int
    circuit: str
    kind: CircuitKind
    loom: str
    a: WireEnd
    b: WireEnd
    colour: str
    way: tuple[Step, ...]
    cable: str = ""
    screen: bool = False
    spare: bool = False

    @property
    def label(self) -> str:
        """The number as it stands on the wire."""
        return f"W{self.number}"

    @property
    def path_mm(self) -> float:
        """Sum of the section lengths on its way [mm]."""
        return sum(step.mm for step in self.way)


@dataclass(frozen=True, slots=True)
class Splice:
    """Where two or more wires of a circuit are joined.

    Attributes:
        identity: circuit, loom and group; never changes
        name: "SP3"
        place: section and mm from its inner end
        wires: identities of its wires
        near: point it sits beside
        behind_plug: it sits behind a connector and not beside a branch point
        chosen: "computed", "kept" or "builder"
        better: place that would need less copper, where the kept one is not the best
    """

    identity: str
    name: str
    circuit: str
    loom: str
    place: LoomPlace
    wires: tuple[str, ...]
    near: str
    behind_plug: bool
    chosen: str
    better: LoomPlace | None = None


@dataclass(frozen=True, slots=True)
class Common:
    """Pins of one circuit joined inside a box or controller: no loom wire between them.

    Of a bus bar in a box one pin in each loom gets the wire; a controller's giver pins each serve a group.
    """

    circuit: str
    device: str
    pins: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Crossing:
    """Two cavities of one circuit that meet where a mating pair is plugged together (pin ids)."""

    circuit: str
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class CircuitJoin:
    """How a circuit is joined in one loom, and why."""

    circuit: str
    loom: str
    join: Join
    reason: str


@dataclass(frozen=True)
class Routed:
    """The electrical loom laid into its trees."""

    trees: tuple[Tree, ...]
    wires: tuple[Wire, ...]
    splices: tuple[Splice, ...]
    commons: tuple[Common, ...]
    joins: tuple[CircuitJoin, ...]
    findings: tuple[Finding, ...]
    crossings: tuple[Crossing, ...] = ()

    @cached_property
    def tree(self) -> dict[str, Tree]:
        """Trees by loom name."""
        return {t.loom: t for t in self.trees}

    @cached_property
    def wire(self) -> dict[str, Wire]:
        """Wires by identity."""
        return {w.identity: w for w in self.wires}

    @cached_property
    def wires_of(self) -> dict[str, tuple[Wire, ...]]:
        """Wires of every circuit."""
        found: dict[str, list[Wire]] = {}
        for w in self.wires:
            found.setdefault(w.circuit, []).append(w)
        return {name: tuple(items) for name, items in found.items()}

    @cached_property
    def in_section(self) -> dict[str, tuple[Wire, ...]]:
        """Wires in every section, by the key `section_key(loom, section)`."""
        found: dict[str, list[Wire]] = {}
        for w in self.wires:
            for step in w.way:
                found.setdefault(section_key(w.loom, step.section), []).append(w)
        return {name: tuple(items) for name, items in found.items()}

    @cached_property
    def at_pin(self) -> dict[str, tuple[Wire, ...]]:
        """Wires that end at a pin (also through a joint), by pin id."""
        found: dict[str, list[Wire]] = {}
        for w in self.wires:
            for end in (w.a, w.b):
                if end.kind in (EndKind.PIN, EndKind.STUD, EndKind.JOINT):
                    found.setdefault(end.name, []).append(w)
        return {name: tuple(items) for name, items in found.items()}


def section_key(loom: str, section: str) -> str:
    """Return the key of a section over all looms."""
    return f"{loom}/{section}"
