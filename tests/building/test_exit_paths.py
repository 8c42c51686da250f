"""Exits on the loom: co-runs past branch points, twist, coordinates; board and car agree."""

from dataclasses import replace

import pytest

from building.making import exit_of, job, routed, section, sized, tree
from loomwright.building.board import board
from loomwright.building.board_task import SHORTEST_CO_RUN_MM, SHORTEST_REST_MM
from loomwright.building.exit_paths import Abreast, Crossing, LoomExits, exit_paths, loom_exits
from loomwright.building.exits import leavings, twists
from loomwright.building.grouping import exit_groups
from loomwright.checks.exits import exits_cross
from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.model.corridor import CorridorMap, MapPoint
from loomwright.model.job import Kept
from loomwright.model.rope import BuiltSection, Parting, Passes, Reading, RopeRun

RUN = RopeRun(
    "trunk",
    "engine",
    "D",
    tuple(
        Reading(point, mm, "centre", None, ()) for point, mm in (("B1", 300.0), ("B2", 600.0), ("B3", 1000.0))
    ),
    (Parting("X", 800.0, 100.0, "wire exit", None, "B1", ()),),
    None,
    None,
    "tape",
    (),
)
ONWARD = (exit_of("D", "B1", "front"), exit_of("B1", "B2", "front"), exit_of("B2", "B3", "front"))


def passing(*exits):
    """X begins at B1, runs past B2 and parts 200 mm beyond it; Y and Z leave at B2."""
    return tree(
        section("D", "B1", 300),
        section("B1", "B2", 300, ("B1-X", 300)),
        section("B1", "X", 600, ("B1-B2", 300)),
        section("B2", "B3", 400),
        section("B2", "Y", 150),
        section("B2", "Z", 150),
        section("B3", "V", 90),
        section("B3", "W", 90),
        exits=(*ONWARD, *exits),
    )


def with_rope(**more):
    return replace(job(**more), runs=(RUN,))


LEFT_X, LEFT_Y, RIGHT_Z = exit_of("B1", "X", "left"), exit_of("B2", "Y", "left"), exit_of("B2", "Z", "right")


def test_a_co_run_past_exits_on_both_hands_crosses_one():
    found = exit_paths(with_rope(), passing(LEFT_X, LEFT_Y, RIGHT_Z))
    assert found.exits.least
    assert found.crossings == (Crossing("B1-X", "B2-Y", "B2"),)


def test_an_exit_nobody_noted_gets_out_of_its_way():
    some = passing(LEFT_X, RIGHT_Z)
    found = exit_paths(with_rope(), some)
    assert found.crossings == ()
    assert found.side["B2-Y"] == -1
    laid = board(with_rope(), some, routed(some), sized(), loom_exits(with_rope(), some).leaving)
    assert laid.crossings == 0
    trunk, y = (next(s for s in laid.sections if s.section == f"engine/B2-{to}").line for to in ("B3", "Y"))
    (a, b), (_, c) = trunk[:2], y[:2]
    assert (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) < 0, (
        "drawn to the right of the trunk"
    )


def test_the_co_run_itself_takes_the_free_hand():
    found = exit_paths(with_rope(), passing(LEFT_Y, exit_of("B2", "Z", "left up")))
    assert found.crossings == ()
    assert found.side["B1-X"] == -1


def test_groups_say_the_hand_that_was_settled():
    some = passing(LEFT_X, RIGHT_Z)
    leaving = loom_exits(with_rope(), some).leaving
    groups = {g.section: g for g in exit_groups(routed(some), {some.loom: leaving})}
    assert groups["engine/B2-Y"].words == "to the right, clear of the others"
    assert groups["engine/B2-Z"].words.startswith("right")


def test_without_the_tape_nobody_knows_that_it_runs_past():
    assert exit_paths(job(), passing(LEFT_X, LEFT_Y, RIGHT_Z)).crossings == ()


def test_a_kept_board_angle_stands():
    some = passing(LEFT_X, RIGHT_Z)
    angles = (("engine/B1-B2", 0.0), ("engine/B2-Y", 60.0))
    found = exit_paths(with_rope(kept=Kept(board_angles=angles)), some)
    assert "B2-Y" not in found.side
    assert found.crossings == (Crossing("B1-X", "B2-Y", "B2"),)


