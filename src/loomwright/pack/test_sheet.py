"""The test sheet: what to measure before the loom goes to the car, and what the meter should show."""

from collections.abc import Iterable, Iterator
from typing import Final

from loomwright.library.faces import neighbours
from loomwright.model.words import CableKind, CircuitKind
from loomwright.pack.nets_by_wire import Reading, readings
from loomwright.pack.pages import Block, Column, Flow, Heading, Paragraph, Row, RowGroup, Sheet, Table
from loomwright.pack.test_by_instrument import (
    BELOW,
    LOADED,
    VALUE,
    WHO,
    continuity_columns,
    continuity_row,
    continuity_words,
    instrument_of,
    loaded_row,
)
from loomwright.pack.view import View, end_words, many
from loomwright.routing.routed import EndKind
from loomwright.sizing.plugs import face_of

SHORTS: Final = (
    Column("pin", bold=True),
    Column("circuit"),
    Column("beside it"),
    Column("measured", kind="blank", width_mm=17.0),
    Column("initials", kind="blank", width_mm=13.0),
)
OTHERS: Final = (Column("what", bold=True), Column("between"), Column("should be"), VALUE, WHO)
TERMINATOR_OHM: Final = 120.0  # ISO 11898-2, from memory
INTRO: Final = (
    "On the bench, nothing plugged in, before boots and glue: a fault can still be mended. Write what the "
    "meter shows."
)
LOAD_WORDS: Final = (
    "Feeds and grounds with current through them, some seconds each, millivolts read along the circuit: 5 A "
    "from a bench supply, or a 21 W lamp on 12 V (1.75 A) [common practice]. Far above the figure with "
    "joints: look for a weak crimp. This is the one test that finds it."
)
SHORT_WORDS: Final = (
    "At least 1 MOhm [common practice]. Every circuit once, at the largest plug it reaches. Bond all other "
    "pins of that plug together with screens and housings, for a plug of one pin those of the largest plug, "
    "and measure against them. Pins beside it with another circuit are named: a stray strand bridges them "
    "first."
)


def test_sheet(view: View) -> Sheet:
    """Return the test sheet: continuity, loads, shorts, screens and buses, coils."""
    found = readings(view)
    blocks: list[Block] = []
    if found:
        rows = tuple(continuity_row(view, r) for r in _by_plug(found))
        table = Table(continuity_columns(view), (RowGroup(rows),), close=True)
        title = f"Continuity, pin to pin, by {instrument_of(view)}".replace("4-wire", "4-wire meter")
        blocks += [Heading(title), Paragraph(continuity_words(view)), table]
    loaded = tuple(loaded_row(r) for r in _by_plug(found) if _carries(view, r))
    if loaded:
        table = Table(LOADED, (RowGroup(loaded),), close=True)
        blocks += [Heading("Feeds and grounds under load"), Paragraph(LOAD_WORDS), table]
    if found:
        shorts = tuple(_short(view, pin, name) for pin, name in _probes(view, found))
        table = Table(SHORTS, (RowGroup(shorts),), close=True)
        blocks += [Heading("Shorts"), Paragraph(SHORT_WORDS), Flow((table,))]
    rows = (*_screens(view), *_buses(view))
    if rows:
        blocks += [Heading("Screens and buses"), Table(OTHERS, (RowGroup(rows),), close=True)]
    coils = tuple(_coils(view))
    if coils:
        table = Table(OTHERS, (RowGroup(coils),), close=True)
        blocks += [Heading("Devices, before they are plugged in"), table]
    cautions, stamps = view.cautions("bench test"), view.stamps("test")
    return Sheet("test", "Test sheet", tuple(blocks), INTRO, cautions, stamps)


def _by_plug(found: Iterable[Reading]) -> list[Reading]:
    """Readings plug by plug of the probe that stays, plugs in the order they come up."""
    own: dict[str, list[Reading]] = {}
    for one in found:
        own.setdefault(one.start.rsplit(":", 1)[0], []).append(one)
    return [one for some in own.values() for one in some]


