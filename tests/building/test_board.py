"""The forming board: true lengths, nothing crossing, the right hand, and angles that are kept."""

import math
import time
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise

import pytest

from building.making import area, exit_of, job, random_tree, routed, section, sized, tree
from loomwright.building import board_sectors
from loomwright.building.board import board, make_task
from loomwright.building.board_layout import lay_flat
from loomwright.building.board_lines import count_crossings, trace
from loomwright.building.compass import AXES, direction, hand, sight
from loomwright.building.exit_paths import loom_exits
from loomwright.building.exits import leavings
from loomwright.model.job import Kept, Loom

SEEDS = range(120)


@cache
def random_board(seed, co_runs=True):
    some = random_tree(seed, co_runs=co_runs)
    return some, drawn(some)


def drawn(some, car=None, **parts):
    car = car or job()
    return board(car, some, routed(some), sized(**parts), loom_exits(car, some).leaving)


def line_of(some, name):
    return next(s.line for s in some.sections if s.section.endswith(f"/{name}"))


def length(line):
    return sum(math.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line))


def cross_or_touch(p, q, r, s):
    """Independent of the program: solves p + t(q - p) = r + u(s - r); parallel ones by their overlap."""
    ax, ay, bx, by = q[0] - p[0], q[1] - p[1], s[0] - r[0], s[1] - r[1]
    det, size, other = ax * by - ay * bx, math.hypot(ax, ay), math.hypot(bx, by)
    wx, wy = r[0] - p[0], r[1] - p[1]
    if abs(det) < 1e-9 * size * other:
        first = (wx * ax + wy * ay) / size
        last = first + (bx * ax + by * ay) / size
        aside = abs(ax * wy - ay * wx) / size
        return aside < 1e-6 and min(first, last) <= size and max(first, last) >= 0
    t, u = (wx * by - wy * bx) / det, (wx * ay - wy * ax) / det
    return -1e-9 <= t <= 1 + 1e-9 and -1e-9 <= u <= 1 + 1e-9