def test_co_runs_of_one_start_never_cross():
    some = tree(
        section("D", "B1", 300),
        section("B1", "B2", 800, ("B1-X", 200), ("B1-Y", 300), ("B1-Z", 400)),
        section("B1", "X", 300, ("B1-B2", 200)),
        section("B1", "Y", 400, ("B1-B2", 300)),
        section("B1", "Z", 500, ("B1-B2", 400)),
        exits=(*ONWARD[:2], LEFT_X, exit_of("B1", "Y", "left"), exit_of("B1", "Z", "right")),
    )
    found = exit_paths(job(), some)
    assert found.crossings == ()
    trunk = found.exits.order[found.own["B1-B2"]][0]
    assert [found.sections[n] for n in trunk] == ["B1-Z", "B1-B2", "B1-Y", "B1-X"]


TWISTED = tree(
    section("D", "B1", 300, passes=Passes("D-B1", (), twist_deg=90.0)),
    section("B1", "B2", 300),
    section("B1", "X", 200),
    exits=(exit_of("D", "B1", "front"), exit_of("B1", "B2", "front"), exit_of("B1", "X", "left")),
)


def test_twist_is_taken_out_on_board_and_bench():
    assert twists(TWISTED) == {"D": 0.0, "B1": 90.0, "B2": 90.0, "X": 90.0}
    one = leavings(job(), TWISTED)["B1-X"]
    assert (one.side, one.leans_to, one.clock) == (0, -1, 6)
    assert one.words == "left (6 o'clock) from the witness line, 9 o'clock in the car"


def test_half_a_turn_changes_the_hand():
    turned = replace(TWISTED.sections[0], passes=Passes("D-B1", (), twist_deg=180.0))
    some = replace(TWISTED, sections=(turned, *TWISTED.sections[1:]))
    assert leavings(job(), some)["B1-X"].side == -1
    assert leavings(job(), replace(some, sections=TWISTED.sections))["B1-X"].side == 0


@pytest.mark.parametrize(("x", "side"), [(-200.0, 1), (200.0, -1), (20.0, 0)])
def test_coordinates_tell_the_hand_where_nobody_noted_it(x, side):
    some = replace(
        TWISTED, sections=(section("D", "B1", 300), *TWISTED.sections[1:]), exits=TWISTED.exits[:2]
    )
    at = {"D": (0.0, 0.0, 0.0), "B1": (0.0, 300.0, 0.0), "X": (x, 500.0, 0.0)}
    points = tuple(MapPoint(name, place, (), None, ()) for name, place in at.items())
    car = CorridorMap("bay", "engine", points, (), (), 8, 60.0, 50.0, (), ())
    assert leavings(replace(job(), maps=(car,)), some)["B1-X"].side == side
    assert loom_exits(job(), some).leaving["B1-X"].side == 0


def test_a_hand_that_was_settled_stays_with_its_kept_board_angle():
    """Printed again with what was kept, the same hand and the same words."""
    some = passing(LEFT_X, RIGHT_Z)
    first = loom_exits(with_rope(), some)
    laid = board(with_rope(), some, routed(some), sized(), first.leaving)
    again = with_rope(kept=Kept(board_angles=laid.angles))
    assert loom_exits(again, some) == first
    assert board(again, some, routed(some), sized(), loom_exits(again, some).leaving).angles == laid.angles


def test_what_runs_side_by_side_lies_in_the_order_in_which_it_parts():
    """X runs past B2 on the left of the trunk and parts beyond; Y leaves B2 to the right."""
    exits = loom_exits(with_rope(), passing(LEFT_X, exit_of("B2", "Y", "right"), RIGHT_Z))
    lies = [(one.inner, one.outer, one.at_inner, one.at_outer) for one in exits.abreast]
    assert lies == [
        ("B1", "B2", ("B1-X", "B1-B2"), ("B1-X", "B1-B2")),
        ("B2", "X parts", ("B1-X", "B2-B3"), ("B1-X", "B2-B3")),
    ]
    assert exits.least


