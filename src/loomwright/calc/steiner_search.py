"""Better Steiner trees out of found ones: take a branch point in, leave one out, swap two."""

from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from loomwright.calc.steiner_net import Clock, Floats, Ints, Net, Tree, distances, key_nodes, matrix, tidied

_NEAREST: Final = 8  # keys that a node taken in may be joined to
_TRIFLE: Final = 1e-9  # share of a tree's cost that counts as cheaper
_AT_ONCE: Final = 1_000_000  # numbers in the tables of trees with a key left out
_TRIES: Final = 3  # best nodes offered that are tried in full


@dataclass(slots=True)
class Ways:
    """Shortest distances of a net, worked out from a node when first asked for."""

    net: Net
    graph: Any
    dist: dict[int, Floats] = field(default_factory=dict)
    before: dict[int, NDArray[np.int32]] = field(default_factory=dict)

    def know(self, nodes: list[int]) -> None:
        """Work out what isn't known yet from these nodes."""
        new = [v for v in nodes if v not in self.dist]
        if new:
            dist, before = distances(self.graph, new)
            for row, v in enumerate(new):
                self.dist[v], self.before[v] = dist[row], before[row]

    def rows(self, nodes: list[int]) -> Floats:
        """Return distances from these nodes to all, one row each."""
        self.know(nodes)
        return np.array([self.dist[v] for v in nodes])

    def between(self, start: int, end: int) -> list[int]:
        """Return the nodes of the shortest way, both ends included."""
        self.know([start])
        before = self.before[start]
        way = [end]
        while way[-1] != start:
            way.append(int(before[way[-1]]))
        return way


def ways_of(net: Net) -> Ways:
    """Return the net's distances, none worked out yet."""
    return Ways(net, matrix(net, net.cost))


def joined(ways: Ways, keys: list[int], terminals: tuple[int, ...]) -> Tree:
    """Return the tree that joins these nodes by the cheapest spanning tree of shortest ways, tidied."""
    d = ways.rows(keys)[:, keys]
    inside = np.zeros(len(keys), dtype=bool)
    best = d[0].copy()
    link = np.zeros(len(keys), dtype=np.int64)
    inside[0] = True
    nodes = set(keys[:1])
    for _ in range(len(keys) - 1):
        k = int(np.argmin(np.where(inside, np.inf, best)))
        nodes.update(ways.between(keys[int(link[k])], keys[k]))
        inside[k] = True
        closer = d[k] < best
        link[closer] = k
        best[closer] = d[k][closer]
    return tidied(ways.net, nodes, terminals)


def bottlenecks(d: Floats) -> tuple[float, Floats]:
    """Return the cost of the cheapest spanning tree of a table of distances, and the dearest single way on
    the tree's path between each two.

    Source: Prim's tree; exact.
    """
    count = len(d)
    best = d[0].copy()
    link = np.zeros(count, dtype=np.int64)
    out = np.zeros(count)
    out[0] = np.inf
    worst = np.zeros((count, count))
    inside = [0]
    total = 0.0
    for _ in range(count - 1):
        k = int(np.argmin(best + out))
        total += float(best[k])
        over = np.maximum(worst[link[k], inside], best[k])
        worst[k, inside] = over
        worst[inside, k] = over
        inside.append(k)
        out[k] = np.inf
        closer = d[k] < best
        link[closer] = k
        best[closer] = d[k][closer]
    return total, worst


def bottlenecks_without(d: Floats, start: int, gone: Ints) -> tuple[Floats, Floats]:
    """Return `bottlenecks` with one key left out, for several keys at once.

    Args:
        d: distances between the keys
        start: a key that is in all trees
        gone: the keys left out, one per tree
    """
    trees, count = len(gone), len(d)
    each = np.arange(trees)
    best = np.repeat(d[start][None, :], trees, axis=0)
    link = np.full((trees, count), start)
    out = np.zeros((trees, count))
    out[each, gone] = np.inf
    out[:, start] = np.inf
    inside = np.zeros((trees, count), dtype=bool)
    inside[:, start] = True
    worst = np.zeros((trees, count, count))
    total = np.zeros(trees)
    for _ in range(count - 2):
        k = (best + out).argmin(axis=1)
        way = best[each, k]
        total += way
        over = np.where(inside, np.maximum(worst[each, link[each, k]], way[:, None]), 0.0)
        worst[each, k, :] = over
        worst[each, :, k] = over
        inside[each, k] = True
        out[each, k] = np.inf
        link = np.where(d[k] < best, k[:, None], link)
        best = np.minimum(best, d[k])
    return total, worst


