"""The power-up sheet: what to measure at each stage before the next one, and what should be read."""

from collections.abc import Callable, Iterator
from itertools import groupby
from types import MappingProxyType
from typing import Final

from loomwright.building.cautions import CAUTIONS
from loomwright.building.steps_car import STAGES, joined_at
from loomwright.calc.drop import drop_notes
from loomwright.model.device import Device, Pin
from loomwright.model.words import CircuitKind, DeviceState, HazardKind, Side
from loomwright.pack.feed_to_ground import feeds_to_ground, outlets, unplugged
from loomwright.pack.pages import (
    Block,
    Card,
    Caution,
    Column,
    Heading,
    Paragraph,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.pack.view import View
from loomwright.sources import MEMORY, OURS, PRACTICE, Source

READ: Final = Column("read", kind="blank", width_mm=24.0)
WHO: Final = Column("initials", kind="blank", width_mm=16.0)
FEEDS: Final = (
    Column("outlet", bold=True),
    Column("circuit"),
    Column("red probe on"),
    Column("to ground"),
    READ,
    WHO,
)
FUSES: Final = (
    Column("fuse in", bold=True),
    Column("circuit"),
    Column("volts at each of these pins"),
    Column("at no other", kind="tick"),
    READ,
    WHO,
)
GROUND: Final = (
    Column("ground pin", bold=True),
    Column("circuit"),
    Column("should be"),
    READ,
    WHO,
)
OUTPUTS: Final = (
    Column("output", bold=True),
    Column("from pin"),
    Column("should"),
    Column("does", kind="tick"),
    WHO,
)
LIMITS: Final = (Column("what", bold=True), Column("should be"), Column("from"), READ, WHO)
BACK_IN: Final = (Column("fuse", bold=True), Column("circuit"), Column("in", kind="tick"))
JOINS: Final = (Column("plug or stud", bold=True), Column("joined at stage"), Column("done", kind="tick"))
INTRO: Final = (
    "One stage after the other; the next one only when this one is signed. Work with a second person and an "
    "extinguisher in reach. Whatever reads otherwise: stop, battery off, find out."
)
FEED_WORDS: Final = (
    "All fuses out, unplugged: {out}; what the first table has for later stays apart, everything else "
    "plugged in, relays at rest. Red probe on the outlet, "
    "black on the battery's negative cable, battery off. The ohms are those of the coils and motors with the "
    "wires to them, at 20 °C. Electronics charge up: wait until the figure stands."
)
BY_FUSE: Final = (
    "Battery volts at each pin named, on none beside, with the fuses before it in. The controller is still "
    "unplugged: what lies behind a relay is live only while its socket is bridged from 30 to 87, or the "
    "relay is pulled in by a lead from its coil to ground."
)
SHORT_ROWS: Final = 10  # a stage of so many readings stays on one page; ours
MOTORS: Final = ("fan", "pump")
BY_FAMILY: Final = MappingProxyType(
    {
        "relay": "clicks, and what it switches works",
        "instrument": "shows it",
        "sensor": "takes its current, its reading settles",
        "power": "as its maker says",
    }
)


def power_up(view: View) -> Sheet:
    """Return the staged power-up with its readings; the stages are those of the build order."""
    names = {words: name for name, words in STAGES}
    words = {c.key: c.words for c in CAUTIONS}
    blocks: list[Block] = []
    steps = [s for s in view.built.steps if s.phase == "power up" and s.words in names]
    blocks += _joins(view, {names[s.words]: n for n, s in enumerate(steps, 1)})
    for stage, step in enumerate(steps, 1):
        head = f"Stage {stage}: {names[step.words]} (step {step.number} of the build order)"
        said: list[Block] = [Heading(head), *(Caution(words[key]) for key in step.cautions if key in words)]
        told = step.words.replace("the power-up sheet", "the table here")
        said += [Paragraph(told), *READINGS[names[step.words]](view)]
        lines = sum(len(b.rows) for b in said if isinstance(b, Table))
        blocks += [Card(tuple(said))] if lines <= SHORT_ROWS else said
    stamps = tuple(dict.fromkeys((*view.stamps("test"), *view.stamps("circuits"))))
    return Sheet("power-up", "Power-up", tuple(blocks), INTRO, stamps=stamps)


def _joins(view: View, stages: dict[str, int]) -> Iterator[Block]:
    """Which end is joined at which stage; what is not named was joined at the mating."""
    rows: list[Row] = []
    for stage, number in stages.items():
        ends = [e for tree in view.trees for e in tree.ends if _joined(view, e) == stage]
        rows += [(end, f"{number}, {stage}", None) for end in ends]
    if rows:
        note = "All others are joined at the mating; ends that are provision only stay sealed."
        yield Table(JOINS, (RowGroup(tuple(rows)),), "What is joined when", note, close=True)


def _joined(view: View, end: str) -> str:
    plug = view.job.connector.get(end)
    return joined_at(view.job.device[plug.device]) if plug else ""


def _feeds(view: View) -> Iterator[Block]:
    out = ", ".join(sorted(unplugged(view))) or "nothing to unplug"
    rows = tuple((f.name, f.circuit, ", ".join(f.at), f.words, "", "") for f in feeds_to_ground(view))
    if rows:
        yield Paragraph(FEED_WORDS.format(out=out))
        yield Table(FEEDS, (RowGroup(rows),), close=True)


def _limited(view: View) -> Iterator[Block]:
    yield _limits(
        ("current, no fuse in", "0 A; the lamp dark", PRACTICE),
        ("current, all fuses in", "below 1 A, the lamp at most glows", MEMORY),
    )


def _battery(view: View) -> Iterator[Block]:
    yield _limits(
        ("battery volts at rest", "12.2 to 12.8 V", MEMORY),
        ("volts behind any fuse holder, fuses out", "0 V", PRACTICE),
    )


def _fuse_by_fuse(view: View) -> Iterator[Block]:
    rows: list[Row] = []
    for p in view.job.protections:
        own = set(outlets(view, p))
        taking = [x for x in view.job.pins_of.get(p.load, ()) if x.id not in own]
        pins = [x.id for x in taking if view.job.device[x.device].family != "mating half"]
        rows.append((f"{p.name}, {p.amps:g} A", p.load, _listed(pins), None, "", ""))
    if rows:
        yield Table(FUSES, (RowGroup(tuple(rows)),), note=BY_FUSE, close=True)


def _controller(view: View) -> Iterator[Block]:
    rows = [
        ("idle current", "0.3 to 1 A", MEMORY),
        ("5 V supply at a sensor plug", "4.95 to 5.05 V", PRACTICE),
    ]
    cold = [d.name for d in _live(view) if d.signal == "NTC"]
    if len(cold) > 1:
        rows.append((", ".join(cold), "the day's temperature, all within 3 °C, engine cold", PRACTICE))
    rows += [
        (d.name, "the day's air pressure", PRACTICE)
        for d in _live(view)
        if d.kind.lower().startswith("map sensor")
    ]
    yield _limits(*rows)


def _throttle(view: View) -> Iterator[Block]:
    rows = []
    for d in _live(view):
        tracks = [p for p in d.pins if p.kind is CircuitKind.SIGNAL] if d.throttle else []
        rows += [(f"{p.id} {p.words}", "moves smoothly, shut to open and back", PRACTICE) for p in tracks]
    if rows:
        rows.append(("both tracks of a pair", "agree at every point", PRACTICE))
        yield _limits(*rows)


def _outputs(view: View) -> Iterator[Block]:
    rows = []
    for circuit in view.job.circuits:
        if circuit.kind is not CircuitKind.DRIVE:
            continue
        pins = view.job.pins_of.get(circuit.name, ())
        givers = [p.id for p in pins if p.side is Side.GIVES]
        for pin in pins:
            if pin.side is Side.TAKES and view.job.device[pin.device].family != "mating half":
                rows.append((f"{pin.id} {circuit.name}", _listed(givers), _does(view, pin), None, ""))
    if rows:
        yield Table(OUTPUTS, (RowGroup(tuple(rows)),), close=True)
    yield from _grounds(view)


def _grounds(view: View) -> Iterator[Block]:
    """Grounds, in the stage where the controller is in and each device can draw its current."""
    kinds = (CircuitKind.POWER_GROUND, CircuitKind.CHASSIS)
    live = {d.name for d in view.devices if d.family != "mating half"}
    taken = [p for p in view.job.pins if p.kind in kinds and p.side is not Side.GIVES and p.device in live]
    if taken:
        limit = drop_notes().ground_v
        words = f"within {limit.value:g} V"
        grounds = tuple((p.id, p.circuit, words, "", "") for p in taken)
        note = f"Black probe on the battery's negative post. Limit: {limit.source}."
        yield Table(
            GROUND, (RowGroup(grounds),), "Grounds, with the device drawing its current", note, close=True
        )


def _does(view: View, pin: Pin) -> str:
    device = view.job.device[pin.device]
    kind = f"{device.kind} {device.words}".lower()
    if device.family == "relay" and "start" in f"{kind} {pin.circuit} {pin.words}".lower():
        return "clicks, and nothing turns: starter's control lead is off"
    if device.family in BY_FAMILY:
        return BY_FAMILY[device.family]
    if "coil" in kind:
        return "spark at its own plug, lead grounded, fuel off"
    if device.throttle:
        return "moves and springs back; hands off"
    if any(word in kind for word in MOTORS):
        return "runs, the right way round"
    return "clicks, and no other does"


def _crank(view: View) -> Iterator[Block]:
    yield _limits(
        ("sync", "found, and not lost", PRACTICE),
        ("oil pressure", "builds up", PRACTICE),
        ("battery volts while cranking", "above 9.5 V", PRACTICE),
    )


def _run(view: View) -> Iterator[Block]:
    rows: list[Row] = [
        (f"{p.name}, {p.amps:g} A", p.load, None) for p in view.job.protections if p.kind != "trip"
    ]
    if rows:
        yield Table(BACK_IN, (RowGroup(tuple(rows)),), "Every fuse back in", close=True)
    yield _limits(("timing, lamp at a fixed advance", "lamp and controller agree", PRACTICE))


def _heat(view: View) -> Iterator[Block]:
    sections = [s for tree in view.trees for s in tree.sections if s.passes]
    rows = [
        (f"{s.name}, {n.mm:.0f} mm from {n.words or n.kind}", f"{s.air_c:.0f} °C or less, as reckoned", OURS)
        for s in sections
        for n in (s.passes.near if s.passes else ())
        if n.kind is HazardKind.HOT_PART
    ]
    if rows:
        yield _limits(*rows)


def _limits(*rows: tuple[str, str, Source]) -> Table:
    told = tuple((w, s, str(source), "", "") for w, s, source in rows)
    return Table(LIMITS, (RowGroup(told),), close=True)


def _live(view: View) -> tuple[Device, ...]:
    return tuple(d for d in view.devices if d.state is not DeviceState.PROVISION)


def _listed(pins: list[str]) -> str:
    """Return pins in one line, those of one plug together: "ECU.A:3, 5; INJ1:1"."""
    groups = groupby(pins, key=lambda pin: pin.rsplit(":", 1)[0])
    return "; ".join(f"{end}:" + ", ".join(p.rsplit(":", 1)[1] for p in own) for end, own in groups)


READINGS: Final = MappingProxyType[str, Callable[[View], Iterator[Block]]](
    {
        "feeds": _feeds,
        "limited": _limited,
        "battery": _battery,
        "fuse by fuse": _fuse_by_fuse,
        "controller": _controller,
        "throttle": _throttle,
        "outputs": _outputs,
        "crank": _crank,
        "run": _run,
        "heat": _heat,
    }
)
