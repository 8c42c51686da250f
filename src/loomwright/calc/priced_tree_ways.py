"""The way a section takes between two points of a map, and what a section of given wires costs a mm."""

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loomwright.calc.priced_tree import ROOT, Task
from loomwright.errors import OutOfRange

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
WORD = 63  # ends in one word of a set written as bits


@dataclass(frozen=True, slots=True)
class Ways:
    """The way between every two points, and what lies on it.

    A way is the one of least length, where the price of its corridors is turned into length by the price of
    a usual breakout. It is chosen once, for all sections.

    Attributes:
        length: [from, to] [mm]; inf = no way
        ties: [from, to] money for ties, for one section alone [money]
        beside: [from, to] money for ties more, where two sections or more run side by side [money]
        extra: [from, to] money for each section [money]
        before: [from, to] the point before the last one on the way, -1 = none
        bore: [from, to] least bore on the way, both its points' holes counted [mm]
        links: corridor between two neighbouring points
        weight: [from, to] what the ways are the least of [mm]
    """

    length: Floats
    ties: Floats
    beside: Floats
    extra: Floats
    before: Ints
    bore: Floats
    links: Mapping[tuple[int, int], int]
    weight: Floats

    def way(self, a: int, b: int) -> tuple[int, ...]:
        """Return the points from a to b."""
        found = [b]
        while found[-1] != a:
            found.append(int(self.before[a, found[-1]]))
        return tuple(reversed(found))

    def corridors(self, a: int, b: int) -> tuple[int, ...]:
        """Return the corridors from a to b."""
        way = self.way(a, b)
        return tuple(self.links[pair] for pair in itertools.pairwise(way))


def ways_of(task: Task, opened: Iterable[int], least_bore_mm: float, mm_money: float) -> Ways:
    """Return the ways of a map.

    Args:
        opened: parts that are removed
        least_bore_mm: corridors narrower than this are closed [mm]
        mm_money: price a mm that turns the corridors' money into length; 0 = it isn't [money/mm]
    Raises:
        OutOfRange: an end can't be reached from the root.
    Source: Dijkstra's least paths; exact.
    """
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import dijkstra

    links, weight = _links(task, set(opened), least_bore_mm, mm_money)
    rows = [a for a, _ in links]
    columns = [b for _, b in links]
    graph = csr_array((weight, (rows, columns)), shape=(task.points, task.points))
    far, before = dijkstra(graph, directed=True, return_predecessors=True)
    lost = [end for end in task.ends if not math.isfinite(far[task.root, end])]
    if lost:
        raise OutOfRange("end at point", lost[0], "reached from the root", "add a corridor that leads there")
    return _summed(task, links, far, before.astype(np.int64))


def _links(
    task: Task, opened: set[int], least_bore_mm: float, mm_money: float
) -> tuple[dict[tuple[int, int], int], list[float]]:
    """Return the lightest open corridor between every two points, and its weight."""
    found: dict[tuple[int, int], tuple[float, int]] = {}
    for at, one in enumerate(task.corridors):
        if one.a == one.b or (one.part >= 0 and one.part not in opened) or one.bore_mm < least_bore_mm:
            continue
        money = one.tie_money + one.section_money
        weight = max(one.length_mm + (money / mm_money if mm_money > 0 else 0.0), 1e-9)
        for pair in ((one.a, one.b), (one.b, one.a)):
            if pair not in found or (weight, at) < found[pair]:
                found[pair] = (weight, at)
    links = {pair: at for pair, (_, at) in sorted(found.items())}
    return links, [found[pair][0] for pair in links]


def _summed(task: Task, links: dict[tuple[int, int], int], far: Floats, before: Ints) -> Ways:
    """Return what lies on every way, summed from its start, nearer points first."""
    n = task.points
    values = [[c.length_mm, c.tie_money, c.section_money, c.bore_mm, c.beside_money] for c in task.corridors]
    table = np.array([*values, [0.0, 0.0, 0.0, math.inf, 0.0]])
    link = np.full((n, n), len(task.corridors), dtype=np.int64)
    for (a, b), at in links.items():
        link[a, b] = at
    hole = np.full(n, math.inf)
    for point, mm in task.bores:
        hole[point] = min(hole[point], mm)
    length, ties, extra, beside = (np.full((n, n), math.inf) for _ in range(4))
    bore = np.broadcast_to(hole[:, None], (n, n)).copy()
    order = np.argsort(far, axis=1, kind="stable")
    rows = np.arange(n)
    length[rows, rows] = ties[rows, rows] = extra[rows, rows] = beside[rows, rows] = 0.0
    for to in order.T[1:]:
        known = before[rows, to] >= 0
        start, there = rows[known], to[known]
        last = before[start, there]
        values_of = table[link[last, there]]
        length[start, there] = length[start, last] + values_of[:, 0]
        ties[start, there] = ties[start, last] + values_of[:, 1]
        beside[start, there] = beside[start, last] + values_of[:, 4]
        extra[start, there] = extra[start, last] + values_of[:, 2]
        bore[start, there] = np.minimum(np.minimum(bore[start, last], values_of[:, 3]), hole[there])
    return Ways(length, ties, beside, extra, before, bore, links, far)


