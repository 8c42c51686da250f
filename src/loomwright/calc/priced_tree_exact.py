"""The cheapest tree read back from the tables of all sets; for a whole small loom it is proved."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from loomwright.calc.priced_tree import Bough
from loomwright.calc.priced_tree_sets import (
    Spots,
    Tables,
    filled,
    halves,
    layer_sets,
    parted,
    spots_of,
    through,
)
from loomwright.calc.priced_tree_ways import Floats, Ints
from loomwright.calc.priced_tree_worth import Scale, tidy

MOST_ENDS: Final = 16  # beyond this the tables don't fit a usual machine; ours
MOST_NUMBERS: Final = 6e7  # in the table of sets, 480 MB; ours
MOST_SUMS: Final = 4e10  # a few minutes; ours
ANY: Final = 1_000_000  # sections, where nothing limits them


def small_enough(ends: int, spots: int, most: int) -> bool:
    """Return whether a loom's tables can be filled in: its ends and the spots of its map."""
    numbers = 2.0**ends * spots**2 * max(1, most)
    return ends <= MOST_ENDS and numbers <= MOST_NUMBERS and sums(ends, spots, most) <= MOST_SUMS


def sums(ends: int, spots: int, most: int) -> float:
    """Return how many sums the tables take: what their time goes with."""
    return 3.0**ends / 2 * spots**2 * max(1, (most - 1) * (most - 2) / 2)


@dataclass(frozen=True, slots=True)
class Row:
    """The bunches of sections from one spot.

    Attributes:
        p: the spot
        bunch: [set, count, z]
        counted: one count more is one section more
        root: it is the root's own row
    """

    p: int
    bunch: Floats
    counted: bool
    root: bool = False


def best_tree(scale: Scale, points: Sequence[int], most: int = 0) -> tuple[Bough, float]:
    """Return the cheapest tree of a whole loom and a lower bound of what any costs by these ways.

    Args:
        points: where branch points may stand; the root's is added
        most: sections at one branch point, 0 = any number
    Returns:
        the tree; what the tables say it costs [money]. Where the tree keeps the limits that the tables
        don't hold (bores that sections share; the count, where it is left open), the two agree and the tree
        is proved.
    """
    task = scale.task
    ends = [Bough(point, at) for at, point in enumerate(task.ends)]
    if len(ends) == 1:
        tree = Bough(task.root, -1, tuple(ends))
        return tree, scale.worth(tree).charged
    spots = spots_of(scale, [*points, task.root])
    tables = filled(spots, ends, most - 1 if 0 < most <= len(ends) else 0)
    p = int(np.searchsorted(spots.at, task.root))
    beyond, least = _at_root(tables, p, min(most or len(ends), len(ends)))
    fixed = len(ends) * task.breakout_money + sum(task.parts[part] for part in scale.opened)
    return tidy(Bough(task.root, -1, beyond), task.root_is_end), least + fixed


def best_beyond(
    spots: Spots, point: int, groups: Sequence[Sequence[Bough]], most: int, room: int, whole_root: bool
) -> tuple[Bough, ...]:
    """Return the cheapest sections from a point to some boughs, and all between.

    Args:
        point: one of the spots
        groups: what is to hang from it in the end; boughs of one group are hung from one point
        most: sections that may leave a branch point outwards
        room: sections that may leave the point
        whole_root: it is the tree's root, and nothing else hangs from it
    """
    every = [one for some in groups for one in some]
    if len(every) == 1:
        return tuple(every)
    most = most if most < len(every) else 0
    leaves = [some[0] if len(some) == 1 else filled(spots, some, most) for some in groups]
    tables = filled(spots, leaves, most)
    p = int(np.searchsorted(spots.at, point))
    if whole_root:
        return _at_root(tables, p, min(room, len(every)))[0]
    if room >= (most or len(every)):
        return _bunched(tables, _row(tables, p), tables.whole, most or ANY, p)
    return _bunched(tables, _counted_row(tables, p, room, False), tables.whole, room, p)


def _at_root(tables: Tables, p: int, most: int) -> tuple[tuple[Bough, ...], float]:
    """Return the cheapest sections from the root and what they cost: one, two, or a branch point there."""
    task, whole = tables.spots.scale.task, tables.whole
    row = _counted_row(tables, p, 1 if task.root_is_end else max(2, most), True)
    values = [float(row.bunch[whole, count, p]) for count in range(row.bunch.shape[1])]
    if len(values) > 2:
        values[2:] = [values[-1] + task.branch_money]
    count = int(np.argmin(values))
    if count == 2:
        return _forked(tables, row, whole, row.bunch.shape[1], p), values[2]
    return _bunched(tables, row, whole, count + 1, p), values[count]


def _row(tables: Tables, p: int) -> Row:
    return Row(p, tables.bunch[:, :, p], bool(tables.most))


