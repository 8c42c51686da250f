"""The best tree for every number of branch points: what each saves in wire, sheath and ties."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from loomwright.calc.priced_tree import Answer, Task
from loomwright.calc.priced_tree_plan import plans

SHARES: Final = (0.0, 0.1, 0.25, 0.5, 1.0, 2.0, 5.0)
"""Prices of a branch point that are tried, as shares of a usual one; ours."""


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The best tree found with so many branch points.

    Attributes:
        rest: its price but for branch points [money]
        answer: the tree; its own bound holds for another price of branch points and is left out
    """

    branch_points: int
    rest: float
    answer: Answer


def curve(
    task: Task, limit_s: float, seed: int = 0, steps: int | None = None, known: Iterable[Answer] = ()
) -> tuple[CurvePoint, ...]:
    """Return the trees that no other beats both in branch points and in the rest of the price.

    Args:
        task: as for `plans`; its own price of a branch point sets the scale of those that are tried
        limit_s: time for all of them together [s]
        seed, steps: as for `plans`; steps are for each price
        known: trees found before, on the same task
    """
    scale = task.branch_money if task.branch_money > 0 else _middling(task)
    best: dict[int, CurvePoint] = {}
    for answer in known:
        _take(best, answer)
    for share in SHARES:
        tried = replace(task, branch_money=share * scale)
        trees = [one.answer.tree for one in best.values()]
        for answer in plans(tried, limit_s / len(SHARES), seed, steps, trees, False):
            _take(best, answer)
    return _unbeaten(best.values())


def _middling(task: Task) -> float:
    """Return a price of a branch point where it has none: a tenth of a metre of the dearest sheath."""
    return 100 * task.sheath[-1].money_per_mm


def _take(best: dict[int, CurvePoint], answer: Answer) -> None:
    worth = answer.worth
    if worth.broken:
        return
    rest = worth.money - worth.branches
    before = best.get(worth.branch_points)
    if before is None or rest < before.rest - 1e-9:
        best[worth.branch_points] = CurvePoint(worth.branch_points, rest, replace(answer, lower_bound=0.0))


def _unbeaten(points: Iterable[CurvePoint]) -> tuple[CurvePoint, ...]:
    found: list[CurvePoint] = []
    least = math.inf
    for one in sorted(points, key=lambda some: some.branch_points):
        if one.rest < least - 1e-9:
            found.append(one)
            least = one.rest
    return tuple(found)


def chosen(points: Sequence[CurvePoint], branch_money: float) -> CurvePoint:
    """Return the point that is best at a price of a branch point, of equal ones the one with fewest.

    The number of branch points never rises with the price.
    """
    return min(points, key=lambda one: (one.rest + branch_money * one.branch_points, one.branch_points))
