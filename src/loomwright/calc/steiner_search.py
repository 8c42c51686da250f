"""Better Steiner trees out of found ones: take a branch point in, leave one out, swap two."""

from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from loomwright.calc.steiner_net import Clock, Floats, Net, Tree, distances, key_nodes, matrix, tidied

_NEAREST: Final = 8  # keys that a node taken in may be joined to
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


def change_with_one_more(worst: Floats, d_new: Floats) -> Floats:
    """Return by how much the cheapest spanning tree changes when one more node is taken in, per node offered.

    Args:
        worst: dearest single way on the spanning tree's path between the keys, k × k
        d_new: distances from the keys to the nodes offered, k × n
    Exact when the new node is joined to some of its eight nearest keys, else an upper bound.
    """
    few = min(_NEAREST, len(worst))
    near = np.argpartition(d_new, few - 1, axis=0)[:few].T
    table = worst[near[:, :, None], near[:, None, :]]
    reach = np.take_along_axis(d_new.T, near, axis=1)
    rows = np.arange(len(near))
    with_it = _prim_rows(table, reach, rows)
    out = np.zeros_like(reach)
    out[:, 0] = np.inf
    without = _prim_rows(table, table[:, 0, :].copy(), rows, out)
    change: Floats = with_it - without
    return change


def _prim_rows(table: Floats, best: Floats, rows: NDArray[np.int64], out: Floats | None = None) -> Floats:
    outside = np.zeros_like(best) if out is None else out
    total = np.zeros(len(rows))
    for _ in range(best.shape[1] - (out is not None)):
        k = np.argmin(best + outside, axis=1)
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
    limit = tree.cost - _less(tree.cost)
    again = joined(ways, keys, terminals)
    if again.cost < limit:
        return again
    total, worst = bottlenecks(rows[:, keys])
    better = _take_in(ways, keys, total, worst, rows, terminals, limit)
    fixed = set(terminals)
    for k, key in enumerate(keys):
        if better is not None or clock.over():
            break
        if key in fixed:
            continue
        kept = keys[:k] + keys[k + 1 :]
        fewer = np.delete(rows, k, axis=0)
        total, worst = bottlenecks(fewer[:, kept])
        if total < limit:
            better = joined(ways, kept, terminals)
        else:
            better = _take_in(ways, kept, total, worst, fewer, terminals, limit)
    return better


def _take_in(
    ways: Ways,
    keys: list[int],
    total: float,
    worst: Floats,
    rows: Floats,
    terminals: tuple[int, ...],
    limit: float,
) -> Tree | None:
    cost = total + change_with_one_more(worst, rows)
    cost[keys] = np.inf
    for v in np.argsort(cost, kind="stable")[:_TRIES]:
        if not cost[v] < limit:
            return None
        tree = joined(ways, sorted([*keys, int(v)]), terminals)
        if tree.cost < limit:
            return tree
    return None


def _less(cost: float) -> float:
    return 1e-9 * max(1.0, abs(cost))
