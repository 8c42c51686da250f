"""Lay a tree flat in sectors: the layout that always works.

Every part gets a sector of less than a half turn with its apex at the point it leaves; a sector moved
outward along a direction inside it stays inside it, and sectors with one apex share nothing but the apex.
So straight lines of any length never cross. Angles are whatever they have to be, and co-runs are drawn as
exits of their own.
Source: plane geometry (a convex cone is closed under addition); exact.
"""

from typing import Final

from loomwright.building.board_task import Task, Turn
from loomwright.model.tree import Section

HALF_DEG: Final = 85.0


def turns(task: Task) -> dict[str, Turn]:
    """Return a turn for every section so that nothing crosses, each on the hand it has on the car."""
    tree = task.tree
    leaves: dict[str, int] = {}
    for s in reversed(tree.sections):
        leaves[s.name] = sum(leaves[x.name] for x in tree.out_of.get(s.outer, ())) or 1
    found: dict[str, Turn] = {}
    heading: dict[str, float] = {}
    sector: dict[str, tuple[float, float]] = {}
    out = tree.out_of.get(tree.datum, ())
    for base, some in (
        (0.0, [s for s in out if s.name not in task.to_left]),
        (180.0, [s for s in out if s.name in task.to_left]),
    ):
        _share(task, leaves, some, (base - HALF_DEG, base, base + HALF_DEG), heading, sector)
    for s in tree.sections:
        before = tree.into.get(s.inner)
        found[s.name] = Turn(heading[s.name] - (heading[before.name] if before else 0.0))
        low, high = sector[s.name]
        middle = (low, heading[s.name], high)
        _share(task, leaves, list(tree.out_of.get(s.outer, ())), middle, heading, sector)
    return found


def _share(
    task: Task,
    leaves: dict[str, int],
    some: list[Section],
    sector: tuple[float, float, float],
    heading: dict[str, float],
    found: dict[str, tuple[float, float]],
) -> None:
    """Share the sector (low, straight on, high) among the sections that leave its apex."""
    if not some:
        return
    low, ahead, high = sector
    onward = max(some, key=lambda s: (task.depth[s.name], s.name))
    sides: dict[int, list[Section]] = {1: [], -1: []}
    for s in some:
        if s is not onward:
            count = {side: sum(leaves[x.name] for x in sides[side]) for side in sides}
            leaving = task.leaving[s.name]
            sides[leaving.side or leaving.leans_to or (1 if count[1] <= count[-1] else -1)].append(s)
    middle = []
    for side, edge in ((-1, low), (1, high)):
        own = leaves[onward.name] / 2
        per_leaf = (edge - ahead) / (own + sum(leaves[x.name] for x in sides[side]))
        at = ahead + per_leaf * own
        middle.append(at)
        for s in sides[side]:
            to = at + per_leaf * leaves[s.name]
            found[s.name] = (min(at, to), max(at, to))
            heading[s.name] = (at + to) / 2
            at = to
    found[onward.name] = (middle[0], middle[1])
    heading[onward.name] = ahead
