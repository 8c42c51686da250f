"""The cheapest tree for every set of boughs: a table over all subsets and all points, without pruning.

What a section costs a mm hangs only on the ends beyond it. So the table of Dreyfus and Wagner for Steiner
trees holds with a price a mm of each set's own; sections that leave one point together are joined corridor
by corridor on the tree of ways from that point, so that what they share is paid once.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Final

import numpy as np

from loomwright.calc.priced_tree import BROKEN, Bough, taken_points
from loomwright.calc.priced_tree_ways import Floats, Ints, SetRates
from loomwright.calc.priced_tree_worth import Scale, masks_of

BLOCK: Final = 1_500_000  # numbers added at once; ours, for the processor's cache


@dataclass(frozen=True, slots=True)
class Spots:
    """The points of the map where branch points may stand, and the ways between them.

    Attributes:
        at: points
        inner: [p, z] index of the spot before z on the way from p; p itself at p
        order: [p, rank] spots by rising distance from p
        ties: [p, z] money for ties from the spot before z to z, for one section; `both` for two or more
        length, extra, breach: [p, z] of the way; what is charged where a branch point may not stand
        bore: [p, z]
    """

    scale: Scale
    at: Ints
    inner: Ints
    order: Ints
    ties: Floats
    both: Floats
    length: Floats
    extra: Floats
    breach: Floats
    bore: Floats


def spots_of(scale: Scale, points: Sequence[int]) -> Spots:
    """Return the spots of some points of a map; the points are sorted."""
    ways, at = scale.ways, np.array(sorted(set(points)), dtype=np.int64)
    index = np.full(scale.task.points, -1, dtype=np.int64)
    index[at] = np.arange(len(at))
    from_, to = np.meshgrid(at, at, indexing="ij")
    inner = _last_spot(ways.before, index, from_, to)
    grid = np.ix_(at, at)
    ties = ways.ties[grid] - np.take_along_axis(ways.ties[grid], inner, axis=1)
    beside = ways.beside[grid] - np.take_along_axis(ways.beside[grid], inner, axis=1)
    length = ways.length[grid]
    breach = np.where(length < scale.task.limits.branch_mm, BROKEN, 0.0)
    breach[:, np.isin(at, sorted(taken_points(scale.task)))] += BROKEN
    order = np.argsort(ways.weight[grid], axis=1, kind="stable")
    return Spots(
        scale, at, inner, order, ties, ties + beside, length, ways.extra[grid], breach, ways.bore[grid]
    )


def _last_spot(before: Ints, index: Ints, from_: Ints, to: Ints) -> Ints:
    """Return the spot on the way before each point; the start's own is itself."""
    last = np.where(from_ == to, to, before[from_, to])
    while (outside := index[last] < 0).any():
        last = np.where(outside, before[from_, last], last)
    return np.asarray(index[last])


@dataclass(frozen=True, slots=True)
class Tables:
    """What is known of every set of boughs.

    Attributes:
        leaves: bit n of a set is leaf n; tables of their own for boughs that are hung together
        mask: all ends beyond them
        rates: of every set
        own: of every set, whether its section is an end's own, where nothing can be kept apart
        most: sections that may leave a branch point outwards, 0 = any number
        bunch: [set, count, p, z] cheapest sections from p that run through z or end there, and all beyond
            them; count - 1 of them at most, or only one row for any number
        fork: [set, z] cheapest two sections or more that leave z
        leaf: [bough, p] section from p to a leaf; `leaf_spot` the last spot on its way, `leaf_ties` beyond
    """

    spots: Spots
    leaves: tuple["Bough | Tables", ...]
    mask: int
    rates: SetRates
    own: tuple[bool, ...]
    most: int
    bunch: Floats
    fork: Floats
    leaf: Floats
    leaf_spot: Ints
    leaf_ties: Floats

    @property
    def whole(self) -> int:
        """The set of all boughs."""
        return (1 << len(self.leaves)) - 1

    def to_fork(self, sets: Ints, rows: Ints) -> Floats:
        """Return one section from spots p to a branch point at z, with all beyond [set, p, z]."""
        s = self.spots
        apart = np.where(np.array(self.own)[sets], 0.0, self.rates.clashes[sets] * BROKEN)
        beyond = self.fork[sets] + s.scale.task.branch_money + apart[:, None]
        found = self.rates.money[sets][:, None, None] * s.length[rows] + beyond[:, None, :]
        found += s.extra[rows] + s.breach[rows]
        found += np.where(self.rates.thick[sets][:, None, None] > s.bore[rows], BROKEN, 0.0)
        found[:, np.arange(len(rows)), rows] = np.inf
        return np.asarray(found)


