"""A price no tree of a map can go below: branch points opened for ends, trunks from the root to them.

Every end's own section begins at one branch point, or at the root. What it costs a mm is known, for it holds
the end's wires and nothing else. Trunks lead from the root to the branch points; a net lies in a trunk where
the ways from the root to its ends part. All that may be a fraction in a linear programme.
"""

import math
from collections.abc import Container, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from loomwright.calc.priced_tree import ROOT, Task, taken_points
from loomwright.calc.priced_tree_hull import least_branch_points, sheath_lines
from loomwright.calc.priced_tree_programme import Programme, least_cost
from loomwright.calc.priced_tree_ways import Floats, rates_of

FAR: Final = 1e6  # stands for what no way leads to [money]
MOST_FLOWS: Final = 5_000  # ends times trunks; beyond, the programme takes tens of seconds; ours, measured
NEAREST: Final = 3  # ends that tell where a trunk still leads to all; ours


@dataclass(frozen=True, slots=True)
class _Land:
    """The map as the programme sees it.

    Attributes:
        arcs: (from, to, corridor), each corridor both ways
        spots: points that trunks may pass
        hubs: spots where an own section may begin; the root first
        trunk: indices of the arcs between spots
        before: [end, point] arc that leads on from the point to the end, -1 = none
        far: [end, hub] price of the own section, its ties left out but where none shares them [money]
        other: [end, hub] the same by any other way [money]
    """

    task: Task
    arcs: tuple[tuple[int, int, int], ...]
    spots: tuple[int, ...]
    hubs: tuple[int, ...]
    trunk: tuple[int, ...]
    before: tuple[tuple[int, ...], ...]
    far: Floats
    other: Floats

    def way(self, end: int, hub: int) -> list[int]:
        """Return the arcs of an end's own section from a point."""
        found, point = [], hub
        while point != self.task.ends[end] and (arc := self.before[end][point]) >= 0:
            found.append(arc)
            point = self.arcs[arc][1]
        return found


def forks_bound(task: Task, limit_s: float) -> float | None:
    """Return a price that no tree of the map goes below, whatever ways its sections take [money].

    Args:
        limit_s: after so long nothing is told [s]
    Returns:
        None where the nets don't join all ends, it would be too large, or the time did not suffice.
    Source: weak duality; every tree gives a solution of the programme that costs no more than the tree:
        the own sections and trunks it has, each trunk's sheath at the lines below its steps. Exact but for
        HiGHS's tolerance of 1e-7.
    """
    if not _joined(task):
        return None
    land = _land(task)
    if len(task.ends) * len(land.trunk) > MOST_FLOWS:
        return None
    made = _Forks(land, Programme())
    made.build()
    money = least_cost(made.lp, limit_s)
    return len(task.ends) * task.breakout_money + money if money > 0 else None


def _joined(task: Task) -> bool:
    """Return whether the nets join all ends, so that every section but one to all of them holds a wire."""
    reached: set[int] = {0}
    waiting = True
    while waiting:
        met = [net for net in task.nets if net.square_mm2 > 0 and reached & set(net.ends)]
        more = {end for net in met for end in net.ends} - reached
        reached |= more
        waiting = bool(more)
    return len(reached - {ROOT}) == len(task.ends) > 1


def _land(task: Task) -> _Land:
    links = [(at, one) for at, one in enumerate(task.corridors) if one.a != one.b]
    arcs = tuple(arc for at, one in links for arc in ((one.a, one.b, at), (one.b, one.a, at)))
    beside: dict[int, set[int]] = {point: set() for point in range(task.points)}
    for a, b, at in arcs:
        beside[a].add(at)
        beside[b].add(at)
    taken = taken_points(task)
    spots = tuple(
        point
        for point in range(task.points)
        if point == task.root or not (point in taken and len(beside[point]) < 2)
    )
    hubs = (task.root, *(point for point in spots if point not in taken and point != task.root))
    there = set(spots)
    trunk = tuple(n for n, (a, b, _) in enumerate(arcs) if a in there and b in there)
    rates = rates_of(task).of([1 << end for end in range(len(task.ends))])
    before, far, other = [], [], []
    for end, point in enumerate(task.ends):
        lone = point not in there and task.ends.count(point) == 1
        money = [
            rates.money[end] * task.corridors[at].length_mm
            + task.corridors[at].section_money
            + (task.corridors[at].tie_money if lone and b == point else 0.0)
            if a in there and (b in there or b == point)
            else math.inf
            for a, b, at in arcs
        ]
        leads, first, second = _nearest(task.points, arcs, money, point)
        before.append(tuple(leads))
        far.append([first[hub] for hub in hubs])
        ties = _ties_on(task, arcs, leads, there)
        other.append([second[h] if second[h] < first[h] + ties[h] - 1e-9 else FAR for h in hubs])
    return _Land(task, arcs, spots, hubs, trunk, tuple(before), np.minimum(far, FAR), np.minimum(other, FAR))