def test_a_stretch_is_told_again_only_where_its_order_does_not_follow():
    before = Abreast("B1", "Y parts", ("a", "b", "c"), ("a", "b", "c"))
    follows = Abreast("Y parts", "X parts", ("a", "c"), ("a", "c"))
    changes = Abreast("Y parts", "X parts", ("c", "a"), ("c", "a"))
    crosses = Abreast("Y parts", "X parts", ("a", "c"), ("c", "a"))
    for second, told in ((follows, 1), (changes, 2), (crosses, 2)):
        exits = LoomExits("engine", {}, (), (before, second))
        assert len(exits.begun) == told


@pytest.mark.parametrize("name", ["six", "hillclimb", "v8"])
def test_every_co_run_of_a_demo_stands_once_among_what_lies_side_by_side(name):
    worked = work_out(demo_folder(name)).worked
    for one in worked.built.exits:
        tree = worked.routed.tree[one.loom]
        told = {name for stretch in one.abreast for name in stretch.at_inner}
        long = {
            s.name
            for s in tree.sections
            if s.co_runs
            and (longest := max(c.until_mm for c in s.co_runs)) >= SHORTEST_CO_RUN_MM
            and s.length_mm - longest >= SHORTEST_REST_MM
        }
        assert long <= told <= {s.name for s in tree.sections if s.co_runs}
        assert {s.at_inner == s.at_outer for s in one.abreast} <= {not one.crossings}


def as_built(*beside, inner="B1"):
    one = BuiltSection("engine", inner, "X", 600.0, None, "", (), beside)
    return replace(job(), built=(one,))


WHOLE = ("B1-B2", 300.0)


@pytest.mark.parametrize(
    ("rows", "crossed"),
    [
        ((WHOLE, ("B2-B3", 200.0)), True),  # as the tape tells it
        ((("B2-B3", 200.0), WHOLE), True),  # in whichever order it is written
        ((WHOLE, ("B2-B3", 0.5)), True),  # parts beyond all that leaves B2
        ((WHOLE,), False),  # it parts where B1-B2 ends
        ((("B1-B2", 250.0), ("B2-B3", 200.0)), False),  # it never comes to B2
        ((), False),
    ],
)
def test_build_tables_tell_what_runs_past_a_branch_point(rows, crossed):
    found = exit_paths(as_built(*rows), passing(LEFT_X, LEFT_Y, RIGHT_Z))
    assert found.crossings == ((Crossing("B1-X", "B2-Y", "B2"),) if crossed else ())


def test_build_tables_tell_it_as_the_tape_does_and_stand_over_it():
    some = passing(LEFT_X, RIGHT_Z)
    told = as_built(WHOLE, ("B2-B3", 200.0))
    assert loom_exits(told, some) == loom_exits(with_rope(), some)
    assert loom_exits(replace(told, runs=(RUN,)), some) == loom_exits(told, some)
    parts_at_b2 = replace(as_built(WHOLE), runs=(RUN,))
    assert exit_paths(parts_at_b2, passing(LEFT_X, LEFT_Y, RIGHT_Z)).crossings == ()


def test_a_co_run_goes_on_past_two_branch_points_only_as_far_as_it_is_long():
    some = tree(
        section("D", "B1", 100),
        section("B1", "B2", 300, ("B1-X", 300)),
        section("B1", "X", 600, ("B1-B2", 300)),
        section("B2", "B3", 200),
        section("B2", "Y", 150),
        section("B3", "B4", 400),
        section("B3", "W", 90),
        section("B4", "U", 90),
        exits=(*ONWARD, LEFT_X, exit_of("B3", "W", "left")),
    )
    rows = (WHOLE, ("B2-B3", 200.0), ("B3-B4", 300.0))
    found = exit_paths(as_built(*rows), some)
    assert [(one.inner, one.outer) for one in found.abreast] == [
        ("B1", "B2"),
        ("B2", "B3"),
        ("B3", "X parts"),
    ]
    assert [one.passer for one in found.crossings] == ["B1-X"]


@pytest.mark.parametrize("least", [True, False])
def test_the_finding_says_where_fewer_crossings_may_be_possible(least):
    worked = work_out(demo_folder("hillclimb-faults")).worked
    exits = tuple(replace(one, least=least) for one in worked.built.exits)
    (found,) = exits_cross(replace(worked, built=replace(worked.built, exits=exits)))
    assert found.subject == "engine/B1-MAP"
    assert ("Fewer crossings may be possible" in found.remedy) != least
