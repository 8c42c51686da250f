"""The cut list as data, to compare two states of a job wire by wire."""

from collections.abc import Mapping
from dataclasses import dataclass

from loomwright.checks.worked import Worked
from loomwright.model.words import CableKind
from loomwright.routing.routed import EndKind, Wire, WireEnd, section_key

NEAR_MM = 0.01  # two places nearer than this are one; ours


@dataclass(frozen=True, slots=True)
class CutEnd:
    """What one end of a wire is cut for."""

    kind: EndKind
    name: str

    @property
    def plug(self) -> str:
        """The connector of a cavity: "ECU.A" of "ECU.A:14"."""
        return self.name.rpartition(":")[0] or self.name


@dataclass(frozen=True, slots=True)
class CutRow:
    """One wire as the cut list prints it.

    Attributes:
        identity: circuit and both ends
        cut_mm: cut length, trim in it [mm]
    """

    identity: str
    number: int
    loom: str
    circuit: str
    a: CutEnd
    b: CutEnd
    family: str
    size: str
    colour: str
    cable: str
    cut_mm: float
    trim_a_mm: float
    trim_b_mm: float

    @property
    def label(self) -> str:
        """The number as it stands on the wire."""
        return f"W{self.number}"

    @property
    def stuff(self) -> tuple[str, str, str, str]:
        """What it is cut from: family, size, colour, cable."""
        return self.family, self.size, self.colour, self.cable

    @property
    def ends(self) -> frozenset[CutEnd]:
        """Both ends, in no order."""
        return frozenset((self.a, self.b))


@dataclass(frozen=True, slots=True)
class Laid:
    """A wire's row and what stands behind it.

    Attributes:
        need_mm: exact length without any trim [mm]
        piece_mm: length of the piece it is cut from: its own, or that of the cable bought whole [mm]
        doubt_mm: give or take of its way [mm]
        sections: keys of the sections it runs through, from end a to end b
        points: keys loom/point of the points it runs through or ends at
    """

    row: CutRow
    need_mm: float
    piece_mm: float
    doubt_mm: float
    sections: tuple[str, ...]
    points: frozenset[str]


def cut_rows(worked: Worked) -> tuple[CutRow, ...]:
    """Return the rows of the cut list of all looms, by number."""
    return tuple(one.row for one in laid(worked).values())


def laid(worked: Worked) -> dict[str, Laid]:
    """Return every wire with its row, by identity, in the order of the numbers."""
    wires = sorted(worked.routed.wires, key=lambda w: (w.number, w.identity))
    whole = {c.name for c in worked.job.cables if c.stock or c.kind is CableKind.SCREENED}
    cables: dict[str, float] = {}
    for wire in wires:
        if wire.cable in whole:
            cut_mm = worked.sized.length[wire.identity].cut_mm
            cables[wire.cable] = max(cut_mm, cables.get(wire.cable, 0.0))
    return {wire.identity: _laid(worked, wire, cables) for wire in wires}


def _laid(worked: Worked, wire: Wire, cables: Mapping[str, float]) -> Laid:
    length = worked.sized.length[wire.identity]
    size = worked.sized.conductor[wire.identity].size
    row = CutRow(
        identity=wire.identity,
        number=wire.number,
        loom=wire.loom,
        circuit=wire.circuit,
        a=_end(wire.a),
        b=_end(wire.b),
        family=size.family,
        size=f"{size.label} {'AWG' if size.system == 'AWG' else 'mm²'}",
        colour=wire.colour,
        cable=wire.cable,
        cut_mm=length.cut_mm,
        trim_a_mm=length.trim_a_mm,
        trim_b_mm=length.trim_b_mm,
    )
    need_mm = length.exact_mm - length.trim_a_mm - length.trim_b_mm
    keys = tuple(section_key(wire.loom, step.section) for step in wire.way)
    piece_mm = cables.get(wire.cable, length.cut_mm)
    return Laid(row, need_mm, piece_mm, length.doubt_mm, keys, frozenset(_points(worked, wire)))


def _end(end: WireEnd) -> CutEnd:
    return CutEnd(end.kind, end.name)


def _points(worked: Worked, wire: Wire) -> list[str]:
    sections = worked.routed.tree[wire.loom].by_name
    found = []
    for step in wire.way:
        section = sections[step.section]
        if min(step.from_mm, step.to_mm) < NEAR_MM:
            found.append(section_key(wire.loom, section.inner))
        if max(step.from_mm, step.to_mm) > section.length_mm - NEAR_MM:
            found.append(section_key(wire.loom, section.outer))
    return found
