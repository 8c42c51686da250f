"""Build order, slide-on order, labels, exits and cautions: of a small job, and of steps made up here."""

from dataclasses import replace
from pathlib import Path

import pytest

from building.making import job as made_job
from loomwright.building.build import build
from loomwright.building.build_order import plan_of, ring_finding
from loomwright.building.cautions import CAUTIONS, cautions_at, cautions_for
from loomwright.building.ends import ends_of
from loomwright.building.graph import PHASES, Draft, Plan, ordered
from loomwright.building.grouping import exit_groups
from loomwright.building.rules import CANNOT, ORDER_RULES, order_rule
from loomwright.jobfile.read import job_of_text
from loomwright.mockup.trees import trees
from loomwright.routing.route import route
from loomwright.sizing.size import size_up

JOB = """
format = 1
[job]
title = "Invented bench engine"
demo = true
[throttle]
linkage = "cable"
clear_mm = 40
[area.bay]
side = "bay"
[area.cabin]
side = "cabin"
[loom.engine]
datum = "bulkhead"
hole_mm = 45
area = "bay"
[device.INJ1]
is = "injector, high impedance"
words = "injector 1"
contact = "sealed rectangular 16"
boot = "straight S"
cavity."1" = "injector feed"
cavity."2" = "inj 1"
[device.INJ2]
is = "injector, high impedance"
supplied = "pigtail"
lead_mm = 200
cavity."1" = "injector feed"
cavity."2" = "inj 2"
[device.CRK]
is = "crank sensor, VR"
cavity."1" = "crank +"
cavity."2" = "crank -"
[device.ECU]
is = "controller 26"
area = "cabin"
[device.ECU.connector.A]
contact = "circular 20"
through_bulkhead = "after"
cavity."1" = "ECU feed"
cavity."2" = "engine ground"
cavity."3" = "inj 1"
cavity."4" = "inj 2"
cavity."5" = "crank +"
cavity."6" = "crank -"
[device.FB]
is = "fuse box 4"
cavity."IN" = "battery feed"
cavity."F1" = "injector feed"
cavity."F2" = "ECU feed"
[device.GND1]
is = "block ground stud"
cavity."stud" = "engine ground"
[cable.crank]
kind = "twisted pair"
circuits = ["crank +", "crank -"]
[fuse.F1]
amps = 10
line = "battery feed"
load = "injector feed"
device = "FB"
[fuse.F2]
amps = 10
line = "battery feed"
load = "ECU feed"
device = "FB"
[rope.trunk]
from = "bulkhead"
reads = [["B1", 640], ["B2", 1020], ["GND1", 1430, "wire exit"]]
parts = [["INJ1", 1140, 60], ["INJ2", 1240, 60]]
[rope.side]
from = "B1"
reads = [["FB", 250], ]
[rope.front]
from = "B2"
reads = [["CRK", 300]]
[rope.cabin]
from = "bulkhead"
reads = [["ECU.A", 420, "wire exit"]]
[exit.B1]
B2 = "front"
FB = "right, square"
"""


@pytest.fixture(scope="module")
def made():
    job = job_of_text(JOB).job
    job = replace(job, shop=replace(job.shop, sleeve="diesel-resistant 2:1"))  # a bore B1 doesn't pass
    found, _ = trees(job)
    routed = route(job, found)
    sized = size_up(job, routed)
    return job, routed, sized, build(job, routed, sized)


def number(built, start):
    found = [s.number for s in built.steps if s.words.startswith(start)]
    assert found, start
    return found[0]


def test_every_rule_holds_in_the_order(made):
    job, routed, sized, built = made
    ends = {tree.loom: ends_of(job, tree, routed, sized) for tree in routed.trees}
    plan = plan_of(job, routed, sized, ends, built.exit_groups)
    place = {d.key: n for n, d in enumerate(ordered(plan).drafts)}
    assert len(place) == len(plan.drafts) == len(built.steps)
    checked = [r for r in plan.rules if r.first in place and r.then in place]
    assert len(checked) > 50
    assert [r for r in checked if place[r.first] >= place[r.then]] == []
    assert built.findings == ()


def test_the_rules_of_this_loom_all_apply(made):
    used = {rule.split()[0] for step in made[3].steps for rule in step.rules}
    assert used == {r.code for r in ORDER_RULES}


