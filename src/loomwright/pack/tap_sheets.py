"""A sheet for every joint into one of the car's own wires; airbag and seat-belt wiring gets none."""

from collections.abc import Iterator
from typing import Final

from loomwright.building.cautions import CAUTIONS
from loomwright.checks.taps import airbag_tap, brake_tap
from loomwright.model.device import Device, Tap
from loomwright.model.words import DeviceState
from loomwright.pack.nets_by_wire import readings
from loomwright.pack.pages import Block, Caution, Column, Facts, Paragraph, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, colour_words, end_words, size_words
from loomwright.routing.routed import EndKind, Wire

METER: Final = (
    Column("key", bold=True),
    Column("read before", "V"),
    Column("at the joint, now", "V", "blank", width_mm=32.0),
    Column("at the far end, joined", "V", "blank", width_mm=36.0),
    Column("initials", kind="blank", width_mm=18.0),
)
CUT: Final = (
    Column("wire", bold=True),
    Column("cut", "mm", "number", decimals=0, bold=True),
    Column("colour and size"),
    Column("from"),
    Column("to"),
    Column("labelled", kind="tick"),
    Column("done", kind="tick"),
)
TEST: Final = (
    Column("from", bold=True),
    Column("to", bold=True),
    Column("should be"),
    Column("measured", kind="blank", width_mm=26.0),
    Column("initials", kind="blank", width_mm=18.0),
)
INTRO: Final = (
    "A small loom of its own: joined into the car's own wire before the car's plug, brought out to a mating "
    "half. Read the wire with the meter at the very place of the joint, before anything is cut."
)
NEEDED: Final = ("battery", "airbag", "brakes and steering", "own wire")
REFUSED: Final = (
    "No sheet is printed for {name}. It taps a wire told as {what}. Airbag and seat-belt wiring is not cut, "
    "spliced, probed or moved: a meter there can fire it in somebody's face, a joint can keep it silent. "
    "Take the feed or signal from another system and leave this one to a qualified person."
)
WITH_CARE: Final = (
    "This wire belongs to {what}. Work from the car maker's diagram only; a bad joint takes brakes, "
    "stability control or steering help away without a warning. Try every function of that system afterwards."
)
STEPS: Final = (
    "Battery off, negative first. Strip without cutting a strand, join, tug, seal with glue-lined sleeve and "
    "tie on both sides. Nothing of the car's own wire is left bare or shortened."
)


def tap_sheets(view: View) -> tuple[Sheet, ...]:
    """Return a sheet for every tap that stays or comes."""
    refused = {f.subject for f in airbag_tap(view.worked)}
    careful = {f.subject for f in brake_tap(view.worked)}
    return tuple(
        _refusal(d, d.tap) if d.name in refused else _sheet(view, d, d.tap, d.name in careful)
        for d in view.devices
        if d.tap is not None and d.state is not DeviceState.PROVISION
    )


def _refusal(device: Device, tap: Tap) -> Sheet:
    words = REFUSED.format(name=device.name, what=tap.system or "airbag wiring")
    blocks = (Caution(words, "Refused"),)
    return Sheet(f"tap-{device.name}", f"Tap {device.name}: refused", blocks)


def _sheet(view: View, device: Device, tap: Tap, careful: bool) -> Sheet:
    wires = _own_wires(view, device)
    blocks: list[Block] = []
    if careful:
        blocks.append(Caution(WITH_CARE.format(what=tap.system or "brakes or steering")))
    blocks += [_facts(view, device, tap, wires), _meter(tap), Paragraph(STEPS)]
    cut = tuple(_cut_row(view, w) for w in wires)
    if cut:
        note = "Each end is labelled before it is joined; labels are in the label sheets and labels.csv."
        blocks.append(Table(CUT, (RowGroup(cut),), "Cut list of the tap", note))
    blocks.append(Table(TEST, (RowGroup(tuple(_tests(view, device, tap, wires))),), "Test"))
    stamps = tuple(dict.fromkeys(s for key in ("circuits", "cut list") for s in view.stamps(key)))
    title = f"Tap {device.name}"
    cautions = tuple(c.words for c in CAUTIONS if c.key in NEEDED)
    return Sheet(f"tap-{device.name}", title, tuple(blocks), INTRO, cautions, stamps)


