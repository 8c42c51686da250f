"""The fewest crossings: how exits that nobody noted leave, and on which side lines pass a branch point.

What is noted stands. Proved where the choices are few enough to go through; on larger looms improved step by
step from several starts. Steps are counted, never time.
"""

import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations, pairwise, permutations
from typing import Final

from loomwright.calc.exit_order import (
    LEFT,
    RIGHT,
    Choice,
    Corridors,
    across_at,
    crossings,
    orders,
    pair_crossings,
)

SAME_DEG: Final = 1.0  # directions no further apart than this may lie in either order; ours
MOST_ORDERS: Final = 720  # orders of one point that are all tried; with more, neighbours are swapped; ours
STARTS: Final = 24
MOST_SUMS: Final = 150_000
"""Sums that a descent may take, and a proof again: about a second on one core, ours."""
SEED: Final = 1
Key = tuple[int, int]  # (point, -1) for its order, (line, point) for a passing
Value = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Exits:
    """How exits leave, how lines lie on the way, and what crosses.

    Attributes:
        choice: the order of exits at every point and the side every line passes on
        crossings: pairs of lines that cross, once for each crossing
        order: for every corridor its lines from the right to the left, at its inner and at its outer end
        least: fewer crossings are proved to be impossible with the exits noted
    """

    choice: Choice
    crossings: tuple[tuple[int, int], ...]
    order: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]
    least: bool


@lru_cache(maxsize=32)
def best_exits(task: Corridors, steps: int = 20_000) -> Exits:
    """Return an order of exits and of lines with few crossings.

    Args:
        task: corridors, what is noted of them, and the lines
        steps: choices gone through for a proof, 0 or more; without one the best found stands
    Source: branch and bound over orders of exits and sides of passing, each part of the tree that is decided
        by itself alone; before it, descent from `STARTS` starts, seeded; ours. Exact where `least` is true.
    """
    work = _Work(task)
    found = work.descend()
    least = True
    for part in work.parts:
        least &= work.prove(found, part, steps)
    choice = work.choice(found)
    crossed = crossings(task, choice)
    return Exits(choice, crossed, orders(task, choice), least)


def allowed_orders(task: Corridors, point: int) -> Iterator[Value]:
    """Yield the orders, from the right to the left, in which corridors may leave a point.

    Corridors that no line runs in stay in one place among the others.
    """
    used = _used(task)
    some = [c for c in task.out_of[point] if c in used]
    rest = [c for c in task.out_of[point] if c not in used]
    for order in permutations(some):
        if _as_noted(task, order):
            yield _with_rest(task, order, rest)


def _used(task: Corridors) -> frozenset[int]:
    return frozenset(task.corridor(a, b) for way in task.ways for a, b in pairwise(way))


def _as_noted(task: Corridors, order: Value) -> bool:
    told = [deg for c in order if (deg := task.noted[c]) is not None]
    return all(a <= b + SAME_DEG for a, b in combinations(told, 2))


def _with_rest(task: Corridors, order: Value, rest: list[int]) -> Value:
    found = list(order)
    for c in rest:
        deg = task.noted[c]
        told = [task.noted[x] for x in found]
        further = (n for n, x in enumerate(told) if deg is not None and x is not None and x > deg)
        found.insert(next(further, len(found)), c)
    return tuple(found)


