"""The cheapest Steiner tree by a table over all sets of terminals, for few terminals."""

from typing import Final

import numpy as np

from loomwright.calc.steiner_net import Floats, Tree, tidied
from loomwright.calc.steiner_search import Ways

_MOST: Final = 100  # terminals beyond which no table is thought of
_AT_ONCE: Final = 8_000_000  # numbers looked at in one go


def table_work(nodes: int, terminals: int) -> float:
    """Return how many sums the table takes."""
    others = min(terminals - 1, _MOST)
    return float(2**others * nodes**2 + 3**others * nodes)


def table_tree(ways: Ways, terminals: tuple[int, ...]) -> Tree:
    """Return a cheapest tree.

    Args:
        ways: distances of the net
        terminals: nodes to be joined, two or more
    Source: Dreyfus and Wagner 1971; Erickson, Monma and Veinott 1987; exact.
    """
    net = ways.net
    dist = ways.rows(list(range(net.nodes)))
    root, goals = terminals[0], terminals[1:]
    size = 1 << len(goals)
    best = np.full((size, net.nodes), np.inf)
    for k, t in enumerate(goals):
        best[1 << k] = dist[t]
    for count in range(2, len(goals) + 1):
        masks = [m for m in range(size) if m.bit_count() == count]
        merged = np.array([_merged(best, m) for m in masks])
        best[masks] = _reached(merged, dist)
    nodes: set[int] = {root}
    todo = [(size - 1, root)]
    while todo:
        mask, v = todo.pop()
        if mask.bit_count() == 1:
            nodes.update(ways.between(goals[mask.bit_length() - 1], v))
            continue
        merged = _merged(best, mask)
        u = int(np.argmin(merged + dist[:, v]))
        nodes.update(ways.between(u, v))
        part = min(_parts(mask), key=lambda s: float(best[s, u] + best[mask ^ s, u]))
        todo += ((part, u), (mask ^ part, u))
    return tidied(net, nodes, terminals)


def _parts(mask: int) -> list[int]:
    """Return the parts of a set that hold its lowest member, the whole left out."""
    low = mask & -mask
    rest = mask ^ low
    found = []
    part = (rest - 1) & rest
    while True:
        found.append(part | low)
        if part == 0:
            return found
        part = (part - 1) & rest


def _merged(best: Floats, mask: int) -> Floats:
    parts = np.array(_parts(mask))
    least: Floats = (best[parts] + best[mask ^ parts]).min(axis=0)
    return least


def _reached(merged: Floats, dist: Floats) -> Floats:
    """Return for each set and node the cheapest tree of the set and a way from it to the node."""
    rows, nodes = merged.shape
    out = np.empty_like(merged)
    step = max(1, _AT_ONCE // (nodes * nodes))
    for start in range(0, rows, step):
        some = merged[start : start + step]
        out[start : start + step] = (some[:, None, :] + dist[None, :, :]).min(axis=2)
    return out
