"""The planner's tree: against every tree there is on small maps, and what has to hold on all."""

import math
from dataclasses import replace

import pytest
from tests.calc.priced_trees import every_tree, scale_of, small_task

from loomwright.calc.priced_tree import BROKEN, ROOT, Bough, Corridor, Limits, Net, Step, Task, sections
from loomwright.calc.priced_tree_bound import lower_bound
from loomwright.calc.priced_tree_curve import chosen, curve
from loomwright.calc.priced_tree_exact import best_tree
from loomwright.calc.priced_tree_hull import least_branch_points, lines_below
from loomwright.calc.priced_tree_places import fix_point
from loomwright.calc.priced_tree_plan import is_steiner, plan_tree, plans, spots_for_branches, steiner_task
from loomwright.errors import OutOfRange


@pytest.mark.parametrize("seed", range(60))
def test_the_tables_find_the_cheapest_of_all_trees(seed: int) -> None:
    task = small_task(seed, 4, 3 if seed % 6 else 4)
    scale = scale_of(task)
    most = task.limits.most_exits if task.limits.most_exits <= len(task.ends) else 0
    tree, value = best_tree(scale, range(task.points), most)
    least = min(scale.worth(one).charged for one in every_tree(task))
    if least < BROKEN:
        assert scale.worth(tree).charged == pytest.approx(least, rel=1e-9)
        assert value == pytest.approx(least, rel=1e-9)
    else:
        assert scale.worth(tree).broken >= 1


@pytest.mark.parametrize("seed", range(60, 110))
def test_the_entry_proves_it_and_the_flows_bound_it(seed: int) -> None:
    task = small_task(seed, 4, 3)
    scale = scale_of(task)
    answer = plan_tree(task, 5.0)
    least = min(scale.worth(one).charged for one in every_tree(task))
    if least < BROKEN:
        assert answer.proved
        assert answer.worth.money == pytest.approx(least, rel=1e-9)
        assert lower_bound(task, 10.0) <= least + 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_the_quick_sum_is_the_long_one(seed: int) -> None:
    task = small_task(seed, 5, 5)
    scale = scale_of(task)
    for answer in plans(replace(task, limits=Limits()), math.inf, seed, 6):
        assert scale_of(replace(task, limits=Limits())).charged(answer.tree) == pytest.approx(
            answer.worth.charged
        )
    assert scale.task is task


def grid(wide: int, cost: float = 100.0) -> tuple[Corridor, ...]:
    """Corridors of a square grid of wide x wide points."""
    at = [(x, y) for y in range(wide) for x in range(wide)]
    index = {place: n for n, place in enumerate(at)}
    return tuple(
        Corridor(index[x, y], index[to], cost)
        for x, y in at
        for to in ((x + 1, y), (x, y + 1))
        if to in index
    )


def test_with_only_wire_every_wire_goes_its_shortest_way() -> None:
    nets = tuple(Net((ROOT, end), 0.01, 1.0) for end in range(4))
    task = Task(25, grid(5), 0, (24, 4, 20, 14), nets, (Step(50.0, 0.0),))
    answer = plan_tree(task, 5.0)
    assert answer.proved
    assert answer.worth.money == pytest.approx(0.01 * 100 * (8 + 4 + 4 + 6))


def test_with_only_sheath_it_is_the_steiner_tree() -> None:
    nets = (Net((ROOT, 0, 1, 2), 0.0, 1.0),)
    task = Task(9, grid(3), 1, (3, 5, 7), nets, (Step(50.0, 0.02),))
    answer = plan_tree(task, 5.0)
    assert answer.proved
    assert answer.worth.money == pytest.approx(0.02 * 400)  # a cross: four arms of one link


def test_a_net_of_edges_becomes_a_task() -> None:
    task = steiner_task(4, [(0, 3, 5.0), (1, 3, 5.0), (2, 3, 5.0), (0, 1, 9.0), (1, 2, 9.0)], [2, 0, 1])
    assert is_steiner(task)
    answer = plan_tree(task, 5.0)
    assert (answer.proved, answer.worth.money) == (True, pytest.approx(15.0))


@pytest.mark.parametrize("seed", range(6))
def test_the_tables_agree_with_the_steiner_kernel(seed: int) -> None:
    task = replace(
        small_task(seed, 7, 5),
        nets=(Net((ROOT, *range(5)), 0.0, 1.0),),
        sheath=(Step(50.0, 0.01),),
        branch_money=0.0,
        root_is_end=False,
        limits=Limits(),
        apart=(),
    )
    kernel = plan_tree(task, 5.0)
    _, value = best_tree(scale_of(task), range(task.points))
    assert value == pytest.approx(kernel.worth.money)
    assert kernel.lower_bound <= kernel.worth.money + 1e-9


