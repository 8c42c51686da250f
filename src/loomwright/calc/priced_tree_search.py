"""Ever better trees of one map: neighbourhoods planned anew, ends hung elsewhere, several starts."""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.calc.priced_tree import Bough, Task, boughs
from loomwright.calc.priced_tree_moves import replanned, shaken
from loomwright.calc.priced_tree_worth import Scale, tidy

MOST_BOUGHS: Final = 7  # that a neighbourhood ends in; ours, by trial on random bays
MOST_SPOTS: Final = 14  # tried in a neighbourhood; ours, by trial on random bays
PATIENCE: Final = 12  # neighbourhoods planned anew in vain before the tree is shaken; ours, by trial
BACK: Final = 0.7  # share of shakes that begin from the best tree; ours, by trial


@dataclass(frozen=True, slots=True)
class Found:
    """A tree met by the search.

    Attributes:
        charged: what the search compares by [money]
    """

    tree: Bough
    charged: float


def weighed(scale: Scale, tree: Bough) -> Found:
    """Return a tree with what it costs."""
    tree = tidy(tree, scale.task.root_is_end)
    return Found(tree, scale.charged(tree))


def star(task: Task, hub: int) -> Bough:
    """Return the tree with one branch point; at the root, where that is no connector, with none but it."""
    ends = tuple(Bough(point, at) for at, point in enumerate(task.ends))
    return tidy(Bough(task.root, -1, (Bough(hub, -1, ends),)), task.root_is_end)


def along_ways(scale: Scale) -> Bough:
    """Return the tree of the ways from the root, with a branch point wherever they part."""
    from_root = scale.ways.before[scale.task.root]
    joined = {at: int(from_root[at]) for at in range(scale.task.points) if from_root[at] >= 0}
    return of_links(scale.task, joined)


def of_links(task: Task, inner: dict[int, int]) -> Bough:
    """Return the tree that follows links of the map.

    Args:
        inner: the next point towards the root, of every point that is joined
    """
    hangs: dict[int, list[Bough]] = {}
    for at, point in enumerate(task.ends):
        hangs.setdefault(point, []).append(Bough(point, at))
    outward: dict[int, list[int]] = {}
    for point, before in sorted(inner.items()):
        outward.setdefault(before, []).append(point)
    order = [task.root]
    for point in order:
        order.extend(outward.get(point, ()))
    made: dict[int, Bough] = {}
    for point in reversed(order):
        beyond = [made[outer] for outer in outward.get(point, ()) if made[outer].beyond]
        made[point] = Bough(point, -1, (*hangs.get(point, ()), *beyond))
    tree = made[task.root]
    if task.root_is_end and len(tree.beyond) > 1:
        tree = Bough(task.root, -1, (Bough(task.root, -1, tree.beyond),))
    return tidy(tree, task.root_is_end)


def searched(scale: Scale, starts: Sequence[Bough], allowed: Sequence[int], seed: int) -> Iterator[Found]:
    """Yield trees without end, each from one step of the search; the best of all is the caller's to keep.

    Args:
        starts: trees to begin with
        allowed: points where branch points may stand
        seed: the same seed gives the same trees
    """
    chance = random.Random(seed)
    near = _near(scale, allowed)
    every = sorted((weighed(scale, tree) for tree in starts), key=lambda one: one.charged)
    best = every[0]
    yield best
    for start in every[:2]:
        for now in _settled(scale, start, allowed, chance):
            yield now
        best = min(best, now, key=lambda one: one.charged)
    now, still = best, 0
    while True:
        new = _replanned(scale, now, allowed, chance)
        yield new
        still = 0 if new.charged < now.charged - 1e-9 else still + 1
        now = min(now, new, key=lambda one: one.charged)
        best = min(best, now, key=lambda one: one.charged)
        if still >= PATIENCE:
            now, still = best if chance.random() < BACK else now, 0
            now = weighed(scale, shaken(scale, now.tree, near, chance, chance.randint(2, 6)))
            yield now


def _replanned(scale: Scale, now: Found, allowed: Sequence[int], chance: random.Random) -> Found:
    """Return the tree with the neighbourhood of one of its points, by chance, planned anew."""
    inner = chance.choice([one for one in boughs(now.tree) if one.beyond])
    most = chance.randint(MOST_BOUGHS - 2, MOST_BOUGHS)
    return weighed(scale, replanned(scale, now.tree, inner, most, MOST_SPOTS, allowed, chance))


def _settled(scale: Scale, start: Found, allowed: Sequence[int], chance: random.Random) -> Iterator[Found]:
    """Yield the trees on the way to one whose neighbourhoods, each planned anew once, get no better."""
    now, before = start, float("inf")
    while now.charged < before - 1e-9:
        before = now.charged
        for place in [one.point for one in boughs(now.tree) if one.beyond]:
            inner = next((one for one in boughs(now.tree) if one.beyond and one.point == place), None)
            if inner is not None:
                tree = replanned(scale, now.tree, inner, MOST_BOUGHS, MOST_SPOTS, allowed, chance)
                now = min(now, weighed(scale, tree), key=lambda one: one.charged)
                yield now


def _near(scale: Scale, allowed: Sequence[int]) -> list[list[int]]:
    """Return the points where branch points may stand, nearest first, for every point of the map."""
    may = sorted(allowed)
    rows = scale.ways.length[:, may].argsort(axis=1, kind="stable")[:, :MOST_SPOTS]
    return [[may[int(at)] for at in row] for row in rows]
