"""Feeds: protected at their source, switched where they must be."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.fuses import boat_rule_distance_mm
from loomwright.checks.entry import CAUTION, FAULT, NOTE, Entry
from loomwright.checks.looking import cited, labels, live, named
from loomwright.checks.upstream import Upstream
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.circuit import Circuit, Protection
from loomwright.model.device import Device
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, DeviceState, Level, Side
from loomwright.sources import PRACTICE, Figure, Mark, Source

FAR_MM: Final = Figure(200.0, PRACTICE)
"""How far from its source a fuse may sit [mm]."""
_BOATS: Final = Source(
    Mark.STANDARD, "33 CFR 183.455: 178 mm, sheathed all the way 1016 mm; 200 mm is the trade's"
)
FEED_01: Final = Entry(
    "FEED-01",
    "Feed without a fuse",
    FAULT,
    "A chafed wire without a fuse burns until the battery is empty.",
    PRACTICE,
    ("circuits", "conductors"),
    also=(CAUTION,),
)
FEED_02: Final = Entry(
    "FEED-02",
    "Main lead without a fuse at the source",
    CAUTION,
    "Between battery and first fuse nothing stops a short.",
    _BOATS,
    ("circuits", "conductors"),
)
FEED_03: Final = Entry(
    "FEED-03",
    "Fuse far from its source",
    CAUTION,
    "The wire in front of a fuse is not protected; it has to be short.",
    _BOATS,
    ("circuits",),
)
FEED_04: Final = Entry(
    "FEED-04",
    "Fuel pump on a permanent feed",
    FAULT,
    "After a crash or a stall the pump goes on filling whatever leaks.",
    Source(Mark.PRACTICE, "the pump stops without engine speed, and on isolator or impact"),
    ("circuits",),
)
FEED_05: Final = Entry(
    "FEED-05",
    "Isolator that leaves the alternator feeding",
    CAUTION,
    "With the battery off, the alternator keeps the engine running.",
    Source(
        Mark.PRACTICE, "competition schedules ask that the isolator stops the engine; read your series' own"
    ),
    ("circuits",),
)
FEED_06: Final = Entry(
    "FEED-06",
    "No isolator",
    NOTE,
    "A competition car is switched off from outside.",
    Source(Mark.PRACTICE, "competition schedules; read your series' own"),
    ("circuits",),
    levels=(Level.MOTORSPORT,),
)
ENTRIES: Final = (FEED_01, FEED_02, FEED_03, FEED_04, FEED_05, FEED_06)
AT_SOURCE: Final = ("battery fuse link", "in-line fuse holder")
STARTS: Final = ("starter motor stud", "battery isolator", "battery isolator, with alternator contacts")


def feed_without_fuse(worked: Worked) -> Iterator[Finding]:
    """FEED-01, FEED-02: feeds with no protection between them and their source."""
    job, routed = worked.job, worked.routed
    up = Upstream(job)
    lines = {one.line for one in job.protections}
    for circuit in job.circuits:
        wires = routed.wires_of.get(circuit.name, ())
        if circuit.kind is not CircuitKind.FEED or not wires or up.fused(circuit.name):
            continue
        if circuit.name in lines or _goes_to_fuse(job, up, circuit, lines):
            found = _main_lead(job, circuit, labels(wires))
        else:
            found = _bare_feed(job, up, circuit, labels(wires))
        if found is not None:
            yield found


def _goes_to_fuse(job: Job, up: Upstream, circuit: Circuit, lines: set[str]) -> bool:
    """Whether a feed only leads, through switches and relays, to circuits that are fused."""
    return any(h.circuit == circuit.name for line in sorted(lines) for h in up.hops(line))


def _main_lead(job: Job, circuit: Circuit, wires: str) -> Finding | None:
    behind = [one for one in job.protections if one.line == circuit.name]
    takers = [p for p in job.pins_of[circuit.name] if p.side is Side.TAKES]
    if behind and all(one.from_source_mm is not None for one in behind):
        return None
    if takers and all(job.device[p.device].kind in (*AT_SOURCE, *STARTS) for p in takers):
        return None
    where = named(dict.fromkeys(p.device for p in takers)) or "its fuses"
    return FEED_02.at(
        f"circuit {circuit.name}",
        circuit.path,
        f"{circuit.name} ({wires}) runs to {where} with no fuse before it.",
        f"A fuse sits within {FAR_MM.value:.0f} mm of the source {cited(FAR_MM.source)}; "
        f"{boat_rule_distance_mm(False).value:.0f} mm is the boat rule (33 CFR 183.455).",
        "Put a main fuse or link at the battery, or write from_source_mm at the fuses if they sit there.",
        subject=circuit.name,
    )


def _bare_feed(job: Job, up: Upstream, circuit: Circuit, wires: str) -> Finding | None:
    pins = job.pins_of[circuit.name]
    takers = [p for p in pins if p.side is Side.TAKES]
    givers = [p for p in pins if p.side is Side.GIVES]
    if not givers or (takers and all(job.device[p.device].kind in STARTS for p in takers)):
        return None
    device = job.device[givers[0].device]
    known = bool(up.sources(circuit.name)) and device.state is DeviceState.NEW and device.tap is None
    if device.family in ("controller", "module"):
        remedy = f'If {givers[0].id} trips by itself, enter it: a [fuse] table with kind = "trip".'
    elif device.tap is not None or device.state is DeviceState.KEPT:
        remedy = "Fuse it where it leaves the car's wiring, or enter the car's own fuse."
    else:
        remedy = f"Put a fuse for the smallest wire behind it where {circuit.name} starts."
    return FEED_01.at(
        f"circuit {circuit.name}",
        circuit.path,
        f"{circuit.name} ({wires}) comes from {givers[0].id} without any fuse.",
        "Every feed is protected at its source, for its smallest wire.",
        remedy,
        subject=circuit.name,
        severity=FAULT if known else CAUTION,
        leaves_out=(f"fuse of {circuit.name}",),
        misses=(
            circuit.name,
            *(f"fuse of {one}" for one in _before(up, circuit.name)),
            *(f"a cavity of {one.device}" for one in givers if job.device[one.device].through),
        ),
    )


def _before(up: Upstream, circuit: str) -> tuple[str, ...]:
    """Return the circuits a circuit's current comes through."""
    return tuple(sorted({hop.circuit for hop in up.hops(circuit)} - {circuit}))