def test_branch_points_get_fewer_as_their_price_rises_and_the_cost_has_no_step() -> None:
    task = replace(small_task(3, 6, 6), limits=Limits(), apart=(), root_is_end=False)
    prices = [0.0, 1e-6, 0.1, 0.3, 1.0, 3.0, 10.0]
    found = [plan_tree(replace(task, branch_money=price), 5.0) for price in prices]
    assert all(one.proved for one in found)
    counts = [one.worth.branch_points for one in found]
    assert counts == sorted(counts, reverse=True)
    for (low, a), (high, b) in zip(
        zip(prices, found, strict=True), list(zip(prices, found, strict=True))[1:], strict=False
    ):
        assert -1e-9 <= b.worth.money - a.worth.money <= (high - low) * a.worth.branch_points + 1e-9


def test_the_curve_holds_the_best_and_its_choice_never_gains_points() -> None:
    task = replace(small_task(5, 6, 6), limits=Limits(), apart=())
    best = plan_tree(task, 5.0)
    points = curve(task, 10.0, known=(best,))
    at = chosen(points, task.branch_money)
    assert at.rest + task.branch_money * at.branch_points == pytest.approx(best.worth.money)
    counts = [chosen(points, price).branch_points for price in (0.0, 0.1, 0.5, 2.0, 8.0, 40.0)]
    assert counts == sorted(counts, reverse=True)
    assert [one.rest for one in points] == sorted((one.rest for one in points), reverse=True)


def test_co_runs_share_ties_and_need_no_branch_point() -> None:
    corridors = (Corridor(0, 1, 100.0, 5.0), Corridor(1, 2, 50.0, 1.0), Corridor(1, 3, 50.0, 1.0))
    nets = (Net((ROOT, 0), 0.001, 1.0), Net((ROOT, 1), 0.001, 1.0))
    task = Task(4, corridors, 0, (2, 3), nets, (Step(50.0, 0.001),), branch_money=50.0)
    answer = plan_tree(task, 5.0)
    assert answer.worth.branch_points == 0
    assert answer.worth.ties == pytest.approx(7.0)
    cheap = plan_tree(replace(task, branch_money=0.01), 5.0)
    assert cheap.worth.branch_points == 1


def test_nets_kept_apart_and_bores_and_exits_are_kept() -> None:
    corridors = tuple(Corridor(a, b, 100.0) for a, b in ((0, 1), (1, 2), (1, 3), (0, 4), (4, 3), (1, 5)))
    nets = tuple(Net((ROOT, end), 0.001, 4.0) for end in range(3))
    task = Task(6, corridors, 0, (2, 3, 5), nets, (Step(50.0, 0.01),), branch_money=0.1)
    free = plan_tree(task, 5.0)
    assert any(outer.beyond for _, outer in sections(free.tree))
    apart = plan_tree(replace(task, apart=((0, 1), (0, 2), (1, 2))), 5.0)
    assert apart.worth.broken == 0
    assert not any(outer.beyond for _, outer in sections(apart.tree))
    narrow = replace(task, corridors=(replace(corridors[0], bore_mm=2.6), *corridors[1:3], corridors[5]))
    assert plan_tree(narrow, 5.0).worth.broken >= 1  # three wires don't fit where only one may


def test_a_part_is_removed_where_the_way_is_worth_its_price() -> None:
    corridors = (Corridor(0, 1, 1000.0), Corridor(0, 2, 100.0, part=0), Corridor(2, 1, 100.0))
    task = Task(3, corridors, 0, (1,), (Net((ROOT, 0), 0.01, 1.0),), (Step(50.0, 0.01),), parts=(5.0,))
    assert plan_tree(task, 5.0).opened == (0,)
    assert plan_tree(replace(task, parts=(50.0,)), 5.0).opened == ()


def test_more_than_63_ends_are_planned() -> None:
    ends = 65
    corridors = tuple(Corridor(n, n + 1, 50.0) for n in range(ends))
    nets = tuple(Net((ROOT, end), 0.001, 1.0) for end in range(ends))
    task = Task(
        ends + 1, corridors, 0, tuple(range(1, ends + 1)), nets, (Step(90.0, 0.01),), branch_money=0.2
    )
    answer = plan_tree(task, math.inf, 0, 3)
    assert sorted(outer.end for _, outer in sections(answer.tree) if outer.end >= 0) == list(range(ends))
    assert 0 < answer.lower_bound <= answer.worth.money


def test_same_task_and_steps_same_tree() -> None:
    task = replace(small_task(8, 12, 12), limits=Limits(most_exits=5))
    first, again = (plan_tree(replace(task, ends=task.ends * 2), math.inf, 4, 12) for _ in range(2))
    assert first.tree == again.tree


