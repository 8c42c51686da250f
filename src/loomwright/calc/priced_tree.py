"""What a loom's tree is to be planned from, and what a tree is worth: numbers only.

A tree hangs from its root. Every section runs from its inner point to its outer one along the way that
`priced_tree_ways` gives, in its own sheath. Sections that leave one point together and share corridors run
side by side there: they share the ties, and no branch point stands where they part.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from loomwright.errors import OutOfRange

BROKEN: Final = 1e7
"""Charged for every limit a tree breaks, so that any tree that keeps it is cheaper [money]; ours."""
ROOT: Final = -1
"""Stands for the root among the ends of a net."""


@dataclass(frozen=True, slots=True)
class Corridor:
    """A link a loom may follow.

    Attributes:
        a, b: its two points
        length_mm: 0 and more [mm]
        tie_money: once for all sections that leave one point together and run here [money]
        beside_money: more for ties, once, where two such sections or more run side by side; not above
            `tie_money`, so that to be tied together never costs more than to be tied apart [money]
        section_money: for each section that runs here: a hazard's price, a dearer sheath [money]
        bore_mm: what may lie in it, all sections taken as one bundle [mm]
        part: index of the part that has to be removed to use it, -1 = it is free
    """

    a: int
    b: int
    length_mm: float
    tie_money: float = 0.0
    section_money: float = 0.0
    bore_mm: float = math.inf
    part: int = -1
    beside_money: float = 0.0


@dataclass(frozen=True, slots=True)
class Net:
    """Ends that one piece of copper joins: a wire between two, or a splice's wires between more.

    It runs once through every section that has some of its ends on either side.

    Attributes:
        ends: indices of the ends it joins, ROOT = the root
        money_per_mm: 0 and more [money/mm]
        square_mm2: sum of the squares of the diameters it lays into a bundle [mm2]
        copies: wires of the same ends that are alike
    """

    ends: tuple[int, ...]
    money_per_mm: float
    square_mm2: float
    copies: int = 1


@dataclass(frozen=True, slots=True)
class Step:
    """A size of sheath: what it costs up to a bundle's diameter."""

    up_to_mm: float
    money_per_mm: float


@dataclass(frozen=True, slots=True)
class Limits:
    """What every tree has to keep.

    Attributes:
        most_exits: sections at one branch point, the one that leads to it counted; 3 and more
        branch_mm: least length of a section between two branch points [mm]
        end_mm: least length of a section to an end [mm]; where it is above 0, no branch point stands where a
            connector sits
    """

    most_exits: int = 99
    branch_mm: float = 0.0
    end_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Task:
    """A map, what is to be joined on it, and what everything costs.

    Attributes:
        points: number of points of the map; a point is an index below it
        corridors: links between them
        root: point all lengths start from
        root_is_end: the root is a connector: one section leaves it
        ends: point of every end
        nets: what is joined
        sheath: sizes, by rising diameter
        bundle_factor: diameter of a bundle over the root of the sum of squares
        more_mm: what a bundle is thicker under its sheath [mm]
        branch_money, breakout_money: fixed price of a branch point, of the section to an end [money]
        apart: pairs of nets that must not share a section, but at an end's own
        parts: price of removing each part [money]
        bores: (point, mm): holes all sections at that point go through
    """

    points: int
    corridors: tuple[Corridor, ...]
    root: int
    ends: tuple[int, ...]
    nets: tuple[Net, ...]
    sheath: tuple[Step, ...]
    root_is_end: bool = False
    bundle_factor: float = 1.2
    more_mm: float = 0.0
    branch_money: float = 0.0
    breakout_money: float = 0.0
    limits: Limits = field(default_factory=Limits)
    apart: tuple[tuple[int, int], ...] = ()
    parts: tuple[float, ...] = ()
    bores: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Bough:
    """A point of the tree with all that hangs from it.

    Attributes:
        point: where on the map
        end: index of the end, -1 = the root or a branch point
        beyond: what hangs from it, each by a section of its own
    """

    point: int
    end: int
    beyond: tuple["Bough", ...] = ()


@dataclass(frozen=True, slots=True)
class Worth:
    """What a tree costs on its map, by what it is for.

    Attributes:
        wire, sheath, ties, hazards, branches, breakouts, parts: [money]
        broken: limits it breaks; 0 = it keeps all
        branch_points: how many
        wire_mm, sheath_mm: lengths [mm]
    """

    wire: float
    sheath: float
    ties: float
    hazards: float
    branches: float
    breakouts: float
    parts: float
    broken: int
    branch_points: int
    wire_mm: float
    sheath_mm: float

    @property
    def money(self) -> float:
        """The whole price [money]."""
        return math.fsum(
            (self.wire, self.sheath, self.ties, self.hazards, self.branches, self.breakouts, self.parts)
        )

    @property
    def charged(self) -> float:
        """What the search compares by: the price, and far more for every limit that is broken [money]."""
        return self.money + BROKEN * self.broken


