"""Angles of the board that the builder fixed in the job file: they stand.

What hangs on a section that is turned is turned with it. Where that lies across something or too near, the
other sections give way: what is fixed stays where it lies, and so does what leads to it. Where they can't, it
is drawn so and told as a crossing; the builder turns what is in the way.
"""

import math
import random
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from loomwright.building.board_layout import CLEAR_MM, ROUNDS, SEED, SWEEPS, Laid
from loomwright.building.board_lie import Lie
from loomwright.building.board_lines import count_crossings, trace
from loomwright.building.board_mend import mend
from loomwright.building.board_plane import frame
from loomwright.building.board_search import Aim, tidy
from loomwright.building.board_task import Task, Turn
from loomwright.model.job import Job
from loomwright.model.tree import Tree

EASE_MM: Final = 1.0  # of getting in each other's way that nobody notices; ours
FLAT: Final = 0.02  # sine of an angle to what leads there, below which a section has no hand; ours


def fixed_angles(job: Job, tree: Tree) -> dict[str, float]:
    """Return the angles the builder fixed, by section name [degrees]; other looms' sections left out."""
    angles = (one for one in job.board_angles if one.loom == tree.loom and one.section in tree.by_name)
    return {one.section: one.angle_deg for one in angles}


def with_fixed(task: Task, laid: Laid, fixed: Mapping[str, float]) -> Laid:
    """Return a layout with some sections turned to the angles fixed for them, the others giving way.

    Args:
        task: what was laid flat
        laid: how it lies without them
        fixed: angles by section name [degrees]
    """
    if not fixed:
        return laid
    turned = _turned(task.tree, laid[0], fixed)
    before = _lie(task, laid)
    lie = _lie(task, turned)
    if not _crossings(turned) and lie.troubles().sum() <= before.troubles().sum() + EASE_MM:
        return turned
    return _given_way(task, turned, lie, fixed)


def _lie(task: Task, laid: Laid) -> Lie:
    beside = any(turn.corridor is not None for turn in laid[0].values())
    task = task if beside else replace(task, side_by_side=False)
    some = frame(task, CLEAR_MM)
    return Lie(task, some, [laid[0][part.name].deg for part in some.parts])


def _crossings(laid: Laid) -> int:
    return count_crossings(list(laid[1].line.values()))


def _given_way(task: Task, turned: Laid, lie: Lie, fixed: Mapping[str, float]) -> Laid:
    """Return the layout with the fewest crossings of those where what is not fixed was laid anew."""
    some = lie.frame
    held = {n for n, part in enumerate(some.parts) if part.name in fixed}
    held |= {above for n in held for above in some.above(n)}
    aim, chance = Aim(kept=frozenset(held)), random.Random(SEED)
    found = turned
    for taken_off in (False, True, False):
        if taken_off:
            mend(lie, aim, chance, ROUNDS)
        else:
            tidy(lie, aim, SWEEPS)
        now = lie.turns, trace(task.tree, lie.turns)
        if _crossings(now) <= _crossings(found):
            found = now
        if not _crossings(found):
            break
    return found


def _turned(tree: Tree, turns: Mapping[str, Turn], fixed: Mapping[str, float]) -> Laid:
    angle: dict[str, float] = {}
    found: dict[str, Turn] = {}

    def settle(name: str) -> None:
        if name in found:
            return
        s, turn = tree.by_name[name], turns[name]
        into = tree.into.get(s.inner)
        base = angle[into.name] if into else 0.0
        if turn.corridor is not None:
            settle(turn.corridor.beside)
            base += found[turn.corridor.beside].deg
        deg = fixed[name] - base if name in fixed else turn.deg
        found[name] = replace(turn, deg=deg - 360.0 * round(deg / 360.0))
        angle[name] = (base + deg) % 360.0

    for s in tree.sections:
        settle(s.name)
    return found, trace(tree, found)


def against_hand(task: Task, laid: Laid, fixed: Mapping[str, float]) -> tuple[str, ...]:
    """Return the fixed sections that lie on the other hand than they leave on the car, in tree order.

    Args:
        task: for the hands noted
        laid: how everything lies
        fixed: angles by section name [degrees]
    """
    found = []
    for s in task.tree.sections:
        side = task.leaving[s.name].side
        if s.name not in fixed or not side:
            continue
        into = task.tree.into.get(s.inner)
        ahead = laid[1].angle[into.name] if into else 180.0 if s.name in task.to_left else 0.0
        sine = math.sin(math.radians(laid[1].angle[s.name] - ahead))
        if sine * side < -FLAT:
            found.append(s.name)
    return tuple(found)