def test_what_cannot_be_planned_is_refused_in_words() -> None:
    task = small_task(1, 4, 3)
    for bad in (
        replace(task, ends=()),
        replace(task, root=9),
        replace(task, branch_money=-1.0),
        replace(task, sheath=()),
        replace(task, corridors=(Corridor(0, 1, -5.0),)),
        replace(task, limits=Limits(most_exits=2)),
    ):
        with pytest.raises(OutOfRange):
            plan_tree(bad, 1.0)
    with pytest.raises(OutOfRange, match="reached"):
        plan_tree(replace(task, corridors=(), ends=(1, 2, 3)), 1.0)


def test_the_fewest_branch_points_follow_from_the_limit_on_exits() -> None:
    task = replace(small_task(1, 4, 3), ends=(1,) * 10, root_is_end=True, limits=Limits(most_exits=5))
    assert least_branch_points(task) == 3  # 11 ends, three points of five exits: 3 x 3 + 2
    assert least_branch_points(replace(task, limits=Limits(most_exits=99))) == 1


def test_lines_lie_below_the_steps() -> None:
    points = [(0.0, 2.0), (10.0, 2.0), (40.0, 5.0), (90.0, 6.0)]
    for offset, slope in lines_below(points):
        assert all(offset + slope * x <= y + 1e-9 for x, y in points)


def test_branch_points_are_tried_wherever_they_can_pay() -> None:
    task = Task(4, grid(2), 0, (3,), (Net((ROOT, 0), 0.01, 1.0),), (Step(9.0, 0.01),))
    assert spots_for_branches(task) == (0, 1, 2, 3)


def test_a_point_is_found_from_its_tapes() -> None:
    hooks = (
        (0.0, 0.0, 0.0),
        (1000.0, 0.0, 100.0),
        (0.0, 800.0, 0.0),
        (900.0, 700.0, 500.0),
        (300.0, 0.0, 900.0),
    )
    hidden = (430.0, 310.0, -220.0)
    found = fix_point(hooks, [math.dist(hook, hidden) for hook in hooks])
    assert found.place == pytest.approx(hidden, abs=0.01)
    assert found.off_mm < 0.01
    with pytest.raises(OutOfRange, match="4 or more"):
        fix_point(hooks[:3], [1.0, 1.0, 1.0])
    with pytest.raises(OutOfRange, match="plane"):
        fix_point([(0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 1.0, 0.0)], [1.0] * 4)


def test_a_tree_weighs_what_its_parts_weigh() -> None:
    corridors = (Corridor(0, 1, 100.0, 1.0, 2.0), Corridor(1, 2, 50.0), Corridor(1, 3, 70.0))
    nets = (Net((ROOT, 0), 0.01, 4.0, 2), Net((0, 1), 0.02, 9.0))
    sheath = (Step(3.0, 0.1), Step(4.0, 0.2), Step(9.0, 0.4))
    task = Task(
        4, corridors, 0, (2, 3), nets, sheath, branch_money=7.0, breakout_money=3.0, bundle_factor=1.0
    )
    scale = scale_of(task)
    tree = Bough(0, -1, (Bough(1, -1, (Bough(2, 0), Bough(3, 1))),))
    worth = scale.worth(tree)
    assert worth.wire == pytest.approx(2 * 0.01 * 150 + 0.02 * 120)
    # squares: trunk 8 (2.83 mm), to end 0: 8 + 9 (4.12 mm), to end 1: 9 (3 mm)
    assert worth.sheath == pytest.approx(0.1 * 100 + 0.4 * 50 + 0.1 * 70)
    assert (worth.ties, worth.hazards) == (1.0, 2.0)
    assert (worth.branches, worth.breakouts, worth.branch_points) == (7.0, 6.0, 1)
    assert worth.wire_mm == pytest.approx(2 * 150 + 120)


def test_points_behind_a_part_that_stays_are_left_alone() -> None:
    """A point that only a removed part opens: found where removing pays, else the tree stands without it."""
    links = [Corridor(0, 1, 500.0), Corridor(1, 2, 300.0), Corridor(1, 3, 300.0)]
    links += [Corridor(0, 4, 250.0, part=0), Corridor(4, 2, 60.0, part=0), Corridor(4, 3, 60.0, part=0)]
    net = Net((ROOT, 0, 1), 0.001, 4.0)
    for part, opened in ((0.1, (0,)), (100.0, ())):
        task = Task(5, tuple(links), 0, (2, 3), (net,), (Step(50.0, 0.005),), branch_money=1.0, parts=(part,))
        answer = plan_tree(task, 5.0)
        assert answer.proved
        assert answer.opened == opened
        searched = plan_tree(task, 0.3, steps=20, known=(answer.tree,))
        assert searched.worth.money == pytest.approx(answer.worth.money)
