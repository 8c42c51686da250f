"""The demo jobs: invented, large enough, built as the trade builds, and without a fault."""

import re
from functools import cache
from pathlib import Path

import pytest

from loomwright.demos import demo_folder, names
from loomwright.errors import OutOfRange
from loomwright.findings import FindingGroup, Severity, grouped
from loomwright.job import WorkedJob, work_out
from loomwright.model.words import CableKind, DeviceState, Join, Supplied

SOUND = ("six", "hillclimb", "v8")


@cache
def worked(name: str) -> WorkedJob:
    return work_out(demo_folder(name))


def groups(name: str, severity: Severity) -> list[FindingGroup]:
    return [
        g for g in grouped(worked(name).findings) if g.severity is severity and not g.findings[0].accepted
    ]


def told(found: list[FindingGroup]) -> str:
    return "\n".join(f"{f.key}: {f.what_is}" for g in found for f in g.findings)


@pytest.mark.parametrize("name", names())
def test_says_that_it_is_invented_and_names_no_place_outside(name: str) -> None:
    text = (demo_folder(name) / "job.toml").read_text("utf-8")
    assert "invented" in text.split("format = 1")[0]
    assert worked(name).read.job.demo
    assert not re.search(r"https?://|/home|/work|\\\\", text)


@pytest.mark.parametrize("name", SOUND)
def test_reads_without_a_word_about_the_file(name: str) -> None:
    assert [f.key for f in worked(name).read.findings] == []


@pytest.mark.parametrize("name", SOUND)
def test_has_no_fault(name: str) -> None:
    found = groups(name, Severity.FAULT)
    assert not found, told(found)


@pytest.mark.parametrize("name", SOUND)
def test_has_few_cautions(name: str) -> None:
    found = groups(name, Severity.CAUTION)
    assert len(found) <= 10, told(found)


def test_a_caution_group_less_is_noticed() -> None:
    """The count above can fail: the faulty copy has far more."""
    assert len(groups("hillclimb-faults", Severity.CAUTION)) > len(groups("hillclimb", Severity.CAUTION))
    assert groups("hillclimb-faults", Severity.FAULT)


def test_unknown_demo_is_refused() -> None:
    with pytest.raises(OutOfRange, match="hillclimb"):
        demo_folder("hilclimb")


def test_every_job_table_line_fits_a_screen() -> None:
    for name in names():
        for file in sorted(Path(demo_folder(name)).glob("*.toml")):
            long = [n for n, line in enumerate(file.read_text("utf-8").splitlines(), 1) if len(line) > 180]
            assert not long, f"{file.name} {long}"


def test_six_is_the_smallest_complete_job() -> None:
    job, routed = worked("six").read.job, worked("six").worked.routed
    assert len([d for d in job.devices if d.kind != "battery"]) == 6
    families = {d.family for d in job.devices}
    assert {"sensor", "actuator", "controller", "relay", "ground", "power"} <= families
    assert job.protections
    assert routed.splices


def test_hillclimb_is_large_enough() -> None:
    job, routed = worked("hillclimb").read.job, worked("hillclimb").worked.routed
    assert len(job.devices) >= 45
    assert len(routed.wires) >= 130
    assert 16 <= sum(len(t.branch_points) for t in routed.trees) <= 24


def test_hillclimb_has_two_looms_that_meet_in_several_plugs() -> None:
    job, routed = worked("hillclimb").read.job, worked("hillclimb").worked.routed
    assert {"engine", "cabin"} <= {x.name for x in job.looms}
    halves = [c for d in job.devices for c in d.connectors if c.mates]
    assert len(halves) >= 8
    assert len(routed.crossings) >= 40
    looms_of = {w.loom for w in routed.wires_of["injector feed"]}
    assert looms_of == {"engine", "cabin"}


def test_hillclimb_has_what_every_job_has() -> None:
    job = worked("hillclimb").read.job
    states = {d.state for d in job.devices}
    assert {DeviceState.KEPT, DeviceState.PROVISION} <= states
    supplied = {c.supplied for d in job.devices for c in d.connectors}
    assert {Supplied.PIGTAIL, Supplied.MOULDED_LEAD} <= supplied
    assert 2 <= len(job.spares) <= 4
    assert len([d for d in job.devices if d.tap is not None]) == 1
    assert {CableKind.SCREENED, CableKind.PAIR} <= {c.kind for c in job.cables}
    assert len(job.runs) >= 8
    assert any(run.partings for run in job.runs)
    assert any(r.give_mm is not None for run in job.runs for r in run.readings)
    assert job.throttle.linkage == "cable"
    assert job.throttle.clear_mm


def test_hillclimb_notes_what_its_sections_pass() -> None:
    job = worked("hillclimb").read.job
    assert len([p for p in job.passes if p.near]) >= 8
    assert len([p for p in job.passes if p.ties]) >= 8
    assert len([p for p in job.passes if p.bends]) >= 4
    assert len([p for p in job.passes if p.via]) >= 15


@pytest.mark.parametrize("name", SOUND)
def test_every_way_out_of_a_branch_point_is_noted(name: str) -> None:
    for tree in worked(name).worked.routed.trees:
        noted = {(e.point, e.to) for e in tree.exits}
        ways = {(s.inner, s.outer) for s in tree.sections if s.inner in tree.branch_points}
        assert ways - noted == set()


def test_v8_is_large_enough() -> None:
    job, routed = worked("v8").read.job, worked("v8").worked.routed
    assert len(job.devices) >= 60
    assert len(routed.wires) >= 180
    assert sum(len(t.sections) for t in routed.trees) >= 70
    assert max(len(wires) for wires in routed.in_section.values()) >= 80
    assert len(routed.splices) >= 15


def test_v8_has_an_electronic_throttle_whose_tracks_share_nothing() -> None:
    job = worked("v8").read.job
    assert job.throttle.linkage == "electronic"
    for device in ("ETB", "PED"):
        feeds = [p.circuit for p in job.device[device].pins if "5 V" in p.circuit or "0 V" in p.circuit]
        assert len(feeds) == len(set(feeds)) == 4
        assert all(len(job.pins_of[c]) == 2 for c in feeds)


def test_v8_is_fed_by_outputs_that_trip() -> None:
    job = worked("v8").read.job
    trips = [p for p in job.protections if p.kind == "trip"]
    assert len(trips) >= 8
    assert {p.device for p in trips} == {"PM"}


def test_bus_runs_in_line() -> None:
    for name in ("hillclimb", "v8"):
        joins = [j for j in worked(name).worked.routed.joins if j.circuit.startswith("CAN ")]
        assert joins
        assert {j.join for j in joins} == {Join.BUS_IN_LINE}
