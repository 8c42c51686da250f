"""Grounds: rings on a stud, VR sensors kept off sensor 0 V, drivers that suit their device."""

from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import CAUTION, FAULT, NOTE, SHOPS, Entry
from loomwright.checks.looking import an, begun, labels, live, live_pins, named
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.device import Device, Pin
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, Side
from loomwright.routing.routed import EndKind
from loomwright.sources import PRACTICE, Mark, Source

_NOTES: Final = Source(Mark.PRACTICE, "open controllers' wiring notes")
GND_01: Final = Entry(
    "GND-01",
    "Too many rings on a stud",
    CAUTION,
    "Rings stacked high work loose and get warm.",
    PRACTICE,
    ("pinouts", "parts"),
)
GND_02: Final = Entry(
    "GND-02",
    "VR sensor on sensor 0 V",
    CAUTION,
    "The minus of a VR sensor swings; on sensor 0 V it disturbs all other sensors.",
    _NOTES,
    ("circuits", "pinouts"),
)
GND_03: Final = Entry(
    "GND-03",
    "Many grounds on one controller wire",
    NOTE,
    "One loose contact takes all power grounds of the controller with it.",
    PRACTICE,
    ("circuits",),
    levels=SHOPS,
)
DRIVE_01: Final = Entry(
    "DRIVE-01",
    "Driver that doesn't suit its device",
    FAULT,
    "The wrong kind of output doesn't work the device, or dies of it.",
    _NOTES,
    ("circuits", "pinouts"),
)
DRIVE_02: Final = Entry(
    "DRIVE-02",
    "Bridge motor without two bridge outputs",
    FAULT,
    "A motor or stepper that turns both ways needs a bridge output on each end of its winding.",
    _NOTES,
    ("circuits", "pinouts"),
)
DRIVE_03: Final = Entry(
    "DRIVE-03",
    "Heavy load straight on a controller",
    CAUTION,
    "A pump or fan draws more than a controller's output takes, and more still when it starts.",
    PRACTICE,
    ("circuits",),
)
ENTRIES: Final = (GND_01, GND_02, GND_03, DRIVE_01, DRIVE_02, DRIVE_03)
OUTPUT_WORDS: Final = ("low side", "high side", "logic", "H-bridge", "bridge", "igniter")
SUITS: Final = (
    ("low side", ("low side", "igniter")),
    ("logic", ("logic",)),
    ("H-bridge", ("H-bridge", "bridge")),
)


def rings_on_stud(worked: Worked) -> Iterator[Finding]:
    """GND-01: more rings than the stud takes."""
    for device in live(worked.job):
        if device.stud_rings < 1 or len({p.cavity for p in device.pins}) != 1:
            continue
        ids = {p.id for p in device.pins}
        wires = [
            w
            for pin in sorted(ids)
            for w in worked.routed.at_pin.get(pin, ())
            if any(e.kind is EndKind.STUD and e.name == pin for e in (w.a, w.b))
        ]
        if len(wires) > device.stud_rings:
            yield GND_01.at(
                device.name,
                device.path,
                f"{device.name} takes {len(wires)} rings: {labels(wires)}.",
                f"This kind of stud takes {device.stud_rings} rings [common practice].",
                "Add a second stud on the same metal and move some of the rings.",
                subject=device.name,
            )


def vr_on_sensor_ground(worked: Worked) -> Iterator[Finding]:
    """GND-02: a VR sensor's pin on a ground circuit."""
    job = worked.job
    for device in live(job):
        if device.signal != "VR":
            continue
        for pin in device.pins:
            kind = job.circuit[pin.circuit].kind
            if pin.kind is CircuitKind.SIGNAL and kind in (
                CircuitKind.SENSOR_GROUND,
                CircuitKind.POWER_GROUND,
                CircuitKind.CHASSIS,
            ):
                yield GND_02.at(
                    pin.id,
                    pin.path,
                    f"{pin.id}, one of a VR sensor's two wires, is on {pin.circuit}, a {kind} circuit.",
                    "Both wires of a VR sensor go as a pair to the controller's own VR + and VR -.",
                    "Give it a circuit of its own to the controller's VR - cavity.",
                    subject=pin.id,
                )