def filled(spots: Spots, leaves: Sequence[Bough | Tables], most: int = 0) -> Tables:
    """Return the tables for some leaves.

    Args:
        spots: where branch points may stand
        leaves: ends, or points of a tree that keep what hangs from them, or tables of such that are hung
            from one point together
        most: sections that may leave a branch point outwards, 0 = any number
    Source: S. E. Dreyfus and R. A. Wagner, The Steiner problem in graphs, Networks 1 (1971), 195-207,
        with a price for every set; exact for the map's spots but for bores that several sections share,
        and for points that grow into a bough that is a branch point already.
    """
    k, n = len(leaves), len(spots.at)
    masks = [0] * (1 << k)
    own = [one.mask if isinstance(one, Tables) else masks_of(one)[id(one)] for one in leaves]
    for s in range(1, 1 << k):
        low = s & -s
        masks[s] = masks[s ^ low] | own[low.bit_length() - 1]
    leaf, leaf_spot, leaf_ties = _leaves(spots, leaves, own)
    tables = Tables(
        spots,
        tuple(leaves),
        masks[-1],
        spots.scale.rates.of(masks),
        tuple(spots.scale.own_section(mask) for mask in masks),
        most,
        np.full((1 << k, max(1, most), n, n), np.inf),
        np.full((1 << k, n), np.inf),
        leaf,
        leaf_spot,
        leaf_ties,
    )
    rows = np.arange(n)
    for at, one in enumerate(leaves):
        if isinstance(one, Tables):
            tables.bunch[1 << at] = one.bunch[one.whole]
            tables.fork[1 << at] = one.fork[one.whole]
        else:
            single = np.full((1, n, n), np.inf)
            single[0, rows, leaf_spot[at]] = leaf[at] + leaf_ties[at]
            tables.bunch[1 << at] = through(spots, single, rows, spots.ties)
    for size in range(2, k + 1):
        _layer(tables, size)
    return tables


def _leaves(
    spots: Spots, leaves: Sequence[Bough | Tables], masks: Sequence[int]
) -> tuple[Floats, Ints, Floats]:
    """Return the section from every spot to each leaf, the last spot on the way and the ties beyond it."""
    scale, at = spots.scale, spots.at
    ways, limits = scale.ways, scale.task.limits
    index = np.full(scale.task.points, -1, dtype=np.int64)
    index[at] = np.arange(len(at))
    leaf, ties = np.full((len(leaves), len(at)), np.inf), np.zeros((len(leaves), len(at)))
    spot = np.zeros((len(leaves), len(at)), dtype=np.int64)
    for row, (one, mask) in enumerate(zip(leaves, masks, strict=True)):
        if isinstance(one, Tables):
            continue
        rate = scale.rate(mask)
        mm = ways.length[at, one.point]
        least = limits.end_mm if one.end >= 0 else limits.branch_mm
        breach = (mm < least).astype(float) + (rate[2] > ways.bore[at, one.point]) + rate[3]
        leaf[row] = (rate[0] + rate[1]) * mm + ways.extra[at, one.point] + BROKEN * breach
        last = np.full(len(at), one.point)
        while (outside := index[last] < 0).any():
            last = np.where(outside, ways.before[at, last], last)
        spot[row] = index[last]
        ties[row] = ways.ties[at, one.point] - ways.ties[at, last]
        if one.end < 0 and index[one.point] >= 0:  # it grows into the branch point it hangs from
            leaf[row, index[one.point]] = -scale.task.branch_money
    return leaf, spot, ties


