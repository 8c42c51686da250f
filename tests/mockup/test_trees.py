"""From tapes to trees: pictures, hidden trees asked back, and every fault of the rope."""

from math import sqrt
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.findings import grouped
from loomwright.jobfile.read import read_job
from loomwright.mockup.trees import AIR_C, trees
from loomwright.model.rope import Reading, RopeRun
from loomwright.model.tree import CoRun, Tree

from .making import job

TRUNK = """
[rope.trunk]
from = "D"
reads = [["B1", 640], ["B2", 1020], ["X", 1430]]
"""


def picture(tree: Tree) -> list[str]:
    return [f"{s.name} {s.length_mm:g}" for s in tree.sections]


def one(made) -> Tree:
    ((tree,), _) = trees(made)
    return tree


def codes(made) -> list[str]:
    return sorted({finding.code for finding in trees(made)[1]})


def test_running_distances_become_sections():
    made = job(TRUNK, "X")
    assert picture(one(made)) == ["D-B1 640", "B1-B2 380", "B2-X 410"]
    assert codes(made) == []
    assert one(made).ends == ("X",)


def test_the_sample_has_a_sound_tree():
    (tree,), findings = trees(read_job(Path(__file__).parents[1] / "jobs" / "small").job)
    assert findings == ()
    assert tree.from_datum_mm["CLT"] == 640 + 380 + 300 - 22
    assert tree.branch_points == ("B1", "B2")


def test_behind_an_end_the_tape_goes_on_from_the_last_branch_point():
    made = job('[rope.t]\nfrom = "D"\nreads = [["B1", 100], ["X", 150], ["Y", 190]]', "X Y")
    assert picture(one(made)) == ["D-B1 100", "B1-X 50", "B1-Y 90"]


def test_a_co_run_starts_at_its_branch_point_and_is_noted_on_both():
    made = job(TRUNK + 'parts = [["I", 740, 60], ["J", 840, 50]]', "X I J")
    sections = one(made).by_name
    assert sections["B1-I"].length_mm == 160
    assert sections["B1-I"].co_runs == (CoRun("B1-B2", 100), CoRun("B1-J", 100))
    assert sections["B1-J"].co_runs == (CoRun("B1-B2", 200), CoRun("B1-I", 100))
    assert sections["B1-B2"].co_runs == (CoRun("B1-I", 100), CoRun("B1-J", 200))
    assert one(made).branch_points == ("B1",)


def test_a_co_run_may_name_an_earlier_branch_point():
    made = job(TRUNK + 'parts = [["I", 1140, 60, "B1"]]', "X I")
    section = one(made).by_name["B1-I"]
    assert section.length_mm == 560
    assert section.co_runs == (CoRun("B1-B2", 380),)


def test_an_end_that_parts_at_the_branch_point_is_no_co_run():
    made = job(TRUNK + 'parts = [["I", 640, 60]]', "X I")
    assert one(made).by_name["B1-I"].length_mm == 60
    assert one(made).by_name["B1-I"].co_runs == ()


def test_doubt_of_a_tape():
    """Both readings add in square; stretch goes by the metre; the zero's doubt is the first section's."""
    tape = '[rope.t]\nfrom = "D"\ngive_mm = 4\ncommon_mm = 3\n'
    made = job(tape + 'reads = [["B1", 600], ["B2", 1000, 3], ["X", 1500]]', "X")
    first, second, third = one(made).sections
    assert [s.own_mm for s in (first, second, third)] == [4, 5, 5]
    per_m = made.shop.stretch_per_m_mm.value
    assert first.common_mm == pytest.approx(0.6 * per_m + 3)
    assert second.common_mm == pytest.approx(0.4 * per_m)
    assert first.common_mm + second.common_mm + third.common_mm == pytest.approx(1.5 * per_m + 3)


def test_a_drawing_does_not_stretch():
    made = job('[rope.t]\nfrom = "D"\nmethod = "drawing"\nreads = [["X", 500]]', "X")
    assert one(made).sections[0].common_mm == 0