def one_ground_wire(worked: Worked) -> Iterator[Finding]:
    """GND-03: a controller that switches loads and has one power ground only."""
    for device in live(worked.job):
        if device.family != "controller":
            continue
        grounds = [p for p in device.pins if p.kind is CircuitKind.POWER_GROUND and p.side is not Side.GIVES]
        drives = [p for p in device.pins if p.kind is CircuitKind.DRIVE and p.side is Side.GIVES]
        if len(grounds) == 1 and len(drives) > 3:
            yield GND_03.at(
                device.name,
                device.path,
                f"{device.name} switches {len(drives)} loads and has one power ground, {grounds[0].id}.",
                "Every ground cavity of a controller gets a wire of its own to the stud [common practice].",
                "Wire the controller's other ground cavities, where it has them.",
                subject=device.name,
            )


def driver_suits(worked: Worked) -> Iterator[Finding]:
    """DRIVE-01: the giver's words name another kind of output than the device asks for."""
    job = worked.job
    for device in live(job):
        asked = dict(SUITS).get(device.driver)
        if asked is None:
            continue
        for pin in device.pins:
            if pin.kind is not CircuitKind.DRIVE or pin.side is not Side.TAKES:
                continue
            giver, has = _output(job, pin)
            if giver is not None and has and not any(word in asked for word in has):
                yield DRIVE_01.at(
                    pin.id,
                    pin.path,
                    f"{pin.id} is driven by {giver.id}, {giver.words}.",
                    f"{begun(an(_kind(device)))} goes to an output of the sort {' or '.join(asked)}.",
                    "Choose another output, or put an igniter or driver between.",
                    subject=pin.id,
                )


def _kind(device: Device) -> str:
    """What a device is, short, without what parts it from its like: "coil", "fuel pump"."""
    return device.kind.split(",")[0] or device.words or device.name


def _output(job: Job, pin: Pin) -> tuple[Pin | None, list[str]]:
    """The pin that drives another, and the kinds of output its words name."""
    for other in live_pins(job, pin.circuit):
        if other.side is Side.GIVES and other.device != pin.device:
            return other, [word for word in OUTPUT_WORDS if word.lower() in other.words.lower()]
    return None, []


def bridge_needs_two(worked: Worked) -> Iterator[Finding]:
    """DRIVE-02: a bridge motor with an end on a feed or a ground, or with ends at different drivers."""
    job = worked.job
    for device in live(job):
        if device.driver != "H-bridge":
            continue
        for letter in sorted({p.pair for p in device.pins if p.pair and p.side is Side.TAKES}):
            ends = [p for p in device.pins if p.pair == letter and p.side is Side.TAKES]
            yield from _bridge(job, device, [p for p in ends if p.kind is CircuitKind.DRIVE])


def _bridge(job: Job, device: Device, ends: list[Pin]) -> Iterator[Finding]:
    wrong = [p for p in ends if job.circuit[p.circuit].kind is not CircuitKind.DRIVE]
    drivers = {g.device for p in ends for g in live_pins(job, p.circuit) if g.side is Side.GIVES}
    drivers -= {device.name}
    if not wrong and len(drivers) < 2:
        return
    pin = wrong[0] if wrong else ends[0]
    what = (
        f"{pin.id} is on {pin.circuit}, {an(job.circuit[pin.circuit].kind)}"
        if wrong
        else f"the winding's ends go to {named(sorted(drivers))}"
    )
    yield DRIVE_02.at(
        device.name,
        device.path,
        f"{device.name} wants a bridge, and {what}.",
        "Both ends of a winding go to the two outputs of one bridge.",
        "Put both ends on a bridge of the controller, or take a driver that has one.",
        subject=pin.id,
    )


def heavy_load_on_controller(worked: Worked) -> Iterator[Finding]:
    """DRIVE-03: a load that wants a relay is fed or sunk by the controller itself."""
    job = worked.job
    for device in live(job):
        if device.driver not in ("relay", "power driver"):
            continue
        for pin in device.pins:
            if pin.side is not Side.TAKES or pin.kind not in (CircuitKind.FEED, CircuitKind.DRIVE):
                continue
            givers = [p for p in live_pins(job, pin.circuit) if p.side is Side.GIVES]
            straight = [g for g in givers if job.device[g.device].family == "controller"]
            if straight:
                amps = f"{pin.amps:g} A" if pin.amps is not None else "a current nobody gave"
                yield DRIVE_03.at(
                    pin.id,
                    pin.path,
                    f"{pin.id} draws {amps} straight from {straight[0].id}.",
                    f"{begun(an(_kind(device)))} is switched by a {device.driver} [common practice].",
                    "Put a relay or power module between, driven by that output.",
                    subject=pin.id,
                )
