"""Safety cautions, each printed at the steps where somebody could be hurt."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from loomwright.model.device import Device
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, DeviceState


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution.

    Attributes:
        key: short name, also its order
        words: what to print
        phases: phases of the build it belongs to
        needs: features of the job, one of which must be there; () = always
        steps: what the step does, "close", "outputs"; () = the first step of the phase
        families: device families the step must touch; () = any
    """

    key: str
    words: str
    phases: tuple[str, ...]
    needs: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    families: tuple[str, ...] = ()


CAUTIONS: Final = (
    Caution(
        "battery",
        "Take the battery's negative off first and put it back last. Let power modules discharge.",
        ("bare fit", "install"),
    ),
    Caution(
        "heat and fuel",
        "No heat gun, soldering iron or other spark near open fuel. Bleed the rail's pressure first; "
        "keep a CO2 or foam extinguisher in reach.",
        ("bare fit", "install", "power up"),
        needs=("fuel",),
    ),
    Caution(
        "heat gun",
        "A heat gun blows air of 300 to 500 °C: gloves, nothing that burns behind the work, and let the "
        "glue set before touching it.",
        ("sheath", "close"),
    ),
    Caution(
        "fumes",
        "Shrink and glue where there is a draught. Never burn fluoropolymer insulation: its smoke is "
        "poisonous.",
        ("prepare", "sheath", "close"),
    ),
    Caution(
        "glue",
        "Two-part glue: gloves, goggles, and no skin contact until it is hard.",
        ("close",),
        needs=("boots",),
        steps=("boots",),
    ),
    Caution(
        "eyes",
        "Goggles on when wire is cut, crimped or pulled: ends fly.",
        ("cut", "ends"),
    ),
    Caution(
        "fuse at source",
        "Every feed is protected where it leaves battery or alternator, before the wire goes anywhere. "
        "The fuse guards the thinnest wire behind it.",
        ("install", "power up"),
        needs=("battery",),
        steps=("mate", "feeds"),
    ),
    Caution(
        "pump stops",
        "Prove that the pump stops when the engine doesn't turn, when the isolator opens and when the "
        "crash switch trips. No pump on a permanent feed.",
        ("power up",),
        needs=("fuel",),
        steps=("outputs",),
    ),
    Caution(
        "isolator",
        "The isolator has to stop ignition, pump and alternator; otherwise the engine runs on. Read the"
        " series' own rules for place and sign.",
        ("install", "power up"),
        needs=("isolator",),
        steps=("mate", "run"),
    ),
    Caution(
        "electronic throttle",
        "An electronic throttle can close on fingers and open by itself. See it spring shut with the "
        "power off; test with the driven wheels off the ground and somebody at the kill switch.",
        ("power up",),
        needs=("electronic throttle",),
        steps=("throttle", "run"),
    ),
    Caution(
        "throttle travel",
        "Work the throttle through its whole travel with the loom fitted, the engine rocked and the mat"
        " in place: nothing may catch, even with one clip broken.",
        ("install", "power up"),
        needs=("throttle linkage",),
        steps=("clip", "run"),
    ),
    Caution(
        "airbag",
        "Airbag and belt wiring, often in a yellow cover: don't cut, join, probe or move it. The wait "
        "after the battery is off differs from car to car: read that car's manual, or leave it to "
        "somebody qualified.",
        ("bare fit", "install", "power up"),
        needs=("car's own wires", "airbag"),
    ),
    Caution(
        "brakes and steering",
        "Leave the circuits of brakes, stability and steering alone unless you have the maker's "
        "diagram. Tie nothing to a brake line.",
        ("bare fit", "install"),
        needs=("car's own wires", "brakes"),
        steps=("bare fit", "clip"),
    ),
    Caution(
        "petrol vapour",
        "Petrol vapour lights from a spark: no test lamp and no open joint at the tank.",
        ("install", "power up"),
        needs=("fuel",),
        steps=("mate", "limited", "battery", "outputs"),
    ),
    Caution(
        "ignition voltage",
        "A coil kicks with some hundred volts on its small wires and over 30 kV on the lead: hands off "
        "with the ignition on, plugs grounded, fuel off while coils are tested.",
        ("power up",),
        needs=("coils",),
        steps=("outputs", "crank", "run"),
    ),
    Caution(
        "orange cables",
        "Orange cables of a hybrid or electric car are out of bounds for this work.",
        ("bare fit", "install"),
        needs=("car's own wires",),
    ),
    Caution(
        "own wire",
        "Measure before you join into one of the car's own wires: key off, key on, cranking. Join into "
        "none whose use you don't know.",
        ("ends",),
        needs=("car's own wires",),
        families=("tap",),
    ),
    Caution(
        "chafing",
        "A feed that chafes through at the bulkhead sets the car on fire: grommet, clamp on both sides,"
        " look again after an hour of running and every season.",
        ("install", "power up"),
        needs=("hole",),
        steps=("through", "clip", "heat"),
    ),
    Caution(
        "moving parts",
        "Keep hands, hair, sleeves and leads clear of belts, fans and shafts; a fan can start by itself.",
        ("power up",),
        steps=("fuse by fuse", "controller", "outputs", "crank", "run", "heat"),
    ),
    Caution(
        "cranking",
        "A relay that pulls in can turn the engine. Until the stage that cranks: starter's control lead off "
        "and insulated; always gearbox in neutral, hands clear, nobody under the car.",
        ("power up",),
        steps=("fuse by fuse", "controller", "outputs", "crank", "run"),
    ),
    Caution(
        "welding",
        "Before anybody welds on the car: battery off, controller unplugged.",
        ("install",),
        steps=("covers",),
    ),
    Caution(
        "road law",
        "Whether the car may be driven on the road with this loom is for the law of the place to say; "
        "these papers clear nothing.",
        ("power up",),
        steps=("run",),
    ),
    Caution(
        "figures",
        "The figures are a help for the builder, who compares them with the data of the parts in hand.",
        ("cut",),
    ),
)
_SYSTEMS: Final = (
    ("airbag", ("airbag", "srs", "belt", "pretension")),
    ("brakes", ("abs", "esp", "brake", "steering", "stability")),
)
_FUEL: Final = ("injector", "fuel", "pump")


