"""Steiner trees: against every choice of branch points, and what must hold for any net."""

import math
import random
from itertools import combinations

import pytest

from loomwright.calc import steiner_solve
from loomwright.calc.steiner import Edge, Found, metric_closure, steiner_tree
from loomwright.errors import OutOfRange

Case = tuple[int, list[Edge], list[int]]


def spanning_cost(nodes: set[int], edges: list[Edge]) -> float:
    """Cost of the cheapest tree over exactly these nodes, infinite if there is none."""
    parent = {v: v for v in nodes}

    def root(v: int) -> int:
        while parent[v] != v:
            v = parent[v]
        return v

    total, left = 0.0, len(nodes) - 1
    for a, b, cost in sorted(edges, key=lambda e: e[2]):
        if a in nodes and b in nodes and root(a) != root(b):
            parent[root(a)] = root(b)
            total, left = total + cost, left - 1
    return total if left == 0 else math.inf


def cheapest(case: Case) -> float:
    """Cost of the cheapest tree, by trying every set of branch points."""
    nodes, edges, terminals = case
    others = [v for v in range(nodes) if v not in terminals]
    choices = (set(terminals) | set(c) for k in range(len(others) + 1) for c in combinations(others, k))
    return min(spanning_cost(choice, edges) for choice in choices)


def random_case(seed: int, costs: str) -> Case:
    draw = random.Random(seed)
    nodes = draw.randint(2, 11)
    pairs = [(draw.randrange(v), v) for v in range(1, nodes)]
    pairs += [(draw.randrange(nodes), draw.randrange(nodes)) for _ in range(draw.randint(0, 2 * nodes))]
    cost = {
        "whole": lambda: float(draw.randint(0, 9)),
        "even": lambda: 1.0,
        "any": lambda: draw.uniform(0, 10),
        "dear ends": lambda: draw.choice([1e5, 0]) + draw.randint(1, 20),
    }[costs]
    terminals = draw.sample(range(nodes), draw.randint(1, nodes))
    return nodes, [(a, b, cost()) for a, b in pairs], terminals


def faults(case: Case, found: Found) -> list[str]:
    """What is wrong with a tree, whatever it costs."""
    nodes, edges, terminals = case
    parent = list(range(nodes))

    def root(v: int) -> int:
        while parent[v] != v:
            v = parent[v]
        return v

    wrong = []
    for e in found.edges:
        a, b = root(edges[e][0]), root(edges[e][1])
        wrong += ["circle"] * (a == b)
        parent[a] = b
    wrong += ["terminal missed"] * (len({root(t) for t in terminals}) > 1)
    wrong += ["cost"] * (
        abs(math.fsum(edges[e][2] for e in found.edges) - found.cost) > 1e-9 * (1 + found.cost)
    )
    wrong += ["bound above cost"] * (found.lower_bound > found.cost)
    return wrong


@pytest.mark.parametrize("costs", ["whole", "even", "any", "dear ends"])
def test_no_choice_of_branch_points_is_cheaper(costs: str) -> None:
    for seed in range(60):
        case = random_case(seed, costs)
        found = steiner_tree(*case, limit_s=10)
        assert faults(case, found) == []
        assert found.cost == pytest.approx(cheapest(case), rel=1e-9, abs=1e-9), seed
        assert found.proved, seed


