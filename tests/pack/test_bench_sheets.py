"""Taps, field sheet, power-up, walk, groups and crimp samples: what stands on them, and what may not."""

from dataclasses import replace

import networkx
import pytest

from loomwright.building.steps_car import STAGES
from loomwright.calc.crimps import pull_minima_awg, pull_minima_mm2
from loomwright.library.wires import families
from loomwright.pack.crimp_samples import crimp_samples, pulls
from loomwright.pack.engine_out import engine_out
from loomwright.pack.exit_groups_sheet import exit_groups_sheet
from loomwright.pack.field_sheet import field_sheet
from loomwright.pack.installation_walk import installation_walk
from loomwright.pack.pages import Card, Caution, Facts, Heading, Table, every_block
from loomwright.pack.power_up import READINGS, power_up
from loomwright.pack.route import near_words
from loomwright.pack.tap_sheets import tap_sheets
from loomwright.pack.view import View
from loomwright.routing.routed import EndKind

from .worked_jobs import DAY, rows, worked

JOBS = ("small", "six", "hillclimb", "v8")


def view(name):
    done = worked(name)
    return View(done.worked, done.findings, done.digest, DAY)


def tapped(system, **tap):
    """The hillclimb with its tap told as another system's."""
    seen = view("hillclimb")
    devices = tuple(
        replace(d, tap=replace(d.tap, system=system, **tap)) if d.tap else d for d in seen.job.devices
    )
    return View(replace(seen.worked, job=replace(seen.job, devices=devices)), ())


@pytest.mark.parametrize("system", ["airbag", "SRS", "seat belt pretensioner", "restraint squib"])
def test_an_airbag_tap_gets_no_sheet_but_the_reason(system):
    (sheet,) = tap_sheets(tapped(system))
    (only,) = sheet.blocks
    assert isinstance(only, Caution)
    assert "not cut" in only.text
    assert "refused" in sheet.title


@pytest.mark.parametrize("system", ["brake light", "ABS", "power steering"])
def test_a_brake_or_steering_tap_is_cautioned_and_still_printed(system):
    (sheet,) = tap_sheets(tapped(system))
    assert "maker's diagram" in sheet.blocks[0].text
    assert rows(sheet, "cut")


def test_a_tap_tells_what_was_read_and_leaves_room_for_what_was_not():
    (sheet,) = tap_sheets(tapped("ignition", cranking_v=None))
    read = {r["key"]: r["read before"] for r in rows(sheet, "key")}
    assert read == {"off": "0", "on": "12.5", "cranking": "not read"}
    facts = dict(p for b in sheet.blocks if isinstance(b, Facts) for p in b.pairs)
    assert facts["Comes out to"] == "XTK, mates with XTC"
    assert [r["wire"] for r in rows(sheet, "wire", "cut")] == ["W213", "W214"]


@pytest.mark.parametrize("job", JOBS)
def test_with_these_plugs_parted_nothing_holds_the_engine(job):
    """Devices and looms as a graph, the listed plugs taken out: no way is left from engine to car."""
    seen = view(job)
    found = engine_out(seen)
    moving = {a.name for a in seen.job.areas if a.moves_mm > 0}
    assert (found is None) == (not moving)
    if found is None:
        return
    graph = networkx.Graph()
    parted = {p.split(",")[0] for p in found.plugs}
    for tree in seen.trees:
        for end in tree.ends:
            plug = seen.job.connector.get(end)
            if plug is None or end in parted:
                continue
            if not plug.mates:
                graph.add_edge(f"loom {tree.loom}", f"device {plug.device}")
            elif " from ".join(sorted((end, plug.mates))) not in parted and plug.mates in seen.loom_of_end:
                graph.add_edge(f"loom {tree.loom}", f"loom {seen.loom_of_end[plug.mates]}")
    on = [d.name for d in seen.devices if d.area in moving and f"device {d.name}" in graph]
    off = [d.name for d in seen.devices if d.area not in moving and f"device {d.name}" in graph]
    for a in on:
        for b in off:
            assert not networkx.has_path(graph, f"device {a}", f"device {b}"), (a, b)


