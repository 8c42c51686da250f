"""Device pages: everything about one device on one page, for the bench and the track."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from loomwright.building.ends import function_of
from loomwright.model.device import Connector, Device, Pin
from loomwright.model.words import CircuitKind, DeviceState, Side
from loomwright.pack.device_ohms import elements
from loomwright.pack.device_reading import SOURCE, expected_at
from loomwright.pack.draw_faces import face_drawings, wire_words
from loomwright.pack.label_codes import code_drawing, code_text
from loomwright.pack.marks import Drawing
from loomwright.pack.nets_by_wire import readings_from
from loomwright.pack.pages import (
    UNCHECKED,
    Block,
    Column,
    Facts,
    Figure,
    FigureRow,
    Heading,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.pack.pinouts import unchecked
from loomwright.pack.splices import place_words
from loomwright.pack.view import View, end_words, half_words, other_end, size_words
from loomwright.routing.routed import EndKind, Splice, Wire
from loomwright.sizing.drops import Ways
from loomwright.sizing.nets import nets_of

PINS: Final = (
    Column("cavity", bold=True),
    Column("wire", bold=True),
    Column("size"),
    Column("circuit"),
    Column("should read"),
)
RUNS: Final = (
    Column("wire", bold=True),
    Column("from here by"),
    Column("to", bold=True),
    Column("beeps to"),
    Column("ohm", "at most", "number", decimals=1),
)
FIRST: Final = (Column("first", kind="number"), Column("look at", bold=True), Column("looked", kind="tick"))
SWITCHING: Final = ("relay", "switch")
ISOLATING: Final = (
    "battery isolator",
    "battery isolator, with alternator contacts",
)  # on whenever one measures
FAR_ENDS: Final = ("controller", "mating half", "module")  # families whose wires all end elsewhere
SWITCHED: Final = (*SWITCHING, "module", "controller")  # families behind which a feed is live only at times
CODE_MM: Final = 22.0
FACE_MM: Final = 58.0
SMALL_FACE_MM: Final = 36.0  # of a plug with many pins
FACE_WIDE_MM: Final = 72.0
GROUNDS: Final = (CircuitKind.POWER_GROUND, CircuitKind.CHASSIS)
HOW: Final = (
    "Volts against the battery's negative, key on. The square code holds the plug's name: the bench in the "
    "browser opens at it. {source}"
)
BEEP: Final = (
    "Beeps to: battery off, every plug of the loom pulled, fuses and relays out; from the cavity of that "
    "wire to all of these and to nothing else, not to body. Splices on the way are no ends. Ohm: to the "
    "farthest of them, leads of the meter taken off."
)
GROUNDED: Final = " Ground wires and their studs beep to body while bolted."
SMALL_FROM: Final = 9  # pins of a plug from which a page is set in plain type, to stay one page; ours


@dataclass(frozen=True)
class _Book:
    """What all pages share."""

    view: View

    @cached_property
    def ways(self) -> Ways:
        return Ways(self.view.job, nets_of(self.view.job, self.view.routed))

    @cached_property
    def pins(self) -> dict[str, Pin]:
        return {p.id: p for p in self.view.job.pins}

    @cached_property
    def across(self) -> dict[str, str]:
        """The other cavity of a mating pair, by pin id."""
        pairs = [(x.a, x.b) for x in self.view.routed.crossings]
        return dict([*pairs, *((b, a) for a, b in pairs)])

    @cached_property
    def splices(self) -> dict[str, Splice]:
        return {s.name: s for s in self.view.routed.splices}


def device_pages(view: View) -> tuple[Sheet, ...]:
    """Return one page a device, by name; a device without a used cavity has none."""
    book = _Book(view)
    return tuple(_page(book, d) for d in sorted(view.devices, key=_rank) if any(d.pins))


def _rank(device: Device) -> tuple[str, int, str]:
    """INJ2 before INJ10."""
    letters = device.name.rstrip("0123456789")
    number = device.name[len(letters) :]
    return (letters, int(number or 0), device.name)


def _page(book: _Book, device: Device) -> Sheet:
    view = book.view
    blocks: list[Block] = [_facts(view, device)]
    stamps = view.stamps("pinouts")
    for plug in device.connectors:
        blocks += _plug(book, device, plug)
        if unchecked(view, plug) and not _stud(device) and UNCHECKED not in stamps:
            stamps = (*stamps, UNCHECKED)
    first = tuple(_first(book, device))
    if first:
        blocks.append(Table(FIRST, (RowGroup(first),), "Where to look first", close=True))
    words = function_of(device)
    title = f"{device.name}  {words}" if words else device.name
    big = max(len(c.pins) for c in device.connectors) < SMALL_FROM
    return Sheet(f"device-{device.name}", title, tuple(blocks), stamps=stamps, big=big)


def _facts(view: View, device: Device) -> Facts:
    area = view.job.area.get(device.area)
    ends = ", ".join(c.end for c in device.connectors if c.pins)
    looms = dict.fromkeys(view.loom_of_end.get(c.end, "") for c in device.connectors)
    ohms = dict.fromkeys(f"{e.words}: {e.ohms}" for e in elements(device))
    pairs = [
        ("Area", f"{area.name}, {area.air_c:.0f} °C" if area else device.area),
        ("Plug", ends),
        ("Loom", ", ".join(x for x in looms if x)),
        ("Ohms, unplugged, cold", "; ".join(ohms)),
    ]
    if device.state is not DeviceState.NEW:
        pairs.append(("State", str(device.state)))
    return Facts(tuple((name, value) for name, value in pairs if value), across=0)


def _plug(book: _Book, device: Device, plug: Connector) -> Iterator[Block]:
    if not plug.pins:
        return
    view = book.view
    if len(device.connectors) > 1:
        yield Heading(f"Plug {plug.end}")
    half = half_words(view, plug)
    if half:
        yield Facts((("Pair", half),), across=0)
    code = Figure(code_drawing(code_text(view.job, plug.end), CODE_MM), plug.end)
    drawn = () if _stud(device) else face_drawings(view.face(plug), plug, wire_words(view.routed, plug)) or ()
    high = FACE_MM if len(plug.pins) < SMALL_FROM else SMALL_FACE_MM
    yield FigureRow((code, *(Figure(one, max_height_mm=_face_mm(one, high)) for one in drawn)))
    rows = tuple(row for pin in plug.pins for row in _pin_rows(book, pin))
    note = HOW.format(source=SOURCE)
    yield Table(PINS, (RowGroup(rows),), note=note, close=True)
    runs = tuple(_run_rows(book, plug.pins))
    if runs:
        beep = BEEP + (GROUNDED if any(p.kind in GROUNDS for p in plug.pins) else "")
        yield Table(RUNS, (RowGroup(runs),), "Where its wires run, what they beep to", beep, close=True)


def _face_mm(drawn: Drawing, high_mm: float) -> float:
    """Height at which both sides of a face stand beside the code."""
    return min(high_mm, drawn.height_mm * FACE_WIDE_MM / drawn.width_mm)


def _stud(device: Device) -> bool:
    """Rings on a stud: there is no plug with two faces."""
    return device.stud_rings > 1 or device.family == "ground"


def _pin_rows(book: _Book, pin: Pin) -> Iterator[Row]:
    view, expected = book.view, expected_at(book.view, pin, _switched_by(book, pin))
    wires = sorted(view.routed.at_pin.get(pin.id, ()), key=lambda w: w.number)
    for wire in wires:
        name = f"{wire.label} {wire.colour or 'screen'}"
        yield (pin.cavity, name, size_words(view.size(wire)), pin.circuit, expected)
    if not wires:
        yield (pin.cavity, "no wire", "", pin.circuit, expected)


def _run_rows(book: _Book, pins: Iterable[Pin]) -> Iterator[Row]:
    for pin in pins:
        for wire in sorted(book.view.routed.at_pin.get(pin.id, ()), key=lambda w: w.number):
            by = ", ".join(_points(book.view, wire, pin.id))
            yield (wire.label, by, _to(book, wire, pin), *_beeps(book.view, wire, pin))


def _beeps(view: View, wire: Wire, pin: Pin) -> tuple[str, float | None]:
    """The ends a meter finds over this wire with nothing plugged in, and the ohms to the farthest."""
    found = [r for r in readings_from(view, pin) if r.wires[0] is wire]
    ohms = [r.ohm for r in found]
    most = None if None in ohms or not ohms else max(ohm for ohm in ohms if ohm is not None)
    return ", ".join(r.end for r in found) or "nothing", most


def _points(view: View, wire: Wire, start: str) -> list[str]:
    """The points a wire passes from one of its ends, the first left out."""
    steps = wire.way
    if wire.a.name != start:
        steps = tuple(replace(s, from_mm=s.to_mm, to_mm=s.from_mm) for s in reversed(steps))
    tree = view.routed.tree[wire.loom]
    found = []
    for step in steps[:-1]:
        section = tree.by_name[step.section]
        found.append(section.outer if step.to_mm > step.from_mm else section.inner)
    return found


def _to(book: _Book, wire: Wire, pin: Pin) -> str:
    end = other_end(wire, pin.id)
    words = end_words(end)
    if end.kind is EndKind.SPLICE:
        return words
    through = _through(book, end.name)
    return f"{words}, plugged on to {', '.join(through)}" if through else words


def _through(book: _Book, name: str) -> list[str]:
    """Where a circuit goes on behind a mating pair: the next cavities or splices, pair after pair."""
    found: list[str] = []
    seen = {name}
    waiting = [name]
    for here in waiting:
        across = book.across.get(here)
        if across is None or across in seen:
            continue
        seen.add(across)
        for wire in sorted(book.view.routed.at_pin.get(across, ()), key=lambda w: w.number):
            far = other_end(wire, across)
            if far.name in book.across and far.name not in seen:
                seen.add(far.name)
                waiting.append(far.name)
            found.append(end_words(far))
    return found


def _first(book: _Book, device: Device) -> Iterator[Row]:
    """Fuse, ground, splice, plug, far end: the order in which faults are found quickest, common practice."""
    said = dict.fromkeys(
        (
            *_fuses(book, device),
            *_homes(book, device),
            *_joints(book, device),
            *_faces(book.view, device),
            *_far_ends(book, device),
        )
    )
    return ((number, words, None) for number, words in enumerate(said, 1))


def _fuses(book: _Book, device: Device) -> Iterator[str]:
    """Fuses, relays and switches in front of the device's feeds, the nearest first."""
    for pin in device.pins:
        if pin.kind is CircuitKind.FEED and pin.side is not Side.GIVES:
            yield from _upstream(book, pin)


