"""A price no tree of a map can go below: wires as flows in a sheath that has to be there for each of them."""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from threading import Thread
from typing import Final

from loomwright.calc.priced_tree import ROOT, Corridor, Task
from loomwright.calc.priced_tree_forks import forks_bound
from loomwright.calc.priced_tree_hull import least_branch_points, sheath_lines
from loomwright.calc.priced_tree_programme import Programme, least_cost

MOST_ROWS: Final = 150_000  # of the linear programme; beyond it takes minutes; ours


def lower_bound(task: Task, limit_s: float) -> float:
    """Return a price that no tree of the map goes below, whatever ways its sections take [money].

    Where the nets join all ends, `forks_bound` tells it. Else every net is a flow from its first end to
    each other one. A corridor's sheath costs at least a straight line of what flows in it; it is there once
    for the largest of its nets. Ties and hazards are there once where any net is. Branch points: as many as
    the limit on exits needs.

    Args:
        limit_s: after so long only the fixed prices are given [s]
    Source: weak duality: the linear programme asks for less than any tree keeps; exact but for HiGHS's
        tolerance of 1e-7.
    """
    fixed = len(task.ends) * task.breakout_money + least_branch_points(task) * task.branch_money
    started = time.perf_counter()
    forks = forks_bound(task, limit_s)
    if forks is not None:
        return max(fixed, forks)
    limit_s -= time.perf_counter() - started
    programme = _flows(task) if limit_s > 0 else None
    if programme is None:
        return fixed
    return fixed + max(0.0, least_cost(programme, limit_s))


@dataclass(slots=True)
class Beside:
    """A bound worked out beside a search, in a thread of its own; HiGHS leaves Python free meanwhile."""

    task: Task
    limit_s: float
    found: list[float] = field(default_factory=list)
    thread: Thread | None = None

    def start(self) -> None:
        """Begin; a program that ends does not wait for it."""
        self.thread = Thread(target=self._work, daemon=True)
        self.thread.start()

    def _work(self) -> None:
        self.found.append(lower_bound(self.task, self.limit_s))

    def bound(self) -> float:
        """Wait for it, and return it; 0 where it failed."""
        if self.thread is None:
            self._work()
        else:
            self.thread.join()
        return self.found[0] if self.found else 0.0


def _groups(task: Task) -> Iterator[tuple[tuple[int, ...], float, float]]:
    """Yield the points every net joins, its money a mm and its squares; nets of the same points as one."""
    found: dict[tuple[int, ...], list[float]] = {}
    for net in task.nets:
        points = tuple(sorted({task.root if end == ROOT else task.ends[end] for end in net.ends}))
        if len(points) > 1:
            sums = found.setdefault(points, [0.0, 0.0])
            sums[0] += net.money_per_mm * net.copies
            sums[1] += net.square_mm2 * net.copies
    for points, (money, square) in sorted(found.items()):
        yield points, money, square


def _flows(task: Task) -> Programme | None:
    """Return the programme; None where there is nothing to flow or it would be too large."""
    groups = list(_groups(task))
    links = [one for one in task.corridors if one.a != one.b]
    size = sum((len(points) - 1) * 2 * len(links) for points, _, _ in groups)
    if not groups or size > MOST_ROWS:
        return None
    made = Programme()
    there = made.variables(len(links))
    for at, one in enumerate(links):
        made.cost[there[at]] = one.tie_money + one.section_money
    sheath = made.variables(len(links), 1.0)
    removed = {part: made.variables(1, money)[0] for part, money in enumerate(task.parts)}
    for at, one in enumerate(links):
        if one.part >= 0:
            made.most.append(([there[at], removed[one.part]], [1.0, -1.0], 0.0))
    held = [_one_net(made, links, there, group) for group in groups]
    for offset, slope in sheath_lines(task):
        for at, one in enumerate(links):
            columns = [sheath[at], there[at], *(used[at] for used, _ in held)]
            mm = one.length_mm
            values = [-1.0, offset * mm, *(slope * mm * square for _, square in held)]
            made.most.append((columns, values, 0.0))
    return made


def _one_net(
    made: Programme,
    links: Sequence[Corridor],
    there: range,
    group: tuple[tuple[int, ...], float, float],
) -> tuple[range, float]:
    """Add a net: where it runs, one flow to each of its points but the first."""
    points, money, square = group
    used = made.variables(len(links))
    for at, one in enumerate(links):
        made.cost[used[at]] = money * one.length_mm
        made.most.append(([used[at], there[at]], [1.0, -1.0], 0.0))
    for to in points[1:]:
        along, back = made.variables(len(links)), made.variables(len(links))
        rows: dict[int, tuple[list[int], list[float]]] = {}
        for at, one in enumerate(links):
            made.most.append(([along[at], back[at], used[at]], [1.0, 1.0, -1.0], 0.0))
            for point, sign in ((one.a, 1.0), (one.b, -1.0)):
                columns, values = rows.setdefault(point, ([], []))
                columns += (along[at], back[at])
                values += (sign, -sign)
        for point, (columns, values) in sorted(rows.items()):
            source = 1.0 if point == points[0] else (-1.0 if point == to else 0.0)
            made.equal.append((columns, values, source))
    return used, square
