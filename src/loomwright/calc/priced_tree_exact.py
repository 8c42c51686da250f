"""The cheapest tree read back from the tables of all sets; for a whole small loom it is proved."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from loomwright.calc.priced_tree import Bough
from loomwright.calc.priced_tree_sets import Spots, Tables, filled, halves, parted, spots_of, through
from loomwright.calc.priced_tree_ways import Floats, Ints
from loomwright.calc.priced_tree_worth import Scale, tidy

MOST_ENDS: Final = 16  # beyond this the tables don't fit a usual machine; ours
MOST_NUMBERS: Final = 4e7  # in the table of sets, 320 MB; ours
MOST_SUMS: Final = 2e10  # a few minutes; ours


def small_enough(ends: int, spots: int) -> bool:
    """Return whether a loom's tables can be filled in: its ends and the spots of its map."""
    return (
        ends <= MOST_ENDS and 2.0**ends * spots**2 <= MOST_NUMBERS and 3.0**ends / 2 * spots**2 <= MOST_SUMS
    )


def sums(ends: int, spots: int) -> float:
    """Return how many sums the tables take: what their time goes with."""
    return 3.0**ends / 2 * spots**2


def best_tree(scale: Scale, points: Sequence[int]) -> tuple[Bough, float]:
    """Return the cheapest tree of a whole loom and a lower bound of what any costs by these ways.

    Args:
        points: where branch points may stand; the root's is added
    Returns:
        the tree; what the tables say it costs [money]. Where the tree keeps the limits on exits and on bores
        that several sections share, which the tables don't hold, the two agree and the tree is proved.
    """
    task = scale.task
    ends = [Bough(point, at) for at, point in enumerate(task.ends)]
    spots = spots_of(scale, [*points, task.root])
    if len(ends) == 1:
        tree = Bough(task.root, -1, tuple(ends))
        return tree, scale.worth(tree).charged
    tables = filled(spots, ends)
    p = int(np.searchsorted(spots.at, task.root))
    alone, two, more = _at_root(tables, p)
    fixed = len(ends) * task.breakout_money + sum(task.parts[part] for part in scale.opened)
    values = [float(alone[-1, p]), np.inf if task.root_is_end else two, np.inf if task.root_is_end else more]
    least = min(values)
    if values[0] == least:
        beyond: tuple[Bough, ...] = (_single(tables, tables.whole, p),)
    elif values[1] == least:
        half = _best_pair(tables, p, alone)
        beyond = tuple(_single(tables, some, p) for some in half)
    else:
        beyond = _forked(tables, tables.whole, p, p)
    return tidy(Bough(task.root, -1, beyond), task.root_is_end), least + fixed


def best_beyond(spots: Spots, point: int, boughs: Sequence[Bough]) -> tuple[Bough, ...]:
    """Return the cheapest sections from a point to some boughs, and all between.

    Args:
        point: one of the spots
        boughs: what is to hang from it in the end
    """
    if len(boughs) == 1:
        return tuple(boughs)
    tables = filled(spots, boughs)
    p = int(np.searchsorted(spots.at, point))
    return _bunched(tables, tables.whole, p, p)


def _at_root(tables: Tables, p: int) -> tuple[Floats, float, float]:
    """Return one section from the root for every set through every spot, two sections, three or more."""
    n, k = len(tables.spots.at), len(tables.boughs)
    row = np.array([p])
    alone = tables.to_fork(np.arange(1 << k), row)
    alone[0] = np.inf
    if tables.spots.scale.task.root_is_end:  # a connector's own section may be as short as the limit allows
        beyond = tables.fork[:, p] + tables.spots.scale.task.branch_money
        alone[:, 0, p] = beyond + tables.spots.breach[p, p]
    for at in range(k):
        alone[1 << at] = np.inf
        alone[1 << at, 0, tables.leaf_spot[at, p]] = tables.leaf[at, p] + tables.leaf_ties[at, p]
    alone = through(tables.spots, alone, row)
    whole = np.array([tables.whole])
    two = through(tables.spots, parted(alone, whole, k), row)[0, 0, p]
    more = tables.fork[tables.whole, p] + tables.spots.scale.task.branch_money
    return alone.reshape(1 << k, n), float(two), float(more)