@pytest.mark.parametrize(
    ("first", "then"),
    [
        ("Count the wires", "Twist crank"),  # R1
        ("Slide the cover", "Crimp splice SP1"),  # R2
        ("Twist crank", "Lay the"),  # R3
        ("Crimp splice SP1", "Lay the"),  # R4
        ("Lay the", "At B1: gather"),  # R5
        ("Slide the sleeve", "Close B1"),  # R6
        ("Take the bare", "Slide the sleeve"),  # R11
        ("Slide the grommet", "Strip and crimp"),  # R8
        ("Close B2", "Test fit on the car"),  # R12
        ("Set the tool for contact circular 20", "Strip and crimp 6 contacts of ECU.A"),  # R13
        ("At INJ1", "Strip and crimp 2 contacts of INJ1"),  # R9, R10, R14
        ("Strip and crimp 2 contacts of INJ1", "Bench test"),  # R15
        ("Bench test", "Abrade"),  # R15
        ("Pull the loom", "Fit the housing of ECU.A"),  # R16
        ("Strip and crimp 6 contacts of ECU.A", "Shrink the sleeve on bulkhead-ECU.A"),  # R17
        ("Shrink the rest", "Abrade"),  # R18
        ("Photograph", "Close the covers"),  # R19
        ("Close the covers", "Battery off"),
        ("Battery off", "Feed the loom"),
    ],
)
def test_first_this_then_that(made, first, then):
    """The order a builder keeps: handbook rules, common practice."""
    assert number(made[3], first) < number(made[3], then)


def test_a_sleeve_names_the_branch_point_it_cannot_pass(made):
    sleeve = next(
        s for s in made[3].steps if s.words.startswith("Slide the sleeve") and "on B1-B2" in s.words
    )
    assert "before B1 and B2 are closed" in sleeve.words
    assert "its bore is" in sleeve.words
    assert "park the piece over B2" in sleeve.words
    assert "R6 cannot" in sleeve.rules


def test_a_wrapped_covering_has_no_slide_on_rule(made):
    job, routed, sized, _ = made
    taped = replace(
        sized,
        sleeves=tuple(replace(p, what="tape", type="PET cloth tape") for p in sized.sleeves),
    )
    built = build(job, routed, taped)
    assert not any("R6 cannot" in s.rules or "R7 cannot" in s.rules for s in built.steps)
    assert not any(s.what == "tape" for s in built.slide_on)


def test_irreversible_steps_are_marked(made):
    marked = [s.words for s in made[3].steps if s.irreversible]
    assert any(w.startswith("Close B1") for w in marked)
    assert any(w.startswith("Crimp splice") for w in marked)
    assert not any(w.startswith(("Lay the", "Cut and mark", "Take the bare")) for w in marked)


def test_slide_on_from_the_body_outward(made):
    """Sleeve, boot, label, clear cover, seals, contacts, housing: common practice."""
    at = [s for s in made[3].slide_on if s.end == "INJ1"]
    assert [s.order for s in at] == list(range(1, len(at) + 1))
    assert [s.what.split(" (")[0] for s in at] == [
        "sleeve",
        "boot",
        "label",
        "clear cover",
        "wire seals",
        "contacts",
        "housing",
    ]
    assert [s.before for s in at[:-1]] == [s.what for s in at[1:]]
    assert at[3].cut_mm == at[2].cut_mm + 10.0  # 5 mm beyond each end of the label


def test_pigtail_end_gets_joint_covers_and_no_contacts(made):
    what = [s.what for s in made[3].slide_on if s.end == "INJ2"]
    assert "joint covers (2)" in what
    assert not any(w.startswith(("contacts", "housing")) for w in what)
    assert any(s.words.startswith("Join 2 wires of the lead at INJ2") for s in made[3].steps)


def test_branch_piece_is_parked_on_the_leg_before_the_point(made):
    at = [s.what for s in made[3].slide_on if s.end == "B1-B2"]
    assert at == ["sleeve", "piece over B2, parked"]


def test_labels_at_both_ends_of_every_wire(made):
    _, routed, _, built = made
    for wire in routed.wires:
        mine = [x for x in built.labels if x.kind == "wire" and x.of == wire.identity]
        assert [x.text for x in mine] == [wire.label] * 2
    assert {x.kind for x in built.labels} == {"wire", "splice", "branch point", "plug", "loom"}
    assert all(25.0 <= x.width_mm <= 60.0 for x in built.labels)
    plug = next(x for x in built.labels if x.of == "INJ1")
    assert plug.text == "INJ1, injector 1, 2 way"
    plate = next(x for x in built.labels if x.kind == "loom")
    assert "invented" in plate.text  # demo data say so


def test_both_halves_of_a_mating_pair_carry_one_text():
    text = JOB.replace(
        'contact = "sealed rectangular 16"', 'contact = "sealed rectangular 16"\nmates = "CRK"'
    )
    text = text.replace('is = "crank sensor, VR"', 'is = "crank sensor, VR"\nmates = "INJ1"')
    job = job_of_text(text).job
    found, _ = trees(job)
    routed = route(job, found)
    texts = {x.of: x.text for x in build(job, routed, size_up(job, routed)).labels if x.kind == "plug"}
    assert texts["INJ1"] == texts["CRK"] == "CRK / INJ1, 2 way"


