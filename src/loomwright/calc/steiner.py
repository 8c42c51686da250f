"""The cheapest tree in a net that joins given nodes (Steiner tree in graphs), with a lower bound."""

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.calc.steiner_net import Clock, Floats, net_of
from loomwright.calc.steiner_search import Ways, ways_of
from loomwright.calc.steiner_solve import Search
from loomwright.errors import OutOfRange

Edge = tuple[int, int, float]
ROUNDS: Final = 20  # rounds of search where neither clock nor rounds are given


@dataclass(frozen=True, slots=True)
class Found:
    """A tree that joins all terminals.

    `edges` are places in the list of edges given, sorted; `lower_bound` is what no tree can undercut;
    `proved` tells that the cost equals it.
    """

    edges: tuple[int, ...]
    cost: float
    lower_bound: float
    proved: bool
    seconds: float


def steiner_tree(
    nodes: int,
    edges: Sequence[Edge],
    terminals: Sequence[int],
    limit_s: float,
    seed: int = 0,
    rounds: int | None = None,
) -> Found:
    """Return the cheapest tree found that joins all terminals, and a bound that no tree undercuts.

    Args:
        nodes: number of nodes, 1 or more; they are called 0, 1, 2, …
        edges: (node, node, cost), cost 0 or more; edges side by side are allowed
        terminals: nodes to be joined, at least one; doubles count once
        limit_s: time allowed, above 0 [s]; infinite to stop by rounds alone, then the same input gives the
            same tree on any machine
        seed: start of the random numbers
        rounds: rounds of search after the first tree, 0 or more; as many as the time allows if not given
    Returns the tree; `proved` when it is shown to be cheapest.
    Raises OutOfRange for nodes that don't exist, costs below 0 or not finite, terminals without a way.
    """
    started = time.perf_counter()
    _refuse(nodes, edges, terminals, limit_s, rounds)
    clock = Clock(started + limit_s)
    if rounds is None:
        rounds = ROUNDS if math.isinf(limit_s) else 1_000_000_000
    net, wanted = net_of(nodes, edges), tuple(sorted(set(terminals)))
    search = Search(net, wanted, clock, seed, rounds)
    search.run()
    best, bound = search.best, search.bound
    return Found(best.edges, best.cost, bound, bound >= best.cost, time.perf_counter() - started)


def metric_closure(nodes: int, edges: Sequence[Edge], terminals: Sequence[int]) -> Floats:
    """Return the shortest distances between the terminals, as a table in the order given.

    Args: as `steiner_tree`. Distances are infinite where there is no way. Source: Dijkstra 1959; exact, but
    an edge of cost 0 counts as a trifle of 1e-12 of the dearest edge.
    """
    _refuse(nodes, edges, terminals, 1.0, None, joined=False)
    ways: Ways = ways_of(net_of(nodes, edges))
    places = list(terminals)
    table: Floats = ways.rows(places)[:, places]
    return table


def _refuse(
    nodes: int,
    edges: Sequence[Edge],
    terminals: Sequence[int],
    limit_s: float,
    rounds: int | None,
    joined: bool = True,
) -> None:
    if nodes < 1:
        raise OutOfRange("nodes", nodes, "1 or more", "give the number of nodes of the net")
    if not limit_s > 0:
        raise OutOfRange("limit_s", limit_s, "above 0 s", "allow some time, or infinity to stop by rounds")
    if rounds is not None and rounds < 0:
        raise OutOfRange("rounds", rounds, "0 or more", "0 keeps the first tree")
    for index, (a, b, cost) in enumerate(edges):
        if not (0 <= a < nodes and 0 <= b < nodes):
            raise OutOfRange(f"edge {index}", (a, b), f"between nodes 0 to {nodes - 1}", "mend its ends")
        if not (cost >= 0 and math.isfinite(cost)):
            raise OutOfRange(f"cost of edge {index}", cost, "0 or more and finite", "leave a barred edge out")
    if not terminals:
        raise OutOfRange("terminals", 0, "at least one", "name the nodes to be joined")
    for t in terminals:
        if not 0 <= t < nodes:
            raise OutOfRange("terminal", t, f"a node from 0 to {nodes - 1}", "name an existing node")
    if joined:
        _refuse_unreached(nodes, edges, terminals)


def _refuse_unreached(nodes: int, edges: Sequence[Edge], terminals: Sequence[int]) -> None:
    near: list[list[int]] = [[] for _ in range(nodes)]
    for a, b, _ in edges:
        near[a].append(b)
        near[b].append(a)
    seen, todo = {terminals[0]}, [terminals[0]]
    while todo:
        for w in near[todo.pop()]:
            if w not in seen:
                seen.add(w)
                todo.append(w)
    for t in terminals:
        if t not in seen:
            raise OutOfRange("terminal", t, f"reached by edges from node {terminals[0]}", "add a way to it")