def _facts(view: View, device: Device, tap: Tap, wires: tuple[Wire, ...]) -> Facts:
    loom = next((view.loom_of_end[c.end] for c in device.connectors if c.end in view.loom_of_end), "")
    pairs = [
        ("Car's own wire", f"{colour_words(tap.colour)} {_size(tap.size)}".strip()),
        ("Belongs to", tap.system),
        ("Car's plug", tap.plug),
        ("Cavity", tap.cavity),
        ("Place of the joint", tap.place),
        ("Gives", ", ".join(dict.fromkeys(p.circuit for p in device.pins))),
        ("Loom", loom),
        ("Comes out to", _halves(view, wires) or "no mating half in the job: it can't be unplugged"),
    ]
    return Facts(tuple(pairs), across=2)


def _size(text: str) -> str:
    """A bare number is mm²."""
    return f"{text} mm²" if text.replace(".", "", 1).isdigit() else text


def _halves(view: View, wires: tuple[Wire, ...]) -> str:
    ends = dict.fromkeys(e.point for w in wires for e in (w.a, w.b))
    plugs = (view.job.connector.get(end) for end in ends)
    return ", ".join(f"{c.end}, mates with {c.mates}" for c in plugs if c is not None and c.mates)


def _own_wires(view: View, device: Device) -> tuple[Wire, ...]:
    """The wires of a tap: from the joint through its in-line fuse to the first plug behind."""
    fused = {(p.device, p.line): p.load for p in view.job.protections}
    pins = {p.id: p for p in view.job.pins}
    found: dict[str, Wire] = {}
    waiting = [p.id for p in device.pins]
    for here in waiting:
        for wire in (w for w in view.routed.wires if here in (w.a.name, w.b.name)):
            if wire.identity in found:
                continue
            found[wire.identity] = wire
            far = wire.b if wire.a.name == here else wire.a
            pin = pins.get(far.name)
            load = fused.get((pin.device, pin.circuit)) if pin else None
            if load is not None and pin is not None:
                waiting += [p.id for p in view.job.device[pin.device].pins if p.circuit == load]
            elif far.kind is EndKind.SPLICE:
                waiting.append(far.name)
    return tuple(sorted(found.values(), key=lambda w: w.number))


def _meter(tap: Tap) -> Table:
    read = (("off", tap.key_off_v), ("on", tap.key_on_v), ("cranking", tap.cranking_v))
    rows = tuple((key, "not read" if v is None else f"{v:g}", "", "", "") for key, v in read)
    return Table(METER, (RowGroup(rows),), "Meter against the battery's negative")


def _cut_row(view: View, wire: Wire) -> Row:
    cut = view.sized.length[wire.identity].cut_mm
    words = f"{colour_words(wire.colour)}, {size_words(view.size(wire))}"
    return (wire.label, cut, words, end_words(wire.a), end_words(wire.b), None, None)


def _tests(view: View, device: Device, tap: Tap, wires: tuple[Wire, ...]) -> Iterator[Row]:
    own = {w.identity for w in wires}
    for r in readings(view):
        if all(w.identity in own for w in r.wires):
            ohm = f"{r.ohm:.2f} ohm or less" if r.ohm is not None else "closed"
            yield (r.start, r.end, f"before it is joined: {ohm}", "", "")
    joint = ", ".join(p.id for p in device.pins)
    yield (joint, "body", "before it is joined: open, over 1 MOhm", "", "")
    if tap.key_on_v is not None:
        words = f"joined, key on, loaded: {tap.key_on_v:g} V, within 0.2 V [common practice]"
        yield (joint, "battery's negative", words, "", "")
    yield (tap.system or "the car's system", "its own function", "works as before", "", "")