def fuse_far_from_source(worked: Worked) -> Iterator[Finding]:
    """FEED-03: a first fuse that sits far from the battery."""
    job = worked.job
    up = Upstream(job)
    for one in job.protections:
        far = one.from_source_mm
        if far is None or far <= FAR_MM.value or up.fused(one.line):
            continue
        yield _far(one, far)


def _far(one: Protection, far: float) -> Finding:
    sheathed = boat_rule_distance_mm(True).value
    return FEED_03.at(
        f"fuse {one.name}",
        one.path,
        f"{one.name} sits {far:.0f} mm from its source.",
        f"At most {FAR_MM.value:.0f} mm {cited(FAR_MM.source)}; where the wire is sheathed all the way, "
        f"boats allow "
        f"{sheathed:.0f} mm (33 CFR 183.455).",
        "Move it to the source, or add a main fuse there.",
        subject=one.name,
    )


def pump_on_permanent_feed(worked: Worked) -> Iterator[Finding]:
    """FEED-04: a fuel pump whose feed nothing switches off."""
    job = worked.job
    up = Upstream(job)
    for device in live(job):
        if "fuel pump" not in f"{device.kind} {device.words}".lower() or device.family in ("module", "relay"):
            continue
        for pin in device.pins:
            if pin.kind is not CircuitKind.FEED or pin.side is not Side.TAKES:
                continue
            sources = up.sources(pin.circuit)
            if sources and not up.switched(pin.circuit):
                yield FEED_04.at(
                    pin.id,
                    pin.path,
                    f"{pin.id} is fed from {named(s.name for s in sources)} with no relay or driver between.",
                    "A fuel pump stops when the engine does, and with the isolator or an impact switch.",
                    "Feed it through a relay or driver that the controller switches.",
                    subject=pin.id,
                )


def alternator_past_isolator(worked: Worked) -> Iterator[Finding]:
    """FEED-05: an isolator without alternator contacts in a job with an alternator."""
    devices = list(live(worked.job))
    plain = [d for d in devices if d.kind == "battery isolator"]
    charging = [d for d in devices if d.kind.startswith("alternator")]
    if plain and charging:
        yield _alternator(plain[0], charging[0])


def _alternator(isolator: Device, alternator: Device) -> Finding:
    return FEED_05.at(
        isolator.name,
        isolator.path,
        f"{isolator.name} opens the battery's lead only; {alternator.name} goes on feeding the loom.",
        "An isolator breaks ignition, pump and alternator.",
        "Take an isolator with extra contacts and lead the controller's or the alternator's feed through "
        "them.",
        subject=isolator.name,
    )


def no_isolator(worked: Worked) -> Iterator[Finding]:
    """FEED-06: a motorsport job with a battery and no isolator."""
    devices = list(live(worked.job))
    batteries = [d for d in devices if d.kind == "battery"]
    if batteries and not any("isolator" in f"{d.kind} {d.words}".lower() for d in devices):
        yield FEED_06.at(
            batteries[0].name,
            batteries[0].path,
            "There is a battery and no isolator.",
            "A competition car has one, marked and within reach from outside.",
            "Add it, or say in an accept where the car has its own.",
            subject="job",
        )
