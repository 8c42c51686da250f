"""Angles of the board that the builder fixed in the job file: they stand.

What hangs on a section that is turned is turned with it, everything else stays as it was found. Where that
lies across something, it is drawn so and told as a crossing; the builder turns what is in the way.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from loomwright.building.board_layout import Laid
from loomwright.building.board_lines import trace
from loomwright.building.board_task import Task, Turn
from loomwright.model.job import Job
from loomwright.model.tree import Tree

FLAT: Final = 0.02  # sine of an angle to what leads there, below which a section has no hand; ours


def fixed_angles(job: Job, tree: Tree) -> dict[str, float]:
    """Return the angles the builder fixed, by section name [degrees]; other looms' sections left out."""
    angles = (one for one in job.board_angles if one.loom == tree.loom and one.section in tree.by_name)
    return {one.section: one.angle_deg for one in angles}


def with_fixed(task: Task, laid: Laid, fixed: Mapping[str, float]) -> Laid:
    """Return a layout with some sections turned to the angles fixed for them.

    Args:
        task: what was laid flat
        laid: how it lies without them
        fixed: angles by section name [degrees]
    """
    return _turned(task.tree, laid[0], fixed) if fixed else laid


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