def test_a_blank_give_or_take_is_the_shops():
    made = job('[rope.t]\nfrom = "D"\nreads = [["B1", 500], ["X", 900]]', "X")
    assert one(made).sections[1].own_mm == pytest.approx(sqrt(2) * made.shop.give_mm.value)


@pytest.mark.parametrize("to", ["mating face", "device"])
def test_measured_to_the_mating_face_runs_to_the_wire_exit(to):
    rope = f'[rope.t]\nfrom = "D"\nreads = [["X", 500, "{to}"]]'
    made = job(rope, "", '[device.X]\ndepth_mm = 31\ncavity."1" = "c"\n')
    assert one(made).sections[0].length_mm == 469
    assert codes(made) == []
    assumed = job(rope, "X")
    assert one(assumed).sections[0].length_mm == 475
    assert one(assumed).sections[0].own_mm == pytest.approx(sqrt(200))
    (note,) = trees(assumed)[1]
    assert note.code == "ROPE-08"
    assert "25 mm" in note.what_is
    assert "[from memory]" in note.what_is


def test_a_tape_from_the_far_end_is_turned_round():
    made = job('[rope.t]\nfrom = "X"\nreads = [["B2", 400], ["B1", 700], ["D", 1300]]', "X")
    assert picture(one(made)) == ["D-B1 600", "B1-B2 300", "B2-X 400"]


def test_two_tapes_that_agree_say_one_thing():
    again = '[rope.again]\nfrom = "D"\ngive_mm = 3\nreads = [["B1", 646], ["Y", 900]]\n'
    made = job(TRUNK + again, "X Y")
    assert picture(one(made)) == ["D-B1 646", "B1-B2 380", "B2-X 410", "B1-Y 254"]
    assert codes(made) == []


def test_a_coarser_tape_past_a_branch_point_closes_no_loop():
    made = job(TRUNK + '[rope.again]\nfrom = "D"\nreads = [["B2", 1025], ["Y", 1200]]\n', "X Y")
    assert picture(one(made)) == ["D-B1 640", "B1-B2 380", "B2-X 410", "B2-Y 175"]
    assert codes(made) == []


FAULTS = [
    ("ROPE-01", TRUNK + '[section."D-B1"]\nmm = 700\n', "60 mm"),
    ("ROPE-01", TRUNK + '[section."D-B2"]\nmm = 900\n', "120 mm"),
    ("ROPE-02", TRUNK + '[rope.r]\nfrom = "B7"\nreads = [["B8", 90], ["Y", 200]]\n', "B7, B8, Y"),
    ("ROPE-04", TRUNK.replace("1020", "600"), "600 mm"),
    ("ROPE-04", TRUNK + '[section."B2-Y"]\nmm = 20\nmeasured_to = "mating face"\n', "25 mm deep"),
    ("ROPE-05", TRUNK + '[section."B2-YY"]\nmm = 90\n', "YY"),
    ("ROPE-06", TRUNK.replace('["X", 1430]', '["B1", 1100], ["X", 1430]'), "640 and at 1100"),
    ("ROPE-07", TRUNK + '[build."B1-B2"]\nmm = 440\n', "60 less"),
    ("ROPE-09", TRUNK + 'parts = [["Y", 700, 60, "B2"]]\n', "B2"),
]


@pytest.mark.parametrize(("code", "rope", "words"), FAULTS)
def test_every_fault_is_found_and_the_sound_part_stays(code, rope, words):
    made = job(rope, "X Y")
    found = [finding for finding in trees(made)[1] if finding.code == code]
    assert len(found) == 1
    assert words in found[0].what_is
    assert found[0].place.path
    assert {"D", "X"} <= set(one(made).from_datum_mm)


BECAUSE = 'reason = "clears the bracket"\n'


