"""Boards that fit a bench: how deep the demos come out, and that nothing at the ends lies on anything."""

import math
import random
from itertools import combinations, pairwise

import numpy as np
import pytest

from building.making import exit_of, job, section, sized, tree
from building.test_board import comb, cross_or_touch, drawn
from loomwright.building.board import make_task
from loomwright.building.board_layout import CLEAR_MM, lay_flat, squeeze, usual_turns
from loomwright.building.board_lie import Lie
from loomwright.building.board_plane import frame
from loomwright.building.board_search import Aim, cost, tidy
from loomwright.building.exit_paths import loom_exits
from loomwright.building.shape import pairs, trouble
from loomwright.pack.draw_board_ends import end_of, end_outlines
from pack.draw_jobs import JOBS, worked

USUAL = (90.0, 30.0, 15.0)


def outlines(name):
    """What is drawn at the ends of every board of a job, end by end, with the board."""
    done = worked(name)
    for board in done.built.boards:
        loom = done.routed.tree[board.loom]
        found = {}
        for s in board.sections:
            outer = loom.by_name[s.section.split("/")[1]].outer
            if outer not in loom.out_of:
                end = end_of(done.job, outer, s.line, s.finished_mm / 2, s.trim_mm)
                found[outer] = [np.array(corners) for corners in end_outlines(end)]
        yield board, found


def apart(p, q):
    """Two convex outlines share nothing: some edge of either has the other wholly beyond it."""
    for one, other in ((p, q), (q, p)):
        for a, b in zip(one, np.roll(one, -1, axis=0), strict=True):
            normal = np.array([b[1] - a[1], a[0] - b[0]])
            own, far = (one - a) @ normal, (other - a) @ normal
            if far.min() >= own.max() - 1e-6 or far.max() <= own.min() + 1e-6:
                return True
    return False


def test_overlapping_outlines_would_be_noticed():
    square = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    assert apart(square, square + 10.0)
    assert apart(square, square + np.array([0.0, 11.0]))
    assert not apart(square, square + 9.0)
    assert not apart(square, np.array([(5.0, -3.0), (13.0, 5.0), (5.0, 13.0), (-3.0, 5.0)]))


@pytest.mark.parametrize("name", JOBS)
def test_trim_zones_and_housings_lie_free_of_each_other(name):
    for board, ends in outlines(name):
        for (one, some), (other, more) in combinations(ends.items(), 2):
            assert all(apart(p, q) for p in some for q in more), (board.loom, one, other)


@pytest.mark.parametrize("name", JOBS)
def test_no_line_runs_through_a_trim_zone_or_housing(name):
    for board, ends in outlines(name):
        for s in board.sections:
            for end, some in ends.items():
                if s.section.endswith(f"-{end}"):
                    continue
                for a, b in pairwise(s.line):
                    line = np.array([a, b])
                    assert all(apart(line, p) for p in some), (board.loom, s.section, end)


@pytest.mark.parametrize(
    ("name", "loom", "deep_mm", "long_mm"),
    [
        ("small", "engine", 400.0, 2200.0),
        ("six", "engine", 300.0, 1800.0),
        ("hillclimb", "engine", 850.0, 2500.0),
        ("hillclimb", "cabin", 1100.0, 2700.0),
        ("v8", "engine", 1300.0, 5100.0),
    ],
)
def test_demos_stay_compact(name, loom, deep_mm, long_mm):
    """Bounds a little above what comes out, so that a board that grows is noticed."""
    board = worked(name).built.board[loom]
    assert board.height_mm <= deep_mm
    assert board.width_mm <= long_mm


def laid(count):
    task = make_task(job(), comb(count), sized(), {}, loom_exits(job(), comb(count)).leaving)
    some = frame(task, CLEAR_MM)
    return some, Lie(task, some, usual_turns(task, some, *USUAL))