def test_the_hillclimb_engine_comes_out_with_ten_plugs():
    found = engine_out(view("hillclimb"))
    assert found.with_engine == ("engine",)
    assert len(found.plugs) <= 10
    assert "X1C from X1E" in found.plugs


@pytest.mark.parametrize("job", JOBS)
def test_the_field_sheet_has_every_splice_and_spares_of_every_size(job):
    seen = view(job)
    sheet = field_sheet(seen)
    assert sorted(r["splice"] for r in rows(sheet, "splice")) == sorted(s.name for s in seen.routed.splices)
    bag = " | ".join(r["in the bag"] for r in rows(sheet, "in the bag"))
    for p in seen.job.protections:
        assert p.kind == "trip" or f"{p.kind} {p.amps:g} A" in bag
    assert "extraction tool" in bag
    assert "contact" in bag


@pytest.mark.parametrize("job", JOBS)
def test_power_up_goes_by_the_stages_of_the_build_order(job):
    seen = view(job)
    steps = [s for s in seen.built.steps if s.phase == "power up"]
    heads = [b.text for b in every_block(power_up(seen).blocks) if isinstance(b, Heading)]
    assert len(heads) == len(steps)
    for number, (head, step) in enumerate(zip(heads, steps, strict=True), 1):
        assert head.startswith(f"Stage {number}: ")
        assert head.endswith(f"(step {step.number} of the build order)")


def test_every_stage_has_readings_of_its_own():
    assert set(READINGS) == {name for name, _ in STAGES}


@pytest.mark.parametrize("job", JOBS)
def test_cautions_of_a_stage_stand_before_its_readings(job):
    blocks = tuple(b for b in every_block(power_up(view(job)).blocks) if not isinstance(b, Card))
    tables = [n for n, b in enumerate(blocks) if isinstance(b, Table)]
    for n, block in enumerate(blocks):
        if isinstance(block, Caution):
            stage = max(k for k in range(n) if isinstance(blocks[k], Heading))
            assert not [t for t in tables if stage < t < n]


def test_every_pin_behind_a_fuse_is_asked_for_volts():
    seen = view("hillclimb")
    row = next(r for r in rows(power_up(seen), "fuse in") if r["fuse in"].startswith("F11,"))
    assert row["volts at each of these pins"] == "INJ1:1; INJ2:1; INJ3:1; INJ4:1"


@pytest.mark.parametrize("job", JOBS)
def test_the_walk_passes_every_hazard_tie_and_end(job):
    seen = view(job)
    sheet = installation_walk(seen)
    listed = rows(sheet, "where", "look at")
    near = sum(len(s.passes.near) for t in seen.trees for s in t.sections if s.passes)
    assert sum(r["where"] in {s.name for t in seen.trees for s in t.sections} for r in listed) >= near
    cells = {
        c for b in sheet.blocks if isinstance(b, Table) for row in b.rows for c in row if isinstance(c, str)
    }
    for tree in seen.trees:
        for end in tree.ends:
            device = seen.job.device[seen.job.connector[end].device]
            assert device.tap or end in cells or any(c.startswith(f"{end} with") for c in cells), end


def test_the_throttle_is_worked_with_the_engine_rocked():
    first = rows(installation_walk(view("hillclimb")), "where", "look at")[0]
    assert first["where"] == "throttle cable"
    assert "floor mat" in first["look at"]
    assert "engine rocked" in first["look at"]
    assert not any("throttle cable" in r["where"] for r in rows(installation_walk(view("v8")), "where"))


@pytest.mark.parametrize("job", JOBS)
def test_wires_of_a_section_stand_together_once_at_the_point_they_leave(job):
    seen = view(job)
    found = [r for s in exit_groups_sheet(seen) for r in rows(s, "goes into")]
    groups = [g for g in seen.built.exit_groups if g.wires or g.later]
    told = [(g.section.split("/", 1)[1], len(g.wires)) for g in groups]
    assert sorted((r["goes into"], r["wires, screens"]) for r in found) == sorted(told)
    for row in found:
        names = row["these together, furthest first"]
        here = names.split("from SP")[0]
        wires = [w for w in here.replace("[", "").split(", ") if w.startswith("W")]
        assert len(wires) == row["wires, screens"]