@pytest.mark.parametrize(("reason", "severity"), [("", "caution"), (BECAUSE, "note")])
def test_a_built_length_with_a_reason_is_only_noted(reason, severity):
    built = f'[build."B1-B2"]\nmm = 440\n{reason}[build."D-B1"]\nmm = 700\n{reason}'
    found = [one for one in trees(job(TRUNK + built, "X Y"))[1] if one.code == "ROPE-07"]
    assert [one.severity for one in found] == [severity] * 2
    assert len(grouped(found)) == (1 if reason else 2)


def test_an_end_never_measured_is_found_unless_it_goes():
    made = job(
        TRUNK,
        "X",
        '[device.Y]\ncavity."1" = "c"\n[device.Z]\nstate = "removed"\ncavity."1" = "c"\n[device.N]\n',
    )
    (found,) = trees(made)[1]
    assert (found.code, found.place.words) == ("ROPE-03", "Y")


def test_a_device_with_several_connectors_is_not_a_rope_end():
    ecu = '[device.X]\n[device.X.connector.A]\ncavity."1" = "c"\n'
    found = [one for one in trees(job(TRUNK, "", ecu))[1] if one.code == "ROPE-05"]
    assert "X.A" in found[0].remedy


def test_a_built_length_replaces_the_rope():
    made = job(TRUNK + '[build."B2-B1"]\nmm = 385\nreason = "clear of the bracket"\n', "X")
    section = one(made).by_name["B1-B2"]
    assert (section.length_mm, section.origin) == (385, "build: 385, clear of the bracket")
    assert codes(made) == []


def test_built_sections_may_join_points_differently():
    rope = TRUNK + '[section."B2-Y"]\nmm = 100\n[build."B1-X"]\nmm = 790\n[build."B1-Y"]\nmm = 480\n'
    made = job(rope, "X Y")
    assert picture(one(made)) == ["D-B1 640", "B1-X 790", "B1-Y 480"]
    assert codes(made) == []


def test_a_built_branch_point_between_two_of_the_rope():
    rope = TRUNK + '[build."B1-N"]\nmm = 200\n[build."N-B2"]\nmm = 180\n[build."N-Y"]\nmm = 90\n'
    made = job(rope, "X Y")
    assert picture(one(made)) == ["D-B1 640", "B1-N 200", "N-B2 180", "B2-X 410", "N-Y 90"]
    assert codes(made) == []


def test_air_comes_from_the_nearest_that_is_told():
    areas = "[area.bay]\nair_c = 70\n[area.block]\nair_c = 110\n[area.cowl]\nair_c = 50\n"
    device = '[device.X]\narea = "block"\ncavity."1" = "c"\n'
    passes = '[passes."B1-B2"]\narea = "cowl"\n[passes."D-B1"]\nair_c = 95\n'
    made = job(TRUNK, "", areas + device + passes)
    assert [(s.area, s.air_c) for s in one(made).sections] == [("", 95), ("cowl", 50), ("block", 110)]
    assert one(job(TRUNK, "X")).sections[0].air_c == AIR_C.value


def test_sections_and_points_that_are_not_there_are_found():
    more = '[passes."B2-B1"]\nvia = "x"\n[exit.B1]\nX = "up"\n'
    more += '[circuit.c]\nsplice_at = { section = "B1-B9", mm = 3 }\n'
    found = trees(job(TRUNK, "X", more))[1]
    assert [one.code for one in found] == ["FILE-07"] * 3
    assert found[0].mends[0].value == "B1-B2"
    assert "B1-B2" in found[1].remedy
    assert "bulkhead" not in found[2].remedy


def test_two_looms_keep_apart():
    more = '[loom.f]\ndatum = "D"\n[passes."f/D-Y"]\nvia = "sill"\n'
    more += '[rope.g]\nloom = "f"\nfrom = "D"\nreads = [["Y", 300]]\n'
    made = job(TRUNK.replace("from", 'loom = "e"\nfrom'), "X Y", more)
    (first, second), findings = trees(made)
    assert findings == ()
    assert (first.ends, second.ends) == (("X",), ("Y",))
    assert second.sections[0].passes.via == "sill"


