"""The planner's entry: ever better trees of a map, each with what is known of how good it is."""

import math
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import Final

from loomwright.calc.priced_tree import (
    ROOT,
    Answer,
    Bough,
    Corridor,
    Limits,
    Net,
    Step,
    Task,
    Worth,
    boughs,
    checked,
    taken_points,
)
from loomwright.calc.priced_tree_bound import Beside
from loomwright.calc.priced_tree_exact import best_tree, small_enough, sums
from loomwright.calc.priced_tree_hubs import hubbed
from loomwright.calc.priced_tree_search import Found, along_ways, of_links, searched, star
from loomwright.calc.priced_tree_ways import Ways, rates_of, usual_mm_money, ways_of
from loomwright.calc.priced_tree_worth import Scale
from loomwright.errors import OutOfRange

SUMS_A_SECOND: Final = 2e8  # of the tables, on a slow machine; ours, measured
QUICK_SUMS: Final = 1e8  # tables of so many sums are filled before any search; ours
MOST_OPENINGS: Final = 12  # choices of parts to remove and corridors to close that are tried; ours
BOUND_S: Final = 60.0  # allowed for the bound of a larger loom; ours
STEPS: Final = 1_000_000
SEARCH_S: Final = 20.0  # of search where no time is given; ours
SEARCH_SHARE: Final = 0.25  # of the time for the search, where a proof is to follow; ours
HUBS_S: Final = 20.0  # most for a start with branch points opened one by one; ours
SAME: Final = 1e-6  # two prices that agree to this share are the same; ours


def plan_tree(
    task: Task, limit_s: float, seed: int = 0, steps: int | None = None, known: Sequence[Bough] = ()
) -> Answer:
    """Return the best tree found within a time, with what is known of it.

    Args:
        task: map, ends, what is joined, prices
        limit_s: time allowed [s]; inf = until it is proved, or until `steps`
        seed: start of the random numbers
        steps: steps of the search; with inf as time the same input gives the same tree
        known: trees of the task to begin with, too
    Raises:
        OutOfRange: the task can't be planned, see `checked`; an end can't be reached.
    """
    answer: Answer | None = None
    for one in plans(task, limit_s, seed, steps, known):
        answer = one
    if answer is None:
        raise OutOfRange("limit_s", limit_s, "above 0 s", "give it more time")
    return answer


def plans(
    task: Task,
    limit_s: float,
    seed: int = 0,
    steps: int | None = None,
    known: Sequence[Bough] = (),
    bounded: bool = True,
) -> Iterator[Answer]:
    """Yield ever better trees, and at last the best with a proof or a bound.

    Where wire and branch points cost nothing and a sheath costs the same whatever is in it, this is the
    Steiner problem, and its kernel answers. Else a small loom's tables of all sets give the tree and its
    proof; a larger one is searched, and a linear programme beside it bounds what any tree may cost.

    Args:
        bounded: whether the bound is asked for, where there is no proof
        task, limit_s, seed, steps, known: as for `plan_tree`
    Raises: as `plan_tree`.
    """
    checked(task)
    started = time.perf_counter()
    if limit_s <= 0:
        return
    if is_steiner(task):
        yield steiner_answer(task, limit_s, seed, steps)
        return
    yield from _Planner(task, started, limit_s, seed, steps, tuple(known), bounded).answers()


def is_steiner(task: Task) -> bool:
    """Return whether a task is the Steiner problem: nothing but the length of sheath decides."""
    money = {step.money_per_mm for step in task.sheath}
    return (
        len(money) == 1
        and not any(net.money_per_mm for net in task.nets)
        and not (task.branch_money or task.parts or task.apart or task.bores or task.root_is_end)
        and task.limits.most_exits > len(task.ends)
        and not (task.limits.branch_mm or task.limits.end_mm)
        and all(math.isinf(one.bore_mm) for one in task.corridors)
        and _all_joined(task)
    )


def steiner_task(points: int, edges: Sequence[tuple[int, int, float]], terminals: Sequence[int]) -> Task:
    """Return the Steiner problem of a net of edges as a task of the planner.

    Args:
        points: number of nodes
        edges: (node, node, cost)
        terminals: nodes to be joined, two or more; the first is the root
    """
    first, *rest = dict.fromkeys(terminals)
    corridors = tuple(Corridor(a, b, cost) for a, b, cost in edges)
    net = Net((ROOT, *range(len(rest))), 0.0, 1.0)
    any_number = Limits(most_exits=max(3, points + 1))
    return Task(points, corridors, first, tuple(rest), (net,), (Step(1e9, 1.0),), limits=any_number)


def _all_joined(task: Task) -> bool:
    """Return whether the nets join all ends and the root, so that every section holds a wire."""
    reached, waiting = {ROOT}, True
    while waiting:
        met = [net for net in task.nets if net.square_mm2 > 0 and reached & set(net.ends)]
        more = {end for net in met for end in net.ends} - reached
        reached |= more
        waiting = bool(more)
    return len(reached) == len(task.ends) + 1


