"""Changes of a tree on its map: one neighbourhood planned anew, one bough hung elsewhere."""

import random
from collections.abc import Sequence

import numpy as np

from loomwright.calc.priced_tree import Bough, boughs
from loomwright.calc.priced_tree_exact import best_beyond
from loomwright.calc.priced_tree_sets import spots_of
from loomwright.calc.priced_tree_ways import Ways
from loomwright.calc.priced_tree_worth import Scale, tidy

Chance = random.Random


def rehung(tree: Bough, off: Sequence[Bough], to: Bough, more: Sequence[Bough]) -> Bough:
    """Return the tree with some boughs taken off, and others hung from one of its points.

    Args:
        off: boughs of the tree
        to: point of the tree, not beyond one of `off`
        more: what is hung from it
    """
    gone = {id(one) for one in off}

    def made(one: Bough) -> Bough:
        beyond = tuple(made(outer) for outer in one.beyond if id(outer) not in gone)
        return Bough(one.point, one.end, (*beyond, *more) if one is to else beyond)

    return made(tree)


def replanned(
    scale: Scale, tree: Bough, inner: Bough, most: int, spots: int, allowed: Sequence[int], chance: Chance
) -> Bough:
    """Return the tree with the neighbourhood of one of its points planned anew.

    Args:
        inner: the point it begins at; its place stays
        most: boughs that the neighbourhood ends in, at most
        spots: points of the map tried for branch points, at most
        allowed: points where branch points may stand
    """
    groups, first, freed = _neighbourhood(inner, most, inner is tree, chance)
    leaves = [one for some in groups for one in some]
    if len(leaves) < 2:
        return tree
    at = _near_spots(scale.ways, inner, leaves, freed, spots, allowed)
    kept = len(inner.beyond) - len(first) + (inner is not tree)
    room = 1 if inner is tree and scale.task.root_is_end else scale.task.limits.most_exits - kept
    beyond = best_beyond(
        spots_of(scale, at),
        inner.point,
        groups,
        scale.task.limits.most_exits - 1,
        max(1, room),
        inner is tree and len(first) == len(tree.beyond),
    )
    return tidy(rehung(tree, first, inner, beyond), scale.task.root_is_end)


def _neighbourhood(
    inner: Bough, most: int, root: bool, chance: Chance
) -> tuple[list[list[Bough]], list[Bough], list[int]]:
    """Return the boughs a neighbourhood ends in, in at most so many groups of neighbours, those that hang
    from its inner point, and the points of its branch points."""
    own = list(inner.beyond)
    chance.shuffle(own)
    many = len(own) if root else chance.randint((len(own) + 1) // 2, len(own))
    first = own[: min(2 * most, many)]
    hung, freed = [first], []
    while True:
        many = sum(len(some) for some in hung)
        may = [one for some in hung for one in some if one.beyond and many - 1 + len(one.beyond) <= 2 * most]
        if not may:
            break
        one = chance.choice(may)
        freed.append(one.point)
        hung = [[other for other in some if other is not one] for some in hung] + [list(one.beyond)]
    return _grouped([[[one] for one in some] for some in hung if some], most, chance), first, freed


def _grouped(hung: list[list[list[Bough]]], most: int, chance: Chance) -> list[list[Bough]]:
    """Return groups of boughs that hang from one point now, by chance, at most so many."""
    while sum(len(some) for some in hung) > most:
        several = [some for some in hung if len(some) > 1]
        if not several:
            break
        some = chance.choice(several)
        chance.shuffle(some)
        some.sort(key=len, reverse=True)
        some.append(some.pop() + some.pop())
    return [group for some in hung for group in some]


def _near_spots(
    ways: Ways, inner: Bough, leaves: Sequence[Bough], freed: Sequence[int], most: int, allowed: Sequence[int]
) -> list[int]:
    """Return points for branch points: those that stood, then those that lie least off the ways."""
    needed = dict.fromkeys((inner.point, *freed, *(one.point for one in leaves if one.end < 0)))
    here = np.array(list(dict.fromkeys((inner.point, *(one.point for one in leaves)))))
    other = np.array([point for point in allowed if point not in needed], dtype=np.int64)
    if not len(other):
        return list(needed)
    to = ways.length[np.ix_(here, other)]
    two = to[:, None, :] + to[None, :, :] - ways.length[np.ix_(here, here)][:, :, None]
    two[np.arange(len(here)), np.arange(len(here))] = np.inf
    off = two.reshape(-1, len(other)).min(axis=0) + 1e-3 * to.sum(axis=0)
    order = np.argsort(off, kind="stable")[: max(0, most - len(needed))]
    return [*needed, *(int(other[at]) for at in order)]


def shaken(scale: Scale, tree: Bough, near: Sequence[Sequence[int]], chance: Chance, many: int) -> Bough:
    """Return the tree with some ends that lie near one another taken off and hung anew, one by one, each
    where it costs least then: from a branch point, or from a new one beside one."""
    ends = [one for one in boughs(tree) if one.end >= 0]
    if len(ends) <= many + 2:
        many = max(1, len(ends) - 3)
    first = chance.choice(ends)
    ends.sort(key=lambda one: float(scale.ways.length[first.point, one.point]) * chance.uniform(0.5, 1.5))
    off = ends[:many]
    tree = tidy(rehung(tree, off, tree, ()), scale.task.root_is_end)
    chance.shuffle(off)
    for one in off:
        tree = _hung_best(scale, tree, one, near)
    return tree


def _hung_best(scale: Scale, tree: Bough, one: Bough, near: Sequence[Sequence[int]]) -> Bough:
    every = list(boughs(tree))
    may = [some for some in every if some.end < 0 and not (some is tree and scale.task.root_is_end)]
    found = [rehung(tree, (), some, (one,)) for some in may]
    for inner in every:
        for outer in inner.beyond:
            spots = dict.fromkeys((*near[outer.point][:2], *near[one.point][:2]))
            found += [rehung(tree, (outer,), inner, (Bough(point, -1, (outer, one)),)) for point in spots]
    return min(found, key=scale.charged)
