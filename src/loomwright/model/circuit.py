"""Circuits, what protects them, what is kept together, and spares."""

from dataclasses import dataclass

from loomwright.edits import Path
from loomwright.model.words import CableKind, CircuitKind, Join


@dataclass(frozen=True, slots=True)
class LoomPlace:
    """A spot on a loom: section and mm from its inner end."""

    section: str
    mm: float


@dataclass(frozen=True, slots=True)
class Circuit:
    """Everything joined at one potential.

    Attributes:
        kind: given, or told from its pins
        join: the builder's own choice, None = by kind
        join_at: device a bus bar or stud join goes to, "" = found
        amps: the builder's own figure for the whole circuit [A], None = summed from pins
        duty: None = from the pins
        size, family, colour: fixed by the builder, "" = computed
        splice_at: where the builder wants the splice, None = computed
        order: for a bus, the order of the nodes (end names) in line; () = computed
        intermittent: the 14 V intermittent limit (1.0 V) holds instead of the continuous one
        reason: why anything was fixed
        declared: it has a table of its own in the job
    """

    name: str
    kind: CircuitKind
    path: Path
    join: Join | None = None
    join_at: str = ""
    amps: float | None = None
    duty: float | None = None
    size: str = ""
    family: str = ""
    colour: str = ""
    splice_at: LoomPlace | None = None
    order: tuple[str, ...] = ()
    intermittent: bool = False
    critical: bool = False
    reason: str = ""
    declared: bool = False


@dataclass(frozen=True, slots=True)
class Protection:
    """A fuse, link, breaker or a controller's output with trip, between two circuits.

    Attributes:
        kind: "blade fuse", "mini fuse", "maxi fuse", "link", "breaker" or "trip"
        amps: rating or trip current [A]
        line, load: circuit before it and behind it
        device: box or controller it sits in, "" = none given
        from_source_mm: how far it sits from the source [mm], None = not told
    """

    name: str
    kind: str
    amps: float
    line: str
    load: str
    path: Path
    device: str = ""
    from_source_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Cable:
    """Circuits whose wires stay together over their whole way: pair, trio or screened cable.

    Attributes:
        circuits: names, in core order
        stock: name of the cable in the library, "" = twisted from single wires
        screen: name of the drain circuit of a screened cable; its pins are where the screen is drained
        pitch_mm: twist pitch [mm], None = shop default
    """

    name: str
    kind: CableKind
    circuits: tuple[str, ...]
    path: Path
    stock: str = ""
    screen: str = ""
    pitch_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Spare:
    """A spare wire, sealed and labelled at both ends.

    Attributes:
        a, b: rope ends or branch points it runs between
    """

    name: str
    a: str
    b: str
    path: Path
    size: str = ""
