"""Make a net smaller without losing its cheapest tree: loose ends, chains, dear edges, sure edges."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Final

from loomwright.calc.steiner_net import Clock, Net, net_of

Way = tuple[float, tuple[int, ...]]  # cost, edges of the net before

_LOOKS: Final = 80  # nodes that one search for another way may settle


@dataclass(frozen=True, slots=True)
class Shrunk:
    """A smaller net with the same cheapest tree, and how its edges are made of the edges before.

    `sure` are edges before that belong to the tree in any case.
    """

    net: Net
    terminals: tuple[int, ...]
    made_of: tuple[tuple[int, ...], ...]
    sure: tuple[int, ...]

    def before(self, edges: Iterable[int]) -> tuple[int, ...]:
        """Return these edges, and the sure ones, as edges of the net before."""
        return tuple(sorted({*self.sure, *(e for k in edges for e in self.made_of[k])}))


def shrunk(net: Net, terminals: Sequence[int], allowed: Iterable[int] | None, clock: Clock) -> Shrunk:
    """Return a smaller net with the same cheapest cost.

    Args:
        net: the net
        terminals: nodes to be joined, all joined by the net
        allowed: edges that may be used, all if None
        clock: when to stop; what is done until then holds
    Source: the tests of degree 1, 2 and 3, of the special distance and of near terminals: Duin and
        Volgenant 1989, Polzin 2003; exact.
    """
    work = _Work(net, terminals, range(len(net.a)) if allowed is None else allowed)
    work.settle(range(net.nodes))
    while len(work.terminals) > 1 and not clock.over():
        count = work.dear_edges(clock)
        count += work.branchings(clock)
        if count < 1 + len(work.alive()) // 50:
            break
    return work.result()


class _Work:
    """The net while it is made smaller."""

    def __init__(self, net: Net, terminals: Sequence[int], allowed: Iterable[int]) -> None:
        self.near: list[dict[int, Way]] = [{} for _ in range(net.nodes)]
        self.terminals = set(terminals)
        self.sure: list[int] = []
        for e in allowed:
            self.put(net.a[e], net.b[e], (net.cost[e], (e,)))

    def put(self, u: int, v: int, way: Way) -> None:
        if u != v and way[0] < self.near[u].get(v, (math.inf, ()))[0]:
            self.near[u][v] = self.near[v][u] = way

    def cut(self, u: int, v: int) -> None:
        del self.near[u][v], self.near[v][u]

    def alive(self) -> list[int]:
        return [v for v, near in enumerate(self.near) if near]

    def settle(self, nodes: Iterable[int]) -> None:
        """Take away loose ends and chains, and take in sure edges, as long as there are any."""
        todo = list(nodes)
        while todo:
            v = todo.pop()
            near = self.near[v]
            if not near or len(self.terminals) == 1:
                continue
            if v in self.terminals:
                todo.extend(self._sure_edge(v))
            elif len(near) == 1:
                (w,) = near
                self.cut(v, w)
                todo.append(w)
            elif len(near) == 2:
                (u, (c, own)), (w, (d, other)) = near.items()
                self.cut(v, u)
                self.cut(v, w)
                self.put(u, w, (c + d, own + other))
                todo += (u, w)

    def _sure_edge(self, t: int) -> list[int]:
        near = self.near[t]
        u = min(near, key=lambda w: (near[w][0], w not in self.terminals, w))
        if len(near) > 1 and u not in self.terminals and not self._is_sure(t, u):
            return []
        self.sure += near[u][1]
        touched = [w for w in near if w != u]
        for w in touched:
            way = near[w]
            self.cut(t, w)
            self.put(u, w, way)
        self.cut(t, u)
        self.terminals.discard(t)
        self.terminals.add(u)
        return [u, *touched]

    def _is_sure(self, t: int, u: int) -> bool:
        """Tell whether the second cheapest edge at a terminal is no cheaper than the cheapest one, `u`'s, and
        the way on from there to another terminal.
        """
        near = self.near[t]
        second = min(way[0] for w, way in near.items() if w != u)
        room = second - near[u][0]
        on = min(
            (way[0] for w, way in self.near[u].items() if w in self.terminals and w != t), default=math.inf
        )
        return on <= room

    def dear_edges(self, clock: Clock) -> int:
        """Cut edges that another way replaces at no more cost; return how many."""
        gone = 0
        every = sorted(
            ((w[0], u, v) for u in self.alive() for v, w in self.near[u].items() if u < v), reverse=True
        )
        for k, (cost, u, v) in enumerate(every):
            if k % 64 == 0 and clock.over():
                break
            if v not in self.near[u] or self.near[u][v][0] != cost:
                continue
            if len(self.near[v]) < len(self.near[u]):
                u, v = v, u
            if self.special(u, v, cost, -1) <= cost:
                self.cut(u, v)
                gone += 1
                self.settle((u, v))
        return gone

    def special(self, u: int, goal: int, limit: float, without: int) -> float:
        """Return the longest stretch between terminals on the best way that isn't the edge itself, at most
        `limit`, or infinity; without one node if 0 or more.
        """
        best = {u: 0.0}
        heap = [(0.0, u)]
        looks = 0
        longest = limit
        found = math.inf
        while heap and looks < _LOOKS:
            d, x = heappop(heap)
            if d > best[x]:
                continue
            if x == goal:
                found = longest
                break
            looks += 1
            if x in self.terminals:
                d = 0.0
            for w, (cost, _) in self.near[x].items():
                reach = d + cost
                if reach > limit or w == without or (x == u and w == goal and without < 0):
                    continue
                if reach < best.get(w, math.inf):
                    best[w] = reach if w == goal or w not in self.terminals else 0.0
                    heappush(heap, (best[w], w))
        return found

    def branchings(self, clock: Clock) -> int:
        """Take away nodes that never need three ways, each pair of ways made one; return how many."""
        gone = 0
        for k, v in enumerate(self.alive()):
            if k % 32 == 0 and clock.over():
                break
            near = self.near[v]
            if len(near) != 3 or v in self.terminals or not self._never_three(v):
                continue
            ends = sorted(near.items())
            for w, _ in ends:
                self.cut(v, w)
            for i, (u, (c, own)) in enumerate(ends):
                for w, (d, other) in ends[i + 1 :]:
                    self.put(u, w, (c + d, own + other))
            gone += 1
            self.settle([w for w, _ in ends])
        return gone

    def _never_three(self, v: int) -> bool:
        ends = sorted(self.near[v].items(), key=lambda item: item[1][0])
        (x, (a, _)), (y, (b, _)), (z, (c, _)) = ends
        total = a + b + c
        # two of the three pairs must be joined elsewhere, together at no more than the three ways
        for first, second, limit in ((x, y, z), (y, z, x), (z, x, y)):
            middle = limit
            for one in (total / 2, c, a + b, b):
                if (
                    self.special(first, middle, one, v) <= one
                    and self.special(second, middle, total - one, v) <= total - one
                ):
                    return True
        return False

    def result(self) -> Shrunk:
        keep = sorted({*self.alive(), *self.terminals})
        place = {v: k for k, v in enumerate(keep)}
        edges, made_of = [], []
        for u in keep:
            for v, (cost, own) in sorted(self.near[u].items()):
                if u < v:
                    edges.append((place[u], place[v], cost))
                    made_of.append(own)
        terminals = tuple(sorted(place[t] for t in self.terminals))
        return Shrunk(net_of(len(keep), edges), terminals, tuple(made_of), tuple(self.sure))
