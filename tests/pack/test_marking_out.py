"""The marking-out sheet: what a tape shows between two pegs, trims, and the marks along the sections."""

import math

import pytest

from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out
from loomwright.pack.marking_out import marking_out
from loomwright.pack.pages import Sheet, Table
from loomwright.pack.view import View


@pytest.fixture(scope="module")
def done() -> WorkedJob:
    return work_out(demo_folder("hillclimb"))


def _tables(sheet: Sheet) -> tuple[Table, Table]:
    pegs, marks = sheet.tables
    return pegs, marks


def test_straight_is_the_distance_of_the_coordinates_and_never_longer_than_the_loom(done: WorkedJob) -> None:
    for sheet in marking_out(View(done.worked, done.findings)):
        at: dict[str, tuple[float, float, float]] = {}
        for peg, after, running, _, right, up, straight, _, _, _ in _tables(sheet)[0].groups[0].rows:
            at[str(peg)] = (float(str(running)), float(str(right)), float(str(up)))
            before = at.get(f"{peg} parts") or at.get(str(after))
            if before is None:
                assert straight is None
                continue
            mm = math.dist(before[1:], at[str(peg)][1:])
            assert straight == pytest.approx(mm)
            assert mm <= at[str(peg)][0] - before[0] + 10  # a peg beside another section: up to its offset


def test_every_splice_is_a_mark_at_its_place(done: WorkedJob) -> None:
    found: dict[str, tuple[str, float]] = {}
    for sheet in marking_out(View(done.worked, done.findings)):
        for group in _tables(sheet)[1].groups:
            found |= {str(r[2]): (group.title.split(":")[0], float(str(r[0]))) for r in group.rows}
    for splice in done.worked.routed.splices:
        section, mm = found[splice.name]
        assert (section, mm) == (splice.place.section, pytest.approx(splice.place.mm))


def test_an_end_that_is_trimmed_says_how_much(done: WorkedJob) -> None:
    trims = {
        str(r[0]): r[7]
        for sheet in marking_out(View(done.worked, done.findings))
        for r in _tables(sheet)[0].groups[0].rows
    }
    assert trims["INJ1"] == done.worked.job.shop.trim_mm.value
    assert trims["X1E"] is None
    assert trims["B3"] is None
