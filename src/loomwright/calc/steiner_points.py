"""Shortest nets between points in the plane or in space, by Steiner trees on candidate points.

Candidates are a coarse grid first, then finer and finer ones around the branch points found, and the
points where three lines meet at 120°; in the end the branch points are moved to where they save most.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from loomwright.calc.steiner import Edge, steiner_tree
from loomwright.calc.steiner_net import Floats
from loomwright.errors import OutOfRange

_MOVES: Final = 200  # rounds of moving the branch points, at most
_STILL: Final = 1e-12  # share of the length that a round must save
_MOST_CANDIDATES: Final = 120  # candidates beside the points, per round


@dataclass(frozen=True, slots=True)
class PointTree:
    """A tree between points: given points first, then branch points; `lengths` after each refinement."""

    places: tuple[tuple[float, ...], ...]
    edges: tuple[tuple[int, int], ...]
    length: float
    lengths: tuple[float, ...]


def hanan_net(points: Sequence[tuple[float, float]]) -> tuple[int, tuple[Edge, ...], tuple[int, ...]]:
    """Return nodes, edges and terminals of the grid of lines through all points, lengths along the lines.

    Args:
        points: points of the plane, one or more
    Source: Hanan 1966: a shortest rectilinear tree lies on this grid; exact.
    """
    if not points:
        raise OutOfRange("points", 0, "one or more", "give the points to be joined")
    xs, ys = sorted({x for x, _ in points}), sorted({y for _, y in points})
    at_x, at_y = {x: k for k, x in enumerate(xs)}, {y: k for k, y in enumerate(ys)}
    rows = len(ys)
    edges = [
        (k * rows + j, (k + 1) * rows + j, xs[k + 1] - xs[k]) for k in range(len(xs) - 1) for j in range(rows)
    ]
    edges += [
        (k * rows + j, k * rows + j + 1, ys[j + 1] - ys[j]) for k in range(len(xs)) for j in range(rows - 1)
    ]
    return len(xs) * rows, tuple(edges), tuple(at_x[x] * rows + at_y[y] for x, y in points)


def refined_tree(
    points: Sequence[tuple[float, ...]], refinements: int, limit_s: float = math.inf, seed: int = 0
) -> PointTree:
    """Return a short tree between points in the plane or in space.

    Args:
        points: two or more, all of two or all of three numbers, any unit
        refinements: how often the candidates are refined, 0 or more
        limit_s: time for each Steiner tree, above 0 [s]
        seed: start of the random numbers
    Returns the tree; `lengths` holds the length on candidates alone, one per refinement, never rising, and
    last the length with the branch points moved to their best places.
    Raises OutOfRange for fewer than two points, mixed or other dimensions, numbers that aren't finite.
    Source: Smith 1992 (places of branch points by repeated weighted means); the shape of the tree is that of
        the candidates, hence an upper bound.
    """
    given = _checked(points, refinements)
    span = float((given.max(axis=0) - given.min(axis=0)).max()) or 1.0
    per_side = 6 if given.shape[1] == 2 else 4
    step = span / (per_side - 1)
    extra = _grid(given, per_side)
    lengths = []
    places = given
    edges: tuple[tuple[int, int], ...] = ()
    for _ in range(refinements + 1):
        places, edges, length = _on_candidates(given, extra, limit_s, seed)
        lengths.append(length)
        step /= 2
        found = places[len(given) :]
        extra = np.concatenate((found, _corners(places, edges), _around(found, step)))
        extra = extra[:_MOST_CANDIDATES]
    places = _moved(places, edges, len(given))
    length = _length(places, edges)
    lengths.append(min(length, lengths[-1]))
    return PointTree(
        tuple(tuple(float(x) for x in place) for place in places), edges, lengths[-1], tuple(lengths)
    )


def _checked(points: Sequence[tuple[float, ...]], refinements: int) -> Floats:
    if len(points) < 2:
        raise OutOfRange("points", len(points), "two or more", "give the points to be joined")
    if {len(p) for p in points} not in ({2}, {3}):
        raise OutOfRange(
            "points", "of mixed or other dimensions", "all in the plane or all in space", "mend them"
        )
    if refinements < 0:
        raise OutOfRange("refinements", refinements, "0 or more", "0 keeps the coarse grid")
    given = np.asarray(points, dtype=np.float64)
    if not np.isfinite(given).all():
        raise OutOfRange("points", "not finite", "finite numbers", "mend them")
    return given


def _grid(given: Floats, per_side: int) -> Floats:
    low, high = given.min(axis=0), given.max(axis=0)
    axes = [np.linspace(a, b, per_side) for a, b in zip(low, high, strict=True)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, given.shape[1])


def _around(found: Floats, step: float) -> Floats:
    """Return the neighbours of each point on a grid of this step."""
    size = found.shape[1]
    shifts = np.stack(np.meshgrid(*[(-1.0, 0.0, 1.0)] * size, indexing="ij"), axis=-1).reshape(-1, size)
    shifts = shifts[np.any(shifts != 0, axis=1)] * step
    out: Floats = (found[:, None, :] + shifts[None, :, :]).reshape(-1, size)
    return out


def _on_candidates(
    given: Floats, extra: Floats, limit_s: float, seed: int
) -> tuple[Floats, tuple[tuple[int, int], ...], float]:
    """Return the given points with the candidates used, the tree and its length."""
    places = np.concatenate((given, extra))
    dist = np.linalg.norm(places[:, None, :] - places[None, :, :], axis=2)
    needed = np.triu(np.ones(dist.shape, dtype=bool), 1)
    for t in range(len(given)):  # a way over a given point, both parts shorter, makes an edge needless
        needed &= ~(np.maximum(dist[:, t][:, None], dist[t][None, :]) < dist)
    pairs = [(int(a), int(b), float(dist[a, b])) for a, b in np.argwhere(needed)]
    tree = steiner_tree(len(places), pairs, range(len(given)), limit_s, seed, rounds=4)
    edges = [pairs[e][:2] for e in tree.edges]
    used = sorted({end for edge in edges for end in edge} - set(range(len(given))))
    place = {v: k for k, v in enumerate([*range(len(given)), *used])}
    named = tuple((place[a], place[b]) for a, b in edges)
    return places[[*range(len(given)), *used]], named, tree.cost


def _corners(places: Floats, edges: Sequence[tuple[int, int]]) -> Floats:
    """Return the points that shorten a corner of the tree that is sharper than 120°."""
    near: list[list[int]] = [[] for _ in places]
    for a, b in edges:
        near[a].append(b)
        near[b].append(a)
    corners = [(v, own[i], own[j]) for v, own in enumerate(near) for i in range(len(own)) for j in range(i)]
    return torricelli(places[np.array(corners, dtype=np.int64).reshape(-1, 3)])


def torricelli(corners: Floats) -> Floats:
    """Return the point with the least sum of distances to three points, for those triples where it is none
    of the three.

    Args:
        corners: triples × 3 × dimensions
    Source: Weiszfeld 1937, forty rounds from the mean; good to a thousandth of the triple's size.
    """
    centre = corners.mean(axis=1)
    for _ in range(40):
        gap = np.linalg.norm(corners - centre[:, None, :], axis=2)
        weight = 1 / np.maximum(gap, 1e-12)
        centre = (corners * weight[:, :, None]).sum(axis=1) / weight.sum(axis=1)[:, None]
    sum_there = np.linalg.norm(corners - centre[:, None, :], axis=2).sum(axis=1)
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2)
    best_corner = sides.sum(axis=1) - sides.max(axis=1)
    out: Floats = centre[sum_there < best_corner * (1 - 1e-6)]
    return out


def _moved(places: Floats, edges: Sequence[tuple[int, int]], fixed: int) -> Floats:
    """Return the places with the branch points moved to where the tree is shortest, its shape kept."""
    count = len(places) - fixed
    if count == 0:
        return places
    out = places.copy()
    a, b = np.array(edges).T
    size = len(places)
    last = math.inf
    for _ in range(_MOVES):
        length = _length(out, edges)
        if length > last * (1 - _STILL):
            break
        last = length
        weight = 1 / np.maximum(np.linalg.norm(out[a] - out[b], axis=1), 1e-9 * length)
        table = np.zeros((size, size))
        np.add.at(table, (a, b), weight)
        np.add.at(table, (b, a), weight)
        system = np.diag(table[fixed:].sum(axis=1)) - table[fixed:, fixed:]
        out[fixed:] = np.linalg.solve(system, table[fixed:, :fixed] @ out[:fixed])
    return out


def _length(places: Floats, edges: Sequence[tuple[int, int]]) -> float:
    return math.fsum(math.dist(places[a], places[b]) for a, b in edges)