def _upstream(book: _Book, pin: Pin) -> Iterator[str]:
    for circuit, source in _above(book, pin):
        for one in book.view.job.protections:
            if one.load == circuit and one.device != pin.device:
                where = f" in {one.device}" if one.device and one.device != one.name else ""
                yield f"{one.kind} {one.name}, {one.amps:g} A{where}"
        owner = book.view.job.device[source.device] if source else None
        if owner is not None and owner.family in SWITCHING and owner.name != pin.device:
            yield f"{owner.family} {owner.name}, contact {source.id if source else ''}"


def _above(book: _Book, pin: Pin) -> Iterator[tuple[str, Pin | None]]:
    """The circuits a pin is fed by, its own first, each with the pin it comes from."""
    circuit, node = pin.circuit, pin.id
    seen: set[str] = set()
    while circuit not in seen:
        seen.add(circuit)
        yield circuit, book.pins.get(book.ways.root(circuit, node))
        before = book.ways.before(circuit, node)
        if not before:
            return
        circuit, node = before[0].circuit, before[0].id


def _switched_by(book: _Book, pin: Pin) -> tuple[str, ...]:
    """What has to be on before a feed has volts, the nearest first; the device itself is "it"."""
    found: dict[str, None] = {}
    for _, source in _above(book, pin) if pin.kind is CircuitKind.FEED else ():
        owner = book.view.job.device[source.device] if source else None
        if owner is None or owner.kind in ISOLATING:
            continue
        dead_at_times = owner.tap is not None and (owner.tap.key_off_v or 0.0) < book.view.job.volts / 2
        if owner.family in SWITCHED or dead_at_times:
            found["it" if owner.name == pin.device else owner.name] = None
    return tuple(found)