def _ties_on(
    task: Task, arcs: Sequence[tuple[int, int, int]], leads: Sequence[int], spots: Container[int]
) -> list[float]:
    """Return for every point the ties between spots on its way: all that another way could save."""
    found = []
    for point in range(task.points):
        ties = 0.0
        while (n := leads[point]) >= 0:
            point = arcs[n][1]
            ties += task.corridors[arcs[n][2]].tie_money if point in spots else 0.0
        found.append(ties)
    return found


def _nearest(
    points: int, arcs: Sequence[tuple[int, int, int]], money: Sequence[float], to: int
) -> tuple[list[int], list[float], list[float]]:
    """Return for every point the arc that leads on, the least price to a point, and that of any other way."""
    from heapq import heappop, heappush

    into: list[list[int]] = [[] for _ in range(points)]
    for n, (_, b, _) in enumerate(arcs):
        if money[n] < math.inf:
            into[b].append(n)
    far, leads = [math.inf] * points, [-1] * points
    far[to] = 0.0
    waiting, order, done = [(0.0, to)], [], set()
    while waiting:
        _, point = heappop(waiting)
        if point in done:
            continue
        done.add(point)
        order.append(point)
        for n in into[point]:
            a = arcs[n][0]
            if a not in done and far[point] + money[n] < far[a]:
                far[a], leads[a] = far[point] + money[n], n
                heappush(waiting, (far[a], a))
    second = [math.inf] * points
    for n, (a, b, _) in enumerate(arcs):
        if money[n] < math.inf and leads[a] != n:
            second[a] = min(second[a], money[n] + far[b])
    for point in order[1:]:
        n = leads[point]
        second[point] = min(second[point], money[n] + second[arcs[n][1]])
    return leads, far, second