@pytest.mark.parametrize("job", JOBS)
def test_wires_that_begin_beyond_stand_behind_their_splice(job):
    seen = view(job)
    head = "these together, furthest first"
    said = [r[head] for s in exit_groups_sheet(seen) for r in rows(s, "goes into")]
    for group in seen.built.exit_groups:
        for at in {one.at for one in group.later}:
            wires = ", ".join(one.wire for one in group.later if one.at == at)
            assert any(f"from {at}: {wires}" in words for words in said)


@pytest.mark.parametrize("job", JOBS)
def test_every_group_of_a_sheath_is_told_with_its_hour(job):
    seen = view(job)
    found = {r["section"]: r for s in exit_groups_sheet(seen) for r in rows(s, "in the middle")}
    assert len(found) == len(seen.built.lies) > 0
    for one in seen.built.lies:
        row = found[one.section.split("/", 1)[1]]
        told = row["laid on from the inside out, at the hour"].split(", ")
        assert len(told) == sum(not g.core for g in one.groups)
        assert all(words.split()[-1] in {"~", *map(str, range(1, 13))} for words in told)


@pytest.mark.parametrize("job", JOBS)
def test_every_crimp_is_in_a_set_up_with_its_published_pulls(job):
    seen = view(job)
    listed = rows(crimp_samples(seen), "contact", "crimps")
    kinds = (EndKind.PIN, EndKind.STUD, EndKind.SPLICE)
    ends = [e for w in seen.routed.wires if not w.screen for e in (w.a, w.b) if e.kind in kinds]
    assert sum(r["crimps"] for r in listed) == len(ends)


def test_the_pulls_are_those_of_the_tables():
    row = next(r for r in rows(crimp_samples(view("v8")), "at least") if "20 AWG /" in r["wire"])
    commercial, military = (p.min_n for p in pull_minima_awg(20))
    assert row["at least"] == f"{commercial:g} commercial; {military:g} military"
    assert (commercial, military) == pytest.approx((58, 85), abs=0.5)  # printed in newtons, whole
    row = next(r for r in rows(crimp_samples(view("hillclimb")), "at least") if ", 0.5 mm²" in r["wire"])
    assert row["at least"] == "; ".join(f"{p.min_n:g} {p.rule}" for p in pull_minima_mm2(0.5))


@pytest.mark.parametrize(
    ("label", "iec", "qct"), [("0.5", 60, 70), ("1.5", 150, 150), ("2.5", 230, 200), ("4", 310, 270)]
)
def test_a_reel_takes_the_row_of_its_printed_size(label, iec, qct):
    """2.5 mm2 on the reel holds 2.45 mm2 of copper [IEC 60352-2 Table 1; QC/T 29106 Table 2]."""
    size = next(one for one in families()["thin-wall XLPE mm2"].sizes if one.label == label)
    assert [(p.rule, p.min_n) for p in pulls(size)] == [("IEC 60352-2", iec), ("QC/T 29106", qct)]


@pytest.mark.parametrize("job", JOBS)
def test_the_walk_names_a_shield_and_a_tie_only_where_there_is_one(job):
    seen = view(job)
    told = rows(installation_walk(seen), "where", "look at", "should be")
    passing = [s for t in seen.trees for s in t.sections if s.passes]
    beside = {(s.name, near_words(n)): (n, s.passes) for s in passing for n in s.passes.near}
    for row in told:
        near, passes = beside.get((row["where"], row["look at"]), (None, None))
        if near is not None:
            assert ("in place" in row["should be"]) == bool(near.shielded_by), row
            assert passes.ties or "tie undone" not in row["should be"], row


@pytest.mark.parametrize("job", JOBS)
def test_the_walk_seals_grounds_and_no_live_stud(job):
    seen = view(job)
    sealed = []
    for table in (b for b in installation_walk(seen).blocks if isinstance(b, Table)):
        if "sealed after" in table.groups[0].title:
            sealed += [c for row in table.rows for c in row if isinstance(c, str) and c]
    assert sealed
    assert all(seen.job.device[seen.job.connector[end].device].family == "ground" for end in sealed)