def _homes(book: _Book, device: Device) -> Iterator[str]:
    for pin in device.pins:
        root = book.ways.root(pin.circuit, pin.id)
        if pin.kind in GROUNDS:
            yield f"ground {root.rsplit(':', 1)[0]}: nut tight, metal bright"


def _joints(book: _Book, device: Device) -> Iterator[str]:
    for pin in device.pins:
        for wire in book.view.routed.at_pin.get(pin.id, ()):
            for end in (wire.a, wire.b):
                if end.kind is EndKind.SPLICE and end.name in book.splices:
                    yield f"splice {end.name}: {place_words(book.view, book.splices[end.name])}"


def _far_ends(book: _Book, device: Device) -> Iterator[str]:
    """The cavities a drive or signal of the device's own goes through to its driver or reader."""
    for pin in device.pins:
        if device.family in FAR_ENDS or pin.kind not in (CircuitKind.DRIVE, CircuitKind.SIGNAL):
            continue
        for wire in book.view.routed.at_pin.get(pin.id, ()):
            end = other_end(wire, pin.id)
            if end.kind is EndKind.PIN:
                beyond = [book.across[end.name]] if end.name in book.across else []
                ends = ", ".join((end.name, *beyond, *_through(book, end.name)))
                yield f"{pin.circuit}, far side: {ends}: contacts straight, pushed home"


def _faces(view: View, device: Device) -> Iterator[str]:
    if device.family == "box":
        yield f"fuses in {device.name}: sound, legs bright, pushed home"
    for plug in device.connectors:
        if plug.pins and not device.stud_rings:
            yield f"plug {plug.end}: pushed home, no contact back, no green, seal in"
            if plug.mates:
                yield f"its other half {plug.mates}"
