"""Circuits: a way home for every device, one giver, kinds that belong together, known currents."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from loomwright.checks.entry import CAUTION, FAULT, Entry
from loomwright.checks.looking import POWER_RETURNS, RETURNS, live, live_pins, named
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.jobfile.toml_write import path_words
from loomwright.library.kinds import Kind, KindCavity, kinds
from loomwright.model.circuit import Circuit
from loomwright.model.device import Device, Pin
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, DeviceState, Side
from loomwright.sources import PRACTICE, Mark, Source

_NOTES: Final = Source(Mark.PRACTICE, "open controllers' wiring notes say the same")
CIRC_01: Final = Entry(
    "CIRC-01",
    "Missing return",
    FAULT,
    "Current needs a way home; a device with a feed or a signal and no return does nothing.",
    PRACTICE,
    ("circuits", "pinouts", "cut list"),
    accept=False,
)
CIRC_02: Final = Entry(
    "CIRC-02",
    "Return not in this loom",
    CAUTION,
    "The device has a feed and no return here; it has to come home through its case or the car's own wires.",
    PRACTICE,
    ("circuits",),
)
CIRC_03: Final = Entry(
    "CIRC-03",
    "Circuit that nothing gives",
    FAULT,
    "A feed without source, a ground without home or a drive without driver leaves all its devices dead.",
    PRACTICE,
    ("circuits",),
    also=(CAUTION,),
)
CIRC_04: Final = Entry(
    "CIRC-04",
    "Two sources on one circuit",
    CAUTION,
    "Two outputs on one wire fight each other; two sources feed back into what should be off.",
    PRACTICE,
    ("circuits",),
    also=(FAULT,),
)
CIRC_05: Final = Entry(
    "CIRC-05",
    "Sensor 0 V mixed with another ground",
    FAULT,
    "Load current lifts the ground that sensors are read against: readings wander and triggers get lost.",
    _NOTES,
    ("circuits", "pinouts"),
)
CIRC_06: Final = Entry(
    "CIRC-06",
    "Feed and ground on one circuit",
    FAULT,
    "Plugged in, this circuit is a dead short.",
    PRACTICE,
    ("circuits", "pinouts", "cut list"),
)
CIRC_07: Final = Entry(
    "CIRC-07",
    "Sensor supply joined to a feed",
    FAULT,
    "A sensor made for the controller's 5 V doesn't live through the car's 12 V.",
    PRACTICE,
    ("circuits", "pinouts"),
)
CIRC_08: Final = Entry(
    "CIRC-08",
    "Screen drain mixed with a power ground or a feed",
    CAUTION,
    "A screen that carries current is an aerial inside the cable.",
    _NOTES,
    ("circuits",),
)
CIRC_09: Final = Entry(
    "CIRC-09",
    "Current not known",
    CAUTION,
    "Wire, fuse and drop of this load can't be worked out; its wire only gets the mechanical minimum.",
    PRACTICE,
    ("conductors",),
)
ENTRIES: Final = (CIRC_01, CIRC_02, CIRC_03, CIRC_04, CIRC_05, CIRC_06, CIRC_07, CIRC_08, CIRC_09)
GIVEN: Final = (
    CircuitKind.FEED,
    CircuitKind.SENSOR_SUPPLY,
    CircuitKind.SENSOR_GROUND,
    CircuitKind.POWER_GROUND,
    CircuitKind.CHASSIS,
    CircuitKind.DRIVE,
)
FEED_BOTH: Final = ("battery", "alternator stud", "starter motor stud", "power stud")
NO_RETURN_ASKED: Final = ("port", "mating half", "power", "ground", "stud", "switch", "")


def missing_return(worked: Worked) -> Iterator[Finding]:
    """CIRC-01, CIRC-02: a device that needs a way home and has none."""
    for device in live(worked.job):
        if device.state is DeviceState.PROVISION or device.tap is not None:
            continue
        lacking = _lacking(device)
        if not lacking:
            continue
        own = device.kind in kinds() or device.family == "controller"
        entry = CIRC_01 if own and device.state is DeviceState.NEW else CIRC_02
        yield entry.at(
            device.name,
            device.path,
            f"{device.name} ({device.words or device.kind or device.family}) has no circuit for {lacking}.",
            "What is fed or read has a way home to its driver, to sensor 0 V or to a ground.",
            f"Enter the circuit in that cavity of {device.name}."
            if own
            else "Enter its ground, or check that its case really is its return and say so in an accept.",
            subject=device.name,
            misses=(f"a cavity of {device.name}",),
        )


def _lacking(device: Device) -> str:
    """What is missing for a way home, in words; "" = nothing."""
    pins = list(device.pins)
    kind = kinds().get(device.kind)
    if not pins:
        return ""
    if kind is not None and not kind.roles_from_job:
        gone = () if device.family == "port" else _returns_gone(kind, {p.cavity: p.kind for p in pins})
        return named(f'cavity "{c.cavity}" ({c.words})' for c in gone)
    if device.family in NO_RETURN_ASKED or device.through:
        return ""
    home = [
        p for p in pins if p.kind in RETURNS or (p.kind is CircuitKind.DRIVE and p.side is not Side.GIVES)
    ]
    fed = [p for p in pins if p.kind is CircuitKind.FEED and p.side is not Side.GIVES]
    supplied = [p for p in pins if p.kind is CircuitKind.SENSOR_SUPPLY and p.side is not Side.GIVES]
    if device.family == "controller":
        grounded = any(p.kind in POWER_RETURNS for p in pins)
        return "a power ground" if fed and not grounded else ""
    return "its return" if (fed or supplied) and not home else ""


def _returns_gone(kind: Kind, used: Mapping[str, CircuitKind]) -> tuple[KindCavity, ...]:
    """The ways home that used cavities of a device need and that have no circuit.

    Grounds are asked for by what goes home through them. Where a device has no ground its drives are its way
    home, each of them; where it has one they are inputs, and one of them is enough.
    """
    grounds = [c for c in kind.cavities if c.kind in RETURNS and c.side is Side.TAKES]
    drives = [c for c in kind.cavities if c.kind is CircuitKind.DRIVE and c.side is Side.TAKES]
    working = [
        c
        for c in kind.cavities
        if used.get(c.cavity) not in (None, CircuitKind.BUS, *RETURNS) and c not in grounds
    ]
    if not working:
        return ()
    needed = [g for g in grounds if any(g in _homes(c, grounds) for c in working)]
    pairs = {c.pair for c in kind.cavities if c.cavity in used}
    inputs = [d for d in drives if not d.pair or d.pair in pairs]
    if grounds and any(d.cavity in used for d in inputs):
        inputs = []
    asked = (*needed, *inputs)
    return tuple(c for c in kind.cavities if c in asked and c.cavity not in used)


def _homes(cavity: KindCavity, grounds: Sequence[KindCavity]) -> list[KindCavity]:
    """The grounds through which a cavity's current goes home: its pair's own, else those of its sort."""
    own = [g for g in grounds if g.pair and g.pair == cavity.pair]
    if own:
        return own
    logic = cavity.kind is CircuitKind.DRIVE and cavity.side is Side.TAKES
    weak = logic or cavity.kind in (CircuitKind.SIGNAL, CircuitKind.SENSOR_SUPPLY)
    of_sort = [g for g in grounds if (g.kind is CircuitKind.SENSOR_GROUND) is weak]
    loose = [g for g in of_sort if not g.pair]
    return loose or of_sort or [g for g in grounds if not g.pair] or list(grounds)


def no_giver(worked: Worked) -> Iterator[Finding]:
    """CIRC-03: a circuit of two and more pins without source, home or driver."""
    job = worked.job
    fused = {one.load for one in job.protections}
    for circuit in job.circuits:
        pins = live_pins(job, circuit.name)
        if circuit.kind not in GIVEN or len(pins) < 2 or circuit.name in fused:
            continue
        if any(p.side is Side.GIVES for p in pins):
            continue
        may = [p for p in pins if p.side is Side.EITHER and not job.connector[p.end].mates]
        what = {"feed": "source", "sensor supply": "source", "drive": "driver"}.get(circuit.kind, "home")
        yield CIRC_03.at(
            f"circuit {circuit.name}",
            circuit.path,
            f"{circuit.name} is a {circuit.kind} with {len(pins)} cavities ({named(p.id for p in pins)}) "
            f"and no {what}" + (f", unless it is {may[0].id}." if may else "."),
            f"One cavity of a {circuit.kind} is its {what}.",
            f'Write side = "gives" at {may[0].id}.'
            if may
            else f"Put {circuit.name} on the cavity that is its {what}, at the controller as a rule.",
            subject=circuit.name,
            severity=CAUTION if may else FAULT,
            misses=tuple(path_words(("device", p.device, "is")) for p in pins),
        )


def two_givers(worked: Worked) -> Iterator[Finding]:
    """CIRC-04: two devices give one feed, drive or signal."""
    job = worked.job
    for circuit in job.circuits:
        if circuit.kind not in (CircuitKind.FEED, CircuitKind.DRIVE, CircuitKind.SIGNAL):
            continue
        pins = [p for p in live_pins(job, circuit.name) if p.side is Side.GIVES]
        givers = list(dict.fromkeys(p.device for p in pins if not _may_share(job.device[p.device])))
        if len(givers) < 2:
            continue
        drives = circuit.kind is CircuitKind.DRIVE
        yield CIRC_04.at(
            f"circuit {circuit.name}",
            circuit.path,
            f"{circuit.name} is given by {named(givers)} at once.",
            "A circuit has one source.",
            'Split it in two circuits, or write side = "takes" at the cavity that only takes it.',
            subject=circuit.name,
            severity=FAULT if drives else CAUTION,
        )


def _may_share(device: Device) -> bool:
    """Battery and alternator feed one wire by design; switches to ground are put side by side."""
    return device.kind in FEED_BOTH or device.family in ("switch", "mating half") or device.tap is not None


def kinds_mixed(worked: Worked) -> Iterator[Finding]:
    """CIRC-05 to CIRC-08: pins on one circuit that must not meet."""
    job = worked.job
    for circuit in job.circuits:
        pins = live_pins(job, circuit.name)
        by_kind: dict[CircuitKind, Pin] = {}
        for pin in pins:
            by_kind.setdefault(pin.kind, pin)
        yield from _mixed(circuit, by_kind)


def _mixed(circuit: Circuit, by_kind: dict[CircuitKind, Pin]) -> Iterator[Finding]:
    power = next((by_kind[k] for k in POWER_RETURNS if k in by_kind), None)
    zero, drain = by_kind.get(CircuitKind.SENSOR_GROUND), by_kind.get(CircuitKind.DRAIN)
    feed, supply = by_kind.get(CircuitKind.FEED), by_kind.get(CircuitKind.SENSOR_SUPPLY)
    ground = power or zero
    if zero and power:
        should = "Sensor 0 V goes back to the controller alone; power ground and chassis go to a stud."
        yield _two(
            CIRC_05, circuit, zero, power, should, "Split it: one circuit to the controller, one to the stud."
        )
    if feed and ground:
        yield _two(
            CIRC_06,
            circuit,
            feed,
            ground,
            "A feed and a ground never meet.",
            "Correct the one that is wrong.",
        )
    if feed and supply:
        should = "A sensor supply comes from the controller's own supply cavity."
        yield _two(
            CIRC_07, circuit, supply, feed, should, f"Take {supply.id} to the controller's sensor supply."
        )
    if drain and (power or feed):
        should = "A drain goes to the controller's screen cavity or its sensor 0 V, and carries nothing."
        other = power or feed
        if other is not None:
            yield _two(CIRC_08, circuit, drain, other, should, f"Give {drain.id} a drain circuit of its own.")


def _two(entry: Entry, circuit: Circuit, a: Pin, b: Pin, should: str, remedy: str) -> Finding:
    return entry.at(
        f"circuit {circuit.name}",
        circuit.path,
        f"{circuit.name} joins {a.id}, a {a.kind}, with {b.id}, a {b.kind}.",
        should,
        remedy,
        subject=circuit.name,
    )


def current_not_known(worked: Worked) -> Iterator[Finding]:
    """CIRC-09: a load without amperes."""
    job = worked.job
    for device in live(job):
        if device.state is DeviceState.PROVISION:
            continue
        for pin in device.pins:
            if _asks_amps(job, device, pin):
                yield CIRC_09.at(
                    pin.id,
                    pin.path,
                    f"Nobody says what {pin.id} ({pin.words or pin.kind} on {pin.circuit}) draws.",
                    "Every load has a current, from its sheet or by ohms and volts.",
                    f"Write amps at the cavity, or for the whole circuit {pin.circuit}.",
                    subject=pin.id,
                )


def _asks_amps(job: Job, device: Device, pin: Pin) -> bool:
    if pin.kind not in (CircuitKind.FEED, CircuitKind.DRIVE) or pin.side is not Side.TAKES:
        return False
    if pin.amps is not None or job.circuit[pin.circuit].amps is not None:
        return False
    if any(a == pin.id for a, _ in device.through):
        return False
    return not any(p.line == pin.circuit and p.device == device.name for p in job.protections)