@dataclass(frozen=True, slots=True)
class Rates:
    """What a section costs a mm, by the set of ends beyond it.

    Attributes:
        members: [net, word] ends of every net as bits
        inside: [net] the net has an end at the root
        money, square: [net] money a mm [money/mm], squares of diameters [mm2]
        wires: [net] pieces of wire
    """

    task: Task
    members: NDArray[np.int64]
    rooted: NDArray[np.bool_]
    money: Floats
    square: Floats
    wires: Floats
    apart: NDArray[np.int64]
    step_up_to: Floats
    step_money: Floats

    def of(self, masks: Sequence[int]) -> "SetRates":
        """Return the rates of sets of ends."""
        words = _words(masks, self.members.shape[1])
        touched = np.zeros((len(masks), len(self.members)), dtype=bool)
        whole = np.ones((len(masks), len(self.members)), dtype=bool)
        for word in range(self.members.shape[1]):
            met = words[:, word, None] & self.members[None, :, word]
            touched |= met != 0
            whole &= met == self.members[None, :, word]
        return self.crossing(touched & ~(whole & ~self.rooted))

    def crossing(self, crosses: NDArray[np.bool_]) -> "SetRates":
        """Return the rates of sections by the nets they hold [section, net]."""
        held = crosses.astype(np.float64)
        square = held @ self.square
        wire = held @ self.money
        thick = self.task.bundle_factor * np.sqrt(square) + self.task.more_mm
        at = np.minimum(np.searchsorted(self.step_up_to, thick - 1e-9), len(self.step_money) - 1)
        sheath = np.where(square > 0, self.step_money[at], 0.0)
        both = np.zeros(len(crosses), dtype=np.int64)
        for a, b in self.apart:
            both += crosses[:, a] & crosses[:, b]
        return SetRates(wire, sheath, np.where(square > 0, thick, 0.0), both, held @ self.wires)


@dataclass(frozen=True, slots=True)
class SetRates:
    """Rates of sections: wire and sheath [money/mm], thickness [mm], pairs kept apart, wires."""

    wire: Floats
    sheath: Floats
    thick: Floats
    clashes: NDArray[np.int64]
    wires: Floats

    @property
    def money(self) -> Floats:
        """Wire and sheath [money/mm]."""
        return self.wire + self.sheath


def rates_of(task: Task) -> Rates:
    """Return the rates of a task; nets of the same ends are laid together where none is kept apart."""
    words = max(1, -(-len(task.ends) // WORD))
    masks = [sum(1 << end for end in set(net.ends) if end != ROOT) for net in task.nets]
    rooted = [ROOT in net.ends for net in task.nets]
    lone = [net for pair in task.apart for net in pair]
    group: dict[Any, list[int]] = {}
    for at, key in enumerate(zip(masks, rooted, strict=True)):
        group.setdefault((*key, at if at in lone else -1), []).append(at)
    where = {net: n for n, nets in enumerate(group.values()) for net in nets}
    firsts = [nets[0] for nets in group.values()]
    nets = task.nets

    def summed(values: Sequence[float]) -> Floats:
        return np.array([math.fsum(values[i] for i in some) for some in group.values()], dtype=np.float64)

    return Rates(
        task,
        _words([masks[at] for at in firsts], words),
        np.array([rooted[at] for at in firsts], dtype=bool),
        summed([net.money_per_mm * net.copies for net in nets]),
        summed([net.square_mm2 * net.copies for net in nets]),
        summed([float(net.copies) for net in nets]),
        np.array([(where[a], where[b]) for a, b in task.apart], dtype=np.int64).reshape(-1, 2),
        np.array([step.up_to_mm for step in task.sheath]),
        np.array([step.money_per_mm for step in task.sheath]),
    )


def _words(masks: Sequence[int], words: int) -> NDArray[np.int64]:
    low = (1 << WORD) - 1
    table = [[(mask >> (WORD * word)) & low for word in range(words)] for mask in masks]
    return np.array(table, dtype=np.int64).reshape(len(masks), words)


def usual_mm_money(task: Task, rates: Rates) -> float:
    """Return the price a mm of a usual breakout: the middle one of all ends [money/mm]."""
    return float(np.median(rates.of([1 << end for end in range(len(task.ends))]).money))