def _counted_row(tables: Tables, p: int, most: int, root: bool) -> Row:
    """Return the bunches from one spot by the number of their sections, up to the most."""
    n, k = len(tables.spots.at), len(tables.leaves)
    row = np.array([p])
    bunch = np.full((1 << k, most, 1, n), np.inf)
    several = np.arange(1, 1 << k)
    bunch[several, 0] = _to_fork(tables, several, p, root)
    for at in range(k):
        spot = tables.leaf_spot[at, p]
        bunch[1 << at, 0, 0, spot] = min(
            bunch[1 << at, 0, 0, spot], tables.leaf[at, p] + tables.leaf_ties[at, p]
        )
    bunch[:, 0] = through(tables.spots, bunch[:, 0], row, tables.spots.ties)
    bunch[:, 1:] = bunch[:, :1]
    for at, leaf in enumerate(tables.leaves):
        if isinstance(leaf, Tables):
            own = _counted_row(leaf, p, most, root).bunch[leaf.whole]
            bunch[1 << at, :, 0] = np.minimum(bunch[1 << at, :, 0], own)
    for size in range(2, k + 1) if most > 1 else ():
        sets = layer_sets(k, size)
        values = parted(bunch, sets, size, most)
        forked = through(tables.spots, values.reshape(-1, 1, n), row, tables.spots.both)
        forked = forked.reshape(values.shape)
        bunch[sets, 1:] = np.minimum(bunch[sets, 1:], forked)
    return Row(p, bunch[:, :, 0], True, root)


def _to_fork(tables: Tables, sets: Ints, p: int, root: bool) -> Floats:
    """Return one section from p to a branch point [set, 1, z]; a connector at the root may sit at its own."""
    found = tables.to_fork(sets, np.array([p]))
    task = tables.spots.scale.task
    if root and task.root_is_end:
        found[:, 0, p] = tables.fork[sets, p] + task.branch_money + tables.spots.breach[p, p]
    return found


def _forked(tables: Tables, row: Row, some: int, count: int, z: int) -> tuple[Bough, ...]:
    """Return two sections or more through z that carry a set."""
    best = _split(row, some, count)
    at, _ = _descend(tables, best.money, row.p, z, tables.spots.both)
    return _halves(tables, row, some, best, at)


@dataclass(frozen=True, slots=True)
class Parting:
    """How a set is best parted, for every spot: one part, what both cost, the count of either [z]."""

    part: Ints
    money: Floats
    counts: tuple[Ints, Ints]


def _halves(tables: Tables, row: Row, some: int, best: Parting, at: int) -> tuple[Bough, ...]:
    part = int(best.part[at])
    first, second = (int(one[at]) for one in best.counts)
    return (
        *_bunched(tables, row, part, first, at),
        *_bunched(tables, row, some ^ part, second, at),
    )


def _bunched(tables: Tables, row: Row, some: int, count: int, z: int) -> tuple[Bough, ...]:
    """Return the cheapest sections through z that carry a set: one or more, up to the count."""
    if some.bit_count() == 1:
        leaf = tables.leaves[some.bit_length() - 1]
        if isinstance(leaf, Bough):
            return _leaf(tables, leaf, row.p)
        own = _counted_row(leaf, row.p, row.bunch.shape[1], row.root) if row.counted else _row(leaf, row.p)
        return _bunched(leaf, own, leaf.whole, count, z)
    one = _to_fork(tables, np.array([some]), row.p, row.root)[0, 0]
    best = _split(row, some, count)
    at, single = _descend(tables, one, row.p, z, tables.spots.ties)
    fork_at, several = _descend(tables, best.money, row.p, z, tables.spots.both)
    if single > several:
        at = fork_at
        return _halves(tables, row, some, best, at)
    inner = _row(tables, at)
    return (Bough(int(tables.spots.at[at]), -1, _forked(tables, inner, some, tables.most or ANY, at)),)


def _leaf(tables: Tables, one: Bough, p: int) -> tuple[Bough, ...]:
    """Return a leaf as it hangs from p: grown into it where it is a branch point of the same place."""
    if one.end < 0 and one.point == int(tables.spots.at[p]):
        return one.beyond
    return (one,)


def _split(row: Row, some: int, count: int) -> Parting:
    """Return, for every spot, the best way to part a set."""
    part = halves(np.array([some]), some.bit_count())[0]
    counts = row.bunch.shape[1]
    z = np.arange(row.bunch.shape[-1])
    none = np.zeros(len(z), dtype=np.int64)
    pairs = [(first, count - first) for first in range(1, count)] if row.counted else [(ANY, ANY)]
    found = Parting(none, np.full(len(z), np.inf), (none, none))
    for first, second in pairs:
        rows = [min(one, counts) - 1 for one in (first, second)]
        total = row.bunch[part, rows[0]] + row.bunch[some ^ part, rows[1]]
        best = np.argmin(total, axis=0)
        money = total[best, z]
        less = money < found.money
        found = Parting(
            np.where(less, part[best], found.part),
            np.where(less, money, found.money),
            (np.where(less, first, found.counts[0]), np.where(less, second, found.counts[1])),
        )
    return found


def _descend(tables: Tables, values: Floats, p: int, z: int, ties: Floats) -> tuple[int, float]:
    """Return the spot on or beyond z, as seen from p, whose value with the ties from z is the least."""
    s = tables.spots
    best, least = z, float(values[z])
    waiting = [(z, 0.0)]
    while waiting:
        at, so_far = waiting.pop()
        for outer in np.flatnonzero(s.inner[p] == at):
            if outer == p:
                continue
            more = so_far + float(ties[p, outer])
            waiting.append((int(outer), more))
            if values[outer] + more < least:
                best, least = int(outer), float(values[outer]) + more
    return best, least
