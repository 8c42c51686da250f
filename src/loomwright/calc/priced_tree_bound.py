"""A price no tree of a map can go below: wires as flows in a sheath that has to be there for each of them."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from loomwright.calc.priced_tree import ROOT, Corridor, Task

MOST_ROWS: Final = 150_000  # of the linear programme; beyond it takes minutes; ours


@dataclass(slots=True)
class _Programme:
    """A linear programme in the making: costs, rows of `at most`, rows of `equal`."""

    cost: list[float] = field(default_factory=list)
    most: list[tuple[list[int], list[float], float]] = field(default_factory=list)
    equal: list[tuple[list[int], list[float], float]] = field(default_factory=list)

    def variables(self, count: int, cost: float = 0.0) -> range:
        first = len(self.cost)
        self.cost.extend([cost] * count)
        return range(first, first + count)


def lower_bound(task: Task, limit_s: float) -> float:
    """Return a price that no tree of the map goes below, whatever ways its sections take [money].

    Every net is a flow from its first end to each other one. A corridor's sheath costs at least a straight
    line of what flows in it; it is there once for the largest of its nets. Ties and hazards are there once
    where any net is. Branch points: as many as the limit on exits needs.

    Args:
        limit_s: after so long only the fixed prices are given [s]
    Source: weak duality: the linear programme asks for less than any tree keeps; exact but for HiGHS's
        tolerance of 1e-7.
    """
    fixed = len(task.ends) * task.breakout_money + least_branch_points(task) * task.branch_money
    programme = _flows(task)
    if programme is None:
        return fixed
    return fixed + max(0.0, _solved(programme, limit_s))


def least_branch_points(task: Task) -> int:
    """Return how many branch points any tree of a task has at least."""
    ends = len(task.ends) + (1 if task.root_is_end else 0)
    return math.ceil(max(0, ends - 2) / (task.limits.most_exits - 2))


def lines_below(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Return the lines (at zero, slope) that bound the lower hull of some points from below.

    Args:
        points: (square of diameter, money a mm), the dearest last
    """
    found = []
    hull: list[tuple[float, float]] = []
    for point in sorted(points):
        while len(hull) > 1 and _turns_down(hull[-2], hull[-1], point):
            hull.pop()
        hull.append(point)
    for (x0, y0), (x1, y1) in pairwise(hull):
        if x1 > x0:
            slope = (y1 - y0) / (x1 - x0)
            if slope >= 0 and y0 - slope * x0 >= 0:
                found.append((y0 - slope * x0, slope))
    lowest = min(y for _, y in points)
    return ((lowest, 0.0), *(line for line in found if line[1] > 0))


def _turns_down(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) <= 0


def _sheath_lines(task: Task) -> tuple[tuple[float, float], ...]:
    """Return the lines below the sheath's price over the sum of squares in it."""
    points = [(0.0, task.sheath[0].money_per_mm)]
    for step in task.sheath:
        room = max(0.0, step.up_to_mm - task.more_mm)
        points.append(((room / task.bundle_factor) ** 2, step.money_per_mm))
    return lines_below(points)


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


def _flows(task: Task) -> _Programme | None:
    """Return the programme; None where there is nothing to flow or it would be too large."""
    groups = list(_groups(task))
    links = [one for one in task.corridors if one.a != one.b]
    size = sum((len(points) - 1) * 2 * len(links) for points, _, _ in groups)
    if not groups or size > MOST_ROWS:
        return None
    made = _Programme()
    there = made.variables(len(links))
    for at, one in enumerate(links):
        made.cost[there[at]] = one.tie_money + one.section_money
    sheath = made.variables(len(links), 1.0)
    removed = {part: made.variables(1, money)[0] for part, money in enumerate(task.parts)}
    for at, one in enumerate(links):
        if one.part >= 0:
            made.most.append(([there[at], removed[one.part]], [1.0, -1.0], 0.0))
    held = [_one_net(made, links, there, group) for group in groups]
    for offset, slope in _sheath_lines(task):
        for at, one in enumerate(links):
            columns = [sheath[at], there[at], *(used[at] for used, _ in held)]
            mm = one.length_mm
            values = [-1.0, offset * mm, *(slope * mm * square for _, square in held)]
            made.most.append((columns, values, 0.0))
    return made


def _one_net(
    made: _Programme,
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


def _solved(programme: _Programme, limit_s: float) -> float:
    """Return the programme's least cost; 0 where the time does not suffice."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array

    def matrix(rows: list[tuple[list[int], list[float], float]]) -> tuple[object, list[float]]:
        at = [n for n, (columns, _, _) in enumerate(rows) for _ in columns]
        columns = [c for cs, _, _ in rows for c in cs]
        values = [v for _, vs, _ in rows for v in vs]
        return csr_array((values, (at, columns)), shape=(len(rows), len(programme.cost))), [
            right for _, _, right in rows
        ]

    most, most_right = matrix(programme.most)
    equal, equal_right = matrix(programme.equal)
    found = linprog(
        programme.cost,
        A_ub=most,
        b_ub=most_right,
        A_eq=equal,
        b_eq=equal_right,
        method="highs-ipm" if len(programme.cost) > 4000 else "highs",
        options={"time_limit": limit_s},
    )
    return float(found.fun) - 1e-6 * abs(float(found.fun)) if found.status == 0 else 0.0
