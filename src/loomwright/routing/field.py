"""Which loom every pin lies in, and where circuits cross from loom to loom."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.findings import Finding
from loomwright.library.faces import face_named
from loomwright.model.circuit import Circuit
from loomwright.model.device import Connector, Device, Pin
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.model.words import CircuitKind, DeviceState, Supplied
from loomwright.routing import findings as say
from loomwright.routing.draft import Terminal
from loomwright.routing.naming import wire_identity
from loomwright.routing.routed import Crossing, EndKind
from loomwright.routing.ways import Ways

METAL: Final = ("ground", "stud")  # families whose studs sit on the engine or body
STUD_FAMILIES: Final = ("power", "switch")  # families whose heavy terminals are studs
RING: Final = "ring"  # how contacts and cavities for rings are called in the library
STUD_NAMES: Final = ("stud", "+", "-", "B+", "IN")
HEAVY_AMPS: Final = (
    20.0  # what goes to a stud and not into a contact on a battery, isolator or alternator [ours]
)


@dataclass(frozen=True, slots=True)
class Field:
    """The job laid beside its trees.

    Attributes:
        looms: names, in the order of the trees
        loom_of: loom of every point
        pins_of: pins of every circuit on devices that are wired, also those no rope leads to
        terminal: where the wire of a pin ends, for pins a rope leads to
        crossings: of every circuit
        known: identities of wires there were before
        wired: (number, both ends' keys) of the wires every circuit had before
    """

    job: Job
    looms: tuple[str, ...]
    ways: dict[str, Ways]
    loom_of: dict[str, str]
    pins_of: dict[str, tuple[Pin, ...]]
    terminal: dict[str, Terminal]
    crossings: dict[str, tuple[Crossing, ...]]
    known: frozenset[str]
    wired: dict[str, tuple[tuple[int, str, str], ...]]
    findings: tuple[Finding, ...]

    @property
    def most(self) -> int:
        """Wires one splice takes; below 3 nothing could be joined."""
        return max(3, int(self.job.shop.splice_max_wires.value))

    def circuit(self, name: str) -> Circuit:
        """Return a circuit by name; of one without a table its pins tell the kind, or the cable it drains."""
        given = self.job.circuit.get(name)
        if given is not None:
            return given
        pins = self.pins_of.get(name, ())
        return Circuit(name, pins[0].kind if pins else CircuitKind.DRAIN, pins[0].path if pins else ())

    def was(self, circuit: str) -> Callable[[Terminal, Terminal], bool]:
        """Return a test whether a wire between two terminals was there before."""
        return lambda a, b: wire_identity(circuit, a.key, b.key) in self.known

    def across(self, circuit: str, a: str, b: str) -> list[tuple[Terminal, Terminal]]:
        """Return the crossings of a circuit between two looms, as terminals in `a` and in `b`."""
        found = []
        for crossing in self.crossings.get(circuit, ()):
            for here, there in ((crossing.a, crossing.b), (crossing.b, crossing.a)):
                one, other = self.terminal.get(here), self.terminal.get(there)
                if one and other and (self.loom_of[one.point], self.loom_of[other.point]) == (a, b):
                    found.append((one, other))
        return found


def lay_out(job: Job, trees: Iterable[Tree]) -> Field:
    """Return the job laid beside its trees."""
    ways = {t.loom: Ways(t) for t in trees if t.sections}
    loom_of: dict[str, str] = {}
    for loom, way in ways.items():
        for point in way.order:
            loom_of.setdefault(point, loom)
    wired = [d for d in job.devices if d.state is not DeviceState.REMOVED]
    pins_of: dict[str, list[Pin]] = {}
    for pin in (p for d in wired for p in d.pins if p.circuit):
        pins_of.setdefault(pin.circuit, []).append(pin)
    crossings, faults = _crossings(wired)
    crossing_pins = {pin for c in crossings for pin in (c.a, c.b)}
    terminal = {
        pin.id: _terminal(job, device, connector, pin, turn, pin.id in crossing_pins)
        for turn, (device, connector, pin) in enumerate(_pins(wired))
        if connector.end in loom_of
    }
    by_circuit: dict[str, list[Crossing]] = {}
    for crossing in crossings:
        by_circuit.setdefault(crossing.circuit, []).append(crossing)
    return Field(
        job,
        tuple(ways),
        ways,
        loom_of,
        {name: tuple(pins) for name, pins in pins_of.items()},
        terminal,
        {name: tuple(items) for name, items in by_circuit.items()},
        frozenset(identity for identity, _ in job.kept.wire_numbers),
        _wired(job),
        (*faults, *_leads_not_told(wired, loom_of)),
    )


def _wired(job: Job) -> dict[str, tuple[tuple[int, str, str], ...]]:
    found: dict[str, list[tuple[int, str, str]]] = {}
    for identity, number in job.kept.wire_numbers:
        circuit, *ends = identity.rsplit(" | ", 2)
        if len(ends) == 2:
            found.setdefault(circuit, []).append((number, ends[0], ends[1]))
    return {circuit: tuple(rows) for circuit, rows in found.items()}


def _pins(devices: list[Device]) -> Iterator[tuple[Device, Connector, Pin]]:
    return ((d, c, p) for d in devices for c in d.connectors for p in c.pins if p.circuit)


def on_stud(job: Job, device: Device, connector: Connector, pin: Pin) -> bool:
    """Tell whether a pin is a stud that takes a ring.

    The contact told decides; else a stud on metal is one; else what the face shows in that cavity; where
    there is no face, the cavity's name and current on a device that has studs.
    """
    contact = pin.contact or connector.contact
    if contact:
        return contact.startswith(RING)
    if device.family in METAL:
        return True
    face = face_named(connector.face, job.faces)
    cavity = face.cavity(pin.cavity) if face is not None else None
    if cavity is not None:
        return cavity.size_class.startswith(RING)
    heavy = pin.amps is None or pin.amps >= HEAVY_AMPS
    named = pin.cavity in STUD_NAMES or (device.family in STUD_FAMILIES and heavy)
    return device.stud_rings > 0 and named


def _has_lead(device: Device, connector: Connector) -> bool:
    return connector.supplied is not Supplied.PLUG or device.tap is not None


def _terminal(job: Job, device: Device, connector: Connector, pin: Pin, turn: int, crosses: bool) -> Terminal:
    kind, lead_mm = EndKind.PIN, 0.0
    if on_stud(job, device, connector, pin):
        kind = EndKind.STUD
    elif _has_lead(device, connector):
        kind, lead_mm = EndKind.JOINT, max(0.0, connector.lead_mm or 0.0)
    end = connector.end
    rings = device.stud_rings if kind is EndKind.STUD else 0
    metal = kind is EndKind.STUD and device.family in METAL
    more = (lead_mm, turn, pin.side, pin.group, crosses, rings, metal)
    return Terminal(kind, pin.id, pin.id, end, end, device.name, *more)


def _leads_not_told(devices: list[Device], loom_of: dict[str, str]) -> Iterator[Finding]:
    for connector in (c for d in devices for c in d.connectors):
        if connector.supplied is not Supplied.PLUG and connector.lead_mm is None and connector.end in loom_of:
            yield say.lead_length_not_told(connector)


def _crossings(devices: list[Device]) -> tuple[list[Crossing], list[Finding]]:
    """Return where circuits cross mating pairs, and what is wrong there."""
    live = {c.end: c for d in devices for c in d.connectors}
    found: list[Crossing] = []
    faults: list[Finding] = []
    done: set[frozenset[str]] = set()
    for connector in live.values():
        mate = live.get(connector.mates)
        pair = frozenset((connector.end, connector.mates))
        if mate is None or mate is connector or pair in done:
            continue
        done.add(pair)
        opposite = {p.cavity: p for p in mate.pins if p.circuit}
        for pin in (p for p in connector.pins if p.circuit):
            other = opposite.pop(pin.cavity, None)
            if other is None:
                faults.append(say.nothing_opposite(pin, mate.end))
            elif other.circuit != pin.circuit:
                faults.append(say.mated_cavities_differ(pin, other))
            else:
                found.append(Crossing(pin.circuit, pin.id, other.id))
        faults.extend(say.nothing_opposite(pin, connector.end) for pin in opposite.values())
    return found, faults


def not_on_a_rope(field: Field, commoned: frozenset[str]) -> Iterator[Finding]:
    """Yield the ends that should be wired and that no rope leads to.

    Args:
        commoned: ids of pins that need no wire, being joined inside a box
    """
    pairs = [(x.a, x.b) for items in field.crossings.values() for x in items]
    reached = {a for a, b in (*pairs, *((b, a) for a, b in pairs)) if b in field.terminal}
    missing: dict[str, list[Pin]] = {}
    for pins in field.pins_of.values():
        for pin in pins:
            if pin.end not in field.loom_of and pin.id not in commoned and pin.id not in reached:
                missing.setdefault(pin.end, []).append(pin)
    for end, row in missing.items():
        yield say.end_in_no_tree(end, row, field.job.connector[end].path)
