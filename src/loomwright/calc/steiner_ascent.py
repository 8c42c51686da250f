"""Lower bounds of Steiner trees by dual ascent, and what they rule out."""

import math
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from typing import Any

import numpy as np

from loomwright.calc.steiner_net import Clock, Floats, Net


@dataclass(frozen=True, slots=True)
class Ascent:
    """A lower bound from one root: arc 2e runs along edge e from a to b, arc 2e + 1 back.

    `left` is what of each arc's cost isn't used up by the bound; `cuts` are the arcs into each set raised.
    """

    root: int
    bound: float
    left: tuple[float, ...]
    cuts: tuple[tuple[int, ...], ...]


def ascended(net: Net, terminals: tuple[int, ...], root: int, clock: Clock) -> Ascent:
    """Return the bound that dual ascent reaches from one root.

    Args:
        net: the net, costs 0 or more
        terminals: nodes to be joined
        root: one of them
        clock: when to stop early, the bound holds all the same
    Source: Wong 1984, the terminal with the fewest arcs into its set first (Pajor, Uchoa, Werneck 2018);
        no tree is cheaper than the bound.
    """
    left = [c for c in net.cost for _ in (0, 1)]
    trifle = 1e-10 * max(net.cost, default=1.0)
    sets: dict[int, set[int]] = {t: {t} for t in terminals if t != root}
    into = {t: _arcs_into(net, t) for t in sets}
    heap = [(len(into[t]), t) for t in sets]
    heapify(heap)
    active = set(sets)
    bound, cuts = 0.0, []
    while heap and not clock.over():
        key, t = heappop(heap)
        inside = sets[t]
        arcs = _grown_set(net, left, trifle, inside, into[t], root, active, t)
        if arcs is None:
            active.discard(t)
            continue
        into[t] = arcs
        if len(arcs) > key and heap and len(arcs) > heap[0][0]:
            heappush(heap, (len(arcs), t))
            continue
        step = min([left[arc] for arc in arcs])
        bound += step
        cuts.append(tuple(arcs))
        for arc in arcs:
            left[arc] -= step
        heappush(heap, (len(arcs), t))
    return Ascent(root, bound, tuple(x if x > trifle else 0.0 for x in left), tuple(cuts))


def _arcs_into(net: Net, v: int) -> list[int]:
    return [2 * e + (net.a[e] == v) for _, e in net.near[v]]


def _grown_set(
    net: Net,
    left: list[float],
    trifle: float,
    inside: set[int],
    arcs: list[int],
    root: int,
    active: set[int],
    own: int,
) -> list[int] | None:
    """Return the arcs into a set grown by all that reaches it free of cost; None if it needs no raising."""
    ends = (net.a, net.b)
    kept, todo = [], []
    for arc in arcs:
        tail = ends[arc & 1][arc >> 1]
        if tail in inside:
            continue
        if left[arc] > trifle:
            kept.append(arc)
            continue
        inside.add(tail)
        todo.append(tail)
    if not todo:
        return [arc for arc in kept if ends[arc & 1][arc >> 1] not in inside]
    while todo:
        v = todo.pop()
        if v == root or (v in active and v != own):
            return None
        for w, e in net.near[v]:
            if w in inside:
                continue
            arc = 2 * e + (net.a[e] == v)
            if left[arc] > trifle:
                kept.append(arc)
            else:
                inside.add(w)
                todo.append(w)
    return [arc for arc in kept if ends[arc & 1][arc >> 1] not in inside]


def cost_through(net: Net, terminals: tuple[int, ...], ascent: Ascent) -> Floats:
    """Return for each edge a cost that no tree that uses it undercuts.

    Source: the bound, and what is left of the arcs from the root over the edge to the nearest terminal
        (Polzin 2003, bound-based reductions).
    """
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import dijkstra

    count = net.nodes
    a, b = np.asarray(net.a), np.asarray(net.b)
    left = np.asarray(ascent.left)
    tails, heads = np.stack((a, b), 1).ravel(), np.stack((b, a), 1).ravel()
    trifle = 1e-13 * max(1.0, float(left.max(initial=0.0)))
    graph: Any = csr_array((np.maximum(left, trifle), (tails, heads)), shape=(count, count))
    out = dijkstra(graph, indices=ascent.root)
    goals = [t for t in terminals if t != ascent.root]
    home = dijkstra(graph.T.tocsr(), indices=goals, min_only=True)
    through = out[tails] + left + home[heads]
    best: Floats = ascent.bound + np.minimum(through[0::2], through[1::2])
    return best


def free_edges(net: Net, ascent: Ascent) -> list[int]:
    """Return the edges that the bound has used up in one direction at least."""
    left = ascent.left
    return [e for e in range(len(net.a)) if left[2 * e] == 0.0 or left[2 * e + 1] == 0.0]


def step_of(cost: tuple[float, ...]) -> float:
    """Return the step in which the costs of trees differ: 1 or more if all are whole numbers, else 0."""
    step = 0
    for c in cost:
        if not c.is_integer() or c > 2**50:
            return 0.0
        step = math.gcd(step, int(c))
    return float(step)