def crossings(some):
    """Pairs of lines that meet anywhere but at an end both have."""
    found = []
    for a, b in combinations(some.sections, 2):
        shared = {(round(x, 6), round(y, 6)) for x, y in a.line} & {
            (round(x, 6), round(y, 6)) for x, y in b.line
        }
        for p, q in pairwise(a.line):
            for r, s in pairwise(b.line):
                ends = {(round(x, 6), round(y, 6)) for x, y in (p, q)} & {
                    (round(x, 6), round(y, 6)) for x, y in (r, s)
                }
                if not ends & shared and cross_or_touch(p, q, r, s):
                    found.append((a.section, b.section))
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_any_tree_lies_flat_at_true_lengths_without_a_crossing(seed):
    some, flat = random_board(seed)
    assert flat.crossings == 0
    assert crossings(flat) == []
    for s in flat.sections:
        true = some.by_name[s.section.split("/")[1]].length_mm
        assert length(s.line) == pytest.approx(true, abs=1e-6)
        assert s.length_mm == pytest.approx(true, abs=1e-6)
    for s in flat.sections:
        made = some.by_name[s.section.split("/")[1]]
        inner, outer = flat.point[made.inner], flat.point[made.outer]
        assert s.line[0] == pytest.approx((inner.x_mm, inner.y_mm), abs=1e-9)
        assert s.line[-1] == pytest.approx((outer.x_mm, outer.y_mm), abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_exit_is_drawn_on_its_hand(seed):
    """Turn against the direction of travel, worked out from the drawing alone."""
    some, flat = random_board(seed, co_runs=False)
    seen = leavings(job(), some)
    for s in some.sections:
        before, side = some.into.get(s.inner), seen[s.name].side
        onward = max(_reach(some, x) for x in some.out_of[s.inner])
        if before is None or side == 0 or _reach(some, s) == onward:
            continue  # straight on with the trunk, or nothing noted
        (a, b), (c, d) = line_of(flat, before.name)[-2:], line_of(flat, s.name)[:2]
        turn = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
        assert (turn > 0) == (side > 0), s.name


def _reach(some, s):
    further = [_depth(some, x) for x in some.out_of.get(s.outer, ())]
    return s.length_mm + max(further) if further else 0.7 * s.length_mm


def _depth(some, s):
    return s.length_mm + max((_depth(some, x) for x in some.out_of.get(s.outer, ())), default=0.0)


def left_right_loom(**more):
    return tree(
        section("D", "B1", 600, **more),
        section("B1", "B2", 500, **more),
        section("B2", "X", 400, **more),
        section("B1", "L", 150, **more),
        section("B1", "R", 150, **more),
        section("B1", "U", 150, **more),
        exits=(exit_of("B1", "L", "left"), exit_of("B1", "R", "right"), exit_of("B1", "U", "up")),
    )


def test_left_looking_outward_is_drawn_left_seen_from_above():
    flat = drawn(left_right_loom())
    datum, point = flat.point["D"], flat.point
    assert point["B1"].x_mm > datum.x_mm  # travelling to the right, so left is up on the paper
    assert point["L"].y_mm > datum.y_mm
    assert point["R"].y_mm < datum.y_mm
    assert point["U"].y_mm > datum.y_mm  # 12 o'clock is drawn left where there is room


def test_the_same_car_side_is_the_other_hand_in_the_cabin():
    car = job(areas=(area("bay", "bay"), area("cabin", "cabin")))
    cabin = [section("D", "C1", 500, area="cabin"), section("C1", "C2", 400, area="cabin")]
    cabin += [section("C1", "CL", 150, area="cabin"), section("C1", "CR", 150, area="cabin")]
    bay = [
        section("D", "B1", 600, area="bay"),
        section("B1", "B2", 500, area="bay"),
        section("B1", "BL", 150, area="bay"),
    ]
    exits = (exit_of("C1", "CL", "left"), exit_of("C1", "CR", "right"), exit_of("B1", "BL", "left"))
    flat = drawn(tree(*bay, *cabin, exits=exits), car)
    p, y = flat.point, flat.point["D"].y_mm
    assert p["C1"].x_mm < p["D"].x_mm < p["B1"].x_mm  # cabin to the left, bay to the right
    assert p["CL"].y_mm > y  # the car's left is up on both halves
    assert p["BL"].y_mm > y
    assert p["CR"].y_mm < y
    marks = {m.section.split("/")[1]: m.words for m in flat.marks if m.kind == "exit"}
    assert "3 o'clock" in marks["C1-CL"]
    assert "9 o'clock" in marks["B1-BL"]


def test_a_hole_has_two_sides_also_where_no_side_is_told():
    hole = job(looms=(Loom("engine", "D", (), hole_mm=45.0),))
    some = (section("D", "B1", 640), section("B1", "X", 300), section("D", "ECU", 420))
    noted = drawn(tree(*some, exits=(exit_of("D", "B1", "front"),)), hole).point
    assert noted["ECU"].x_mm < noted["D"].x_mm < noted["B1"].x_mm
    alike = drawn(tree(*some), hole).point  # nothing noted: the shorter way goes to the left
    assert alike["ECU"].x_mm < alike["D"].x_mm < alike["B1"].x_mm
    no_hole = drawn(tree(*some)).point
    assert no_hole["ECU"].x_mm > no_hole["D"].x_mm


@pytest.mark.parametrize(
    ("looking", "exit_to", "hour"),
    [
        ("front", "left", 9),
        ("front", "right", 3),
        ("front", "up", 12),
        ("front", "down", 6),
        ("back", "left", 3),
        ("left", "front", 3),
        ("down", "front", 12),
        ("down", "left", 9),
        ("up", "left", 3),
    ],
)
def test_clock_as_seen_looking_outward(looking, exit_to, hour):
    """12 = up, within 30 degrees of vertical 12 = front: common practice; the rest is turning one's head."""
    assert hand(sight(AXES[looking]), AXES[exit_to]).clock == hour


def test_straight_on_shows_no_hour_and_opposite_axes_no_direction():
    assert hand(sight(AXES["front"]), AXES["front"]).clock is None
    assert direction(("left", "right")) is None
    assert direction(()) is None


def rail():
    return tree(
        section("D", "B1", 300),
        section("B1", "I4", 430),
        section("B1", "I1", 190, ("B1-I4", 120)),
        section("B1", "I2", 280, ("B1-I4", 210)),
        section("B1", "B2", 700),
        section("B2", "X", 200),
        exits=(exit_of("B1", "I4", "left"), exit_of("B1", "I1", "left"), exit_of("B1", "I2", "left")),
    )


def test_co_runs_lie_side_by_side_until_they_part():
    flat = drawn(rail())
    a, b = line_of(flat, "B1-I4")[:2]
    ux, uy = (b[0] - a[0]) / 430, (b[1] - a[1]) / 430
    beside = {}
    for name, until in (("B1-I1", 120), ("B1-I2", 210)):
        _start, fan, parts, end = line_of(flat, name)
        for x, y in (fan, parts):
            beside.setdefault(name, set()).add(round((y - a[1]) * ux - (x - a[0]) * uy, 6))
        assert (parts[0] - a[0]) * ux + (parts[1] - a[1]) * uy == pytest.approx(
            until
        )  # its place on the tape
        away = (end[1] - parts[1]) * ux - (end[0] - parts[0]) * uy
        assert away > 0  # parts to the left
    assert beside == {
        "B1-I1": {18.0},
        "B1-I2": {9.0},
    }  # bundles of 6 mm, 3 mm of air: the last to part is innermost
    parting = [m for m in flat.marks if m.kind == "co-run parts"]
    assert [(m.section, m.mm) for m in parting] == [("engine/B1-I1", 120.0), ("engine/B1-I2", 210.0)]
    row = next(r for r in flat.marking_out if r.point == "I2 parts")
    assert (row.running_mm, row.step_mm) == (510.0, 210.0)
    assert (row.x_mm, row.y_mm) == pytest.approx(line_of(flat, "B1-I2")[2])


def test_angles_are_multiples_of_15_degrees():
    flat = drawn(rail())
    assert all(abs(angle / 15 - round(angle / 15)) < 1e-9 for _, angle in flat.angles)


def test_kept_angles_stay_when_an_end_is_added():
    before = left_right_loom()
    angles = drawn(before).angles
    strange = tuple((name, 90.0 if name.endswith("B1-L") else angle) for name, angle in angles)
    more = replace(before, sections=(*before.sections, section("B2", "Y", 260), section("B1", "Z", 220)))
    more = tree(*more.sections, exits=[(e.point, e.to, " ".join(e.axes), e.lean) for e in before.exits])
    after = dict(drawn(more, job(kept=Kept(board_angles=strange))).angles)
    assert {name: after[name] for name, _ in strange} == dict(strange)
    assert "engine/B2-Y" in after


@pytest.mark.parametrize("seed", SEEDS)
def test_what_was_drawn_once_is_drawn_so_again(seed):
    """Angles kept from the last board give the same board, also when the loom gets a new end."""
    some, first = random_board(seed)
    kept = job(kept=Kept(board_angles=first.angles))
    assert dict(drawn(some, kept).angles) == pytest.approx(dict(first.angles))


def test_a_kept_angle_that_would_cross_is_given_up():
    some = tree(
        section("D", "B1", 300), section("B1", "B2", 300), section("B2", "X", 900), section("B1", "Y", 600)
    )
    bad = Kept(board_angles=(("D-B1", 0.0), ("B1-B2", 0.0), ("B2-X", 150.0), ("B1-Y", 60.0)))
    assert drawn(some, job(kept=bad)).crossings == 0


@pytest.mark.parametrize("seed", range(0, 300, 5))
def test_sectors_never_cross_and_keep_the_hand(seed):
    """The layout that is left when nothing else finds room, on its own."""
    some = random_tree(seed, co_runs=False)
    task = make_task(job(), some, sized(), {}, loom_exits(job(), some).leaving)
    turns = board_sectors.turns(task)
    traced = trace(some, turns)
    assert count_crossings(list(traced.line.values())) == 0
    for s in some.sections:
        side, turn = task.leaving[s.name].side, turns[s.name].deg
        if side and s.inner != some.datum and turn:
            assert (turn > 0) == (side > 0)


def test_a_crossing_is_counted():
    cross = [((0.0, 0.0), (10.0, 10.0)), ((0.0, 10.0), (10.0, 0.0))]
    corner = [((0.0, 0.0), (10.0, 0.0)), ((10.0, 0.0), (10.0, 9.0))]
    folded = [((0.0, 0.0), (10.0, 0.0)), ((0.0, 0.0), (5.0, 0.0))]
    touching = [((0.0, 0.0), (10.0, 0.0)), ((5.0, 0.0), (5.0, 8.0))]
    assert [count_crossings(x) for x in (cross, corner, folded, touching)] == [1, 0, 1, 1]


def test_marking_out_gives_running_distance_and_last_point():
    flat = drawn(left_right_loom())
    rows = {r.point: r for r in flat.marking_out}
    assert flat.marking_out[0].point == "D"
    assert (rows["X"].running_mm, rows["X"].step_mm, rows["X"].after) == (1500.0, 400.0, "B2")
    for r in flat.marking_out[1:]:
        a, b = rows[r.after], r
        assert math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) == pytest.approx(r.step_mm)


