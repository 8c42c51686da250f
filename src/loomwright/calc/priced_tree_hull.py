"""What any tree of a task needs at least: lines below the steps of the sheath's price, branch points."""

import math
from collections.abc import Sequence
from itertools import pairwise

from loomwright.calc.priced_tree import Task


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


def sheath_lines(task: Task) -> tuple[tuple[float, float], ...]:
    """Return the lines below the sheath's price over the sum of squares in it."""
    points = [(0.0, task.sheath[0].money_per_mm)]
    for step in task.sheath:
        room = max(0.0, step.up_to_mm - task.more_mm)
        points.append(((room / task.bundle_factor) ** 2, step.money_per_mm))
    every = math.fsum(net.square_mm2 * net.copies for net in task.nets)
    points.append(
        (max(every, points[-1][0]), points[-1][1])
    )  # the last size is charged for all that is thicker
    return lines_below(points)
