"""What stands on the papers is what was worked out, each thing once."""

from dataclasses import replace

import pytest

from loomwright.findings import Finding, Place, Severity
from loomwright.model.words import DeviceState
from loomwright.pack.pages import (
    NOT_FOR_BUILD,
    UNCHECKED,
    Caution,
    Figure,
    FigureRow,
    FindingList,
    every_block,
)
from loomwright.pack.papers import pack_head, papers
from loomwright.routing.routed import EndKind

from .worked_jobs import DAY, rows, sheets, worked

JOBS = ("small", "six", "v8")


@pytest.mark.parametrize("job", JOBS)
def test_every_wire_is_on_the_cut_list_once_with_its_length(job):
    listed = rows(sheets(job)["cut-list"], "wire", "cut")
    done = worked(job).worked
    wanted = {w.label: done.sized.length[w.identity].cut_mm for w in done.routed.wires}
    assert len(listed) == len(wanted)
    assert {row["wire"]: row["cut"] for row in listed} == wanted


@pytest.mark.parametrize("job", JOBS)
def test_a_length_is_the_sum_of_what_is_printed(job):
    for row in rows(sheets(job)["lengths"], "sum"):
        terms = [float(term.split()[0]) for term in row["sum"].split(" + ")]
        assert sum(terms) == pytest.approx(row["exact"], abs=0.5 * len(terms) + 0.5), row
        assert row["cut"] >= row["exact"] - 1e-9


def test_a_sum_that_lacks_a_section_is_noticed():
    row = rows(sheets("small")["lengths"], "sum")[3]
    terms = [float(term.split()[0]) for term in row["sum"].split(" + ")]
    assert sum(terms[1:]) != pytest.approx(row["exact"], abs=0.5 * len(terms) + 0.5)


@pytest.mark.parametrize("job", JOBS)
def test_every_pin_is_on_a_pinout_with_its_wires(job):
    done = worked(job).worked
    found = [s for key, s in sheets(job).items() if key.startswith("pinouts")]
    lines = [row for s in found for row in rows(s, "cavity", "wire")]
    listed = {(row["cavity"], row["circuit"], row["wire"]) for row in lines}
    for device in done.job.devices:
        if device.state is DeviceState.REMOVED:
            continue
        for pin in device.pins:
            for wire in done.routed.at_pin.get(pin.id, ()):
                words = {c for c in listed if c[0] == pin.cavity and c[2] == wire.label}
                assert words, pin.id
                assert all(c[1].startswith(wire.circuit) for c in words)


def test_a_face_is_shown_from_both_sides_and_says_which():
    figures = [
        [f.drawing.title for f in block.figures]
        for key, s in sheets("six").items()
        if key.startswith("pinouts")
        for block in every_block(s.blocks)
        if isinstance(block, FigureRow)
    ]
    assert figures
    for one, other in figures:
        assert one.endswith("wire side")
        assert other.endswith("mating side")


def test_unchecked_faces_are_stamped_and_checked_ones_are_not():
    found = sheets("hillclimb")
    assert UNCHECKED in found["pinouts-unchecked"].stamps
    assert UNCHECKED not in found["pinouts"].stamps


def _with(job, *findings):
    done = worked(job)
    return {s.key: s for s in papers(done.worked, findings, done.digest, DAY)}


def _fault(**more):
    words = ("It is so.", "It should not.", "Mend it.")
    told = Finding("X-01", Severity.FAULT, Place("INJ1"), *words, ("cut list",))
    return replace(told, **more)


def test_a_fault_stamps_the_sheets_it_touches_and_no_others():
    found = _with("small", _fault())
    stamped = {key for key, s in found.items() if NOT_FOR_BUILD in s.stamps}
    assert stamped == {"cover", "cut-list", "lengths"}
    assert {key for key, s in _with("small").items() if s.stamps} <= {"pinouts-unchecked"}


def test_an_accepted_fault_and_a_caution_stamp_nothing():
    quiet = (_fault(accepted="it is a bench loom (AB)"), _fault(severity=Severity.CAUTION))
    assert not any(NOT_FOR_BUILD in s.stamps for s in _with("small", *quiet).values())


def test_the_cover_tells_findings_and_who_accepted_what():
    cover = _with("small", _fault(), _fault(code="X-02", accepted="it is a bench loom (AB)"))["cover"]
    told = [line for block in cover.blocks if isinstance(block, FindingList) for line in block.lines]
    wanted = [("X-01", ""), ("X-02", "it is a bench loom (AB)")]
    assert [(line.code, line.accepted) for line in told] == wanted


def test_cautions_stand_before_the_step_that_needs_them():
    sheet, done = sheets("v8")["build-order"], worked("v8").worked
    told = [block.text for block in every_block(sheet.blocks) if isinstance(block, Caution)]
    for step in done.built.steps:
        assert not step.cautions or told, step
    assert any("30 kV" in text for text in told)


@pytest.mark.parametrize("job", JOBS)
def test_every_splice_section_and_branch_point_is_told(job):
    done, found = worked(job).worked, sheets(job)
    splices = [row["splice"] for row in rows(found["splices"], "splice")]
    assert splices == [s.name for t in done.routed.trees for s in done.routed.splices if s.loom == t.loom]
    sections = [s.name for t in done.routed.trees for s in t.sections]
    maps = [sheet for key, sheet in found.items() if key.startswith("map")]
    assert [row["section"] for sheet in maps for row in rows(sheet, "section")] == sections
    dials = [b for b in every_block(found["branch-points"].blocks) if isinstance(b, Figure)]
    assert len(dials) == sum(len(t.branch_points) for t in done.routed.trees)


@pytest.mark.parametrize("job", JOBS)
def test_continuity_reaches_every_end_of_every_wire(job):
    done = worked(job).worked
    reached = set()
    for row in rows(sheets(job)["test"], "expected"):
        reached |= {row["from"], row["to"]}
    for wire in done.routed.wires:
        ends = [e for e in (wire.a, wire.b) if e.kind is not EndKind.SPLICE]
        names = [end.point if end.kind is EndKind.SEALED else end.name for end in ends]
        assert all(any(name in words for words in reached) for name in names), wire.label


def test_expected_ohms_by_hand():
    """W5 of the small job: 1.72 m of way; 0.0544 ohm/m; two contacts of 10 mohm (shop default)."""
    row = next(r for r in rows(sheets("small")["test"], "expected") if r["wires"] == "W5")
    way_m = (1.720 * 1.005) + 0.030 + 0.040
    assert row["expected"] == pytest.approx(way_m * 0.0544 + 2 * 0.010, abs=1e-6)


def test_a_reel_has_the_metres_of_its_wires():
    sheet, done = sheets("small")["parts"], worked("small").worked
    red = next(r for r in rows(sheet, "part") if "RD red" in r["part"])
    wanted = sum(done.sized.length[w.identity].cut_mm for w in done.routed.wires if w.colour == "RD") / 1000
    assert red["need"] == pytest.approx(wanted)
    assert red["take"] >= wanted * 1.15


def test_demo_data_says_so_on_every_sheet():
    head = pack_head(worked("six").worked, "d", DAY)
    assert "nvented" in head.job
    assert "nvented" in head.foot
    real = replace(worked("six").worked, job=replace(worked("six").worked.job, demo=False))
    assert "nvented" not in pack_head(real, "d", DAY).job + pack_head(real, "d", DAY).foot
