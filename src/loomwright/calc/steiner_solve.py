"""The order of work for a Steiner tree: shrink, grow, better, bound, shrink again, prove."""

import math
import random
from collections.abc import Iterable, Sequence
from typing import Final

from loomwright.calc.steiner_ascent import Ascent, ascended, cost_through, free_edges, step_of
from loomwright.calc.steiner_cuts import cut_bound
from loomwright.calc.steiner_few import table_tree, table_work
from loomwright.calc.steiner_net import Clock, Floats, Net, Tree, grown, tidied_edges
from loomwright.calc.steiner_search import Ways, improved, ways_of
from loomwright.calc.steiner_shrink import Shrunk, shrunk

_STARTS: Final = 6  # terminals from which a first tree is grown
_ROOTS: Final = 8  # roots of dual ascent per turn
_TABLE: Final = 3e8  # sums that a table over all sets may take
_BLUR: Final = 0.35  # by how much costs are blurred for another start


class Search:
    """A net on its way to its cheapest tree: the cheapest known, the bound, and the part in question."""

    def __init__(self, net: Net, terminals: tuple[int, ...], clock: Clock, seed: int, rounds: int) -> None:
        self.whole, self.goals, self.clock, self.rounds = net, terminals, clock, rounds
        self.draw = random.Random(seed)
        self.step = step_of(net.cost)
        self.best = Tree((), math.inf)
        self.bound = 0.0
        self.over = False
        everything = tuple((e,) for e in range(len(net.a)))
        self._take(Shrunk(net, terminals, everything, ()))

    def _take(self, part: Shrunk) -> None:
        """Make this the part in question; its edges are made of edges of the whole net."""
        self.part = part
        self.net, self.terminals = part.net, part.terminals
        self.sure = math.fsum(self.whole.cost[e] for e in part.sure)
        self.ways: Ways = ways_of(part.net)

    def run(self) -> None:
        """Carry out the whole order of work."""
        self._first_tree()
        self._shrink(None)
        if not self.over and self.rounds:
            self._squeeze()
        if not self.over and self.rounds:
            self._prove()
        for _ in range(self.rounds):
            if self.over or self.clock.over():
                break
            self._another_start()

    def _first_tree(self) -> None:
        edges = grown(self.net, self.net.cost, self.terminals, self.terminals[0])
        assert edges is not None, "the terminals must be joined by the net"
        self._offer(tidied_edges(self.net, edges, self.terminals))

    def _offer(self, tree: Tree) -> None:
        """Keep a tree of the part in question if it is cheaper than the best known."""
        if (tree.cost + self.sure) * (1 + 1e-12) < self.best.cost:
            edges = self.part.before(tree.edges)
            self.best = tidied_edges(self.whole, edges, self.goals)
        if self.best.cost <= self.bound + self._slack():
            self.over = True

    def _slack(self) -> float:
        return 0.999 * self.step if self.step else 1e-9 * max(1.0, abs(self.best.cost))

    def _raise(self, bound: float) -> None:
        """Keep a bound of the part in question; nothing cheaper than the best known lies outside of it."""
        self.bound = max(self.bound, min(bound + self.sure, self.best.cost))
        if self.best.cost <= self.bound + self._slack():
            self._done()

    def _done(self) -> None:
        self.bound, self.over = self.best.cost, True

    def _shrink(self, allowed: Iterable[int] | None) -> None:
        """Make the part in question smaller; if nothing is left, the best known is proved."""
        part = shrunk(self.net, self.terminals, allowed, self.clock.part(0.2))
        made_of = tuple(
            tuple(e for k in own for e in self.part.made_of[k]) for own in part.made_of
        )  # edges of the whole net
        sure = (*self.part.sure, *(e for k in part.sure for e in self.part.made_of[k]))
        self._take(Shrunk(part.net, part.terminals, made_of, sure))
        if len(self.terminals) == 1:
            self._offer(Tree((), 0.0))
            self._done()
        elif grown(self.net, self.net.cost, self.terminals, self.terminals[0]) is None:
            self._done()

    def _grow(self, cost: Sequence[float], start: int, better: bool = True) -> None:
        edges = grown(self.net, cost, self.terminals, start)
        if edges is None:
            return
        tree = tidied_edges(self.net, edges, self.terminals)
        if better:
            tree = improved(self.ways, tree, self.terminals, self.clock)
        self._offer(tree)

    def _squeeze(self) -> None:
        """Grow and bound in turn, and leave out what the bound rules out, as long as that is much."""
        while not self.over and not self.clock.over():
            for start in _spread(self.terminals, _STARTS):
                self._grow(self.net.cost, start, better=False)
            self._grow(self.net.cost, self.terminals[self.draw.randrange(len(self.terminals))])
            barred = self._ruled_out()
            if self.over or len(barred) * 20 < len(self.net.a):
                return
            self._shrink(e for e in range(len(self.net.a)) if e not in barred)

    def _ruled_out(self) -> set[int]:
        """Return edges that no cheaper tree uses; offer trees grown on what the bounds use up."""
        barred: set[int] = set()
        for root in _spread(self.terminals, _ROOTS):
            if self.over or self.clock.over():
                break
            ascent = ascended(self.net, self.terminals, root)
            self._grow_on(ascent)
            self._raise(ascent.bound)
            through = cost_through(self.net, self.terminals, ascent)
            barred.update(int(e) for e in (through > self._aim()).nonzero()[0])
        return barred

    def _aim(self) -> float:
        """Return the cost, of the part in question, that a cheaper tree would have at most."""
        best = self.best.cost
        return best - self.sure - (0.999 * self.step if self.step else 1e-9 * max(1.0, abs(best)))

    def _grow_on(self, ascent: Ascent) -> None:
        dear = 1e3 * (1.0 + max(self.net.cost))
        cost = [c + dear for c in self.net.cost]
        for e in free_edges(self.net, ascent):
            cost[e] -= dear
        self._grow(cost, ascent.root)

    def _prove(self) -> None:
        if table_work(self.net.nodes, len(self.terminals)) <= _TABLE:
            self._offer(table_tree(self.ways, self.terminals))
            self._done()
            return
        root = self.terminals[0]
        ascents = [ascended(self.net, self.terminals, t) for t in _spread(self.terminals, _ROOTS)]
        best = max(
            ascents, key=lambda a: (a.bound, -a.root), default=ascended(self.net, self.terminals, root)
        )
        cut = cut_bound(
            self.net, self.terminals, best, self.step, self._guided, self.clock, min(10**6, 4 * self.rounds)
        )
        if cut.edges is not None:
            self._offer(tidied_edges(self.net, cut.edges, self.terminals))
        self._raise(cut.bound)

    def _guided(self, share: Floats) -> float:
        """Offer a tree grown along the shares of a programme; return what the best known costs here."""
        each = 1 - share[0::2] - share[1::2]
        cost = [c * max(0.0, float(s)) for c, s in zip(self.net.cost, each, strict=True)]
        self._grow(cost, self.terminals[self.draw.randrange(len(self.terminals))])
        return self.best.cost - self.sure

    def _another_start(self) -> None:
        cost = [c * (1 + _BLUR * self.draw.random()) for c in self.net.cost]
        self._grow(cost, self.draw.randrange(self.net.nodes))


def _spread(terminals: tuple[int, ...], count: int) -> list[int]:
    """Return at most so many terminals, spread over the list."""
    if len(terminals) <= count:
        return list(terminals)
    return [terminals[k * len(terminals) // count] for k in range(count)]
