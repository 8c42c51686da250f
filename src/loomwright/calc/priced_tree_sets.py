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

from loomwright.calc.priced_tree import BROKEN, Bough
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
        ties: [p, z] money for ties from the spot before z to z
        length, extra, breach: [p, z] of the way; what is charged where a branch point may not stand
        bore: [p, z]
    """

    scale: Scale
    at: Ints
    inner: Ints
    order: Ints
    ties: Floats
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
    length = ways.length[grid]
    breach = np.where(length < scale.task.limits.branch_mm, BROKEN, 0.0)
    order = np.argsort(ways.weight[grid], axis=1, kind="stable")
    return Spots(scale, at, inner, order, ties, length, ways.extra[grid], breach, ways.bore[grid])


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
        boughs: the leaves; bit n of a set is bough n
        rates: of every set
        bunch: [set, p, z] cheapest sections from p that run through z or end there, and all beyond them
        fork: [set, z] cheapest two sections or more that leave z
        leaf: [bough, p] section from p to a leaf; `leaf_spot` the last spot on its way, `leaf_ties` beyond
    """

    spots: Spots
    boughs: tuple[Bough, ...]
    rates: SetRates
    own: tuple[bool, ...]
    bunch: Floats
    fork: Floats
    leaf: Floats
    leaf_spot: Ints
    leaf_ties: Floats

    @property
    def whole(self) -> int:
        """The set of all boughs."""
        return (1 << len(self.boughs)) - 1

    def charged(self, sets: Ints) -> Floats:
        """Return what a set pays for circuits that must not share a section [money]."""
        free = np.array(self.own)[sets]
        return np.asarray(np.where(free, 0.0, self.rates.clashes[sets] * BROKEN))

    def to_fork(self, sets: Ints, rows: Ints) -> Floats:
        """Return one section from spots p to a branch point at z, with all beyond [set, p, z]."""
        s = self.spots
        beyond = self.fork[sets] + s.scale.task.branch_money + self.charged(sets)[:, None]
        found = self.rates.money[sets][:, None, None] * s.length[rows] + beyond[:, None, :]
        found += s.extra[rows] + s.breach[rows]
        found += np.where(self.rates.thick[sets][:, None, None] > s.bore[rows], BROKEN, 0.0)
        found[:, np.arange(len(rows)), rows] = np.inf
        return np.asarray(found)


def filled(spots: Spots, boughs: Sequence[Bough]) -> Tables:
    """Return the tables for some boughs as leaves.

    Args:
        spots: where branch points may stand
        boughs: ends, or points of a tree that keep what hangs from them
    Source: S. E. Dreyfus and R. A. Wagner, The Steiner problem in graphs, Networks 1 (1971), 195-207,
        with a price for every set; exact for the map's spots but for limits on exits and on shared bores.
    """
    k, n = len(boughs), len(spots.at)
    masks = [0] * (1 << k)
    own = [masks_of(one)[id(one)] for one in boughs]
    for s in range(1, 1 << k):
        low = s & -s
        masks[s] = masks[s ^ low] | own[low.bit_length() - 1]
    rates = spots.scale.rates.of(masks)
    free = tuple(spots.scale.own_section(mask) for mask in masks)
    leaf, leaf_spot, leaf_ties = _leaves(spots, boughs, masks)
    tables = Tables(
        spots,
        tuple(boughs),
        rates,
        free,
        np.full((1 << k, n, n), np.inf),
        np.full((1 << k, n), np.inf),
        leaf,
        leaf_spot,
        leaf_ties,
    )
    rows = np.arange(n)
    for at in range(k):
        tables.bunch[1 << at, rows, leaf_spot[at]] = leaf[at] + leaf_ties[at]
    single = 1 << np.arange(k)
    tables.bunch[single] = through(spots, tables.bunch[single], rows)
    for size in range(2, k + 1):
        _layer(tables, size, last=size == k)
    return tables


def _leaves(spots: Spots, boughs: Sequence[Bough], masks: Sequence[int]) -> tuple[Floats, Ints, Floats]:
    """Return the section from every spot to each leaf, the last spot on the way and the ties beyond it."""
    scale, at, k = spots.scale, spots.at, len(boughs)
    ways, limits = scale.ways, scale.task.limits
    index = np.full(scale.task.points, -1, dtype=np.int64)
    index[at] = np.arange(len(at))
    leaf, spot, ties = np.empty((k, len(at))), np.empty((k, len(at)), dtype=np.int64), np.empty((k, len(at)))
    for row, one in enumerate(boughs):
        rate = scale.rate(masks[1 << row])
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


def through(spots: Spots, values: Floats, rows: Ints) -> Floats:
    """Return the least of ending at a spot and of going on through it, for every spot [set, p, z].

    Args:
        rows: the spots p that axis 1 stands for
    """
    found = values.copy()
    along = np.arange(len(rows))
    for rank in range(spots.order.shape[1] - 1, 0, -1):
        z = spots.order[rows, rank]
        inner = spots.inner[rows, z]
        onward = found[:, along, z] + spots.ties[rows, z]
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


def _layer(tables: Tables, size: int, last: bool) -> None:
    """Fill in all sets of one size from the smaller ones."""
    spots = tables.spots
    n = len(spots.at)
    rows = np.arange(n)
    sets = layer_sets(len(tables.boughs), size)
    ways = (1 << (size - 1)) - 1
    some = max(1, BLOCK // (n * n * ways))
    for start in range(0, len(sets), some):
        chunk = sets[start : start + some]
        forked = through(spots, parted(tables.bunch, chunk, size), rows)
        tables.fork[chunk] = forked[:, rows, rows]
        one = tables.to_fork(chunk, rows)
        tables.bunch[chunk] = through(spots, np.minimum(one, forked), rows)


def parted(bunch: Floats, sets: Ints, size: int) -> Floats:
    """Return the least sum of two parts, over all ways to part each set."""
    shape = bunch.shape[1:]
    found = np.full((len(sets), *shape), np.inf)
    part = halves(sets, size)
    step = max(1, BLOCK // (len(sets) * int(np.prod(shape))))
    for start in range(0, part.shape[1], step):
        a = part[:, start : start + step]
        total = bunch[a]
        total += bunch[sets[:, None] ^ a]
        np.minimum(found, total.min(axis=1), out=found)
    return found