def features(job: Job) -> frozenset[str]:
    """Return what a job has in it that cautions go by."""
    devices = [d for d in job.devices if d.state is not DeviceState.REMOVED]
    found: set[str] = set()
    for d in devices:
        found.update(_of_device(d))
    if job.throttle.linkage in ("cable", "rod", ""):
        found.add("throttle linkage")
    if job.throttle.linkage == "electronic":
        found.add("electronic throttle")
    if any(loom.hole_mm for loom in job.looms):
        found.add("hole")
    if any(c.kind is CircuitKind.FEED for c in job.circuits):
        found.add("battery")
    return frozenset(found)


def cautions_for(job: Job, phase: str) -> tuple[Caution, ...]:
    """Return all cautions of a phase that apply to a job, in the order they are printed.

    Args:
        job: for what is in the car
        phase: phase of the build
    """
    has = features(job)
    return tuple(c for c in CAUTIONS if phase in c.phases and (not c.needs or has.intersection(c.needs)))


def cautions_at(
    job: Job, phase: str, step: str, families: Iterable[str] = (), first: bool = False
) -> tuple[Caution, ...]:
    """Return the cautions to print at one step.

    Args:
        step: what it does, "close B2"
        families: families of the devices it touches
        first: it is the first step of its phase
    """
    return at_step(cautions_for(job, phase), step, families, first)


def at_step(
    of_phase: Iterable[Caution], step: str, families: Iterable[str], first: bool
) -> tuple[Caution, ...]:
    """Return those of a phase's cautions that are printed at one step; see `cautions_at`."""
    touched = frozenset(families)
    return tuple(
        c
        for c in of_phase
        if (first if not c.steps and not c.families else not c.steps or step.startswith(c.steps))
        and (not c.families or touched.intersection(c.families))
    )


def _of_device(d: Device) -> set[str]:
    words = f"{d.kind} {d.words}".lower()
    found = set()
    if any(word in words for word in _FUEL):
        found.add("fuel")
    if "coil" in words or "wasted-spark" in words or "igniter" in words:
        found.add("coils")
    if "isolator" in words:
        found.add("isolator")
    if d.throttle:
        found.add("electronic throttle")
    if any(c.boot for c in d.connectors):
        found.add("boots")
    if d.tap:
        found.add("car's own wires")
        system = d.tap.system.lower()
        found.update(name for name, marks in _SYSTEMS if any(mark in system for mark in marks))
    return found