def steiner_answer(task: Task, limit_s: float, seed: int, steps: int | None = None) -> Answer:
    """Return the answer of the Steiner kernel for a task that is the Steiner problem."""
    from loomwright.calc.steiner import steiner_tree

    mm_money = task.sheath[0].money_per_mm
    edges = [(c.a, c.b, mm_money * c.length_mm + c.tie_money + c.section_money) for c in task.corridors]
    found = steiner_tree(task.points, edges, (task.root, *task.ends), limit_s, seed, steps)
    used = [task.corridors[at] for at in found.edges]
    tree = of_links(task, _inward(task, found.edges))
    length = math.fsum(one.length_mm for one in used)
    ties = math.fsum(one.tie_money for one in used)
    hazards = math.fsum(one.section_money for one in used)
    fixed = len(task.ends) * task.breakout_money
    points = sum(one.end < 0 and len(one.beyond) + (one is not tree) >= 3 for one in boughs(tree))
    worth = Worth(0.0, mm_money * length, ties, hazards, 0.0, fixed, 0.0, 0, points, 0.0, length)
    return Answer(tree, worth, found.lower_bound + fixed, found.proved, (), found.seconds, found.edges)


def _inward(task: Task, used: Sequence[int]) -> dict[int, int]:
    """Return the next point towards the root for every point that some corridors join."""
    beside: dict[int, list[int]] = {}
    for at in used:
        one = task.corridors[at]
        beside.setdefault(one.a, []).append(one.b)
        beside.setdefault(one.b, []).append(one.a)
    inner: dict[int, int] = {task.root: -1}
    waiting = [task.root]
    for point in waiting:
        for other in beside.get(point, ()):
            if other not in inner:
                inner[other] = point
                waiting.append(other)
    del inner[task.root]
    return inner


@dataclass(frozen=True, slots=True)
class Opening:
    """One choice of what is opened: parts removed, corridors narrower than a bore closed."""

    scale: Scale
    allowed: tuple[int, ...]

    @property
    def sums(self) -> float:
        """What the tables of all sets would take."""
        return sums(len(self.scale.task.ends), len(self.allowed), _counted(self.scale.task))


def openings(task: Task) -> tuple[Opening, ...]:
    """Return the choices of what is opened, the cheapest parts first.

    Raises:
        OutOfRange: an end can't be reached whatever is opened.
    """
    rates = rates_of(task)
    mm_money = usual_mm_money(task, rates)
    order = sorted(range(len(task.parts)), key=lambda part: (task.parts[part], part))
    sets = [some for many in range(len(order) + 1) for some in combinations(order, many)]
    bores = sorted({one.bore_mm for one in task.corridors if math.isfinite(one.bore_mm)})
    thick = rates.of([1 << end for end in range(len(task.ends))]).thick.max()
    closed = [0.0, *(up for _, up in pairwise((*bores, math.inf)) if up > thick)][:4]
    found: list[Opening] = []
    lost: OutOfRange | None = None
    for opened in sets:
        for bore in closed:
            if len(found) == MOST_OPENINGS:
                break
            try:
                ways = ways_of(task, opened, bore, mm_money)
            except OutOfRange as no:
                lost = lost or no
                continue
            scale = Scale(task, ways, rates, tuple(sorted(opened)), bore)
            found.append(Opening(scale, _reached(ways, task.root, spots_for_branches(task))))
    if not found:
        raise lost or OutOfRange("ends", 0, "1 or more", "name what is to be joined")
    return tuple(found)


def _reached(ways: Ways, root: int, points: Iterable[int]) -> tuple[int, ...]:
    """Return the points that are open: some lie behind parts that stay, or behind narrow corridors."""
    return tuple(point for point in points if math.isfinite(ways.length[root, point]))


def spots_for_branches(task: Task) -> tuple[int, ...]:
    """Return the points where a branch point can be worth its price; none that could be is left out.

    Where a least length to ends is asked for, all but the dead ends where a connector sits. Where none is
    asked for, all but a corridor's dead end with one connector, if one sheath for two bundles never costs
    more than two: there the branch point can move towards the rest, and save sheath and ties.
    """
    beside: dict[int, set[int]] = {point: set() for point in range(task.points)}
    for one in task.corridors:
        if one.a != one.b:
            beside[one.a].add(one.b)
            beside[one.b].add(one.a)
    taken = taken_points(task)
    lean = not (task.limits.branch_mm or task.limits.end_mm) and _thrifty(task)
    hung = [sum(end == point for end in task.ends) for point in range(task.points)]
    return tuple(
        point
        for point in range(task.points)
        if point == task.root
        or len(beside[point]) > 1
        or len(beside[point]) + hung[point] > 2
        or not (lean or point in taken)
    )


def _thrifty(task: Task) -> bool:
    """Return whether one sheath for two bundles never costs more than two."""
    room = [max(0.0, step.up_to_mm - task.more_mm) ** 2 for step in task.sheath]
    money = [step.money_per_mm for step in task.sheath]
    for a, first in zip(room, money, strict=True):
        for b, second in zip(room, money, strict=True):
            both = next((m for r, m in zip(room, money, strict=True) if r >= a + b - 1e-9), money[-1])
            if both > first + second + 1e-15:
                return False
    return True


