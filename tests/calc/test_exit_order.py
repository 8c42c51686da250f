"""Exits and lines on the way: the fewest crossings, held against trying everything."""

from dataclasses import replace
from itertools import combinations

import pytest
from benchmarks.exits import fewest_by_trying_all, random_corridors
from benchmarks.exits_large import at_least, large_row

from loomwright.calc.exit_order import Corridors, crossings
from loomwright.calc.exit_order_search import MOST_SUMS, _Work, allowed_orders, best_exits
from loomwright.errors import OutOfRange

LEFT_AND_RIGHT = Corridors(
    inner=(0, 1, 1, 1, 4, 4),
    noted=(None, 90.0, -90.0, 0.0, 90.0, 0.0),
    lines=((0, 1), (1, 2), (1, 3), (1, 4), (4, 6), (0, 5)),
)
"""A line from point 0 passes point 1, where one exit leaves left and one right, and ends to the left of 4."""


@pytest.mark.parametrize("seed", range(80))
def test_as_few_as_trying_everything_finds(seed):
    task = random_corridors(seed, 6)
    found = best_exits(task)
    assert found.least
    assert len(found.crossings) == fewest_by_trying_all(task)


def test_trying_everything_finds_some_that_cannot_be_avoided():
    fewest = [fewest_by_trying_all(random_corridors(seed, 6)) for seed in range(120)]
    assert sum(n > 0 for n in fewest) >= 2


def test_a_line_between_two_exits_crosses_one_of_them():
    found = best_exits(LEFT_AND_RIGHT)
    assert found.least
    assert found.crossings == ((1, 5),)  # over the left exit, and then it lies on the left where it parts


def test_with_the_exit_opposite_free_nothing_crosses():
    free = Corridors(LEFT_AND_RIGHT.inner, (None, None, -90.0, 0.0, 90.0, 0.0), LEFT_AND_RIGHT.lines)
    found = best_exits(free)
    assert found.crossings == ()
    right = found.choice.around[1]
    assert right.index(1) < right.index(3), "the free exit leaves right of the trunk"


def test_the_wrong_side_is_counted():
    found = best_exits(LEFT_AND_RIGHT)
    other = replace(found.choice, side={key: -side for key, side in found.choice.side.items()})
    assert len(crossings(LEFT_AND_RIGHT, other)) > len(found.crossings)


@pytest.mark.parametrize("seed", range(40))
def test_lines_swap_in_a_corridor_only_where_they_cross(seed):
    task = random_corridors(seed, 9)
    found = best_exits(task)
    for inner, outer in found.order:
        assert sorted(inner) == sorted(outer)
        for one, other in combinations(sorted(inner), 2):
            swapped = (inner.index(one) < inner.index(other)) != (outer.index(one) < outer.index(other))
            assert not swapped or (one, other) in found.crossings


@pytest.mark.parametrize("seed", range(40))
def test_what_is_noted_stands(seed):
    task = random_corridors(seed, 12)
    for point, order in best_exits(task).choice.around.items():
        assert sorted(order) == sorted(task.out_of[point])
        told = [deg for c in order if (deg := task.noted[c]) is not None]
        assert told == sorted(told)


def test_same_tree_same_answer():
    assert best_exits(random_corridors(7, 20)) == best_exits(random_corridors(7, 20))


def test_many_exits_at_one_point_are_still_ordered():
    inner = (0,) + (1,) * 9
    task = Corridors(inner, (None,) * 10, ((0, 1), (1, 2), (1, 3), (0, 4), (0, 5), (2, 6), (3, 7)))
    found = best_exits(task)
    assert sorted(found.choice.around[1]) == list(range(1, 10))
    assert found.crossings == ()


def test_orders_of_three_exits_with_two_noted():
    task = Corridors((0, 1, 1, 1), (None, 90.0, None, -90.0), ((0, 2), (0, 3), (0, 4)))
    assert sorted(allowed_orders(task, 1)) == [(2, 3, 1), (3, 1, 2), (3, 2, 1)]


@pytest.mark.parametrize(
    ("inner", "noted", "lines"),
    [((1,), (None,), ()), ((0,), (), ()), ((0,), (None,), ((1, 1),)), ((0,), (None,), ((0, 2),))],
)
def test_what_is_no_tree_is_refused(inner, noted, lines):
    with pytest.raises(OutOfRange):
        Corridors(inner, noted, lines)


@pytest.mark.parametrize("seed", range(3))
def test_many_lines_past_many_points_take_a_bounded_number_of_sums(seed):
    """A crowd like this isn't proved; what is found stands, and it takes the sums allowed, no more."""
    task = random_corridors(seed, 45)
    work = _Work(task)
    found = work.descend()
    told = [work.prove(found, part, 20_000) for part in work.parts]
    most = max(len(work.domain[key]) * len(work.of[key]) for key in work.domain)
    assert work.left >= -2 * MOST_SUMS - most - len(work.terms) * 25
    exits = best_exits(task)
    assert exits.least == all(told)
    assert len(exits.crossings) == work.total(found) <= work.total(dict(work.start))


def test_the_bound_is_never_above_the_fewest_and_sometimes_meets_them():
    met = 0
    for seed in range(120):
        task = random_corridors(seed, 6)
        fewest, bound = len(best_exits(task).crossings), at_least(task)
        assert bound <= fewest, seed
        met += 0 < bound == fewest
    assert met > 0


@pytest.mark.parametrize("seed", [0, 1])
def test_a_loom_of_sixty_sections_or_more_is_settled(seed):
    row = large_row(seed)
    assert row.sections >= 60
    assert row.at_least <= row.crossings
    assert row.proved
