"""The order of work for a Steiner tree: shrink, grow, better, bound, shrink again, prove."""

import math
import random
from collections.abc import Iterable, Sequence
from typing import Final

from loomwright.calc.steiner_ascent import Ascent, ascended, cost_through, free_edges, step_of
from loomwright.calc.steiner_cuts import cut_bound
from loomwright.calc.steiner_few import table_tree, table_work
from loomwright.calc.steiner_net import Clock, Floats, Net, Tree, grown, key_nodes, net_of, tidied_edges
from loomwright.calc.steiner_search import Ways, improved, joined, ways_of
from loomwright.calc.steiner_shrink import Shrunk, shrunk

_STARTS: Final = 6  # terminals from which a first tree is grown
_ROOTS: Final = 8  # roots of dual ascent per turn
_TABLE: Final = 3e8  # sums that a table over all sets may take
_PER_SECOND: Final = 2e8  # of them that are made in a second
_BETTER: Final = (1, 3)  # of them whose tree is bettered
_SQUEEZE: Final = 0.25  # share of the time for one turn of them
_BLUR: Final = 0.5  # by how much costs are blurred for another start, at most
_EARLY: Final = 0.4  # share of the time for starts before the programme
_POOL: Final = 10  # different trees kept to be laid together
_ARCS: Final = 4000  # arcs of a net that is put to a programme
_ENTRIES: Final = 60_000  # numbers in the programme's rows of balance