def _counted(task: Task) -> int:
    """Return the limit on exits where it can be met by a loom of so many ends, else 0."""
    return task.limits.most_exits if task.limits.most_exits <= len(task.ends) else 0


@dataclass(slots=True)
class _Planner:
    """One run of the planner: what is open to it, the best so far, what is known to be below."""

    task: Task
    started: float
    limit_s: float
    seed: int
    steps: int | None
    known: tuple[Bough, ...]
    bounded: bool

    def answers(self) -> Iterator[Answer]:
        """Yield ever better answers; the last says what is known of it."""
        every = openings(self.task)
        quick = sum(one.sums for one in every) <= QUICK_SUMS and self._tables_fit(every)
        best: Answer | None = None
        beside = Beside(self.task, BOUND_S)
        if self.bounded and not quick and not self._time_for(every):
            beside.start()
        for answer in () if quick else self._searched(every):
            best = answer
            yield answer
        if quick or self._time_for(every):
            proved = self._proved(every, best)
            yield proved
            if quick and proved.worth.broken:  # a limit the tables don't hold
                for answer in self._searched(every):
                    if answer.worth.charged < proved.worth.charged - 1e-9:
                        proved = replace(answer, lower_bound=proved.lower_bound)
                        yield proved
        elif best is not None and self.bounded:
            bound = min(beside.bound(), best.worth.money)
            yield replace(best, lower_bound=bound, seconds=self._spent())

    def _tables_fit(self, every: Sequence[Opening]) -> bool:
        ends, most = len(self.task.ends), _counted(self.task)
        return all(small_enough(ends, len(one.allowed), most) for one in every)

    def _time_for(self, every: Sequence[Opening]) -> bool:
        """Whether the tables of all sets can be filled in what is left of the time."""
        seconds = sum(one.sums for one in every) / SUMS_A_SECOND
        return self._tables_fit(every) and seconds <= self.limit_s - self._spent()

    def _spent(self) -> float:
        return time.perf_counter() - self.started

    def _searched(self, every: Sequence[Opening]) -> Iterator[Answer]:
        """Yield what the search finds, all openings by turns."""
        runs = [
            searched(one.scale, [*self._open_to(one), *starts(one)], one.allowed, self.seed) for one in every
        ]
        best: Answer | None = None
        left = self.steps if self.steps is not None else STEPS
        until = self.limit_s if self.steps is None else math.inf
        until = SEARCH_S if math.isinf(until) and self.steps is None else until
        tables_s = sum(one.sums for one in every) / SUMS_A_SECOND
        if self.steps is None and self._tables_fit(every) and tables_s < (1 - SEARCH_SHARE) * self.limit_s:
            until = min(SEARCH_SHARE * self.limit_s, SEARCH_S / 10)
        while left > 0 and (self._spent() < until or best is None):
            for opening, run in zip(every, runs, strict=True):
                found = next(run)
                left -= 1
                if best is None or found.charged < best.worth.charged - 1e-9:
                    best = self._answer(opening, found)
                    yield best

    def _open_to(self, opening: Opening) -> list[Bough]:
        """Return the known trees that stand on points this opening leads to."""
        way = opening.scale.ways.length[self.task.root]
        return [tree for tree in self.known if all(math.isfinite(way[one.point]) for one in boughs(tree))]

    def _answer(self, opening: Opening, found: Found, bound: float = 0.0, proved: bool = False) -> Answer:
        worth = opening.scale.worth(found.tree)
        scale = opening.scale
        spent = self._spent()
        return Answer(found.tree, worth, bound, proved, scale.opened, spent, closed_mm=scale.closed_mm)

    def _proved(self, every: Sequence[Opening], best: Answer | None) -> Answer:
        """Return the best tree of all tables; proved where it keeps every limit."""
        bound = math.inf
        most = _counted(self.task)
        for opening in every:
            tree, least = best_tree(opening.scale, opening.allowed, most)
            bound = min(bound, least)
            found = Found(tree, opening.scale.charged(tree))
            if best is None or found.charged < best.worth.charged - 1e-9:
                best = self._answer(opening, found)
        if best is None:
            raise OutOfRange("ends", 0, "1 or more", "name what is to be joined")
        money = best.worth.money
        proved = best.worth.broken == 0 and money <= bound * (1 + SAME) + 1e-9
        return replace(best, lower_bound=min(bound, money), proved=proved, seconds=self._spent())


def starts(opening: Opening) -> list[Bough]:
    """Return trees to begin with: along the ways from the root, and one branch point, at the best places."""
    task, scale = opening.scale.task, opening.scale
    hubs = sorted((star(task, hub) for hub in opening.allowed), key=scale.charged)
    opened = hubbed(scale, opening.allowed, time.perf_counter() + HUBS_S)
    return [along_ways(scale), *hubs[:2], *([] if opened is None else [opened])]