@dataclass(frozen=True, slots=True)
class Answer:
    """The best tree found so far, and how good it is known to be.

    Attributes:
        tree: as it hangs from the root
        worth: what it costs
        lower_bound: no tree of this map costs less, whatever it is [money]; 0 = nothing is known yet
        proved: no tree of this map costs less than this one
        opened: parts that are removed for it
        closed_mm: corridors narrower than this were closed to it [mm]
        seconds: since the search began
        corridors: the corridors it lies in, where the Steiner kernel answered; else ()
    """

    tree: Bough
    worth: Worth
    lower_bound: float
    proved: bool
    opened: tuple[int, ...] = ()
    seconds: float = 0.0
    corridors: tuple[int, ...] = ()
    closed_mm: float = 0.0

    @property
    def gap(self) -> float:
        """How much of the price may still be saved on this map, at most; a share of the price."""
        money = self.worth.money
        return 0.0 if self.proved or money <= 0 else max(0.0, 1 - self.lower_bound / money)


def checked(task: Task) -> Task:
    """Return the task if a tree can be planned from it.

    Raises:
        OutOfRange: no end, an index beyond the points, a negative length or price, sizes that don't rise.
    """
    here = range(task.points)
    if not task.ends:
        raise OutOfRange("ends", 0, "1 or more", "name what is to be joined")
    for point in (task.root, *task.ends, *(p for c in task.corridors for p in (c.a, c.b))):
        if point not in here:
            raise OutOfRange("point", point, f"0 to {task.points - 1}", "correct the map")
    for corridor in task.corridors:
        _positive("length_mm", corridor.length_mm)
        _positive("tie_money", corridor.tie_money)
        _positive("section_money", corridor.section_money)
        _positive("beside_money", corridor.beside_money)
        if corridor.beside_money > corridor.tie_money + 1e-12:
            remedy = "tie side by side for no more than apart"
            raise OutOfRange("beside_money", corridor.beside_money, f"up to {corridor.tie_money}", remedy)
    for net in task.nets:
        _positive("money_per_mm", net.money_per_mm)
        _positive("square_mm2", net.square_mm2)
    _positive("branch_money", task.branch_money)
    _positive("breakout_money", task.breakout_money)
    rising = [step.up_to_mm for step in task.sheath]
    if not rising or rising != sorted(rising) or any(s.money_per_mm < 0 for s in task.sheath):
        raise OutOfRange("sheath", rising, "sizes by rising diameter, with prices", "sort the sizes")
    if task.limits.most_exits < 3:
        raise OutOfRange("most_exits", task.limits.most_exits, "3 or more", "a branch point has three")
    return task


def taken_points(task: Task) -> frozenset[int]:
    """Return the points where a connector sits, so that no branch point may stand there."""
    if not task.limits.end_mm:
        return frozenset()
    return frozenset((*task.ends, *([task.root] if task.root_is_end else [])))


def _positive(name: str, value: float) -> None:
    if not 0 <= value < math.inf:
        raise OutOfRange(name, value, "0 or more", "correct the map or the price")


def boughs(tree: Bough) -> Iterator[Bough]:
    """Yield every point of a tree, the root first, each before what hangs from it."""
    waiting = [tree]
    while waiting:
        one = waiting.pop()
        yield one
        waiting.extend(reversed(one.beyond))


def mask_of(bough: Bough) -> int:
    """Return the ends that hang from a point, as bits."""
    found = 0 if bough.end < 0 else 1 << bough.end
    for one in bough.beyond:
        found |= mask_of(one)
    return found


def sections(tree: Bough) -> Iterator[tuple[Bough, Bough]]:
    """Yield every section as its inner and outer point, in the order of `boughs`."""
    for inner in boughs(tree):
        for outer in inner.beyond:
            yield inner, outer


__all__ = [
    "BROKEN",
    "ROOT",
    "Answer",
    "Bough",
    "Corridor",
    "Limits",
    "Net",
    "Step",
    "Task",
    "Worth",
    "boughs",
    "checked",
    "mask_of",
    "sections",
    "taken_points",
]
