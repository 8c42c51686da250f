"""The tests as a page takes them one by one: plug by plug for the instrument owned, then stage by stage."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from loomwright.building.cautions import CAUTIONS
from loomwright.calc.expected import lamp_amps, millivolts
from loomwright.model.device import Device
from loomwright.pack.bench_limits import limits_in
from loomwright.pack.device_ohms import Element, elements
from loomwright.pack.nets_by_wire import Reading, readings
from loomwright.pack.pages import Column, Paragraph, Row, Table
from loomwright.pack.power_up import READINGS
from loomwright.pack.test_by_instrument import (
    BEEPER,
    BELOW,
    FOUR_WIRE,
    JOINT_HIGH_OHM,
    LAMP_V,
    LAMP_W,
    LOAD_A,
    LOADED,
    continuity_words,
    four_wire_mohm,
    instrument_of,
    joints,
)
from loomwright.pack.test_sheet import LOAD_WORDS, OTHERS, SHORT_WORDS, SHORTS, test_sheet
from loomwright.pack.view import View
from loomwright.records.bench import YES
from loomwright.records.bench_reading import Limits, limits_text

METER_OHM: Final = 0.2  # doubt of a hand meter that reads to 0.1 ohm, leads taken off; ours
SHORT_LIMITS: Final = limits_text(Limits(1.0, None, "MOhm"))  # common practice, as on the test sheet
BY_EYE: Final = ("read", "initials", "measured", "from", "does", "at no other")


@dataclass(frozen=True, slots=True)
class Test:
    """One measurement or look.

    Attributes:
        of: what it is called in the records; stays the same while its pins do
        kind: "continuity", "load", "short", "screen or bus", "device" or "power up"
        where: between what, or at what
        words: circuit, wires, what to bear in mind
        should: what to expect, in words
        limits: what a reading is judged by; "yes" = yes or no; "" = none, noted only
        lamp_should, lamp_limits: the same with a lamp in place of 5 A, "" = no such thing
    """

    of: str
    kind: str
    where: str
    words: str
    should: str
    limits: str
    lamp_should: str = ""
    lamp_limits: str = ""


@dataclass(frozen=True, slots=True)
class TestGroup:
    """Tests done in one go: those of a plug, or those of a stage of the power-up.

    Attributes:
        key: stable name
        title: plug or stage
        words: what to do
        stage: "bench test" or "power up"
        step: key of the step of the build order it belongs to, "" = of every loom
    """

    key: str
    title: str
    words: str
    stage: str
    cautions: tuple[str, ...]
    tests: tuple[Test, ...]
    step: str = ""


def bench_groups(view: View) -> tuple[TestGroup, ...]:
    """Return all tests in the order they are done."""
    return (*_bench(view), *_power(view))


def how_to(view: View) -> dict[str, str]:
    """Return how each kind of bench test is done with the instrument owned."""
    return {"continuity": continuity_words(view), "load": LOAD_WORDS, "short": SHORT_WORDS}


def _bench(view: View) -> Iterator[TestGroup]:
    sheet = test_sheet(view)
    found = {(r.start, r.end): r for r in readings(view)}
    tests = [_continuity(view, r) for r in found.values()]
    tests += [_load(found[a, b]) for a, b in _pairs(_rows(sheet.tables, LOADED))]
    tests += [_short(row) for row in _rows(sheet.tables, SHORTS)]
    by_plug: dict[str, list[Test]] = {}
    for one in tests:
        by_plug.setdefault(one.of.split(": ", 1)[1].split(" > ")[0].rsplit(":", 1)[0], []).append(one)
    order = {end: n for n, end in enumerate(view.job.connector)}
    cautions = view.cautions("bench test")
    for plug in sorted(by_plug, key=lambda p: (order.get(p, len(order)), p)):
        yield TestGroup(f"plug {plug}", plug, "", "bench test", cautions, tuple(by_plug[plug]))
    lines = tuple(_screen(row) for row in _rows(sheet.tables, OTHERS) if str(row[0]) not in view.job.device)
    if lines:
        yield TestGroup("screens and buses", "Screens and buses", "", "bench test", cautions, lines)
    coils = tuple(_coil(d, e) for d in view.devices for e in elements(d))
    if coils:
        yield TestGroup("devices", "Devices, before they are plugged in", "", "bench test", cautions, coils)


def _rows(tables: tuple[Table, ...], columns: tuple[Column, ...]) -> list[Row]:
    return [row for table in tables if table.columns == columns for row in table.rows]


def _pairs(rows: list[Row]) -> list[tuple[str, str]]:
    return [(str(row[0]), str(row[1])) for row in rows]


def _continuity(view: View, r: Reading) -> Test:
    wires = ", ".join(w.label for w in r.wires)
    one = Test(
        f"continuity: {r.start} > {r.end}",
        "continuity",
        f"{r.start} to {r.end}",
        f"{r.circuit}, {wires}",
        "",
        "",
    )
    instrument = instrument_of(view)
    if instrument == BEEPER:
        return replace(one, should="beeps", limits=YES)
    if r.ohm is None:
        limits = limits_text(Limits(None, 1.0, "ohm"))
        return replace(one, should=f"{BELOW} ohm, through a screen [ours]", limits=limits)
    if instrument == FOUR_WIRE:
        low, high = four_wire_mohm(r)
        limits = limits_text(Limits(None, round(float(high), 1), "mOhm"))
        return replace(one, should=f"about {float(low):.0f} mOhm, at most {float(high):.0f}", limits=limits)
    most = r.wire_ohm + joints(r) * JOINT_HIGH_OHM + METER_OHM
    limits = limits_text(Limits(None, round(most, 2), "ohm"))
    return replace(one, should=f"about {r.ohm:.1f} ohm, at most {most:.2f}", limits=limits)


def _load(r: Reading) -> Test:
    """Judged by the most a sound joint may have; the sheet prints what to expect."""
    most = r.wire_ohm + joints(r) * JOINT_HIGH_OHM
    usual = r.ohm or 0.0
    (whole, high), (lamp, lamp_high) = (
        (millivolts(usual, amps), round(millivolts(most, amps), 1))
        for amps in (LOAD_A, lamp_amps(LAMP_W, LAMP_V))
    )
    return Test(
        f"load: {r.start} > {r.end}",
        "load",
        f"{r.start} to {r.end}",
        f"{r.circuit}, current through it",
        f"about {whole:.0f} mV at 5 A, at most {high:.0f}",
        limits_text(Limits(None, high, "mV")),
        f"about {lamp:.0f} mV with the lamp, at most {lamp_high:.0f}",
        limits_text(Limits(None, lamp_high, "mV")),
    )


def _short(row: Row) -> Test:
    pin, circuit, beside = (str(cell) for cell in row[:3])
    words = f"{circuit}, against all other pins" + (f"; beside it: {beside}" if beside else "")
    return Test(
        f"short: {pin} > all others", "short", f"{pin} to all others", words, "at least 1 MOhm", SHORT_LIMITS
    )


def _screen(row: Row) -> Test:
    what, between, should = (str(cell) for cell in row[:3])
    return Test(
        f"screen or bus: {what}, {between}", "screen or bus", what, between, should, limits_in(should)
    )


def _coil(device: Device, one: Element) -> Test:
    limits = limits_text(Limits(one.low_ohm, one.high_ohm, "ohm"))
    return Test(
        f"device: {device.name}, {one.words}", "device", device.name, one.words, f"{one.ohms}, cold", limits
    )


def _power(view: View) -> Iterator[TestGroup]:
    words = {c.key: c.words for c in CAUTIONS}
    for step in view.built.steps:
        if step.phase != "power up" or step.name not in READINGS:
            continue
        blocks = tuple(READINGS[step.name](view))
        said = [b.text for b in blocks if isinstance(b, Paragraph)]
        tables = [b for b in blocks if isinstance(b, Table)]
        tests = tuple(_staged(step.name, t, row) for t in tables for row in t.rows)
        cautions = tuple(words[key] for key in step.cautions if key in words)
        told = " ".join((step.words, *said))
        yield TestGroup(f"stage {step.name}", step.name, told, "power up", cautions, tests, f"/{step.name}")


def _staged(stage: str, table: Table, row: Row) -> Test:
    cells = {c.head: str(x) for c, x in zip(table.columns, row, strict=True) if x not in (None, "")}
    heads = [c.head for c in table.columns if c.head not in BY_EYE]
    should_head = next((h for h in ("should be", "to ground", "should") if h in heads), "")
    should = cells.get(should_head, "")
    if "volts at each of these pins" in heads:
        should = "battery volts at each pin named, none beside"
    first = cells[heads[0]]
    told = [cells[h] for h in heads[1:] if h in cells and h != should_head]
    told += [f"from {cells['from pin']}"] if "from pin" in cells and "from pin" not in heads else []
    limits = limits_in(should) or YES
    return Test(f"power up {stage}: {first}", "power up", first, ", ".join(told), should, limits)