def through(spots: Spots, values: Floats, rows: Ints, ties: Floats) -> Floats:
    """Return the least of ending at a spot and of going on through it, for every spot [set, p, z].

    Args:
        rows: the spots p that axis 1 stands for
        ties: of the spots, for one section or for more
    """
    found = values.copy()
    along = np.arange(len(rows))
    for rank in range(spots.order.shape[1] - 1, 0, -1):
        z = spots.order[rows, rank]
        inner = spots.inner[rows, z]
        onward = found[:, along, z] + ties[rows, z]
        found[:, along, inner] = np.minimum(found[:, along, inner], onward)
    return found


@lru_cache(maxsize=4)
def layer_sets(k: int, size: int) -> Ints:
    """Return the sets of `size` out of k."""
    return np.array([sum(1 << at for at in some) for some in combinations(range(k), size)], dtype=np.int64)


def halves(sets: Ints, size: int) -> Ints:
    """Return one part of every way to part each set in two, the part with its lowest bough [set, way]."""
    part = np.zeros((len(sets), (1 << (size - 1)) - 1), dtype=np.int64)
    rest = sets & (sets - 1)
    pick = np.arange(part.shape[1])
    for at in range(size - 1):
        low = rest & -rest
        part += np.where((pick >> at) & 1, low[:, None], 0)
        rest &= rest - 1
    return part + (sets & -sets)[:, None]


def _layer(tables: Tables, size: int) -> None:
    """Fill in all sets of one size from the smaller ones."""
    spots = tables.spots
    rows = np.arange(len(spots.at))
    sets = layer_sets(len(tables.leaves), size)
    ways = (1 << (size - 1)) - 1
    some = max(1, BLOCK // (tables.bunch[0].size * ways))
    for start in range(0, len(sets), some):
        chunk = sets[start : start + some]
        values = parted(tables.bunch, chunk, size, tables.most)
        forked = through(spots, values.reshape(-1, len(rows), len(rows)), rows, spots.both)
        forked = forked.reshape(values.shape)
        tables.fork[chunk] = forked[:, -1, rows, rows]
        one = through(spots, tables.to_fork(chunk, rows), rows, spots.ties)
        if tables.most:
            tables.bunch[chunk, 0] = one
            tables.bunch[chunk, 1:] = np.minimum(one[:, None], forked)
        else:
            tables.bunch[chunk, 0] = np.minimum(one, forked[:, 0])


def parted(bunch: Floats, sets: Ints, size: int, most: int) -> Floats:
    """Return the least sum of two parts, over all ways to part each set [set, count, ...].

    Args:
        bunch: [set, count, ...]; with a count the sections of both parts together keep to it
        most: 0 = sections are not counted
    """
    counts = bunch.shape[1]
    found = np.full((len(sets), max(1, counts - 1), *bunch.shape[2:]), np.inf)
    part = halves(sets, size)
    step = max(1, BLOCK // (len(sets) * bunch[0].size))
    for start in range(0, part.shape[1], step):
        some = part[:, start : start + step]
        a, b = bunch[some], bunch[sets[:, None] ^ some]
        if not most:
            np.minimum(found, (a + b).min(axis=1), out=found)
        for both in range(2, counts + 1) if most else ():
            for first in range(1, both):
                total = (a[:, :, first - 1] + b[:, :, both - first - 1]).min(axis=1)
                np.minimum(found[:, both - 2], total, out=found[:, both - 2])
    return found
