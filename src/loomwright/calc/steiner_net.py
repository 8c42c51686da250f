"""A net of ways with the sums that every search for a Steiner tree needs: growing, tidying, distances."""

import math
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_NO_COST: Final = 1e-12  # written for a cost of 0 where a sparse matrix would drop it, share of the largest


@dataclass(frozen=True, slots=True)
class Net:
    """An undirected graph: ends and cost of every edge, and per node its neighbours as (node, edge)."""

    nodes: int
    a: tuple[int, ...]
    b: tuple[int, ...]
    cost: tuple[float, ...]
    near: tuple[tuple[tuple[int, int], ...], ...]


@dataclass(frozen=True, slots=True)
class Tree:
    """Edges of a tree, sorted, and what they cost together."""

    edges: tuple[int, ...]
    cost: float


@dataclass(frozen=True, slots=True)
class Clock:
    """When to stop: a reading of `time.perf_counter`, infinite to work by steps alone."""

    until: float

    def over(self) -> bool:
        """Tell whether the time is up."""
        return time.perf_counter() >= self.until

    def left(self) -> float:
        """Return the seconds left, never less than a hundredth."""
        return max(0.01, self.until - time.perf_counter())

    def part(self, share: float) -> "Clock":
        """Return a clock that stops after this share of the time left."""
        return self if math.isinf(self.until) else Clock(time.perf_counter() + share * self.left())


def net_of(nodes: int, edges: Sequence[tuple[int, int, float]]) -> Net:
    """Return the net with these edges; edges from a node to itself stay without neighbours."""
    near: list[list[tuple[int, int]]] = [[] for _ in range(nodes)]
    for index, (a, b, _) in enumerate(edges):
        if a != b:
            near[a].append((b, index))
            near[b].append((a, index))
    return Net(
        nodes,
        tuple(a for a, _, _ in edges),
        tuple(b for _, b, _ in edges),
        tuple(float(c) for _, _, c in edges),
        tuple(tuple(n) for n in near),
    )


def grown(net: Net, cost: Sequence[float], terminals: Iterable[int], start: int) -> set[int] | None:
    """Return the edges of a tree grown from one node, each time to the terminal that is nearest to it.

    Args:
        net: the net
        cost: cost of every edge, 0 or more; may differ from the net's own
        terminals: the nodes to be reached
        start: where the tree starts
    Returns the edges, or None when a terminal can't be reached.
    Source: Takahashi and Matsuyama 1980, the shortest-path heuristic; at most 2·(1 − 1/k) of the optimum.
    """
    left = set(terminals)
    left.discard(start)
    dist = [math.inf] * net.nodes
    came = [-1] * net.nodes
    dist[start] = 0.0
    heap = [(0.0, start)]
    tree: set[int] = set()
    near = net.near
    while left and heap:
        d, v = heappop(heap)
        if d > dist[v]:
            continue
        if v in left:
            while dist[v] > 0.0 or came[v] >= 0:
                left.discard(v)
                edge = came[v]
                dist[v], came[v] = 0.0, -1
                heappush(heap, (0.0, v))
                tree.add(edge)
                v = net.a[edge] + net.b[edge] - v
            continue
        for w, edge in near[v]:
            reach = d + cost[edge]
            if reach < dist[w]:
                dist[w], came[w] = reach, edge
                heappush(heap, (reach, w))
    return None if left else tree


def tidied(net: Net, nodes: Iterable[int], terminals: Iterable[int]) -> Tree:
    """Return the cheapest tree over these nodes with every loose end cut that isn't a terminal."""
    inside = set(nodes)
    own = sorted({e for v in inside for w, e in net.near[v] if w in inside}, key=lambda e: (net.cost[e], e))
    return pruned(net, _spanning(net, own), terminals)


def tidied_edges(net: Net, edges: Iterable[int], terminals: Iterable[int]) -> Tree:
    """Return `tidied` over the ends of these edges."""
    ends = {end for e in edges for end in (net.a[e], net.b[e])}
    return tidied(net, ends | set(terminals), terminals)


def _spanning(net: Net, by_cost: Iterable[int]) -> list[int]:
    """Return the spanning forest that takes edges in the order given."""
    parent: dict[int, int] = {}

    def root(v: int) -> int:
        while (up := parent.get(v, v)) != v:
            parent[v] = parent.get(up, up)
            v = up
        return v

    kept = []
    for e in by_cost:
        x, y = root(net.a[e]), root(net.b[e])
        if x != y:
            parent[x] = y
            kept.append(e)
    return kept


def pruned(net: Net, edges: Iterable[int], terminals: Iterable[int]) -> Tree:
    """Return the tree with every loose end cut that isn't a terminal."""
    keep = set(terminals)
    at: dict[int, set[int]] = {}
    for e in edges:
        at.setdefault(net.a[e], set()).add(e)
        at.setdefault(net.b[e], set()).add(e)
    loose = [v for v, own in at.items() if len(own) == 1 and v not in keep]
    while loose:
        v = loose.pop()
        if len(at[v]) != 1:
            continue
        (e,) = at[v]
        other = net.a[e] + net.b[e] - v
        at[v].clear()
        at[other].discard(e)
        if len(at[other]) == 1 and other not in keep:
            loose.append(other)
    left = tuple(sorted({e for own in at.values() for e in own}))
    return Tree(left, math.fsum(net.cost[e] for e in left))


def spans(net: Net, edges: Sequence[int], terminals: Sequence[int]) -> bool:
    """Tell whether the edges form one tree without a circle that holds every terminal."""
    nodes = {end for e in edges for end in (net.a[e], net.b[e])} | set(terminals[:1])
    forest = _spanning(net, edges)
    return len(forest) == len(edges) == len(nodes) - 1 and nodes >= set(terminals)


def key_nodes(net: Net, tree: Tree, terminals: Iterable[int]) -> list[int]:
    """Return the terminals and the tree's branch points, sorted."""
    count: dict[int, int] = {}
    for e in tree.edges:
        count[net.a[e]] = count.get(net.a[e], 0) + 1
        count[net.b[e]] = count.get(net.b[e], 0) + 1
    return sorted(set(terminals) | {v for v, n in count.items() if n > 2})


def matrix(net: Net, cost: Sequence[float]) -> Any:
    """Return the net as a sparse matrix; the cheapest of edges side by side, 0 written as a trifle."""
    from scipy.sparse import csr_array

    a, b = np.asarray(net.a, dtype=np.int64), np.asarray(net.b, dtype=np.int64)
    worth = np.asarray(cost, dtype=np.float64)
    trifle = _NO_COST * max(1.0, float(worth.max(initial=0.0)))
    worth = np.maximum(worth, trifle)
    low, high = np.minimum(a, b), np.maximum(a, b)
    order = np.lexsort((worth, high, low))
    order = order[low[order] != high[order]]
    first = np.ones(len(order), dtype=bool)
    first[1:] = (low[order][1:] != low[order][:-1]) | (high[order][1:] != high[order][:-1])
    pick = order[first]
    rows, columns = np.concatenate((low[pick], high[pick])), np.concatenate((high[pick], low[pick]))
    both = np.concatenate((worth[pick], worth[pick]))
    return csr_array((both, (rows, columns)), shape=(net.nodes, net.nodes))


def distances(graph: Any, sources: Sequence[int]) -> tuple[Floats, NDArray[np.int32]]:
    """Return the shortest distances from each source to every node, and the node before on the way."""
    from scipy.sparse.csgraph import dijkstra

    dist, before = dijkstra(graph, directed=True, indices=list(sources), return_predecessors=True)
    return dist, before