def _best_pair(tables: Tables, p: int, alone: Floats) -> tuple[int, int]:
    """Return how two sections from the root share all boughs.

    Where the two run side by side they part at the spot that is the best for both.
    """
    k = len(tables.boughs)
    a = halves(np.array([tables.whole]), k)[0]
    total = alone[a] + alone[tables.whole ^ a]
    to_root = _carried(tables, total.min(axis=0), p)
    z = int(np.argmin(to_root))
    part = int(a[int(np.argmin(total[:, z]))])
    return part, tables.whole ^ part


def _carried(tables: Tables, values: Floats, p: int) -> Floats:
    """Return what every spot's value is at p: with the ties on the way there."""
    s = tables.spots
    on_way = s.scale.ties
    return np.array([values[z] + on_way(int(s.at[p]), (int(s.at[z]),)) for z in range(len(s.at))])


def _single(tables: Tables, some: int, p: int) -> Bough:
    """Return the outer point of one section from p that carries a set."""
    if some.bit_count() == 1:
        return tables.boughs[some.bit_length() - 1]
    own = tables.to_fork(np.array([some]), np.array([p]))[0, 0]
    if tables.spots.scale.task.root_is_end:
        own[p] = tables.fork[some, p] + tables.spots.scale.task.branch_money + tables.spots.breach[p, p]
    z = int(np.argmin(_carried(tables, own, p)))
    return Bough(int(tables.spots.at[z]), -1, _forked(tables, some, z, z))


def _forked(tables: Tables, some: int, p: int, z: int) -> tuple[Bough, ...]:
    """Return two sections or more from p through z that carry a set."""
    part, values = _split(tables, some, p)
    at = _descend(tables, values, p, z)
    half = int(part[at])
    return (*_bunched(tables, half, p, at), *_bunched(tables, some ^ half, p, at))


def _bunched(tables: Tables, some: int, p: int, z: int) -> tuple[Bough, ...]:
    """Return the cheapest sections from p through z that carry a set: one or more."""
    if some.bit_count() == 1:
        return _leaf(tables, some.bit_length() - 1, p)
    one = tables.to_fork(np.array([some]), np.array([p]))[0, 0]
    part, values = _split(tables, some, p)
    at = _descend(tables, np.minimum(one, values), p, z)
    if one[at] <= values[at]:
        return (Bough(int(tables.spots.at[at]), -1, _forked(tables, some, at, at)),)
    half = int(part[at])
    return (*_bunched(tables, half, p, at), *_bunched(tables, some ^ half, p, at))


def _leaf(tables: Tables, at: int, p: int) -> tuple[Bough, ...]:
    """Return a leaf as it hangs from p: grown into it where it is a branch point of the same place."""
    one = tables.boughs[at]
    if one.end < 0 and one.point == int(tables.spots.at[p]):
        return one.beyond
    return (one,)


def _split(tables: Tables, some: int, p: int) -> tuple[Ints, Floats]:
    """Return, for every spot, the best part of a set and what both parts cost through it from p."""
    part = halves(np.array([some]), some.bit_count())[0]
    total = tables.bunch[part, p] + tables.bunch[some ^ part, p]
    best = np.argmin(total, axis=0)
    return part[best], total[best, np.arange(total.shape[1])]


def _descend(tables: Tables, values: Floats, p: int, z: int) -> int:
    """Return the spot on or beyond z, as seen from p, whose value with the ties from z is the least."""
    s = tables.spots
    best, least = z, float(values[z])
    waiting = [(z, 0.0)]
    while waiting:
        at, ties = waiting.pop()
        for outer in np.flatnonzero(s.inner[p] == at):
            if outer == p:
                continue
            more = ties + float(s.ties[p, outer])
            waiting.append((int(outer), more))
            if values[outer] + more < least:
                best, least = int(outer), float(values[outer]) + more
    return best
