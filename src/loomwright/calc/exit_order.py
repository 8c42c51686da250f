"""In which order exits leave every point, and in which order what runs side by side lies on the way.

Corridors form a tree in the plane. Lines, each in its own sheath, run along it from the point where they
begin to the point where they end. Where a line passes a point at which others begin or end, it passes on one
side, and what leaves on that side lies across it. Two lines that share a way lie in one order from the start
of it to where they part, or they cross.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, cmp_to_key
from itertools import combinations, pairwise
from typing import Final

from loomwright.errors import OutOfRange

LEFT: Final = 1
RIGHT: Final = -1


@dataclass(frozen=True)
class Corridors:
    """A tree of corridors with the lines that run in it.

    Attributes:
        inner: for every corridor its inner point; corridor n leads to point n + 1, the root is point 0, and
            an inner point is lower than the point led to
        noted: for every corridor the direction in which it leaves its inner point, seen by somebody who comes
            from the root: -180 to 180, 0 = straight on, left positive [degrees]; None = not noted
        lines: for every line the point where it begins and the point where it ends
    Raises:
        OutOfRange: a corridor leads nowhere, or a line is no way.
    """

    inner: tuple[int, ...]
    noted: tuple[float | None, ...]
    lines: tuple[tuple[int, int], ...]

    def __post_init__(self) -> None:
        for n, point in enumerate(self.inner):
            if not 0 <= point <= n:
                raise OutOfRange("inner point", point, f"0 to {n}", "number points from the root outward")
        if len(self.noted) != len(self.inner):
            raise OutOfRange("noted", len(self.noted), "one for each corridor", "give None where not noted")
        for a, b in self.lines:
            if a == b or not 0 <= min(a, b) <= max(a, b) <= len(self.inner):
                raise OutOfRange("line", (a, b), "two points of the tree", "leave it out")

    @cached_property
    def out_of(self) -> tuple[tuple[int, ...], ...]:
        """Corridors that leave every point away from the root."""
        found: list[list[int]] = [[] for _ in range(len(self.inner) + 1)]
        for n, point in enumerate(self.inner):
            found[point].append(n)
        return tuple(map(tuple, found))

    @cached_property
    def ways(self) -> tuple[tuple[int, ...], ...]:
        """The points every line goes over, first to last."""
        return tuple(self._way(a, b) for a, b in self.lines)

    def _way(self, a: int, b: int) -> tuple[int, ...]:
        up, down = [a], [b]
        while up[-1] != down[-1]:
            some = up if up[-1] > down[-1] else down
            some.append(self.inner[some[-1] - 1])
        return (*up, *reversed(down[:-1]))

    @cached_property
    def passing(self) -> tuple[tuple[int, int], ...]:
        """(line, point) wherever a line passes a point at which another begins or ends."""
        hubs = {point for line in self.lines for point in line}
        return tuple((n, p) for n, way in enumerate(self.ways) for p in way[1:-1] if p in hubs)

    def corridor(self, a: int, b: int) -> int:
        """Return the corridor between two neighbouring points."""
        return max(a, b) - 1


@dataclass(frozen=True)
class Choice:
    """How exits leave and lines pass.

    Attributes:
        around: for every point the corridors that leave it outward, from the right to the left; where only
            some lines are asked for, the points where they begin, end or part are enough
        side: for every passing (line, point): 1 = it leaves the point on its left, -1 = on its right, seen
            along the line
    """

    around: Mapping[int, tuple[int, ...]]
    side: Mapping[tuple[int, int], int] = field(default_factory=dict)

    @cached_property
    def rank(self) -> dict[int, dict[int, int]]:
        """For every point the place of its corridors, anticlockwise; the one from the root is first."""
        return {
            point: {point - 1: 0, **{c: n for n, c in enumerate(some, 1)}}
            for point, some in self.around.items()
        }

    def left_by(self, point: int, seen_from: int, corridor: int) -> int:
        """How far to the left a corridor leaves, seen by somebody who comes along another; 1 = rightmost."""
        rank = self.rank[point]
        return (rank[corridor] - rank[seen_from]) % (len(self.around[point]) + 1)


def across_at(task: Corridors, choice: Choice, line: int, point: int) -> tuple[int, ...]:
    """Return the lines that begin or end at a point and lie across one that passes it, in order."""
    way = task.ways[line]
    at = way.index(point)
    into, out = task.corridor(way[at - 1], point), task.corridor(point, way[at + 1])
    limit, hub_left = choice.left_by(point, into, out), choice.side[line, point] == LEFT
    found = []
    for other, (a, b) in enumerate(task.lines):
        if point not in (a, b):
            continue
        beside = task.ways[other][1] if a == point else task.ways[other][-2]
        left = choice.left_by(point, into, task.corridor(point, beside))
        if left and ((left < limit) if hub_left else (left > limit)):
            found.append(other)
    return tuple(found)


def turns(task: Corridors, choice: Choice, one: int, other: int) -> tuple[tuple[int, int], ...]:
    """Return where it is settled which of two lines lies on the left, along the way of the first.

    Returns:
        (place along the first line's way, 1 = the other lies on its left, -1 = on its right); between two
        neighbours that differ the lines cross. Places are counted in halves: 2n = at point n of the way,
        2n - 1 = just before it, 2n + 1 = just behind it.
    """
    mine, theirs = task.ways[one], task.ways[other]
    shared = [n for n, point in enumerate(mine) if point in set(theirs)]
    if not shared:
        return ()
    if len(shared) == 1:
        return _meet_at(task, choice, one, other, shared[0])
    if theirs.index(mine[shared[0]]) > theirs.index(mine[shared[1]]):
        theirs = tuple(reversed(theirs))
        flip = -1
    else:
        flip = 1
    found = []
    first, last = shared[0], shared[-1]
    if side := _end_side(task, choice, one, other, (mine, theirs), first, -1, flip):
        found.append((2 * first - 1, side))
    for n in shared:
        if side := _hub_side(choice, one, other, mine[n], flip):
            found.append((2 * n, side))
    if side := _end_side(task, choice, one, other, (mine, theirs), last, 1, flip):
        found.append((2 * last + 1, side))
    return tuple(found)


def _hub_side(choice: Choice, one: int, other: int, point: int, flip: int) -> int:
    """Two lines that pass a point on different sides: the side the other lies on; 0 = not settled."""
    mine, theirs = choice.side.get((one, point), 0), flip * choice.side.get((other, point), 0)
    return mine if mine and theirs and mine != theirs else 0


def _end_side(
    task: Corridors,
    choice: Choice,
    one: int,
    other: int,
    ways: tuple[tuple[int, ...], tuple[int, ...]],
    at: int,
    step: int,
    flip: int,
) -> int:
    """Where a shared way ends: the side of the first line on which the other goes on; 0 = not settled."""
    mine, theirs = ways
    point, also = mine[at], theirs.index(mine[at])
    i_go_on, they_go_on = 0 <= at + step < len(mine), 0 <= also + step < len(theirs)
    if i_go_on and they_go_on:
        back = task.corridor(point, mine[at - step])
        own = choice.left_by(point, back, task.corridor(point, mine[at + step]))
        far = choice.left_by(point, back, task.corridor(point, theirs[also + step]))
        return step * (1 if far > own else -1)
    if i_go_on:
        return choice.side[one, point]
    return -flip * choice.side[other, point] if they_go_on else 0


def _meet_at(task: Corridors, choice: Choice, one: int, other: int, at: int) -> tuple[tuple[int, int], ...]:
    """The same for two lines that share a single point: across, twice across for a point between, or not."""
    mine, theirs = task.ways[one], task.ways[other]
    point = mine[at]
    also = theirs.index(point)
    if not (0 < at < len(mine) - 1 and 0 < also < len(theirs) - 1):
        return ()
    back = task.corridor(mine[at - 1], point)
    own = choice.left_by(point, back, task.corridor(point, mine[at + 1]))
    came = choice.left_by(point, back, task.corridor(theirs[also - 1], point)) > own
    goes = choice.left_by(point, back, task.corridor(point, theirs[also + 1])) > own
    if came != goes:
        return ((2 * at - 1, LEFT if came else RIGHT), (2 * at + 1, LEFT if goes else RIGHT))
    lies = LEFT if came else RIGHT
    if (one, point) not in choice.side:
        return ((2 * at, lies),)
    into, out = task.corridor(theirs[also - 1], point), task.corridor(point, theirs[also + 1])
    mine_left = choice.left_by(point, into, back) > choice.left_by(point, into, out)
    i_lie = LEFT if mine_left else RIGHT
    if choice.side[one, point] == lies or choice.side[other, point] == i_lie:
        return ((2 * at, lies),)
    return ((2 * at - 1, lies), (2 * at, -lies), (2 * at + 1, lies))


def pair_crossings(task: Corridors, choice: Choice, one: int, other: int) -> int:
    """Return how often two lines cross on the way they share."""
    some = turns(task, choice, one, other)
    return sum(a[1] != b[1] for a, b in pairwise(some))


def crossings(task: Corridors, choice: Choice) -> tuple[tuple[int, int], ...]:
    """Return the pairs of lines that cross, once for each crossing, sorted.

    Args:
        task: corridors and lines
        choice: how exits leave and lines pass
    Source: plane topology: lines that run along one way need no crossing but where their order there is
        settled differently at two places; those least numbers of all pairs can be had at once. Exact.
    """
    found = [
        pair
        for pair in combinations(range(len(task.lines)), 2)
        for _ in range(pair_crossings(task, choice, *pair))
    ]
    for line, point in task.passing:
        found += [(min(line, x), max(line, x)) for x in across_at(task, choice, line, point)]
    return tuple(sorted(found))


def orders(task: Corridors, choice: Choice) -> tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]:
    """Return for every corridor its lines from the right to the left, looking outward, at either end.

    Args:
        task: corridors and lines
        choice: how exits leave and lines pass
    Returns:
        (at its inner end, at its outer end); where the two differ, lines cross on the way
    Source: lines in the order settled nearest to that end, else in the one settled beyond; exact.
    """
    found = []
    for outer, inner in enumerate(task.inner, 1):
        here = [n for n, way in enumerate(task.ways) if inner in way and outer in way]
        at_inner, at_outer = (_sorted(task, choice, here, (inner, outer), end) for end in (0, 1))
        found.append((at_inner, at_outer))
    return tuple(found)


def _sorted(
    task: Corridors, choice: Choice, here: Sequence[int], corridor: tuple[int, int], end: int
) -> tuple[int, ...]:
    """Lines of a corridor from the right to the left at its inner (0) or outer end (1)."""

    def compare(one: int, other: int) -> int:
        inner, outer = (task.ways[one].index(point) for point in corridor)
        some = turns(task, choice, one, other)
        before = [side for at, side in reversed(some) if at < inner + outer]
        behind = [side for at, side in some if at > inner + outer]
        towards = (before, behind) if inner < outer else (behind, before)
        nearest = (*towards[end], *towards[1 - end], 0)[0]
        left = nearest if inner < outer else -nearest
        return -left or one - other

    return tuple(sorted(here, key=cmp_to_key(compare)))
