"""Make a board compact: every part is turned, one after the other, to where the board gets better.

What a board costs is counted in sheets of paper. Combs of ends at small angles come out of it by themselves,
and so do side ways that turn along the trunk beyond the outermost comb: parallel lines never cross, and a
comb is as deep as its longest end times the sine of its angle. Steps are counted, never time.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from loomwright.building.board_lie import Lie
from loomwright.building.board_plane import LEAST_APART_DEG, STEP_DEG
from loomwright.building.shape import Floats

DEEP_MM: Final = 900.0  # a bench 1.0 m deep less a border, common practice
DEEP: Final = 0.05  # sheets for each mm deeper
DEPTH: Final = 0.02  # ... for each mm of depth
TROUBLE: Final = 20.0  # sheets that a pair costs that comes too near; all costs are ours
BACKWARD: Final = 0.35  # ... that a turn of more than a right angle costs
CROWDED: Final = 0.15  # ... two lines at less than 30 degrees
KINK: Final = 0.15  # ... what reaches furthest turning instead of going straight on
TRUNK_KINK: Final = 1.5  # ... the trunk doing so
AGAINST: Final = 1.0  # ... drawn right where up was noted, or left where down was
WRONG_LEAN: Final = 0.1  # ... drawn forward where back was noted
NO_ROOM: Final = 150.0  # ... lying on a neighbour; less than a crossing
SPREAD: Final = 2e-6  # sheets for each mm2: length of a piece times its distance from the trunk's line
OUTSIDE: Final = 0.03  # sheets for each mm that an end of a piece sticks out of the strip


@dataclass(frozen=True, slots=True)
class Aim:
    """What the board is laid out for.

    Attributes:
        low, high: the strip everything should lie in [mm]
        kept: parts that are not turned
    """

    low: float = -1e6
    high: float = 1e6
    kept: frozenset[int] = frozenset()


def tidy(lie: Lie, aim: Aim, sweeps: int) -> None:
    """Turn every part to where the board gets better, over and over.

    Args:
        lie: turned in place
        aim: what for
        sweeps: at most so many times through all parts, 1 or more
    """
    count = len(lie.frame.parts)
    seen = [-1] * count
    for sweep in range(sweeps):
        before = len(lie.moved)
        for n in range(count - 1, -1, -1) if sweep % 2 == 0 else range(count):
            if n in aim.kept or (seen[n] >= 0 and not _touched(lie, n, seen[n])):
                continue
            seen[n] = len(lie.moved)
            better(lie, aim, n)
        if len(lie.moved) == before:
            break


def _touched(lie: Lie, part: int, since: int) -> bool:
    """Return True if something near a part was turned since then."""
    x, y = lie.pivot[part].tolist()
    reach = lie.radius(part) + lie.frame.widest_mm
    return any((x - a) ** 2 + (y - b) ** 2 < (reach + r) ** 2 for a, b, r in lie.moved[since:])


def cost(lie: Lie, aim: Aim) -> float:
    """Return what a board costs [sheets]."""
    ends = lie.rows[None, :, 1::2]
    depth = np.array([ends.max() - ends.min()])
    total = float(np.count_nonzero(lie.count)) + float(_extent(aim, ends, lie.frame.size, depth)[0])
    for n, some in enumerate(lie.frame.beside):
        key = (n, lie.deg[n], *(lie.deg[m] for m in some))
        if key not in lie.habits:
            deg = np.array([lie.deg[n]])
            lie.habits[key] = float(_habit(lie, n, deg, lie.room(n, deg))[0])
        total += lie.habits[key]
    return total + TROUBLE * float(lie.troubles().sum()) / 2


def better(lie: Lie, aim: Aim, part: int) -> None:
    """Turn one part to its best direction, with all that hangs on it or leaving that as it faces."""
    now, some = lie.deg[part], lie.frame.choices[part]
    some = some[np.abs(some - now) > 1e-6]
    room = lie.room(part, np.concatenate(([now], some)))
    free = room >= LEAST_APART_DEG
    free[0] = True
    deg, room = np.concatenate(([now], some))[free], room[free]
    if len(deg) < 2:
        return
    layers, habits = lie.turned(part, deg - now), _habit(lie, part, deg, room)
    bent, bent_room = (
        _may_shift(lie, part, deg[1:], room[1:]) if lie.frame.bends[part] else (deg[:0], room[:0])
    )
    if len(bent):
        layers = np.concatenate((layers, lie.shifted(part, bent - now)))
        more = _habit(lie, part, bent, bent_room) + _bent_habits(lie, part, bent - now)
        habits = np.concatenate((habits, more))
    costs = habits + _extents(lie, aim, part, layers)
    costs[:1] += TROUBLE * lie.trouble(part, layers[:1])
    open_ = np.nonzero(costs < costs[0] - 1e-6)[0]
    if not len(open_):
        return
    costs[open_] += TROUBLE * lie.trouble(part, layers[open_])
    best = int(open_[np.argmin(costs[open_])])
    if costs[best] >= costs[0] - 1e-6:
        return
    if best < len(deg):
        lie.turn(part, float(deg[best]))
    else:
        lie.shift(part, float(bent[best - len(deg)]))


def _may_shift(lie: Lie, part: int, deg: Floats, room: Floats) -> tuple[Floats, Floats]:
    """Return the turns, and their room, after which all that hangs on a part can keep its direction."""
    ok = np.ones(len(deg), dtype=bool)
    by = deg - lie.deg[part]
    for n in lie.frame.hanging[part]:
        turn = lie.deg[n] - by
        ok &= (np.abs(turn[:, None] - lie.frame.choices[n]) < 1e-6).any(axis=1)
        low, high = lie.frame.fan[n]
        ok &= 180.0 - np.maximum(np.abs(turn + low), np.abs(turn + high)) >= LEAST_APART_DEG
    return deg[ok], room[ok]


def _bent_habits(lie: Lie, part: int, by: Floats) -> Floats:
    """Return how the cost of what hangs on a part changes when it keeps its direction [sheets]."""
    total = np.zeros(len(by))
    for n in lie.frame.hanging[part]:
        one = np.concatenate(([lie.deg[n]], lie.deg[n] - by))
        found = _turn_habit(lie, n, one)
        total += found[1:] - found[0]
    return total


def _extents(lie: Lie, aim: Aim, part: int, layers: Floats) -> Floats:
    """Return what sheets, depth and spread of the board cost [sheets], for every way of laying a part."""
    first, last = lie.frame.pieces_of(part)
    here = ~lie.lifted
    here[first:last] = False
    others = lie.rows[here, 1::2]
    ends = layers[..., 1::2]
    low, high = ends.min(axis=(1, 2)), ends.max(axis=(1, 2))
    if len(others):
        low, high = np.minimum(low, others.min()), np.maximum(high, others.max())
    return lie.sheets(part, layers) + _extent(aim, ends, lie.frame.size[first:last], high - low)


def _extent(aim: Aim, ends: Floats, size: Floats, depth: Floats) -> Floats:
    spread = np.abs(ends.sum(axis=-1)) @ size / 2
    out = np.maximum(0.0, ends - aim.high) + np.maximum(0.0, aim.low - ends)
    over = DEEP * np.maximum(0.0, depth - DEEP_MM)
    return np.asarray(SPREAD * spread + DEPTH * depth + over + OUTSIDE * out.sum(axis=(1, 2)))


def _habit(lie: Lie, part: int, deg: Floats, room: Floats) -> Floats:
    """Return what it costs that a part leaves in an unusual direction [sheets], for every turn."""
    found = _turn_habit(lie, part, deg) + CROWDED * (room < 2 * STEP_DEG - 1.0)
    return np.asarray(found + NO_ROOM * (room < LEAST_APART_DEG))


def _turn_habit(lie: Lie, part: int, deg: Floats) -> Floats:
    one = lie.frame.parts[part]
    turn = deg - one.heading
    found = BACKWARD * (np.abs(turn) > 90.0)
    if one.onward:
        found = found + (TRUNK_KINK if part in lie.frame.trunk else KINK) * (np.abs(turn) > 1e-6)
    leaving = lie.task.leaving[one.name]
    if leaving.leans_to:
        found = found + AGAINST * (turn * leaving.leans_to < 0.0)
    if leaving.lean == "back":
        found = found + WRONG_LEAN * (np.abs(turn) <= 90.0)
    return np.asarray(found)
