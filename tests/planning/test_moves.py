"""Changes of the tree: lengths that follow, co-runs said in the job file, and a tree that stays a tree."""

from functools import cache

import pytest

from loomwright.demos import demo_folder
from loomwright.errors import RefusedEdit
from loomwright.job import work_out, work_out_tried
from loomwright.jobfile.read import job_of_text
from loomwright.planning import moves_beside, moves_steps
from loomwright.planning.alternatives_chain import drawn
from loomwright.planning.moves import moves

LOOM = """
format = 1
[loom.engine]
datum = "D"
[device.A]
family = "sensor"
cavity."1" = "a"
[device.B]
family = "sensor"
cavity."1" = "b"
[device.C]
family = "sensor"
cavity."1" = "c"
[device.E]
family = "controller"
cavity."1" = "a"
cavity."2" = "b"
cavity."3" = "c"
[rope.trunk]
from = "D"
reads = [["P", 300], ["Q", 500], ["A", 900]]
parts = [["B", 620, 80, "Q"]]
[section."P-C"]
mm = 150
[section."D-E"]
mm = 200
"""


def tried(*steps):
    """Lengths and co-runs by section after steps, each made on the tree the one before left."""
    read = job_of_text(LOOM)
    edits = ()
    for make in steps:
        edits = (*edits, *make(drawn(read, edits)).edits)
    (tree,) = drawn(read, edits).trees
    return {s.name: (s.length_mm, {c.section: c.until_mm for c in s.co_runs}) for s in tree.sections}


def test_the_rope_alone():
    assert tried() == {
        "D-E": (200, {}),
        "D-P": (300, {}),
        "P-C": (150, {}),
        "P-Q": (200, {}),
        "Q-A": (400, {"Q-B": 120}),
        "Q-B": (200, {"Q-A": 120}),
    }


def test_two_branch_points_become_one_and_run_on_side_by_side():
    found = tried(lambda now: moves_steps.merge(now, "Q", "engine/P-Q"))
    assert found["P-A"] == (600, {"P-B": 320})
    assert found["P-B"] == (400, {"P-A": 320})
    assert "P-Q" not in found


def test_the_inner_point_goes_outward_and_what_left_it_comes_back():
    made = moves_steps.merge(drawn(job_of_text(LOOM), ()), "P", "engine/P-Q")
    assert made.again == ("Q-C",)
    assert tried(lambda now: moves_steps.merge(now, "P", "engine/P-Q"))["Q-C"] == (350, {})


def test_a_point_moved_there_and_back_is_where_it_was():
    found = tried(
        lambda now: moves_steps.shift(now, "Q", "engine/P-Q", 50),
        lambda now: moves_steps.shift(now, "Q", "engine/Q-A", 50),
    )
    assert found == tried()


def test_a_branch_becomes_a_co_run_and_a_branch_again():
    out = tried(lambda now: moves_beside.leave_earlier(now, "engine/Q-B"))
    assert out["P-B"] == (400, {"P-Q": 200})
    back = tried(
        lambda now: moves_beside.leave_earlier(now, "engine/Q-B"),
        lambda now: moves_beside.leave_later(now, "engine/P-B", "P-Q"),
    )
    assert {name: mm for name, (mm, _) in back.items()} == {name: mm for name, (mm, _) in tried().items()}


def test_a_co_run_branches_off_where_it_parts():
    found = tried(lambda now: moves_steps.split(now, "Q", "engine/Q-A", 120, "N", ("Q-B",)))
    assert found["Q-N"] == (120, {})
    assert found["N-A"] == (280, {})
    assert found["N-B"] == (80, {})


def test_beside_a_section_of_another_point_is_a_finding():
    text = LOOM + '[build."Q-B"]\nmm = 200\nbeside = [["P-C", 50]]\n'
    done = work_out_tried(job_of_text(text), ())
    (one,) = [f for f in done.findings if f.code == "FILE-07"]
    assert "P-C" in one.what_is
    assert "Q-A" in one.remedy


def test_the_datum_and_ends_are_no_branch_points_to_give_up():
    now = drawn(job_of_text(LOOM), ())
    with pytest.raises(RefusedEdit):
        moves_steps.merge(now, "D", "engine/D-P")
    with pytest.raises(RefusedEdit):
        moves_beside.leave_earlier(now, "engine/D-E")


@cache
def demo(name):
    return work_out(demo_folder(name))


@pytest.mark.parametrize("name", ["six", "hillclimb", "v8"])
def test_every_move_leaves_a_whole_tree_and_the_readings_alone(name):
    done = demo(name)
    found = moves(done)
    assert len({one.name for one in found}) == len(found)
    ends = {end for tree in done.trees for end in tree.ends}
    for one in found[::7]:
        after = drawn(done.read, one.step.edits)
        assert {end for tree in after.trees for end in tree.ends} == ends, one.name
        assert after.read.job.runs == done.read.job.runs, one.name
        for tree in after.trees:
            assert all(s.length_mm > 0 for s in tree.sections), one.name
            points = {tree.datum, *(s.outer for s in tree.sections)}
            assert len(points) == len(tree.sections) + 1, one.name
        (tree,) = [tree for tree in after.trees if tree.loom == one.loom]
        for inner, outer, mm in one.step.lengths:
            assert tree.by_name[f"{inner}-{outer}"].length_mm == pytest.approx(mm, abs=0.051), one.name
        assert set(one.step.again) <= set(tree.by_name), one.name
        assert not set(one.step.gone) & set(tree.by_name), one.name
