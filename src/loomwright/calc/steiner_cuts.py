"""Cheapest Steiner tree by directed cuts: a linear programme that bounds, guides and proves."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from loomwright.calc.steiner_ascent import Ascent
from loomwright.calc.steiner_net import Clock, Floats, Net

_FINE: Final = 1_000_000  # whole steps that a share of an arc is measured in when cuts are sought
_CLEAR: Final = 1e-4  # by how much a cut must be missed to be added
_BRANCHES: Final = 2000  # nodes of the programme in whole numbers, where no time is set
_NESTED: Final = 6  # cuts sought per terminal and turn

Guide = Callable[[Floats], float]  # hears the shares of the arcs, answers the cheapest tree's cost known


@dataclass(frozen=True, slots=True)
class Cut:
    """What the cuts proved: a bound for all trees, and the edges of a tree if one met the programme.

    `edges` are those of a tree that costs the bound, or None; `bound` is infinite when no tree is cheaper
    than the one known.
    """

    bound: float
    edges: tuple[int, ...] | None


@dataclass(frozen=True, slots=True)
class _Rows:
    """Rows of the programme, A x ≤ limit."""

    matrix: Any
    limit: Floats


def cut_bound(
    net: Net, terminals: tuple[int, ...], ascent: Ascent, step: float, guide: Guide, clock: Clock, turns: int
) -> Cut:
    """Return the bound and, if found, the tree of the directed cut programme.

    Args:
        net: the net
        terminals: the nodes to be joined, two or more
        ascent: a bound whose root and cuts start the programme
        step: steps in which the costs of trees differ, 0 if unknown
        guide: called with the arcs' shares of every turn; returns the cost of the cheapest tree known
        clock: when to stop; turns: most turns
    Source: Wong 1984, Koch and Martin 1998 (cuts, flow balance), with HiGHS; exact within 1e-6 of the cost.
    """
    arcs = 2 * len(net.a)
    cost = np.repeat(np.asarray(net.cost), 2)
    open_arcs = np.ones(arcs)
    tails = np.stack((np.asarray(net.a), np.asarray(net.b)), 1).ravel()
    heads = np.stack((np.asarray(net.b), np.asarray(net.a)), 1).ravel()
    open_arcs[heads == ascent.root] = 0.0
    fixed = _balance(net, terminals, ascent.root)
    cuts: list[tuple[int, ...]] = list(ascent.cuts)
    seen = set(cuts)
    bound, whole = ascent.bound, False
    for _ in range(turns):
        if clock.over():
            break
        answer = _solved(cost, open_arcs, fixed, cuts, whole, clock)
        if answer is None:
            return Cut(bound, None)
        value, share, worth = answer
        if math.isinf(value):  # no tree is cheaper than the one known, for its arcs were closed
            return Cut(math.inf, None)
        bound = max(bound, value)
        known = guide(share)
        slack = 1e-6 * max(1.0, abs(known))
        if bound > known - (step if step else 0.0) + (slack if step else -slack):
            return Cut(math.inf, None)
        if worth is not None:
            open_arcs[value + worth > known - step + (slack if step else -slack / 10)] = 0.0
        new = [
            cut
            for cut in _missed(net.nodes, tails, heads, share, terminals, ascent.root, clock)
            if cut not in seen
        ]
        if clock.over():
            break
        if new:
            cuts += new
            seen.update(new)
            continue
        if np.all(np.abs(share - np.round(share)) < 1e-5):
            return Cut(value, tuple(sorted({int(arc) // 2 for arc in np.flatnonzero(share > 0.5)})))
        if whole:
            return Cut(bound, None)
        whole = True
    return Cut(bound, None)


def _balance(net: Net, terminals: Sequence[int], root: int) -> _Rows:
    """Return rows that hold for a cheapest tree: what enters a node that isn't a terminal leaves it; it is
    left only when entered from elsewhere; an edge is used one way.
    """
    from scipy.sparse import csr_array

    goals = set(terminals)
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    limit: list[float] = []

    def add(row: Sequence[tuple[int, float]], most: float) -> None:
        rows.extend([len(limit)] * len(row))
        columns.extend(arc for arc, _ in row)
        values.extend(v for _, v in row)
        limit.append(most)

    for v in range(net.nodes):
        into = [2 * e + (net.a[e] == v) for _, e in net.near[v]]
        if v in goals:
            if v != root:
                add([(arc, 1.0) for arc in into], 1.0)
                add([(arc, -1.0) for arc in into], -1.0)
            continue
        add([(arc, 1.0) for arc in into] + [(arc ^ 1, -1.0) for arc in into], 0.0)
        for arc in into:
            add([(arc ^ 1, 1.0)] + [(other, -1.0) for other in into if other != arc], 0.0)
    shape = (len(limit), 2 * len(net.a))
    return _Rows(csr_array((values, (rows, columns)), shape=shape), np.asarray(limit))


def _solved(
    cost: Floats, open_arcs: Floats, fixed: _Rows, cuts: list[tuple[int, ...]], whole: bool, clock: Clock
) -> tuple[float, Floats, Floats | None] | None:
    """Return value, shares of the arcs and their reduced costs, or None if there is no answer in time."""
    from scipy.optimize import Bounds, LinearConstraint, linprog, milp
    from scipy.sparse import csr_array, vstack

    lengths = [len(cut) for cut in cuts]
    rows = np.repeat(np.arange(len(cuts)), lengths)
    columns = np.fromiter((arc for cut in cuts for arc in cut), dtype=np.int64, count=sum(lengths))
    lower = csr_array((np.full(len(rows), -1.0), (rows, columns)), shape=(len(cuts), len(cost)))
    matrix = vstack((fixed.matrix, lower), format="csr")
    limit = np.concatenate((fixed.limit, np.full(len(cuts), -1.0)))
    timed = math.isfinite(clock.until)
    options: dict[str, float] = {"time_limit": clock.left()} if timed else {}
    if whole:
        options |= {"mip_rel_gap": 1e-9} if timed else {"mip_rel_gap": 1e-9, "node_limit": _BRANCHES}
        within = LinearConstraint(matrix, ub=limit)
        each = np.ones(len(cost))
        answer = milp(
            cost, integrality=each, bounds=Bounds(0, open_arcs), constraints=within, options=options
        )
        if answer.status != 0:
            return (math.inf, np.zeros(len(cost)), None) if answer.status == 2 else None
        return float(answer.fun), np.asarray(answer.x), None
    answer = linprog(
        cost, A_ub=matrix, b_ub=limit, bounds=np.stack((np.zeros(len(cost)), open_arcs), 1),
        method="highs-ds", options=options,
    )  # fmt: skip
    if answer.status != 0:
        return (math.inf, np.zeros(len(cost)), None) if answer.status == 2 else None
    return float(answer.fun), np.asarray(answer.x), np.asarray(answer.lower.marginals)


def _missed(
    nodes: int,
    tails: NDArray[np.int64],
    heads: NDArray[np.int64],
    share: Floats,
    terminals: Sequence[int],
    root: int,
    clock: Clock,
) -> list[tuple[int, ...]]:
    """Return cuts that the shares miss: sets with a terminal, without the root, entered by less than one."""
    found: list[tuple[int, ...]] = []
    for t in terminals:
        if t == root or clock.over():
            continue
        room = share.copy()
        for _ in range(_NESTED):
            cut = _least_cut(nodes, tails, heads, room, root, t)
            if cut is None or share[list(cut)].sum() > 1 - _CLEAR:
                break
            found.append(cut)
            room[list(cut)] = 1.0
    return sorted(set(found))


def _least_cut(
    nodes: int, tails: NDArray[np.int64], heads: NDArray[np.int64], share: Floats, root: int, goal: int
) -> tuple[int, ...] | None:
    """Return the arcs of the least cut that lies nearest to the terminal, None if one unit gets through."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import breadth_first_order, maximum_flow

    room = np.round(share * _FINE).astype(np.int32)
    used = room > 0
    graph = csr_array((room[used], (tails[used], heads[used])), shape=(nodes, nodes))
    flow = maximum_flow(graph, root, goal)
    if flow.flow_value >= _FINE * (1 - _CLEAR):
        return None
    rest = graph - flow.flow
    rest.eliminate_zeros()
    reach = breadth_first_order(rest.T.tocsr(), goal, return_predecessors=False)
    inside = np.zeros(nodes, dtype=bool)
    inside[reach] = True
    return tuple(int(arc) for arc in np.flatnonzero(inside[heads] & ~inside[tails]))