def test_tidying_and_pressing_make_a_board_better():
    some, lie = laid(50)
    aim = Aim(kept=some.trunk)
    start = cost(lie, aim)
    tidy(lie, aim, 4)
    lie.anchor()  # sheets are counted from the corner the board has now
    tidied = cost(lie, aim)
    assert tidied < start
    assert squeeze(lie, aim, 2) <= tidied


def test_parts_lie_where_the_board_draws_them():
    task = make_task(job(), comb(60), sized(), {}, loom_exits(job(), comb(60)).leaving)
    turns, traced = lay_flat(task)
    some = frame(task, CLEAR_MM)
    lie = Lie(task, some, [turns[part.name].deg for part in some.parts])
    for n, part in enumerate(some.parts):
        assert lie.rows[some.first[n], 2:] == pytest.approx(traced.line[part.name][-1], abs=1e-6)


def test_turning_parts_one_after_the_other_is_as_laying_them_so_at_once():
    some, lie = laid(40)
    chance = random.Random(3)
    for _ in range(60):
        n = chance.randrange(len(some.parts))
        deg = float(chance.choice(some.choices[n].tolist()))
        if some.bends[n] and chance.random() < 0.5:
            lie.shift(n, deg)
        else:
            lie.turn(n, deg)
    again = Lie(lie.task, some, lie.deg)
    assert lie.rows == pytest.approx(again.rows, abs=1e-6)
    assert lie.count.sum() == again.count.sum() == len(some.dots[0])


def test_distances_and_crossings_of_pieces():
    """Against a crossing solved for and a distance found by walking along both."""
    chance = random.Random(5)
    rows = np.array([[chance.uniform(0, 100) for _ in range(8)] for _ in range(200)])
    cross, far = pairs(rows[:, :4], rows[:, 4:])
    steps = np.linspace(0.0, 1.0, 201)[:, None]
    for row, crosses, mm in zip(rows, cross.tolist(), far.tolist(), strict=True):
        a, b, c, d = row[0:2], row[2:4], row[4:6], row[6:8]
        assert crosses == cross_or_touch(a, b, c, d)
        one, two = a + steps * (b - a), c + steps * (d - c)
        walked = np.sqrt(((one[:, None] - two) ** 2).sum(axis=-1)).min()
        assert mm <= walked + 1e-9
        assert mm == pytest.approx(0.0 if crosses else walked, abs=math.sqrt(2))


@pytest.mark.parametrize(("x_mm", "missing"), [(130.0, 0.0), (110.0, 1 - 10 / 26), (50.0, 1.0)])
def test_pieces_in_one_line_do_not_cross(x_mm, missing):
    one, other = np.array([[0.0, 0.0, 100.0, 1e-12]]), np.array([[x_mm, 0.0, x_mm + 100.0, 0.0]])
    assert not pairs(one, other)[0][0]
    found = trouble(one[None], other, np.array([[26.0]], dtype=np.float32))
    assert found[0] == pytest.approx(missing, abs=1e-6)


def test_a_co_run_without_room_for_its_plug_is_drawn_as_an_exit_of_its_own():
    flat = drawn(short_co_run(140))
    lines = {s.section.split("/")[1]: s.line for s in flat.sections}
    assert len(lines["B1-SHORT"]) == 2
    assert not [m for m in flat.marks if m.kind == "co-run parts"]
    assert [m for m in drawn(short_co_run(100)).marks if m.kind == "co-run parts"]


def short_co_run(until_mm):
    return tree(
        section("D", "B1", 300),
        section("B1", "LONG", 400),
        section("B1", "SHORT", 140, ("B1-LONG", until_mm)),
        section("B1", "B2", 500),
        section("B2", "X", 100),
        section("B2", "Y", 100),
        exits=(exit_of("B1", "LONG", "left"), exit_of("B1", "SHORT", "left")),
    )


def test_all_parts_turn_by_steps_of_15_degrees():
    turns, _ = lay_flat(make_task(job(), comb(70), sized(), {}, loom_exits(job(), comb(70)).leaving))
    assert {turn.deg % 15.0 for turn in turns.values()} == {0.0}