class _Work:
    """The choices, and what each pair of lines or each passing costs by them."""

    def __init__(self, task: Corridors) -> None:
        self.task = task
        self.domain: dict[Key, tuple[Value, ...]] = {}
        self.start: dict[Key, Value] = {}
        self.large: set[Key] = set()
        used = _used(task)
        for point, out in enumerate(task.out_of):
            self._point(point, sum(c in used for c in out))
        for key in task.passing:
            self.domain[key], self.start[key] = ((LEFT,), (RIGHT,)), (LEFT,)
        self.terms = tuple(self._terms())
        self.of: dict[Key, list[int]] = {key: [] for key in self.start}
        for n, (keys, _) in enumerate(self.terms):
            for key in keys:
                self.of[key].append(n)
        self.known: dict[tuple[int, tuple[Value, ...]], int] = {}
        self.left = MOST_SUMS

    def _point(self, point: int, used: int) -> None:
        key = (point, -1)
        out = self.task.out_of[point]
        if used <= 6:
            self.domain[key] = tuple(allowed_orders(self.task, point))
        else:
            first = tuple(sorted(out, key=lambda c: (self.task.noted[c] or 0.0, c)))
            self.domain[key] = (first,)
            self.large.add(key)
        self.start[key] = self.domain[key][0]

    def _terms(self) -> Iterator[tuple[tuple[Key, ...], Key]]:
        """Yield what a cost depends on, and what it is of: two lines (a, -2 - b), or a passing."""
        passing = set(self.task.passing)
        for a, b in combinations(range(len(self.task.lines)), 2):
            both = [p for p in self.task.ways[a] if p in self.task.ways[b]]
            if both:
                points = [(p, -1) for p in dict.fromkeys((both[0], both[-1]))]
                sides = [(x, p) for p in both for x in (a, b) if (x, p) in passing]
                yield (*points, *sides), (a, -2 - b)
        for line, point in self.task.passing:
            yield ((point, -1), (line, point)), (line, point)

    def choice(self, found: dict[Key, Value]) -> Choice:
        """Return choices in the kernel's words."""
        return self._seen(self.start, found)

    def _seen(self, keys: Iterable[Key], found: dict[Key, Value]) -> Choice:
        around = {p: found[p, line] for p, line in keys if line < 0}
        return Choice(around, {key: found[key][0] for key in keys if key[1] >= 0})

    def cost(self, n: int, found: dict[Key, Value]) -> int:
        """Return the crossings of one term; one sum less is left."""
        self.left -= 1
        keys, (a, b) = self.terms[n]
        known = (n, tuple(found[key] for key in keys))
        if known not in self.known:
            choice = self._seen(keys, found)
            self.known[known] = (
                pair_crossings(self.task, choice, a, -2 - b)
                if b < -1
                else len(across_at(self.task, choice, a, b))
            )
        return self.known[known]

    def around(self, key: Key, found: dict[Key, Value]) -> tuple[Value, ...]:
        """Return what one choice may be turned into."""
        if key not in self.large:
            return self.domain[key]
        now = found[key]
        swapped = []
        for i, j in combinations(range(len(now)), 2):
            order = list(now)
            order[i], order[j] = order[j], order[i]
            if _as_noted(self.task, tuple(order)):
                swapped.append(tuple(order))
        return (now, *swapped)

    def total(self, found: dict[Key, Value]) -> int:
        """Return all crossings."""
        return sum(self.cost(n, found) for n in range(len(self.terms)))

    def descend(self) -> dict[Key, Value]:
        """Return the best of several descents."""
        chance = random.Random(SEED)
        keys = [key for key in self.start if len(self.domain[key]) > 1 or key in self.large]
        best, least = dict(self.start), self.total(self.start)
        for turn in range(STARTS):
            if not least:
                break
            found = dict(best)
            for key in keys if turn else ():
                if chance.random() < 0.5:
                    found[key] = chance.choice(self.around(key, found))
            self._down(found, keys)
            if (now := self.total(found)) < least:
                best, least = found, now
            if self.left <= 0:
                break
        return best

    def _down(self, found: dict[Key, Value], keys: list[Key]) -> None:
        """Turn each choice into its best, until none can be or the sums allowed are used up."""
        free, waiting = frozenset(keys), dict.fromkeys(keys)
        while waiting and self.left > 0:
            key = next(iter(waiting))
            del waiting[key]
            before = found[key]
            costs = []
            for rank, value in enumerate((before, *self.around(key, found))):
                found[key] = value
                costs.append((sum(self.cost(n, found) for n in self.of[key]), rank, value))
            found[key] = min(costs)[2]
            if found[key] != before:
                touched = (other for n in self.of[key] for other in self.terms[n][0])
                waiting |= dict.fromkeys(other for other in touched if other in free and other != key)

    @cached_property
    def parts(self) -> tuple[tuple[Key, ...], ...]:
        """Choices that hang together through what they cost."""
        root = {key: key for key in self.start}

        def top(key: Key) -> Key:
            while root[key] != key:
                key = root[key]
            return key

        free = {key for key in self.start if len(self.domain[key]) > 1 or key in self.large}
        for keys, _ in self.terms:
            some = [key for key in keys if key in free]
            for key in some[1:]:
                root[top(key)] = top(some[0])
        found: dict[Key, list[Key]] = {}
        for key in sorted(free):
            found.setdefault(top(key), []).append(key)
        return tuple(map(tuple, found.values()))

    def prove(self, found: dict[Key, Value], part: tuple[Key, ...], steps: int) -> bool:
        """Go through the choices of one part and leave the best in place; True if all were gone through."""
        mine = sorted({n for key in part for n in self.of[key]})
        best = sum(self.cost(n, found) for n in mine)
        if not best:
            return True
        at = {key: n for n, key in enumerate(part)}
        last: list[list[int]] = [[] for _ in part]
        for n in mine:
            last[max(at[key] for key in self.terms[n][0] if key in at)].append(n)
        trial, left = dict(found), steps
        waiting: list[tuple[int, int, Value]] = [(0, 0, value) for value in reversed(self.domain[part[0]])]
        while waiting and left and self.left > -MOST_SUMS:
            depth, cost, value = waiting.pop()
            left -= 1
            trial[part[depth]] = value
            cost += sum(self.cost(n, trial) for n in last[depth])
            if cost >= best:
                continue
            if depth + 1 == len(part):
                best = cost
                found.update({key: trial[key] for key in part})
                continue
            waiting += [(depth + 1, cost, value) for value in reversed(self.domain[part[depth + 1]])]
        return not waiting and not any(key in self.large for key in part)
