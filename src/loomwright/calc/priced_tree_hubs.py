"""A tree to begin with: branch points opened one by one where they save most, ends hung from the nearest."""

import time
from collections.abc import Sequence
from typing import Final

import numpy as np

from loomwright.calc.priced_tree import Bough
from loomwright.calc.priced_tree_ways import Floats
from loomwright.calc.priced_tree_worth import Scale, tidy

MOST_HUBS: Final = 10  # opened to begin with; the search adds others; ours


def hubbed(scale: Scale, allowed: Sequence[int], until: float) -> Bough | None:
    """Return the tree that branch points opened one by one lead to; None where there is no place for one.

    Each time the one is opened, or closed again, that makes the whole tree cheapest, until none does.

    Args:
        allowed: points where branch points may stand
        until: by the clock of `time.perf_counter`, when to stop [s]
    """
    own = _own(scale)
    may = [point for point in allowed if not (point == scale.task.root and scale.task.root_is_end)]
    hubs: list[int] = []
    best: Bough | None = None
    least = float("inf")
    while time.perf_counter() < until and len(hubs) < MOST_HUBS:
        tries = [[*hubs, point] for point in may if point not in hubs]
        tries += [[other for other in hubs if other != one] for one in hubs[:-1]]
        rated = [
            (scale.charged(tree), at) for at, some in enumerate(tries) for tree in _tree(scale, some, own)
        ]
        if not rated or min(rated)[0] >= least - 1e-9:
            break
        least, at = min(rated)
        hubs = tries[at]
        (best,) = _tree(scale, hubs, own)
    return best


def _own(scale: Scale) -> Floats:
    """Return the price of every end's own section from every point, ties left out [end, point]."""
    task, ways = scale.task, scale.ways
    rates = scale.rates.of([1 << end for end in range(len(task.ends))]).money
    ends = list(task.ends)
    return np.asarray(rates[:, None] * ways.length[:, ends].T + ways.extra[:, ends].T)


def _tree(scale: Scale, hubs: Sequence[int], own: Floats) -> list[Bough]:
    """Return the tree with branch points at some places: joined by short ways, each end from the cheapest
    with room, or from the cheapest where there is no room; nothing where there is no place."""
    task = scale.task
    if not hubs:
        return []
    outward = _joined(scale, hubs)
    room = {hub: task.limits.most_exits - len(outward[hub]) - (hub != task.root) for hub in hubs}
    cost = own[:, list(hubs)]
    spread = np.sort(cost, axis=1)
    regret = spread[:, 1] - spread[:, 0] if len(hubs) > 1 else spread[:, 0]
    hung: dict[int, list[Bough]] = {hub: [] for hub in (*hubs, task.root)}
    for end in np.argsort(-regret, kind="stable"):
        order = [hubs[n] for n in np.argsort(cost[end], kind="stable")]
        at = next((hub for hub in order if room[hub] > 0), order[0])
        room[at] -= 1
        hung[at].append(Bough(task.ends[end], int(end)))

    def made(point: int) -> Bough:
        return Bough(point, -1, (*hung[point], *(made(outer) for outer in outward[point])))

    tree = _pruned(made(task.root))
    return [tidy(tree, task.root_is_end)]


def _joined(scale: Scale, hubs: Sequence[int]) -> dict[int, list[int]]:
    """Return which branch points each one leads to, from the root on: each joined by its shortest way."""
    root, length = scale.task.root, scale.ways.length
    outward: dict[int, list[int]] = {point: [] for point in (root, *hubs)}
    reached, waiting = [root], [hub for hub in hubs if hub != root]
    full = {root: 1 if scale.task.root_is_end else 2}
    while waiting:
        pairs = [
            (float(length[a, b]), a, b)
            for a in reached
            for b in waiting
            if len(outward[a]) < full.get(a, scale.task.limits.most_exits - 2)
        ]
        _, a, b = min(pairs) if pairs else (0.0, reached[-1], waiting[0])
        outward[a].append(b)
        reached.append(b)
        waiting.remove(b)
    return outward


def _pruned(tree: Bough) -> Bough:
    """Return a tree without branch points that lead to no end."""
    beyond = tuple(_pruned(one) for one in tree.beyond)
    return Bough(tree.point, tree.end, tuple(one for one in beyond if one.end >= 0 or one.beyond))