def nearest_keys(d_new: Floats) -> Ints:
    """Return for each node offered its nearest keys, the nearest first; `d_new` is keys × nodes."""
    few = min(_NEAREST, len(d_new))
    near = np.argpartition(d_new, few - 1, axis=0)[:few].T
    order = np.argsort(np.take_along_axis(d_new.T, near, axis=1), axis=1, kind="stable")
    sorted_near: Ints = np.take_along_axis(near, order, axis=1)
    return sorted_near


def change_with_one_more(worst: Floats, d_new: Floats, near: Ints) -> Floats:
    """Return by how much the cheapest spanning tree changes when one more node is taken in, per node offered.

    Args:
        worst: dearest single way on the spanning tree's path between the keys, k × k
        d_new: distances from the nodes offered to the keys, n × k
        near: keys that each node may be joined to, n × few; doubles do no harm
    Exact when the new node is joined to some of these keys, else an upper bound.
    """
    table = worst[near[:, :, None], near[:, None, :]]
    rows = np.arange(len(near))
    reach = d_new[rows[:, None], near]
    with_it = _prim_rows(table, reach, rows)
    out = np.zeros_like(reach)
    out[:, 0] = np.inf
    without = _prim_rows(table, table[:, 0, :].copy(), rows, out)
    change: Floats = with_it - without
    return change


def _prim_rows(table: Floats, best: Floats, rows: Ints, out: Floats | None = None) -> Floats:
    outside = np.zeros_like(best) if out is None else out
    total = np.zeros(len(rows))
    for _ in range(best.shape[1] - (out is not None)):
        k = (best + outside).argmin(axis=1)
        total += best[rows, k]
        outside[rows, k] = np.inf
        best = np.minimum(best, table[rows, k])
    return total


def improved(ways: Ways, tree: Tree, terminals: tuple[int, ...], clock: Clock) -> Tree:
    """Return a tree that no single change betters: a branch point taken in, left out, or swapped.

    Args:
        ways: distances of the net
        tree: where to start
        terminals: the nodes to be joined
        clock: when to stop early
    """
    while not clock.over():
        better = _one_change(ways, tree, terminals, clock)
        if better is None:
            return tree
        tree = better
    return tree


def _one_change(ways: Ways, tree: Tree, terminals: tuple[int, ...], clock: Clock) -> Tree | None:
    keys = key_nodes(ways.net, tree, terminals)
    rows = ways.rows(keys)
    again = joined(ways, keys, terminals)
    if not again.cost < tree.cost * (1 - _TRIFLE):
        state = _State(ways, keys, terminals, rows.T.copy(), nearest_keys(rows), tree.cost * (1 - _TRIFLE))
        total, worst = bottlenecks(rows[:, keys])
        return state.taken_in(total, worst, -1) or state.swapped(clock)
    return again


@dataclass(frozen=True, slots=True)
class _State:
    """A tree as its key nodes, with what is needed to change one of them."""

    ways: Ways
    keys: list[int]
    terminals: tuple[int, ...]
    d_new: Floats
    near: Ints
    limit: float

    def taken_in(self, total: float, worst: Floats, gone: int) -> Tree | None:
        """Return a cheaper tree with one more branch point, the key at place `gone` left out."""
        near = self.near
        if gone >= 0:
            other = np.where(near[:, :1] == gone, near[:, 1:2], near[:, :1])
            near = np.where(near == gone, other, near)
        cost = total + change_with_one_more(worst, self.d_new, near)
        cost[self.keys] = np.inf
        kept = [key for k, key in enumerate(self.keys) if k != gone]
        for v in np.argsort(cost, kind="stable")[:_TRIES]:
            if not cost[v] < self.limit:
                return None
            tree = joined(self.ways, sorted([*kept, int(v)]), self.terminals)
            if tree.cost < self.limit:
                return tree
        return None

    def swapped(self, clock: Clock) -> Tree | None:
        """Return a cheaper tree with one branch point left out, or swapped for another."""
        fixed = set(self.terminals)
        d = self.d_new[self.keys]
        spare = [k for k, key in enumerate(self.keys) if key not in fixed]
        start = self.keys.index(self.terminals[0])
        at_once = max(1, _AT_ONCE // len(self.keys) ** 2)
        for first in range(0, len(spare), at_once):
            gone = np.array(spare[first : first + at_once])
            totals, worsts = bottlenecks_without(d, start, gone)
            for k in np.argsort(totals, kind="stable"):
                if clock.over():
                    return None
                if totals[k] < self.limit:
                    kept = [key for place, key in enumerate(self.keys) if place != gone[k]]
                    tree = joined(self.ways, kept, self.terminals)
                    if tree.cost < self.limit:
                        return tree
                better = self.taken_in(float(totals[k]), worsts[k], int(gone[k]))
                if better is not None:
                    return better
        return None
