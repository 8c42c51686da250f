"""Lay a loom's tree flat: an angle for every section, nothing crossing, the board fit for a bench.

The trunk lies straight. A usual layout is tidied and then pressed to be more compact; kinks only at branch
points and partings, common practice. Where co-runs beside each other leave no room, each is drawn as an exit
of its own, from a layout in sectors, which never crosses.
"""

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from loomwright.building import board_sectors
from loomwright.building.board_lie import Lie
from loomwright.building.board_lines import Traced, count_crossings, trace
from loomwright.building.board_mend import mend
from loomwright.building.board_plane import BOARD, MOST_DEG, Frame, frame
from loomwright.building.board_search import Aim, better, cost, tidy
from loomwright.building.board_task import Task, Turn

CLEAR_MM: Final = 26.0  # between centre lines, so that hands and labels find room; ours
USUAL: Final = (90.0, 30.0, 15.0)
"""Angle of side ways that go on, of the first end at a point, and of each further end [degrees]; ours."""
SWEEPS: Final = 5
SQUEEZES: Final = 1  # pressed more often it gets a tenth smaller and takes three times as long; ours
SHARE: Final = 0.8  # of its depth that a board is squeezed to; ours
ROUNDS: Final = 8
MANY: Final = 250  # a loom with more sections than this is tidied once and not pressed; ours
SEED: Final = 1

Laid = tuple[dict[str, Turn], Traced]


def lay_flat(task: Task) -> Laid:
    """Return turns and lines without a crossing.

    Angles kept from before stand if they can; only what is new finds its place among them.
    """
    plain = replace(task, side_by_side=False)
    if task.kept:
        for all_kept, one in ((True, task), (True, plain), (False, task), (False, plain)):
            if found := _kept(one, all_kept):
                return found
    fresh = replace(task, kept={})
    if found := _best(fresh, frame(fresh, CLEAR_MM)):
        return found
    return _in_sectors(replace(plain, kept={}))


def _laid(lie: Lie) -> Laid | None:
    """Return a layout's turns and lines, None where something crosses."""
    traced = trace(lie.task.tree, lie.turns)
    return None if count_crossings(list(traced.line.values())) else (lie.turns, traced)


def _best(task: Task, some: Frame) -> Laid | None:
    aim = Aim(kept=some.trunk)
    many = len(some.parts) > MANY
    lie = Lie(task, some, usual_turns(task, some, *USUAL))
    tidy(lie, aim, 1 if many else SWEEPS)
    if not many:
        squeeze(lie, aim, SQUEEZES)
    return _laid(lie)


def squeeze(lie: Lie, aim: Aim, times: int) -> float:
    """Make a layout more compact in place: what sticks out is pressed inward; return what it costs then."""
    chance = random.Random(SEED + times)
    lie.anchor()
    best, kept = cost(lie, aim), lie.state()
    for _ in range(times):
        _, low, _, high = lie.box
        middle, half = (low + high) / 2, (high - low) * SHARE / 2
        pressed = replace(aim, low=middle - half, high=middle + half)
        tidy(lie, pressed, 3)
        mend(lie, pressed, chance, ROUNDS)
        lie.anchor()
        if (now := cost(lie, aim)) < best:
            best, kept = now, lie.state()
    lie.restore(kept)
    lie.anchor()
    return best


def usual_turns(task: Task, some: Frame, way_deg: float, end_deg: float, step_deg: float) -> list[float]:
    """Return a usual turn for every part.

    Side ways leave at one angle and then turn along the trunk; ends fan out, the shortest furthest.

    Args:
        way_deg: angle of side ways that go on, 15 to 90 [degrees]
        end_deg: angle of the first end at a point, 15 to 90 [degrees]
        step_deg: added for each further end [degrees]
    """
    hung: dict[tuple[str, float], dict[int, int]] = {}
    deg: list[float] = []
    facing: list[float] = []
    axis: list[float] = []
    for n, part in enumerate(some.parts):
        up, line = (0.0, part.heading) if part.on == BOARD else (facing[part.on], axis[part.on])
        if part.stiff:
            turn = 0.0
        elif part.corridor:
            turn = end_deg if part.corridor.offset_mm > 0 else -end_deg
        elif part.onward:
            turn = part.heading if n in some.trunk else _nearest(some, n, line - up)
        else:
            sides = hung.setdefault((part.point, part.heading), {1: 0, -1: 0})
            leaving = task.leaving[part.name]
            side = leaving.side or leaving.leans_to or (1 if sides[-1] >= sides[1] else -1)
            goes_on = part.on in some.trunk and any(some.parts[k].point for k in some.hanging[n])
            turn = part.heading + side * (
                way_deg if goes_on else min(MOST_DEG, end_deg + step_deg * sides[side])
            )
            sides[side] += not goes_on
        deg.append(turn)
        facing.append(up + turn)
        axis.append(line)
    return deg


def _nearest(some: Frame, part: int, deg: float) -> float:
    """The turn a part may have that is nearest to a wanted one."""
    off = np.abs((some.choices[part] - deg + 180.0) % 360.0 - 180.0)
    return float(some.choices[part][int(np.argmin(off))])


def _kept(task: Task, all_kept: bool) -> Laid | None:
    """Return the layout with the angles kept from before, None where they can't stand.

    Args:
        all_kept: every angle has to stand; else those of the wrong hand are given up
    """
    some = frame(task, CLEAR_MM)
    turns = dict(_kept_turns(task, some))
    lost = any(part.name in task.kept and n not in turns for n, part in enumerate(some.parts))
    if not turns or (lost and all_kept):
        return None
    deg = [turns.get(n, usual) for n, usual in enumerate(usual_turns(task, some, *USUAL))]
    lie = Lie(task, some, deg)
    new = [n for n in range(len(deg)) if n not in turns]
    for away in (True, False):
        for n in new:
            lie.lift_pieces(some.first[n], some.first[n + 1], away)
            lie.away[n] = away
            if not away:
                better(lie, Aim(), n)
    tidy(lie, Aim(kept=frozenset(turns)), SWEEPS)
    return _laid(lie)


def _kept_turns(task: Task, some: Frame) -> Iterator[tuple[int, float]]:
    """Yield number and turn of every part that had one before and may still have it."""
    for n, part in enumerate(some.parts):
        into = task.tree.into.get(part.point)
        base = part.corridor.beside if part.corridor else into.name if into else None
        turn = task.kept_turn(part.name, base)
        if turn is None:
            continue
        only = (1 if part.corridor.offset_mm > 0 else -1) if part.corridor else task.leaving[part.name].side
        if part.onward or part.stiff or not only or (turn - part.heading) * only > 0:
            yield n, turn


def _in_sectors(task: Task) -> Laid:
    """Return the layout in sectors, made compact as far as nothing crosses."""
    turns = board_sectors.turns(task)
    some = frame(task, CLEAR_MM)
    lie = Lie(task, some, [turns[part.name].deg for part in some.parts])
    tidy(lie, Aim(), 1 if len(lie.frame.parts) > MANY else SWEEPS)
    return _laid(lie) or (turns, trace(task.tree, turns))
