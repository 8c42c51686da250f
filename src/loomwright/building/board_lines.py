"""From turns to lines on the board: exact polylines, places along them, and how many cross."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from loomwright.building.board_task import Turn
from loomwright.building.shape import nearer
from loomwright.model.tree import Tree

Point = tuple[float, float]
Line = tuple[Point, ...]
TOUCH_MM: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Traced:
    """Lines and directions of every section, by section name, and the points; the datum is the origin.

    Attributes:
        angle: direction of the last piece, 0 = right, anticlockwise, 0 to 360 [degrees]
    """

    line: Mapping[str, Line]
    angle: Mapping[str, float]
    point: Mapping[str, Point]


def trace(tree: Tree, turns: Mapping[str, Turn]) -> Traced:
    """Return every section as a line of exactly its length [mm]."""
    angle: dict[str, float] = {}
    line: dict[str, Line] = {}
    point: dict[str, Point] = {tree.datum: (0.0, 0.0)}
    for s in tree.sections:
        into, turn, start = tree.into.get(s.inner), turns[s.name], point[s.inner]
        base = angle[into.name] if into else 0.0
        if turn.corridor is None:
            angle[s.name] = (base + turn.deg) % 360.0
            line[s.name] = (start, _onward(start, angle[s.name], s.length_mm))
        else:
            c = turn.corridor
            beside = base + turns[c.beside].deg
            angle[s.name] = (beside + turn.deg) % 360.0
            fan = _beside(start, beside, c.fan_mm, c.offset_mm)
            along = min(c.until_mm, c.fan_mm + s.length_mm - c.slant_mm)
            parts = _beside(start, beside, along, c.offset_mm)
            rest = s.length_mm - c.slant_mm - (along - c.fan_mm)
            more = (_onward(parts, angle[s.name], rest),) if rest > TOUCH_MM else ()
            line[s.name] = (start, fan, parts, *more)
        point[s.outer] = line[s.name][-1]
    return Traced(line, angle, point)


def length_mm(line: Line) -> float:
    """Return the length of a line [mm]."""
    return sum(math.dist(a, b) for a, b in pairwise(line))


def along(line: Line, mm: float) -> Point:
    """Return the point `mm` along a line; outside it, on its first or last piece made longer."""
    for a, b in pairwise(line):
        size = math.dist(a, b)
        if mm <= size or b is line[-1]:
            t = mm / size if size else 0.0
            return (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
        mm -= size
    return line[-1]


def count_crossings(lines: Sequence[Line]) -> int:
    """Return how many pairs of lines cross; pieces that share an end may touch there."""
    pieces = [(n, (*a, *b)) for n, line in enumerate(lines) for a, b in pairwise(line)]
    if not pieces:
        return 0
    rows = np.array([row for _, row in pieces])
    x1, x2 = np.minimum(rows[:, 0], rows[:, 2]), np.maximum(rows[:, 0], rows[:, 2])
    y1, y2 = np.minimum(rows[:, 1], rows[:, 3]), np.maximum(rows[:, 1], rows[:, 3])
    near = (x1[:, None] <= x2) & (x1 <= x2[:, None]) & (y1[:, None] <= y2) & (y1 <= y2[:, None])
    found = set()
    for i, j in zip(*(some.tolist() for some in np.nonzero(np.triu(near, 1))), strict=True):
        (m, a), (n, b) = pieces[i], pieces[j]
        if m != n and nearer(list(a), list(b), TOUCH_MM) and not _only_touch(list(a), list(b)):
            found.add((m, n))
    return len(found)


def _only_touch(a: list[float], b: list[float]) -> bool:
    """Return True if the pieces share an end point and do not lie on one another."""
    for pa, qa in ((a[:2], a[2:]), (a[2:], a[:2])):
        for pb, qb in ((b[:2], b[2:]), (b[2:], b[:2])):
            if math.dist(pa, pb) <= TOUCH_MM:
                ux, uy, vx, vy = qa[0] - pa[0], qa[1] - pa[1], qb[0] - pb[0], qb[1] - pb[1]
                flat = abs(ux * vy - uy * vx) <= 1e-9 * (abs(ux) + abs(uy)) * (abs(vx) + abs(vy))
                return not (flat and ux * vx + uy * vy > 0)
    return False


def _onward(start: Point, angle_deg: float, mm: float) -> Point:
    return (
        start[0] + mm * math.cos(math.radians(angle_deg)),
        start[1] + mm * math.sin(math.radians(angle_deg)),
    )


def _beside(start: Point, angle_deg: float, ahead_mm: float, left_mm: float) -> Point:
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return (start[0] + ahead_mm * c - left_mm * s, start[1] + ahead_mm * s + left_mm * c)
