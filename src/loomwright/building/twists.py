"""Pairs and trios twisted from single wires: which wires, over which stretch, and where the twist ends."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from loomwright.model.circuit import Cable
from loomwright.model.job import Job
from loomwright.model.words import CableKind
from loomwright.routing.routed import EndKind, Routed, Step, Wire, WireEnd
from loomwright.sizing.sized import Sized

BEFORE_CONTACT_MM: Final = 30  # untwisted to the contacts, 25 to 40 mm usual, common practice
LEAST_TURNS: Final = 2  # a shorter stretch stays single; ours
PARKED: Final = 1.5  # of a cover's length: half over the splice, one whole beside it while it waits; ours


@dataclass(frozen=True, slots=True)
class Loose:
    """How far one wire runs single from where a twist ends to its own end [mm]."""

    wire: Wire
    end: WireEnd
    mm: float


@dataclass(frozen=True, slots=True)
class Twist:
    """Wires twisted together over one stretch.

    Attributes:
        wires: one a core, in core order; a wire alone stays single: beside it runs nothing, or too little
        starts, stops: the wires' ends where the stretch starts and stops, in the order of the wires
        mm: length of the twist along the loom, 0 = not twisted [mm]
        pitch_mm: length of one turn [mm]
        loose: wires that run single at an end
    """

    cable: str
    wires: tuple[Wire, ...]
    starts: tuple[WireEnd, ...]
    stops: tuple[WireEnd, ...]
    mm: float
    pitch_mm: float
    loose: tuple[Loose, ...]

    @property
    def turns(self) -> int:
        """Turns of the whole stretch."""
        return round(self.mm / self.pitch_mm)

    @property
    def names(self) -> str:
        """Its wires: "W192 with W201"."""
        return " with ".join(w.label for w in self.wires)

    @property
    def loose_words(self) -> str:
        """What runs single at its ends: "W192 150 mm to SP17, W201 45 mm to SP21"."""
        return ", ".join(f"{one.wire.label} {one.mm:.0f} mm to {one.end.name}" for one in self.loose)

    @property
    def words(self) -> str:
        """The stretch in one line."""
        told = f"{self.names} from {ends_words(self.starts)} to {ends_words(self.stops)}: "
        if not self.mm:
            return f"{told}stays single"
        loose = f"; single {self.loose_words}" if self.loose else ""
        return f"{told}twist {self.mm:.0f} mm, {self.turns} turns{loose}"


def ends_words(ends: Sequence[WireEnd]) -> str:
    """Return ends in a row, cavities of one plug behind one name: "ECU.A:19, 20", "SP17, SP21"."""
    names = [end.name for end in ends]
    plugs = {name.rpartition(":")[0] for name in names}
    if len(plugs) == 1 and "" not in plugs:
        return f"{plugs.pop()}:{', '.join(name.rpartition(':')[2] for name in names)}"
    return ", ".join(names)


def is_twisted(cable: Cable) -> bool:
    """Return whether a cable is made at the bench from single wires."""
    return not cable.stock and cable.kind is not CableKind.SCREENED


def twists(job: Job, routed: Routed, sized: Sized, cable: Cable, loom: str) -> tuple[Twist, ...]:
    """Return the stretches of a pair or trio in a loom: longest shared ways first, a wire in one at most.

    Wires of a tree share one stretch without a gap, if any. Where a splice takes one of them the twist ends:
    as far before it as the splice's cover needs, waiting wires with their cover's whole length more.

    Args:
        cable: one that `is_twisted`
        loom: loom to look in

    Returns:
        Stretches by the number of their first wire, then those that stay single.
    """
    pitch_mm = cable.pitch_mm or job.shop.pair_pitch_mm.value
    own = [w for w in routed.wires if w.loom == loom and w.cable == cable.name and not w.screen]
    cores = [[w for w in own if w.circuit == circuit] for circuit in cable.circuits]
    found: list[Twist] = []
    taken: set[str] = set()
    together = ((wires, _shared(wires)) for wires in product(*cores))
    for wires, way in sorted(together, key=lambda x: (-_mm(x[1]), [w.number for w in x[0]])):
        if way and taken.isdisjoint(w.identity for w in wires):
            one = _twist(sized, cable.name, wires, way, pitch_mm)
            if one.mm >= LEAST_TURNS * pitch_mm:
                found.append(one)
                taken.update(w.identity for w in wires)
    found.sort(key=lambda t: t.wires[0].number)
    alone = (w for w in sorted(own, key=lambda w: w.number) if w.identity not in taken)
    return (*found, *(Twist(cable.name, (w,), (w.a,), (w.b,), 0.0, pitch_mm, ()) for w in alone))


def _mm(way: Sequence[Step]) -> float:
    return sum(step.mm for step in way)


def _shared(wires: Sequence[Wire]) -> tuple[Step, ...]:
    """The way all wires have in common, walked as the first of them goes."""
    way = wires[0].way
    for other in wires[1:]:
        spans = {s.section: sorted((s.from_mm, s.to_mm)) for s in other.way}
        way = tuple(step for s in way if s.section in spans for step in _cut(s, *spans[s.section]))
    return way


def _cut(step: Step, low: float, high: float) -> Iterator[Step]:
    start, stop = (min(max(mm, low), high) for mm in (step.from_mm, step.to_mm))
    if start != stop and (stop > start) == (step.to_mm > step.from_mm):
        yield Step(step.section, start, stop)


def _twist(sized: Sized, cable: str, wires: tuple[Wire, ...], way: tuple[Step, ...], pitch: float) -> Twist:
    """The stretch on a shared way, less what splices at its two ends keep free."""
    sides = [_ends(wire, way) for wire in wires]
    starts = tuple(side[0] for side in sides)
    stops = tuple(side[1] for side in sides)
    mm, loose = _mm(way), []
    for ends in (starts, stops):
        free = max(_kept_free(sized, w, end) - single for w, (end, single) in zip(wires, ends, strict=True))
        free = max(0.0, free)
        mm -= free
        loose += [
            Loose(w, end, single + free)
            for w, (end, single) in zip(wires, ends, strict=True)
            if single + free > 0.5
        ]
    return Twist(
        cable,
        wires,
        tuple(end for end, _ in starts),
        tuple(end for end, _ in stops),
        max(0.0, mm),
        pitch,
        tuple(loose),
    )


def _ends(wire: Wire, way: tuple[Step, ...]) -> tuple[tuple[WireEnd, float], tuple[WireEnd, float]]:
    """A wire's ends where a shared way starts and stops, each with how far the wire runs beyond."""
    start = _from_a(wire, way[0].section, way[0].from_mm)
    stop = _from_a(wire, way[-1].section, way[-1].to_mm)
    if start < stop:
        return (wire.a, start), (wire.b, wire.path_mm - stop)
    return (wire.b, wire.path_mm - start), (wire.a, stop)


def _from_a(wire: Wire, section: str, at_mm: float) -> float:
    before = 0.0
    for step in wire.way:
        if step.section == section:
            return before + abs(at_mm - step.from_mm)
        before += step.mm
    return before


def _kept_free(sized: Sized, wire: Wire, end: WireEnd) -> float:
    """How much of a wire before a splice stays single for the splice's cover [mm]."""
    body = sized.splice.get(end.name) if end.kind is EndKind.SPLICE else None
    if body is None:
        return 0.0
    return body.cover_mm * (PARKED if wire.label in body.cover.waits_on else 0.5)
