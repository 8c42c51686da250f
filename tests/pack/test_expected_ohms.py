"""Expected ohms against a nodal solution of the wires, feed-to-ground readings against sums by hand."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from loomwright.job import work_out_read
from loomwright.jobfile.read import job_of_text
from loomwright.pack.feed_to_ground import feeds_to_ground, unplugged
from loomwright.pack.nets_by_wire import readings, wire_ohm
from loomwright.pack.test_by_instrument import COLUMNS, continuity_row, four_wire_mohm, loaded_row
from loomwright.pack.view import View
from loomwright.routing.routed import EndKind

from .worked_jobs import DAY, worked

JOBS = ("small", "six", "hillclimb", "v8")


def view(name):
    done = worked(name)
    return View(done.worked, done.findings, done.digest, DAY)


def nodal_ohm(wires, ohm_of, start, end):
    """Resistance between two nodes by the pseudo-inverse of the Laplacian."""
    names = sorted({n for w in wires for n in (w[0], w[1])})
    at = {n: i for i, n in enumerate(names)}
    laplacian = np.zeros((len(names), len(names)))
    for a, b, wire in wires:
        g = 1 / ohm_of(wire)
        laplacian[at[a], at[a]] += g
        laplacian[at[b], at[b]] += g
        laplacian[at[a], at[b]] -= g
        laplacian[at[b], at[a]] -= g
    inverse = np.linalg.pinv(laplacian, hermitian=True)
    i, j = at[start], at[end]
    return inverse[i, i] + inverse[j, j] - 2 * inverse[i, j]


def named(end):
    words = {EndKind.SEALED: f"sealed at {end.name}", EndKind.DRAIN_CUT: f"screen cut back at {end.name}"}
    return words.get(end.kind, end.name)


@pytest.mark.parametrize("job", JOBS)
def test_every_line_of_the_test_sheet_agrees_with_a_nodal_solution(job):
    seen = view(job)
    found = readings(seen)
    assert found
    for r in found:
        wires = [(named(w.a), named(w.b), w) for w in seen.routed.wires_of[r.circuit]]
        wanted = nodal_ohm(wires, lambda w: wire_ohm(seen, w), r.start, r.end)
        assert r.wire_ohm == pytest.approx(wanted, rel=1e-6, abs=1e-9), (r.circuit, r.start, r.end)


def test_a_wire_left_out_is_noticed():
    seen = view("small")
    r = next(r for r in readings(seen) if len(r.wires) > 1)
    wires = [(named(w.a), named(w.b), w) for w in seen.routed.wires_of[r.circuit]]
    wanted = nodal_ohm(wires, lambda w: wire_ohm(seen, w), r.start, r.end)
    assert r.wire_ohm - wire_ohm(seen, r.wires[0]) != pytest.approx(wanted, rel=1e-3)


PLUGGED = """
format = 1
[job]
title = "Invented: what a meter reads to ground"
volts = 13.8
[loom.engine]
datum = "bulkhead"
[device.BAT]
is = "battery"
cavity."+" = "battery feed"
[device.FB]
is = "fuse box 4"
cavity."IN" = "battery feed"
cavity."F1" = "solenoid feed"
cavity."F2" = "coil feed"
cavity."F3" = "switched feed"
[fuse.F1]
amps = 20
line = "battery feed"
load = "solenoid feed"
device = "FB"
[fuse.F2]
amps = 10
line = "battery feed"
load = "coil feed"
device = "FB"
[fuse.F3]
amps = 10
line = "battery feed"
load = "switched feed"
device = "FB"
[device.L1]
is = "line lock solenoid"
cavity."1" = "solenoid feed"
cavity."2" = "body ground"
[device.L2]
is = "line lock solenoid"
cavity."1" = "solenoid feed"
cavity."2" = "body ground"
[device.INJ1]
is = "injector, high impedance"
cavity."1" = "coil feed"
cavity."2" = "inj 1"
[device.ECU]
is = "controller 26"
cavity."1" = "inj 1"
cavity."2" = "body ground"
[device.G1]
is = "body ground stud"
cavity."stud" = "body ground"
[rope.trunk]
from = "bulkhead"
reads = [["B1", 500], ["B2", 900], ["G1", 1200]]
[section."B1-FB"]
mm = 200
[section."B1-BAT"]
mm = 300
[section."B1-ECU"]
mm = 300
[section."B2-L1"]
mm = 200
[section."B2-L2"]
mm = 300
[section."B2-INJ1"]
mm = 250
"""


def plugged(text=PLUGGED):
    done = work_out_read(job_of_text(text))
    return View(done.worked, done.findings)


def test_two_solenoids_on_a_fuse_are_read_side_by_side():
    """By hand: feed wire to the splice, then two branches (wire, coil, ground wire) side by side."""
    seen = plugged()
    joint = seen.job.shop.contact_ohm.value
    r = {w.identity: wire_ohm(seen, w) + 2 * joint for w in seen.routed.wires}
    feed = [w for w in seen.routed.wires if w.circuit == "solenoid feed"]

    def of(*names):
        found = [w for w in seen.routed.wires if {*names} <= {w.a.name, w.b.name}]
        assert len(found) == 1, names
        return r[found[0].identity]

    splice = next(e.name for w in feed for e in (w.a, w.b) if e.kind is EndKind.SPLICE)
    stud = "G1:stud"
    reading = next(f for f in feeds_to_ground(seen) if f.name.startswith("F1,"))
    for coil, got in ((2.0, reading.low_ohm), (4.0, reading.high_ohm)):
        ways = [of(splice, f"{d}:1") + coil + of(f"{d}:2", stud) for d in ("L1", "L2")]
        wanted = of("FB:F1", splice) + 1 / sum(1 / way for way in ways)
        assert got == pytest.approx(wanted, rel=1e-9)
    assert reading.through == ("L1", "L2")


def test_what_ends_at_the_unplugged_controller_is_open():
    seen = plugged()
    assert unplugged(seen) == {"ECU"}
    reading = next(f for f in feeds_to_ground(seen) if f.name.startswith("F2,"))
    assert math.isinf(reading.low_ohm)
    assert reading.words == "open, over 1 MOhm"


def test_the_pump_of_the_v8_reads_its_ohms_and_its_wires():
    seen = view("v8")
    joint = seen.job.shop.contact_ohm.value
    reading = next(f for f in feeds_to_ground(seen) if f.circuit == "pump feed")
    pump = seen.job.device["PMP"]
    wires = [w for w in seen.routed.wires if any(e.name.startswith("PMP:") for e in (w.a, w.b))]
    assert len(wires) == 2
    wanted = pump.ohms_low + sum(wire_ohm(seen, w) + 2 * joint for w in wires)
    assert reading.low_ohm == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("job", JOBS)
def test_every_protection_and_relay_has_a_reading_and_least_is_below_most(job):
    seen = view(job)
    found = feeds_to_ground(seen)
    names = [f.name for f in found]
    for p in seen.job.protections:
        assert f"{p.name}, {p.amps:g} A" in names
    for f in found:
        assert f.low_ohm <= f.high_ohm + 1e-12
        assert f.at


def test_what_is_only_provided_for_is_not_plugged_in():
    text = PLUGGED.replace("[device.L2]\n", '[device.L2]\nstate = "provision only"\n')
    both, one = (
        next(f for f in feeds_to_ground(plugged(t)) if f.name.startswith("F1,")) for t in (PLUGGED, text)
    )
    assert one.through == ("L1",)
    assert one.low_ohm > 1.8 * both.low_ohm


def reading(wires, wire, joint):
    ohm = None if wire is None else wire + joint
    labels = tuple(SimpleNamespace(label=f"W{n}") for n in range(wires))
    return SimpleNamespace(
        start="A:1", end="B:1", circuit="c", wires=labels, wire_ohm=wire or 0.0, joint_ohm=joint, ohm=ohm
    )


def test_a_four_wire_meter_is_told_ten_to_twenty_milliohms_a_joint():
    assert four_wire_mohm(reading(1, 0.130, 0.02)) == pytest.approx((150.0, 170.0))
    assert four_wire_mohm(reading(3, 0.100, 0.04)) == pytest.approx((140.0, 180.0))
    assert four_wire_mohm(reading(1, None, 0.02)) == ("closed", "below 1 ohm")


def test_the_loaded_test_tells_five_amps_and_the_lamp():
    row = loaded_row(reading(1, 0.020, 0.020))
    assert row[3:6] == pytest.approx((100.0, 200.0, 70.0))  # 0.04 ohm x 5 A; x 21 W / 12 V


@pytest.mark.parametrize(
    ("instrument", "units"), [("beeper", set()), ("hand meter", {"ohm"}), ("4-wire", {"mOhm"})]
)
def test_the_sheet_goes_by_the_instrument(instrument, units):
    seen = view("small")
    shop = replace(seen.job.shop, instrument=instrument)
    owned = View(replace(seen.worked, job=replace(seen.job, shop=shop)), ())
    assert {c.unit for c in COLUMNS[instrument] if c.unit} == units
    for r in readings(owned):
        assert len(continuity_row(owned, r)) == len(COLUMNS[instrument])
