"""The throttle: nothing in the way of its linkage, tracks that don't fail together."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.clearance import clearance
from loomwright.checks.entry import CAUTION, FAULT, NOTE, Entry
from loomwright.checks.looking import cited, live, named, sections
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.device import Pin
from loomwright.model.words import CircuitKind, HazardKind, Side
from loomwright.routing.routed import Routed
from loomwright.sources import PRACTICE, Mark, Source

_TRAVEL: Final = Source(Mark.PRACTICE, "25 mm through the whole travel, with one clip broken")
_TRACKS: Final = Source(Mark.PRACTICE, "two position tracks, each with its own supply and return")
THROTTLE_01: Final = Entry(
    "THROTTLE-01",
    "Throttle linkage not answered",
    FAULT,
    "A loom that can hold a throttle open kills; the question is asked once in every job.",
    _TRAVEL,
    ("route", "build order"),
    accept=False,
)
THROTTLE_02: Final = Entry(
    "THROTTLE-02",
    "Loom within reach of the throttle linkage",
    FAULT,
    "With one clip broken the loom can get into the linkage and hold it.",
    _TRAVEL,
    ("route", "build order"),
    accept=False,
)
THROTTLE_03: Final = Entry(
    "THROTTLE-03",
    "Both tracks on one supply or return",
    FAULT,
    "One broken wire takes both tracks of the pedal or throttle at once, and the controller can't tell.",
    _TRACKS,
    ("circuits", "pinouts"),
)
THROTTLE_04: Final = Entry(
    "THROTTLE-04",
    "Pedal and throttle share a supply or return",
    CAUTION,
    "A fault at one takes the other with it.",
    _TRACKS,
    ("circuits", "pinouts"),
)
THROTTLE_05: Final = Entry(
    "THROTTLE-05",
    "Answer and devices don't agree",
    CAUTION,
    "The linkage told isn't the one the devices are made for.",
    PRACTICE,
    ("circuits",),
)
THROTTLE_06: Final = Entry(
    "THROTTLE-06",
    "Electronic throttle: prove it before it moves",
    NOTE,
    "A throttle that opens by itself hurts people at the bench and on the road.",
    PRACTICE,
    ("test",),
)
ENTRIES: Final = (THROTTLE_01, THROTTLE_02, THROTTLE_03, THROTTLE_04, THROTTLE_05, THROTTLE_06)


def linkage_answered(worked: Worked) -> Iterator[Finding]:
    """THROTTLE-01: no answer, or a cable or rod without its distance."""
    one = worked.job.throttle
    rule = clearance("throttle linkage", "through its whole travel with one clip broken")
    if not one.linkage:
        what = "Nobody has said how the throttle is worked and how far the loom keeps from it."
    elif one.linkage in ("cable", "rod") and one.clear_mm is None:
        what = f"The throttle is worked by {one.linkage}, and nobody has said how far the loom keeps from it."
    else:
        return
    yield THROTTLE_01.at(
        "throttle",
        one.path or ("throttle",),
        what,
        f"At least {rule.least_mm:.0f} mm through the whole travel with one clip broken "
        f"{cited(rule.source)}.",
        "Work the throttle by hand with the loom in place, measure, and fill in [throttle].",
        subject="throttle",
    )


def loom_at_linkage(worked: Worked) -> Iterator[Finding]:
    """THROTTLE-02: less than 25 mm to the linkage, told for the job or along a section."""
    rule = clearance("throttle linkage", "through its whole travel with one clip broken")
    should = (
        f"At least {rule.least_mm:.0f} mm through the whole travel with one clip broken {cited(rule.source)}."
    )
    remedy = "Move the loom, or hold it with two clips so placed that one can break."
    one = worked.job.throttle
    if one.linkage in ("cable", "rod") and one.clear_mm is not None and one.clear_mm < rule.least_mm:
        what = f"The loom keeps {one.clear_mm:.0f} mm from the throttle {one.linkage}."
        yield THROTTLE_02.at("throttle", one.path, what, should, remedy, subject="throttle")
    for key, section in sections(worked):
        for near in section.passes.near if section.passes else ():
            if near.kind is HazardKind.THROTTLE_LINKAGE and near.mm < rule.least_mm:
                what = f"{section.name} passes the throttle linkage at {near.mm:.0f} mm."
                yield THROTTLE_02.at(section.name, near.path, what, should, remedy, subject=key)


def _home_of(routed: Routed, circuit: str) -> dict[str, str]:
    """The first node of the connected wires every pin of a circuit hangs on: pins, splices joined by wires.

    A giver cavity parts what hangs on it from what hangs on another, so it is no link.
    """
    beside: dict[str, list[str]] = {}
    for wire in routed.wires_of.get(circuit, ()):
        if not wire.screen:
            beside.setdefault(wire.a.name, []).append(wire.b.name)
            beside.setdefault(wire.b.name, []).append(wire.a.name)
    for crossing in routed.crossings:
        if crossing.circuit == circuit:
            beside.setdefault(crossing.a, []).append(crossing.b)
            beside.setdefault(crossing.b, []).append(crossing.a)
    home: dict[str, str] = {}
    for start in sorted(beside):
        if start in home:
            continue
        waiting, home[start] = [start], start
        for node in waiting:
            fresh = [other for other in beside.get(node, ()) if other not in home]
            home.update(dict.fromkeys(fresh, start))
            waiting += fresh
    return home


def tracks_share(worked: Worked) -> Iterator[Finding]:
    """THROTTLE-03, THROTTLE-04: supplies and returns of pedal and throttle that hang on one wire home."""
    job = worked.job
    shared: dict[tuple[str, str], list[Pin]] = {}
    for device in live(job):
        for pin in device.pins if device.throttle else ():
            if pin.side is Side.GIVES or pin.kind not in (
                CircuitKind.SENSOR_SUPPLY,
                CircuitKind.SENSOR_GROUND,
            ):
                continue
            home = _home_of(worked.routed, pin.circuit).get(pin.id, pin.id)
            shared.setdefault((pin.circuit, home), []).append(pin)
    for (circuit, _), pins in sorted(shared.items()):
        devices = list(dict.fromkeys(p.device for p in pins))
        if len(pins) < 2:
            continue
        own = [d for d in devices if sum(p.device == d for p in pins) > 1]
        entry = THROTTLE_03 if own else THROTTLE_04
        what = (
            f"Both tracks of {own[0]} hang on one wire of {circuit}: {named(p.id for p in pins)}."
            if own
            else f"{named(devices)} hang on one wire of {circuit}: {named(p.id for p in pins)}."
        )
        yield entry.at(
            f"circuit {circuit}",
            job.circuit[circuit].path,
            what,
            "Each track has its own supply and its own 0 V to the controller, and pedal and throttle share "
            "none.",
            "Give each a circuit, or name groups at these cavities, each with a cavity of the controller.",
            subject=f"{circuit} {own[0] if own else '+'.join(devices)}",
        )


def answer_agrees(worked: Worked) -> Iterator[Finding]:
    """THROTTLE-05: a cable linkage with an electronic throttle, or the other way round."""
    one = worked.job.throttle
    electronic = [d for d in live(worked.job) if d.throttle and d.driver == "H-bridge"]
    if electronic and one.linkage in ("cable", "rod", "none"):
        what = (
            f'{electronic[0].name} is an electronic throttle, and the linkage is said to be "{one.linkage}".'
        )
    elif one.linkage == "electronic" and not electronic:
        what = "The throttle is said to be electronic, and the job has no electronic throttle body."
    else:
        return
    yield THROTTLE_05.at(
        "throttle",
        one.path,
        what,
        "The answer and the devices tell of the same throttle.",
        "Correct [throttle], or add the throttle body.",
        subject="throttle",
    )


def electronic_throttle(worked: Worked) -> Iterator[Finding]:
    """THROTTLE-06: what to prove before an electronic throttle is worked."""
    if worked.job.throttle.linkage == "electronic":
        yield THROTTLE_06.at(
            "throttle",
            worked.job.throttle.path,
            "The throttle is worked by a motor.",
            "With the power off its spring closes it, and either track alone shows a fault.",
            "Try both, fingers clear, before the engine runs; wheels off the ground and a hand on the kill "
            "switch.",
            subject="throttle",
        )