@dataclass(slots=True)
class _Forks:
    """The programme in the making."""

    land: _Land
    lp: Programme

    def build(self) -> None:
        """Lay out variables and rows."""
        task, land, lp = self.land.task, self.land, self.lp
        trunk, hubs = len(land.trunk), len(land.hubs)
        links = [task.corridors[land.arcs[n][2]] for n in land.trunk]
        tied, runs, sheath = lp.variables(trunk), lp.variables(trunk), lp.variables(trunk, 1.0)
        for k, link in enumerate(links):
            lp.cost[tied[k]], lp.cost[runs[k]] = link.tie_money, link.section_money
        forks = lp.variables(hubs, task.branch_money)
        passing = [self._end(end, tied, runs, forks) for end in range(len(task.ends))]
        own = [columns for _, columns in passing]
        flows = [columns for columns, _ in passing]
        whole = self._whole(runs, flows)
        self._exits(runs, forks, own, whole if not task.root_is_end else None)
        held = self._nets(flows)
        self._sheath(runs, sheath, held, whole)
        removed = {part: lp.variables(1, money)[0] for part, money in enumerate(task.parts)}
        for k, link in enumerate(links):
            if link.part >= 0:
                lp.below([tied[k]], removed[link.part])

    def _around(self, point: int) -> tuple[list[int], list[int]]:
        """Return the trunk arcs out of a point and into it."""
        arcs = [self.land.arcs[n] for n in self.land.trunk]
        out = [k for k, (a, _, _) in enumerate(arcs) if a == point]
        return out, [k for k, (_, b, _) in enumerate(arcs) if b == point]

    def _end(self, end: int, tied: range, runs: range, forks: range) -> tuple[range, list[list[int]]]:
        """Add an end: the trunks that lead to it, and the hub where its own section begins."""
        land, lp = self.land, self.lp
        hubs = len(land.hubs)
        flow = lp.variables(len(land.trunk))
        near = lp.variables(hubs)
        begun = [[one] for one in near]
        for n in range(hubs):
            lp.cost[near[n]] = float(land.far[end, n])
            if land.other[end, n] < FAR:
                begun[n] += lp.variables(1, float(land.other[end, n]))
            if land.hubs[n] != land.task.root:
                lp.below(begun[n], forks[n])
        index = {point: n for n, point in enumerate(land.hubs)}
        for point in land.spots:
            out, into = self._around(point)
            columns = [flow[k] for k in out] + [flow[k] for k in into]
            values = [1.0] * len(out) + [-1.0] * len(into)
            if point in index:
                columns += begun[index[point]]
                values += [1.0] * len(begun[index[point]])
            lp.equal.append((columns, values, 1.0 if point == land.task.root else 0.0))
        self._along(end, flow, near, tied, runs)
        return flow, begun

    def _along(self, end: int, flow: range, near: range, tied: range, runs: range) -> None:
        """Ties are there for what leads to an end; trunks are there for what flows in them."""
        position = {n: k for k, n in enumerate(self.land.trunk)}
        through: list[list[int]] = [[] for _ in self.land.trunk]
        for n, hub in enumerate(self.land.hubs):
            if self.land.far[end, n] < FAR:
                for arc in self.land.way(end, hub):
                    if arc in position:
                        through[position[arc]].append(near[n])
        for k, columns in enumerate(through):
            self.lp.below([flow[k]], runs[k])
            self.lp.below([flow[k], *columns], tied[k])

    def _exits(self, runs: range, forks: range, own: Sequence[list[list[int]]], whole: range | None) -> None:
        """Sections begin only at branch points, so many at each; two more at the root, or one to all ends."""
        task, lp = self.land.task, self.lp
        index = {point: n for n, point in enumerate(self.land.hubs)}
        hubs, taken = len(self.land.hubs), taken_points(task)
        for point in self.land.spots:
            out, into = self._around(point)
            columns = [runs[k] for k in out] + [runs[k] for k in into]
            values = [1.0] * len(out) + [-1.0] * len(into)
            at_root = point == task.root
            if point in index:
                begun = [column for one in own for column in one[index[point]]]
                columns += begun
                values += [1.0] * len(begun)
                if point not in taken:
                    columns.append(forks[index[point]])
                    values.append(2.0 - task.limits.most_exits)
                if not at_root and task.limits.branch_mm > 0:
                    lp.most.append(
                        ([forks[index[point]], *(runs[k] for k in into)], [1.0] + [-1.0] * len(into), 0.0)
                    )
            if at_root and whole is not None:
                columns += [whole[k] for k in out]
                values += [1.0] * len(out)
            right = 0.0 if not at_root else (1.0 if task.root_is_end else 2.0)
            lp.most.append((columns, values, right))
        lp.most.append((list(forks), [-1.0] * hubs, -float(least_branch_points(task))))

    def _nets(self, flows: Sequence[range]) -> list[tuple[range, float]]:
        """Add the nets: each in the trunks where the ways to its ends part. Return them and their squares."""
        land, lp = self.land, self.lp
        groups: dict[tuple[int, ...], list[float]] = {}
        for net in land.task.nets:
            sums = groups.setdefault(tuple(sorted(set(net.ends))), [0.0, 0.0])
            sums[0] += net.money_per_mm * net.copies
            sums[1] += net.square_mm2 * net.copies
        held = []
        for ends, (money, square) in sorted(groups.items()):
            if len(ends) < 2:
                continue
            used = lp.variables(len(land.trunk))
            for k, n in enumerate(land.trunk):
                lp.cost[used[k]] = money * land.task.corridors[land.arcs[n][2]].length_mm
            some = [flows[end] for end in ends if end != ROOT]
            self._parting(used, some, ROOT in ends)
            held.append((used, square))
        return held

    def _parting(self, used: range, some: Sequence[range], rooted: bool) -> None:
        """A net lies in a trunk if it leads to some of its ends and not to all."""
        lp = self.lp
        if not rooted and len(some) == 2:
            a, b = some
            for k in range(len(used)):
                lp.most.append(([a[k], b[k], used[k]], [1.0, -1.0, -1.0], 0.0))
                lp.most.append(([b[k], a[k], used[k]], [1.0, -1.0, -1.0], 0.0))
            return
        least = None if rooted else lp.variables(len(used))
        for flow in some:
            for k in range(len(used)):
                if least is None:
                    lp.below([flow[k]], used[k])
                else:
                    lp.most.append(([flow[k], least[k], used[k]], [1.0, -1.0, -1.0], 0.0))
                    lp.below([least[k]], flow[k])

    def _whole(self, runs: range, flows: Sequence[range]) -> range | None:
        """Add trunks that lead to all ends: they hold no wire where no net has an end at the root."""
        land, lp = self.land, self.lp
        if any(ROOT in net.ends and net.square_mm2 > 0 for net in land.task.nets):
            return None
        whole = lp.variables(len(land.trunk))
        more = land.far[:, 1:].min(axis=1, initial=FAR) - land.far[:, 0]
        near = sorted(range(len(flows)), key=lambda end: (-float(more[end]), end))[:NEAREST]
        for k in range(len(whole)):
            lp.below([whole[k]], runs[k])
            for end in near:
                lp.below([whole[k]], flows[end][k])
        return whole

    def _sheath(
        self, runs: range, sheath: range, held: Sequence[tuple[range, float]], whole: range | None
    ) -> None:
        """A trunk's sheath costs at least each line below the steps, once for each section."""
        task = self.land.task
        for offset, slope in sheath_lines(task):
            for k, n in enumerate(self.land.trunk):
                mm = task.corridors[self.land.arcs[n][2]].length_mm
                columns = [sheath[k], runs[k], *(used[k] for used, _ in held)]
                values = [-1.0, offset * mm, *(slope * mm * square for _, square in held)]
                if whole is not None:
                    columns.append(whole[k])
                    values.append(-offset * mm)
                self.lp.most.append((columns, values, 0.0))


__all__ = ["forks_bound"]
