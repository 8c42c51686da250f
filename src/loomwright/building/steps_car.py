"""Steps on the car: install and power up."""

from itertools import pairwise
from typing import Final

from loomwright.building.graph import Draft, Plan
from loomwright.building.steps_bench import Work
from loomwright.building.steps_ends import late
from loomwright.model.device import Device
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, DeviceState, Side

LIVE_KINDS: Final = ("battery", "starter motor stud")  # bolted on, they make the loom live
BETWEEN: Final = ("battery isolator", "battery fuse")  # dead until the battery is on: joined for the lamp
WAITING: Final = ("controller", "power module")  # families and kinds that a wrong feed would destroy
WITH_FUSES: Final = ("feeds", "fuse by fuse", "run")
STAGES: Final = (
    (
        "feeds",
        "Battery off, controller and power modules unplugged: measure every fuse outlet to "
        "ground against the "
        "power-up sheet.",
    ),
    (
        "limited",
        "Feed the loom from a bench supply held to 1 or 2 A, or through a 21 W lamp, at the battery's "
        "positive end, which stays off its post; isolator and main fuse, where there are any, joined and "
        "closed first. A bright lamp is a short, stop there.",
    ),
    (
        "battery",
        "Every fuse out, supply off, then connect heavy studs still open (alternator, starter), "
        "battery positive, battery negative last of all. Nothing may spark or get warm.",
    ),
    (
        "fuse by fuse",
        "Starter's control lead off its terminal and insulated, gearbox in neutral, hands clear of belt and "
        "fan. One fuse at a time: 12 V at every pin that should have it and at no other.",
    ),
    (
        "controller",
        "Plug controller and power modules in, with the fuses of injectors, coils, pump and starter out "
        "(where one fuse feeds both, their plugs off): idle current, 12 V at each feed of theirs, 5 V "
        "supply, and sensors that read what the day is like.",
    ),
    ("throttle", "Sweep pedal and throttle position; enable the throttle motor last."),
    (
        "outputs",
        "First: starter's control lead off its terminal and insulated, starter fuse still out, gearbox in "
        "neutral, hands clear of belt and fan. Put the fuses and plugs of injectors, coils and pump back, "
        "each just before its own test. Each output by itself with the controller's test function: "
        "injectors by number, coils with fuel off, pump, then look for leaks before any spark.",
    ),
    (
        "crank",
        "Take the fuses of coils and injectors out again (where one fuse feeds the controller too, their "
        "plugs off). Neutral, hands clear, then starter fuse and starter's control lead back on. "
        "Crank: sync, oil pressure, cranking volts.",
    ),
    (
        "run",
        "Isolate, put back every fuse and plug still out, look that each fuse below is in. Neutral, hands "
        "clear: start; check timing with a lamp at a fixed advance.",
    ),
    ("heat", "Run it warm: feel bundles and clamps, measure hot spots, look again after the first drive."),
)
"""Order and limits of the stages: common practice."""


def install(work: Work, plan: Plan) -> dict[str, list[str]]:
    """Bring the loom into the car.

    Returns:
        keys by what they do: "grommet", "through", "clip", "photo", "covers"
    """
    found: dict[str, list[str]] = {"grommet": [], "through": [], "clip": [], "photo": [], "covers": []}
    bare = tuple(e.name for e in work.ends if late(e))
    grommet = next((g for g in work.sized.grommets if g.loom == work.loom), None)
    if grommet:
        name = grommet.words if grommet.words.startswith("grommet") else f"grommet ({grommet.words})"
        words = f"Slide the {name} on at {work.tree.datum}, before any housing at the side it comes from."
        found["grommet"].append(plan.step(Draft(work.key("grommet"), work.loom, "ends", words)))
        words = f"Pull the loom through the {grommet.hole_mm:.0f} mm hole; seat the grommet."
        if bare:
            words += " Bare contacts staggered and bagged."
        if not grommet.passes:
            words += f" Beware: {grommet.biggest} needs {grommet.biggest_mm:.0f} mm."
        found["through"].append(plan.step(Draft(work.key("through"), work.loom, "install", words, bare)))
    fixed = _ties(work)
    words = "Clip the loom in: both sides of the hole, at every tie noted, engine levered to its stops first."
    found["clip"].append(plan.step(Draft(work.key("clip"), work.loom, "install", words, fixed)))
    words = "Mate every plug until it clicks; bolt the ground studs, ring on bright metal."
    ends = [e for e in work.ends if e.connector]
    apart = tuple(e.name for e in ends if e.device and joined_at(e.device))
    open_ends = tuple(e.name for e in ends if e.device and e.device.state is DeviceState.PROVISION)
    if apart:
        words += f" Leave {', '.join(apart)} apart: the power-up says when each is connected."
    if open_ends:
        words += f" Provision only, nothing to mate: {', '.join(open_ends)} stay sealed and tied back."
    items = tuple(e.name for e in ends if e.name not in {*apart, *open_ends})
    found["clip"].append(plan.step(Draft(work.key("mate"), work.loom, "install", words, items)))
    plan.before(found["clip"][:1], found["clip"][1:], "R16")
    words = "Photograph every branch point, clip and ground stud with a scale beside it."
    found["photo"].append(plan.step(Draft(work.key("photo"), work.loom, "install", words)))
    words = "Close the covers."
    found["covers"].append(plan.step(Draft(work.key("covers"), work.loom, "install", words)))
    plan.before(found["clip"], found["photo"], "R19")
    plan.before(found["photo"], found["covers"], "R19")
    return found


def joined_at(device: Device) -> str:
    """Return the stage of the power-up at which a device is joined to the loom, common practice.

    Args:
        device: what the end belongs to

    Returns:
        name of a stage of `STAGES`; "" = at the mating, or never (provision only)
    """
    if device.state is DeviceState.PROVISION:
        return ""
    if device.kind.startswith(BETWEEN):
        return "limited"
    gives = any(pin.kind is CircuitKind.FEED and pin.side is Side.GIVES for pin in device.pins)
    if device.kind.startswith(LIVE_KINDS) or (device.kind.startswith("alternator") and gives):
        return "battery"
    return "controller" if device.family in WAITING or device.kind.startswith(WAITING) else ""


def _ties(work: Work) -> tuple[str, ...]:
    return tuple(
        f"{s.name} at {tie.at_mm:.0f} mm: {tie.what}" + (f" to {tie.to}" if tie.to else "")
        for s in work.tree.sections
        if s.passes
        for tie in s.passes.ties
    )


def power_up(job: Job, plan: Plan) -> list[str]:
    """The staged power-up of the whole car; returns the keys, in order."""
    fuses = tuple(f"{p.name}: {p.amps:g} A, {p.load}" for p in job.protections if p.kind != "trip")
    throttle = job.throttle.linkage == "electronic" or any(d.throttle for d in job.devices)
    stages = [(name, words, fuses if name in WITH_FUSES else ()) for name, words in STAGES]
    if not throttle:
        stages = [s for s in stages if s[0] != "throttle"]
    keys = [plan.step(Draft(f"/{name}", "", "power up", words, items)) for name, words, items in stages]
    for first, then in pairwise(keys):
        plan.before([first], [then], "R15")
    return keys