@pytest.mark.parametrize("costs", ["whole", "even", "any", "dear ends"])
def test_directed_cuts_alone_prove_the_same(costs: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(steiner_solve, "_TABLE", 0.0)
    monkeypatch.setattr(steiner_solve.Search, "_squeeze", lambda self: None)
    for seed in range(200, 225):
        case = random_case(seed, costs)
        found = steiner_tree(*case, limit_s=math.inf, rounds=2)
        assert faults(case, found) == []
        assert found.cost == pytest.approx(cheapest(case), rel=1e-9, abs=1e-9), seed
        assert found.proved, seed


def test_the_bound_never_lies_above_the_cheapest_tree() -> None:
    for seed in range(300, 340):
        case = random_case(seed, "any")
        for rounds in (0, 1):
            found = steiner_tree(*case, limit_s=math.inf, rounds=rounds)
            assert faults(case, found) == []
            assert found.lower_bound <= cheapest(case) + 1e-9


def grid(side: int, seed: int) -> Case:
    draw = random.Random(seed)
    at = {(x, y): x * side + y for x in range(side) for y in range(side)}
    edges = [
        (at[x, y], at[to], float(draw.randint(5, 15)))
        for x, y in at
        for to in ((x + 1, y), (x, y + 1))
        if to in at
    ]
    return side * side, edges, sorted(draw.sample(range(side * side), 18))


def test_stopped_by_the_clock_it_still_answers_with_a_tree() -> None:
    case = grid(14, 1)
    for limit_s in (1e-6, 0.05, 0.3):
        found = steiner_tree(*case, limit_s=limit_s)
        assert faults(case, found) == []
        assert found.seconds < limit_s + 1.5


def test_by_rounds_the_same_input_gives_the_same_tree() -> None:
    case = grid(9, 2)
    first, again = (steiner_tree(*case, limit_s=math.inf, seed=4, rounds=3) for _ in range(2))
    assert (first.edges, first.cost, first.lower_bound) == (again.edges, again.cost, again.lower_bound)


def test_more_rounds_are_never_worse() -> None:
    case = grid(12, 3)
    costs = [steiner_tree(*case, limit_s=math.inf, rounds=rounds).cost for rounds in (0, 1, 4)]
    assert costs == sorted(costs, reverse=True)


def test_edges_side_by_side_loops_and_doubled_terminals() -> None:
    edges = [(0, 1, 5.0), (0, 1, 2.0), (1, 1, 1.0), (1, 2, 3.0), (1, 0, 9.0)]
    found = steiner_tree(3, edges, [0, 2, 2, 0], 1.0)
    assert (found.edges, found.cost, found.proved) == ((1, 3), 5.0, True)


def test_one_terminal_needs_no_edge() -> None:
    found = steiner_tree(2, [(0, 1, 1.0)], [1], 1.0)
    assert (found.edges, found.cost, found.lower_bound, found.proved) == ((), 0.0, 0.0, True)


def test_the_three_pointed_star() -> None:
    edges = [(0, 3, 1.0), (1, 3, 1.0), (2, 3, 1.0), (0, 1, 1.9), (1, 2, 1.9), (0, 2, 1.9)]
    assert steiner_tree(4, edges, [0, 1, 2], 1.0).edges == (0, 1, 2)
    dear = [(a, b, c + 0.3 * (b == 3)) for a, b, c in edges]
    assert steiner_tree(4, dear, [0, 1, 2], 1.0).cost == pytest.approx(3.8)


def test_metric_closure_holds_the_shortest_ways() -> None:
    table = metric_closure(4, [(0, 1, 2.0), (1, 2, 2.0), (0, 2, 5.0)], [0, 2, 3])
    assert table[0, 1] == 4.0
    assert math.isinf(table[0, 2])
    assert table[1, 1] == 0.0


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"nodes": 0}, "nodes"),
        ({"edges": [(0, 9, 1.0)]}, "edge 0"),
        ({"edges": [(0, 1, -1.0)]}, "cost of edge 0"),
        ({"edges": [(0, 1, math.nan)]}, "cost of edge 0"),
        ({"edges": [(0, 1, math.inf)]}, "cost of edge 0"),
        ({"terminals": []}, "terminals"),
        ({"terminals": [3]}, "terminal"),
        ({"terminals": [0, 2]}, "terminal"),
        ({"limit_s": 0.0}, "limit_s"),
        ({"limit_s": math.nan}, "limit_s"),
        ({"rounds": -1}, "rounds"),
    ],
)
def test_what_makes_no_sense_is_refused(change: dict[str, object], name: str) -> None:
    good: dict[str, object] = {"nodes": 3, "edges": [(0, 1, 1.0)], "terminals": [0, 1], "limit_s": 1.0}
    with pytest.raises(OutOfRange) as refusal:
        steiner_tree(**{**good, **change})
    assert refusal.value.name == name