def _carries(view: View, r: Reading) -> bool:
    kinds = (CircuitKind.FEED, CircuitKind.POWER_GROUND, CircuitKind.CHASSIS)
    circuit = view.job.circuit.get(r.circuit)
    return circuit is not None and circuit.kind in kinds


def _probes(view: View, found: tuple[Reading, ...]) -> list[tuple[str, str]]:
    """One pin for every joined set of wires: the one in the plug with most pins, and its circuit."""
    joined: dict[str, list[Reading]] = {}
    for r in found:
        joined.setdefault(r.start, []).append(r)
    pins = {end: len(plug.pins) for end, plug in view.job.connector.items()}

    def rank(pin: str) -> tuple[int, str]:
        return (-pins.get(pin.rsplit(":", 1)[0], 0), pin)

    chosen = [
        (min((start, *(r.end for r in rows)), key=rank), rows[0].circuit) for start, rows in joined.items()
    ]
    order = {end: n for n, end in enumerate(view.job.connector)}
    return sorted(chosen, key=lambda one: order.get(one[0].rsplit(":", 1)[0], len(order)))


def _short(view: View, pin: str, circuit: str) -> Row:
    return (pin, circuit, _beside(view, pin, circuit), "", "")


def _beside(view: View, pin: str, circuit: str) -> str:
    """Cavities side by side with this one that hold another circuit."""
    end, cavity = pin.rsplit(":", 1) if ":" in pin else (pin, "")
    plug = view.job.connector.get(end)
    face = face_of(view.job, plug) if plug else None
    if plug is None or face is None:
        return ""
    used = {p.cavity: p.circuit for p in plug.pins}
    near = [b if a == cavity else a for a, b in neighbours(face) if cavity in (a, b)]
    return ", ".join(c for c in near if c in used and used[c] != circuit)


def _screens(view: View) -> Iterator[Row]:
    """Each screen: continuous to where it is drained, open where it is cut back."""
    for wire in view.routed.wires:
        if not wire.screen:
            continue
        what = f"screen of {wire.cable} ({wire.label})"
        drained = [end_words(end) for end in (wire.a, wire.b) if end.kind is not EndKind.DRAIN_CUT]
        for end in (wire.a, wire.b):
            if end.kind is EndKind.DRAIN_CUT:
                far = f"screen at {end.name}"
                if drained:
                    yield (what, f"{far} and {' and '.join(drained)}", f"{BELOW} ohm [ours]", "", "")
                yield (what, f"{far} and cores, pins, housing there", "open, over 1 MOhm", "", "")


def _buses(view: View) -> Iterator[Row]:
    ends = {loom.name: loom.terminators for loom in view.job.looms}
    for cable in view.job.cables:
        kinds = {view.job.circuit[c].kind for c in cable.circuits if c in view.job.circuit}
        if cable.kind is not CableKind.PAIR or kinds != {CircuitKind.BUS}:
            continue
        high, low = cable.circuits[:2]
        for loom in sorted({w.loom for w in view.routed.wires_of.get(high, ())}):
            what = f"bus {cable.name}, loom {loom}"
            yield (what, f"{high} and {low}", bus_words(ends.get(loom, 0)), "", "")
            yield (what, f"{high}, {low} and feeds, 0 V", "over 10 kOhm", "", "")


def bus_words(terminators: int) -> str:
    """Return what stands between the two wires of a bus, by the terminators a loom has."""
    if terminators == 0:
        return "open, over 1 MOhm: no terminator in this loom"
    ohm = TERMINATOR_OHM / terminators
    count = many(terminators, "terminator")
    return f"{ohm:.0f} ohm: {count} in this loom; without {'it' if terminators == 1 else 'them'} open"


def _coils(view: View) -> Iterator[Row]:
    for device in view.devices:
        if device.ohms_low is None or device.ohms_high is None:
            continue
        switched = {pin for pair in device.through for pin in pair}
        pins = " and ".join(p.cavity for p in device.pins if p.id not in switched)
        ohms = f"{device.ohms_low:g} to {device.ohms_high:g} ohm, cold"
        yield (device.name, f"its pins {pins}", ohms, "", "")