def test_exit_groups_hold_every_wire_once_and_the_core_goes_last(made):
    _, routed, _, built = made
    assert built.exit_groups == exit_groups(routed, built.leaving)
    for point in ("B1", "B2"):
        here = [g for g in built.exit_groups if g.point == point]
        assert [g.order for g in here] == list(range(1, len(here) + 1))
        assert [g.layer for g in here] == ["outside"] * (len(here) - 1) + ["core"]
        for g in here:
            listed = [*g.wires, *(one.wire for one in g.later)]
            assert sorted(listed) == sorted(w.label for w in routed.in_section[g.section])
    side = next(g for g in built.exit_groups if g.section.endswith("B1-FB"))
    assert side.clock == 3


def test_a_ring_is_a_finding_and_the_rest_is_in_order():
    plan = Plan()
    for name in ("a", "b", "c", "d"):
        plan.step(Draft(f"x/{name}", "x", "sheath", f"Step {name}."))
    plan.before(["x/a"], ["x/b"], "R6")
    plan.before(["x/b"], ["x/c"], "R6")
    plan.before(["x/c"], ["x/b"], "R7")
    plan.before(["x/c"], ["x/d"], "R7")
    found = ordered(plan)
    assert [d.key for d in found.drafts] == ["x/a", "x/b", "x/c", "x/d"]
    assert {d.key for d in found.ring} == {"x/b", "x/c"}
    (finding,) = ring_finding(found)
    assert finding.code == "ORDER-01"
    assert "Step b" in finding.what_is
    assert "Step c" in finding.what_is
    assert ring_finding(ordered(Plan())) == ()


def test_steps_that_do_not_wait_keep_their_phase():
    plan = Plan()
    for phase in reversed(PHASES):
        plan.step(Draft(f"x/{phase}", "x", phase, phase))
    assert [d.phase for d in ordered(plan).drafts] == list(PHASES)


def test_cannot_and_should_are_told_apart():
    """Kinds as in the trade: these are physical, the others practice."""
    physical = {"R2", "R5", "R6", "R7", "R8", "R9", "R10", "R14", "R15", "R16", "R20"}
    assert {r.code for r in ORDER_RULES if r.kind == CANNOT} == physical
    assert order_rule("R11").name == "R11 should"


def test_cautions_go_by_what_is_in_the_car(made):
    job = made[0]
    assert "heat and fuel" in {c.key for c in cautions_for(job, "bare fit")}
    assert "throttle travel" in {c.key for c in cautions_for(job, "install")}
    assert "electronic throttle" not in {c.key for c in cautions_for(job, "power up")}
    assert "glue" in {c.key for c in cautions_at(job, "close", "boots")}
    assert "glue" not in {c.key for c in cautions_at(job, "close", "labels", first=True)}
    nothing = made_job()
    assert {c.key for c in cautions_for(nothing, "power up")} == {"moving parts", "cranking", "road law"}


def test_each_caution_is_printed_somewhere_and_keys_are_unique():
    assert len({c.key for c in CAUTIONS}) == len(CAUTIONS)
    assert all(c.phases and set(c.phases) <= set(PHASES) for c in CAUTIONS)


def test_cautions_of_a_phase_all_reach_a_step(made):
    job, _, _, built = made
    for phase in PHASES:
        wanted = {c.key for c in cautions_for(job, phase) if not c.families}
        got = {key for s in built.steps if s.phase == phase for key in s.cautions}
        assert wanted == got, phase


def test_same_job_same_order(made):
    job, routed, sized, built = made
    assert build(job, routed, sized) == built


def test_a_job_without_wires_has_boards_and_no_steps():
    job = job_of_text(JOB.split("[device.INJ1]")[0] + JOB[JOB.index("[rope.trunk]") :]).job
    found, _ = trees(job)
    routed = route(job, found)
    built = build(job, routed, size_up(job, routed))
    assert built.steps == ()
    assert [b.loom for b in built.boards] == ["engine"]


def test_small_job_of_the_tests_builds():
    from loomwright.jobfile.read import read_job

    job = read_job(Path(__file__).parent.parent / "jobs" / "small").job
    found, _ = trees(job)
    routed = route(job, found)
    built = build(job, routed, size_up(job, routed))
    assert built.board["engine"].crossings == 0
    assert built.steps


def test_what_is_live_or_delicate_stays_apart_until_the_power_up_connects_it() -> None:
    from loomwright.demos import demo_folder
    from loomwright.job import work_out

    for name, apart in (("six", {"BAT", "ECU.A"}), ("v8", {"BAT", "ISO", "ECU.A", "ECU.B", "PM.A"})):
        steps = work_out(demo_folder(name)).worked.built.steps
        mate = next(step for step in steps if step.words.startswith("Mate every plug"))
        assert not apart & set(mate.items)
        assert all(end in mate.words for end in apart)
        order = [step.words.split(":")[0].split(",")[0] for step in steps if step.phase == "power up"]
        marks = ("Battery off", "Every fuse out", "Plug controller")
        at = {word: n for n, step in enumerate(order) for word in marks if step.startswith(word)}
        assert at["Battery off"] < at["Every fuse out"] < at["Plug controller"]
