"""Device pages: all of a device on its page, what to look at first in the right order, a code to scan."""

import pypdfium2
import pytest
import zxingcpp

from loomwright.model.words import DeviceState
from loomwright.pack.device_ohms import elements
from loomwright.pack.device_pages import device_pages
from loomwright.pack.label_codes import read_code
from loomwright.pack.nets_by_wire import readings
from loomwright.pack.pages import Table, every_block
from loomwright.pack.papers import pack_head
from loomwright.pack.view import View
from loomwright.sheets.typeset import pack_pdf

from .worked_jobs import DAY, rows, worked

JOBS = ("small", "six", "hillclimb", "v8")


def view(name):
    done = worked(name)
    return View(done.worked, done.findings, done.digest, DAY)


def pages(name):
    return {s.key.removeprefix("device-"): s for s in device_pages(view(name))}


@pytest.mark.parametrize("job", JOBS)
def test_every_device_has_its_page_and_every_pin_its_row(job):
    seen, found = view(job), pages(job)
    for device in seen.job.devices:
        if device.state is DeviceState.REMOVED or not any(device.pins):
            assert device.name not in found
            continue
        listed = rows(found[device.name], "cavity", "should read")
        for pin in device.pins:
            own = [r for r in listed if r["cavity"] == pin.cavity and r["circuit"] == pin.circuit]
            wires = {w.label for w in seen.routed.at_pin.get(pin.id, ())}
            assert {r["wire"].split()[0] for r in own} == (wires or {"no"}), pin.id


def test_a_removed_device_has_no_page():
    assert "ECU" in pages("small")
    assert "NOBODY" not in pages("small")


def test_fuse_then_ground_then_splice_then_plug():
    order = ("fuse", "link", "relay", "switch", "ground", "splice", "plug")
    ranks = {"fuse": 0, "link": 0, "relay": 0, "switch": 0, "ground": 1, "splice": 2, "plug": 3, "its": 4}
    for sheet in pages("hillclimb").values():
        said = [r["look at"] for r in rows(sheet, "look at")]
        told = [next((w for w in (*order, "its") if w in line.split()), None) for line in said]
        found = [ranks[w] for w in told if w is not None]
        if sheet.key not in ("device-FBP", "device-FBS"):
            assert found == sorted(found), (sheet.key, said)


def test_what_feeds_an_injector_of_the_hillclimb_stands_nearest_first():
    said = [r["look at"] for r in rows(pages("hillclimb")["INJ1"], "look at")]
    wanted = ["blade fuse F11, 10 A in FBS", "relay K1, contact K1:87", "blade fuse F1, 30 A in FBP"]
    assert said[:3] == wanted


@pytest.mark.parametrize("job", JOBS)
def test_the_way_of_a_wire_joins_its_two_ends(job):
    """The points told, with both ends, are a walk over sections that lie end to end."""
    seen, found = view(job), pages(job)
    points = {s.inner for t in seen.trees for s in t.sections} | {
        s.outer for t in seen.trees for s in t.sections
    }
    for device in seen.devices:
        if device.name not in found:
            continue
        runs = rows(found[device.name], "from here by")
        labels = {w.label for p in device.pins for w in seen.routed.at_pin.get(p.id, ())}
        assert {r["wire"] for r in runs} == labels
        for run in runs:
            wire = next(w for w in seen.routed.wires if w.label == run["wire"])
            assert set(filter(None, run["from here by"].split(", "))) <= points
            assert len(wire.way) <= 1 or run["from here by"]


def test_codes_on_the_pages_name_their_plugs():
    seen = view("six")
    data = pack_pdf(pack_head(seen.worked, "d", DAY), device_pages(seen))
    read = set()
    for page in pypdfium2.PdfDocument(data):
        for one in zxingcpp.read_barcodes(page.render(scale=200 / 72).to_pil()):
            read.add(read_code(one.text).name)
    assert read == {c.end for c in seen.connectors if c.pins}


