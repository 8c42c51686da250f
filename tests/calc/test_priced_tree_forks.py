"""The bound of larger looms: never above a proved tree, near it on bays; hubs opened one by one."""

import random
from dataclasses import replace

import pytest
from benchmarks.planner_bays import bay
from tests.calc.priced_trees import scale_of, small_task

from loomwright.calc.priced_tree import ROOT, Net, Step, Task, boughs
from loomwright.calc.priced_tree_bound import Beside, lower_bound
from loomwright.calc.priced_tree_forks import forks_bound
from loomwright.calc.priced_tree_hubs import hubbed
from loomwright.calc.priced_tree_hull import sheath_lines
from loomwright.calc.priced_tree_plan import openings, plan_tree, plans


@pytest.mark.parametrize("seed", [*range(300, 340), 2084, 2765, 3070])
def test_no_proved_tree_costs_less_than_the_bound(seed: int) -> None:
    task = small_task(seed, random.Random(seed).choice((4, 5, 6)), random.Random(seed + 1).choice((4, 5)))
    if seed % 3 == 0:
        links = list(task.corridors)
        for at in random.Random(seed).sample(range(len(links)), 2):
            links[at] = replace(links[at], part=0)
        task = replace(task, corridors=tuple(links), parts=(0.5,))
    answer = plan_tree(task, 20.0)
    bound = forks_bound(task, 20.0)
    if answer.proved and bound is not None:
        assert bound <= answer.worth.money * (1 + 1e-6)


def test_the_bound_is_near_where_the_best_is_known() -> None:
    task = bay(10, 2)
    best = plan_tree(task, 60.0)
    assert best.proved
    assert 0.96 * best.worth.money < lower_bound(task, 20.0) <= best.worth.money * (1 + 1e-6)


def test_ends_that_no_net_joins_are_left_to_the_other_bound() -> None:
    task = small_task(5, 4, 3)
    apart = replace(task, nets=(Net((ROOT, 0), 0.01, 1.0), Net((1, 2), 0.01, 1.0)))
    assert forks_bound(apart, 5.0) is None
    assert lower_bound(apart, 5.0) <= plan_tree(apart, 5.0).worth.money * (1 + 1e-6)


def test_the_last_size_is_charged_for_all_that_is_thicker() -> None:
    net = Net((ROOT, 0), 0.0, 1e6)
    task = Task(2, (), 0, (1,), (net,), (Step(2.0, 1.0), Step(4.0, 3.0)))
    assert all(offset + slope * 1e6 <= 3.0 + 1e-9 for offset, slope in sheath_lines(task))


def test_a_bound_beside_is_the_bound() -> None:
    task = small_task(7, 5, 4)
    beside = Beside(task, 10.0)
    beside.start()
    assert beside.bound() == Beside(task, 10.0).bound() == lower_bound(task, 10.0)


def test_opened_hubs_keep_the_limits_and_come_near() -> None:
    task = bay(24, 100)
    opening = openings(task)[0]
    tree = hubbed(opening.scale, opening.allowed, float("inf"))
    assert tree is not None
    worth = opening.scale.worth(tree)
    assert worth.broken == 0
    assert sorted(one.end for one in boughs(tree) if one.end >= 0) == list(range(24))
    assert worth.money < 1.15 * lower_bound(task, 60.0)
    assert hubbed(opening.scale, opening.allowed, 0.0) is None


def test_hubs_are_opened_on_any_map() -> None:
    for seed in range(20):
        task = small_task(seed, 6, 5)
        scale = scale_of(task)
        tree = hubbed(scale, range(task.points), float("inf"))
        assert tree is not None
        assert scale.charged(tree) >= plan_tree(task, 0.2).worth.charged - 1e-6


def test_without_a_bound_nothing_is_known() -> None:
    last = list(plans(bay(24, 100), float("inf"), steps=3, bounded=False))[-1]
    assert last.lower_bound == 0.0
    assert last.gap == 1.0