# A hidden tree, measured by tapes in any order from any point, comes back.


@st.composite
def hidden(draw):
    """Return {point: (point before, mm)}; branch points B1.., ends E1.. at the leaves."""
    count = draw(st.integers(1, 8))
    before = {
        f"B{n}": ("D" if n == 1 else f"B{draw(st.integers(1, n - 1))}", draw(st.integers(30, 900)))
        for n in range(1, count + 1)
    }
    for n in range(1, draw(st.integers(1, 6)) + 1):
        before[f"E{n}"] = (f"B{draw(st.integers(1, count))}", draw(st.integers(30, 400)))
    return before


def tapes(before, draw) -> list[RopeRun]:
    """Return tapes that together measure every section: each from the datum out to a leaf."""
    inner = {point for point, _ in before.values()}
    runs = []
    for n, leaf in enumerate(sorted(point for point in before if point not in inner)):
        way = [leaf]
        while way[-1] != "D":
            way.append(before[way[-1]][0])
        way.reverse()
        reads, mm = [], 0
        for point in way[1:]:
            mm += before[point][1]
            reads.append(Reading(point, float(mm), "centre", None, ("rope", f"t{n}")))
        runs.append(RopeRun(f"t{n}", "e", "D", tuple(reads), (), None, None, "tape", ("rope", f"t{n}")))
    return draw(st.permutations(runs))


@settings(max_examples=60, deadline=None)
@given(hidden(), st.data())
def test_a_hidden_tree_comes_back(before, data):
    from dataclasses import replace

    made = job("", " ".join(point for point in before if point[0] == "E"))
    made = replace(made, runs=tuple(tapes(before, data.draw)))
    (tree,), findings = trees(made)
    assert {s.outer: (s.inner, s.length_mm) for s in tree.sections} == before
    assert {one.code for one in findings} <= {"ROPE-05"}  # branch points of the hidden tree that lead nowhere
    seen = {"D"}
    for section in tree.sections:  # a section comes after the one that leads to it
        assert section.inner in seen
        seen.add(section.outer)


@settings(max_examples=40, deadline=None)
@given(hidden(), st.data())
def test_the_order_of_tables_does_not_matter(before, data):
    from dataclasses import replace

    made = job("", " ".join(point for point in before if point[0] == "E"))
    runs = tapes(before, data.draw)
    first = trees(replace(made, runs=tuple(runs)))[0]
    assert trees(replace(made, runs=tuple(data.draw(st.permutations(runs)))))[0] == first


FORK = """
[rope.trunk]
from = "D"
reads = [["B1", 300], ["B2", 600], ["X", 900]]
[section."B2-Y"]
mm = 90
[section."B1-I"]
mm = 500
[build."B1-I"]
mm = 500
reason = "in its own sleeve"
"""


@pytest.mark.parametrize(
    ("beside", "told"),
    [
        ('[["B1-B2", 300]]', ""),
        ('[["B1-B2", 300], ["B2-X", 100]]', ""),
        ('[["B1-B2", 200], ["B2-X", 100]]', "beside B2-X, which does not leave B1."),
        ('[["B2-X", 100]]', "beside B2-X, which does not leave B1."),
        ('[["B1-B2", 300], ["D-B1", 100]]', "beside D-B1, which does not leave B1 or the outer point"),
    ],
)
def test_a_co_run_is_told_past_a_branch_point_by_the_sections_it_comes_to(beside, told):
    made = job(f"{FORK}beside = {beside}\n", "X Y I")
    assert [f.code for f in trees(made)[1]] == (["FILE-07"] if told else [])
    assert all(told in f.what_is for f in trees(made)[1])
    assert all(run.section.startswith("B1-") for run in one(made).by_name["B1-I"].co_runs)