@pytest.mark.parametrize("job", JOBS)
def test_a_wire_beeps_to_what_the_test_sheet_joins_it_to(job):
    """Of any two ends told by one page's beeps the test sheet's readings make one joined set as well."""
    seen, found = view(job), pages(job)
    joined = {}
    for r in readings(seen):
        both = joined.get(r.start, {r.start}) | joined.get(r.end, {r.end})
        for end in both:
            joined[end] = both
    for device in seen.devices:
        if device.name not in found:
            continue
        told = {}
        for row in rows(found[device.name], "beeps to"):
            told[row["wire"]] = set(row["beeps to"].split(", "))
        for pin in device.pins:
            own = [told[w.label] for w in seen.routed.at_pin.get(pin.id, ())]
            if own:
                assert set.union(*own) == joined[pin.id] - {pin.id}, pin.id


def test_an_injector_beeps_to_the_others_on_its_splice_and_to_nothing_beyond_the_plate():
    row = {r["wire"]: r for r in rows(pages("hillclimb")["INJ1"], "beeps to")}
    assert row["W12"]["beeps to"] == "INJ2:1, INJ3:1, INJ4:1, X1E:9"
    assert row["W26"]["beeps to"] == "X2E:1"


@pytest.mark.parametrize("job", ["six", "hillclimb"])
def test_a_device_of_one_plug_has_one_page(job):
    seen = view(job)
    head = pack_head(seen.worked, "d", DAY)
    alone = [s for s in device_pages(seen) if s.key != "device-ECU"]
    assert len(pypdfium2.PdfDocument(pack_pdf(head, alone))) == len(alone)


@pytest.mark.parametrize(
    ("device", "between", "ohms"),
    [
        ("INJ1", ["1 and 2"], "10 to 16 ohm"),
        ("K1", ["86 and 85"], "60 to 120 ohm"),
        ("STS", ["1 and its case"], "0.2 to 1.5 ohm"),
        ("TPS", ["1 and 2"], "3500 to 6500 ohm"),
        ("ECU", [], ""),
    ],
)
def test_ohms_lie_between_the_right_pins(device, between, ohms):
    found = elements(view("hillclimb").job.device[device])
    assert [e.words for e in found] == between
    assert all(e.ohms == ohms for e in found)


def test_the_motor_of_a_throttle_and_both_tracks_of_a_pedal():
    job = view("v8").job
    assert [e.words for e in elements(job.device["ETB"])] == ["1 and 2"]
    assert [e.words for e in elements(job.device["PED"])] == ["1 and 2", "4 and 5"]


@pytest.mark.parametrize(
    ("device", "cavity", "should_read"),
    [
        ("FAN", "1", "battery volts while K3 is on, 13.3 to 13.8 V running"),  # behind a relay
        ("FBP", "F1", "battery volts"),  # a box that is fed at all times
        ("FBS", "F1", "battery volts while K1 is on"),  # a box behind the main relay
        ("K1", "87", "battery volts while it is on"),
        ("INR", "2", "battery volts while it and K1 are on"),
        (
            "STB",
            "1",
            "battery volts while IGN is on, 13.3 to 13.8 V running",
        ),  # the car's own feed, 0 V key off
        ("ALT", "1", "battery volts at rest, 13.3 to 13.8 V running"),
    ],
)
def test_a_feed_is_told_with_what_has_to_be_on_for_it(device, cavity, should_read):
    told = {r["cavity"]: r["should read"] for r in rows(pages("hillclimb")[device], "should read")}
    assert told[cavity] == should_read


def test_where_to_look_goes_on_to_the_driver():
    look = [row[1] for row in _looks(pages("hillclimb")["INJ3"])]
    assert look[-1] == "inj 3, far side: X2E:3, X2C:3, ECU.A:3: contacts straight, pushed home"
    assert not [row for row in _looks(pages("hillclimb")["X2E"]) if "far side" in row[1]]


def _looks(sheet):
    found = [
        b for b in every_block(sheet.blocks) if isinstance(b, Table) and b.title == "Where to look first"
    ]
    return [row for table in found for row in table.rows]