def test_all_points_lie_inside_the_border():
    flat = drawn(rail())
    assert min(p.x_mm for p in flat.points) >= 40.0
    assert min(p.y_mm for p in flat.points) >= 40.0
    assert max(p.x_mm for p in flat.points) <= flat.width_mm - 40.0
    assert max(p.y_mm for p in flat.points) <= flat.height_mm - 40.0


def test_a_loom_of_ends_along_a_trunk_fits_a_bench():
    trunk = [section(f"B{n}" if n else "D", f"B{n + 1}", 150) for n in range(8)]
    ends = [section(f"B{n}", f"E{n}{k}", 300 + 40 * k) for n in range(1, 9) for k in range(2)]
    flat = drawn(tree(*trunk, *ends), job(looms=(Loom("engine", "D", ()),)))
    assert flat.height_mm <= 1000.0  # a bench is 0.6 to 1.0 m deep, common practice


def test_same_tree_same_board():
    assert drawn(random_tree(7)) == drawn(random_tree(7))


@pytest.mark.parametrize(("most", "limit_s"), [(70, 2.5), (700, 10.0)])
def test_board_is_quick(most, limit_s):
    """Bounds with room for a slow machine; a free one takes a quarter of them."""
    some = comb(most)
    task = make_task(job(), some, sized(), {}, loom_exits(job(), some).leaving)
    start = time.process_time()
    lay_flat(task)
    assert time.process_time() - start < limit_s


def comb(count):
    """A trunk with side ways of four points and two ends at each."""
    made, n = [], 0
    point = "D"
    while len(made) < count:
        made.append(section(point, point := f"T{n}", 160))
        way = point
        for k in range(3):
            made.append(section(way, f"S{n}_{k}", 90))
            way = f"S{n}_{k}"
            made += [section(way, f"E{n}_{k}a", 120), section(way, f"E{n}_{k}b", 180)]
        n += 1
    return tree(*made)