class Search:
    """A net on its way to its cheapest tree: the cheapest known, the bound, and the part in question."""

    def __init__(self, net: Net, terminals: tuple[int, ...], clock: Clock, seed: int, rounds: int) -> None:
        self.whole, self.goals, self.clock, self.rounds = net, terminals, clock, rounds
        self.draw = random.Random(seed)
        self.step = step_of(net.cost)
        self.best = Tree((), math.inf)
        self.pool: list[Tree] = []
        self.ascent: Ascent | None
        self.bound = 0.0
        self.over = False
        self.laid = 1  # trees may be laid together so often within each other
        everything = tuple((e,) for e in range(len(net.a)))
        self._take(Shrunk(net, terminals, everything, ()))

    def _take(self, part: Shrunk) -> None:
        """Make this the part in question; its edges are made of edges of the whole net."""
        self.part = part
        self.net, self.terminals = part.net, part.terminals
        self.sure = math.fsum(self.whole.cost[e] for e in part.sure)
        self.ways: Ways = ways_of(part.net)
        self.now = list(part.terminals)  # key nodes of the tree bettered last
        self.ascent = None
        self.blurred = _without_fixed(part.net, part.terminals)

    def run(self) -> None:
        """Carry out the whole order of work."""
        self._first_tree()
        self._shrink(None)
        if self.over or not self.rounds:
            return
        self._squeeze()
        if not self.over and table_work(self.net.nodes, len(self.terminals)) <= self._table():
            self._offer(table_tree(self.ways, self.terminals))
            self._done()
        early = self.clock.part(_EARLY)
        for turn in range(self.rounds):
            if self.over or early.over():
                break
            self._another_start(turn)
        if not self.over:
            self._squeeze()
        if not self.over and not self.clock.over():
            self._prove()
        for turn in range(self.rounds if math.isfinite(self.clock.until) else 0):
            if self.over or self.clock.over():
                break
            self._another_start(turn)

    def _table(self) -> float:
        """Return how many sums a table over all sets of terminals may take."""
        return min(_TABLE, _PER_SECOND * self.clock.left())

    def _first_tree(self) -> None:
        edges = grown(self.net, self.net.cost, self.terminals, self.terminals[0])
        assert edges is not None, "the terminals must be joined by the net"
        self._offer(tidied_edges(self.net, edges, self.terminals))

    def _offer(self, tree: Tree) -> None:
        """Put a tree of the part in question among the best known."""
        self._keep(tidied_edges(self.whole, self.part.before(tree.edges), self.goals))

    def _keep(self, tree: Tree) -> None:
        if tree.cost * (1 + 1e-12) < self.best.cost:
            self.best = tree
        if all(tree.edges != other.edges for other in self.pool):
            self.pool.append(tree)
            self.pool.sort(key=lambda t: (t.cost, t.edges))
            del self.pool[_POOL:]
        if self.best.cost <= self.bound + self._slack():
            self._done()

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
            self._better(tree)
        else:
            self._offer(tree)

    def _squeeze(self) -> None:
        """Grow and bound in turn, and leave out what the bound rules out, as long as that is much."""
        while not self.over and not self.clock.over():
            for start in _spread(self.terminals, _STARTS):
                self._grow(self.net.cost, start, better=False)
            barred = self._ruled_out(self.clock.part(_SQUEEZE))
            if self.over or len(barred) * 20 < len(self.net.a):
                return
            self._shrink(e for e in range(len(self.net.a)) if e not in barred)

    def _ruled_out(self, clock: Clock) -> set[int]:
        """Return edges that no cheaper tree uses; offer trees grown on what the bounds use up."""
        ascents: list[Ascent] = []
        for root in _spread(self.terminals, _ROOTS):
            if self.over or (ascents and clock.over()):
                break
            ascent = ascended(self.net, self.terminals, root, self.clock)
            ascents.append(ascent)
            self._raise(ascent.bound)
            if not self.over:
                self._grow_on(ascent, better=len(ascents) in _BETTER and not clock.over())
        if self.over or not ascents:
            return set()
        self.ascent = max(ascents, key=lambda a: (a.bound, -a.root))
        aim = self._aim()
        barred: set[int] = set()
        for ascent in ascents:
            through = cost_through(self.net, self.terminals, ascent)
            barred.update(int(e) for e in (through > aim).nonzero()[0])
        return barred

    def _aim(self) -> float:
        """Return the cost, of the part in question, that a cheaper tree would have at most."""
        best = self.best.cost
        return best - self.sure - (0.999 * self.step if self.step else 1e-9 * max(1.0, abs(best)))

    def _grow_on(self, ascent: Ascent, better: bool) -> None:
        dear = 1e3 * (1.0 + max(self.net.cost))
        cost = [c + dear for c in self.net.cost]
        for e in free_edges(self.net, ascent):
            cost[e] -= dear
        self._grow(cost, ascent.root, better)

    def _prove(self) -> None:
        """Bound by directed cuts, if the programme is small enough."""
        if (
            self.ascent is None
            or len(self.ascent.left) > _ARCS
            or sum(len(n) ** 2 for n in self.net.near) > _ENTRIES
        ):
            return
        turns = 10**6 if math.isfinite(self.clock.until) else 4 * self.rounds
        cut = cut_bound(self.net, self.terminals, self.ascent, self.step, self._guided, self.clock, turns)
        if cut.edges is not None:
            self._offer(tidied_edges(self.net, cut.edges, self.terminals))
        self._raise(cut.bound)

    def _guided(self, share: Floats) -> float:
        """Offer a tree grown along the shares of a programme; return what the best known costs here."""
        each = 1 - share[0::2] - share[1::2]
        cost = [c * max(0.0, float(s)) for c, s in zip(self.net.cost, each, strict=True)]
        self._grow(cost, self.terminals[self.draw.randrange(len(self.terminals))])
        return self.best.cost - self.sure

    def _another_start(self, turn: int) -> None:
        """Better a tree from another start, and lay it together with others."""
        if turn % 3 == 2:
            self._shaken()
        else:
            blur = _BLUR * self.draw.random()
            cost = [
                c + blur * self.draw.random() * extra
                for c, extra in zip(self.net.cost, self.blurred, strict=True)
            ]
            self._grow(cost, self.draw.randrange(self.net.nodes))
        if len(self.pool) > 1 and not self.over and self.laid > 0:
            self._lay_together()

    def _shaken(self) -> None:
        """Leave some branch points of the last tree out, take some others in, and better what comes of it."""
        keys = set(self.now)
        spare = sorted(keys - set(self.terminals))
        keys -= set(self.draw.sample(spare, len(spare) // 6))
        keys |= {self.draw.randrange(self.net.nodes) for _ in range(1 + len(keys) // 10)}
        tree = joined(self.ways, sorted(keys | set(self.terminals)), self.terminals)
        self._better(tree)

    def _better(self, tree: Tree) -> None:
        tree = improved(self.ways, tree, self.terminals, self.clock)
        self.now = key_nodes(self.net, tree, self.terminals)
        self._offer(tree)

    def _lay_together(self) -> None:
        """Find the cheapest tree within a few of the trees known."""
        trees = self.draw.sample(self.pool, min(len(self.pool), 3))
        union = sorted({e for t in trees for e in t.edges})
        best = min(trees, key=lambda t: t.cost)
        if len(union) == len(best.edges):
            return
        places = sorted({end for e in union for end in (self.whole.a[e], self.whole.b[e])})
        number = {v: k for k, v in enumerate(places)}
        whole = self.whole
        net = net_of(len(places), [(number[whole.a[e]], number[whole.b[e]], whole.cost[e]) for e in union])
        inner = Search(
            net, tuple(number[t] for t in self.goals), self.clock.part(0.3), self.draw.randrange(10**9), 2
        )
        inner.laid = self.laid - 1
        inner.run()
        self._keep(tidied_edges(whole, (union[e] for e in inner.best.edges), self.goals))


def _spread(terminals: tuple[int, ...], count: int) -> list[int]:
    """Return at most so many terminals, spread over the list."""
    if len(terminals) <= count:
        return list(terminals)
    return [terminals[k * len(terminals) // count] for k in range(count)]


def _without_fixed(net: Net, terminals: tuple[int, ...]) -> list[float]:
    """Return the costs less what each terminal pays in any case, so that a blur doesn't drown the rest."""
    least = [0.0] * net.nodes
    for t in terminals:
        least[t] = min((net.cost[e] for _, e in net.near[t]), default=0.0)
    return [max(0.0, c - least[a] - least[b]) for a, b, c in zip(net.a, net.b, net.cost, strict=True)]
