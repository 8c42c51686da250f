"""Many changes in a row: fewer branch points one by one, one in all, one at every device."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.edits import Edit
from loomwright.jobfile.read import ReadJob
from loomwright.jobfile.tried import tried
from loomwright.mockup.trees import trees
from loomwright.model.tree import Tree
from loomwright.planning.alternatives import (
    Alternative,
    Progress,
    faults,
    worked_out,
)
from loomwright.planning.alternatives_quick import Quick
from loomwright.planning.known import Tried, Work
from loomwright.planning.moves import Move, moves
from loomwright.planning.price import Price, price

LOOK: Final = 3
"""How many of the promising changes of each step are worked out."""
MOST_STEPS: Final = 400  # no loom has more branch points and co-runs; a slip of the program beyond


@dataclass(frozen=True, slots=True)
class Drawn:
    """A job as edits would make it, only its trees drawn."""

    read: ReadJob
    trees: tuple[Tree, ...]


def drawn(read: ReadJob, edits: Sequence[Edit]) -> Drawn:
    """Return a job as edits would make it, only its trees drawn; pure.

    Args:
        read: the job as it is
        edits: what to make of it
    Raises:
        RefusedEdit: an edit does not fit the job file.
    """
    made = tried(read, edits)
    return Drawn(made, trees(made.job)[0])


def fewer(work: Work, look: int = LOOK, progress: Progress | None = None) -> tuple[Alternative, ...]:
    """Return plans with ever fewer branch points, each the best found from the one before.

    From the present tree on, of the merges that look cheapest the best sound one is taken, until none is
    left. A good way down, not proved the best; the corridor map's planner gives bounds.

    Args:
        work: works the job out with edits made
        look: how many of each step's promising merges to work out
        progress: told how many branch points of the present ones are gone
    """
    now = work(())
    known = faults(now)
    points = sum(len(tree.branch_points) for tree in now.trees)
    found: list[Alternative] = []
    base = Alternative((), (), 0.0, price(now.worked))
    while True:
        step = _best_merge(work, known, now, base, look)
        if step is None:
            return tuple(found)
        found.append(step)
        base, now = step, work(step.edits)
        if progress is not None:
            progress(len(found), points)


def _best_merge(
    work: Work, known: tuple[str, ...], now: Tried, base: Alternative, look: int
) -> Alternative | None:
    assert base.price is not None
    quick = Quick(now.worked, base.price)
    count = base.price.branch_points
    rough = sorted(
        (quick.money(one.loom, one.step), one.name, one) for one in moves(now) if one.kind == "merge"
    )
    tried = [worked_out(work, known, _after(base, one, about)) for about, _, one in rough[:look]]
    sound = [one for one in tried if one.sound and one.price is not None and one.price.branch_points < count]
    if not sound:
        more = (worked_out(work, known, _after(base, one, about)) for about, _, one in rough[look:])
        sound = [one for one in more if one.sound and one.price is not None][:1]
        sound = [one for one in sound if one.price is not None and one.price.branch_points < count]
    return min(sound, key=lambda one: (_money(one.price), one.name), default=None)


def _money(one: Price | None) -> float:
    return float("inf") if one is None else one.money


def _after(base: Alternative, move: Move, about: float = 0.0) -> Alternative:
    edits = (*base.edits, *move.step.edits)
    return Alternative((*base.moves, move), edits, base.about + about)


def one_branch_point(work: Work, read: ReadJob) -> Alternative:
    """Return the tree of every loom with all its branch points made one: at its datum, or next to it.

    A comparison, not a proposal: it is priced with whatever faults it has.

    Args:
        work: works the job out with edits made
        read: the job as it is
    """

    def inmost(now: Drawn) -> Move | None:
        last = {point: at for tree in now.trees for at, point in enumerate(tree.branch_points)}
        inward = [
            one
            for one in moves(now)
            if one.kind == "merge" and one.name.endswith(f" into {_before(now, one.loom, one.point)}")
        ]
        return max(inward, key=lambda one: (last[one.point], one.name), default=None)

    return _far(work, read, inmost)


def branch_point_at_every_device(work: Work, read: ReadJob) -> Alternative:
    """Return the tree with as many branch points as it takes: no co-runs, one device each where it can.

    A comparison, not a proposal: it is priced with whatever faults it has.

    Args:
        work: works the job out with edits made
        read: the job as it is
    """

    def apart(now: Drawn) -> Move | None:
        ready = [one for one in moves(now) if one.kind == "branch" and " and those beyond " not in one.name]
        if ready:
            return ready[0]
        for one in moves(now):
            if one.kind == "split" and _breakouts(now, one) > 1:
                return one
        return None

    return _far(work, read, apart)


def _breakouts(now: Drawn, move: Move) -> int:
    """How many ends leave the point a split takes one away from; 0 where it takes away what goes on."""
    tree = next(one for one in now.trees if one.loom == move.loom)
    point, _, end = move.name.removeprefix(f"split {move.loom}/").partition(" for ")
    own = [one.outer for one in tree.out_of.get(point, ()) if one.outer not in tree.out_of]
    return len(own) if end in own else 0


def _before(now: Drawn, loom: str, point: str) -> str:
    tree = next(one for one in now.trees if one.loom == loom)
    return tree.into[point].inner if point in tree.into else ""


def _far(work: Work, read: ReadJob, choose: Callable[[Drawn], Move | None]) -> Alternative:
    """Take one change after the other as long as there is one, then price what came of it."""
    plan = Alternative((), (), 0.0)
    for _ in range(MOST_STEPS):
        move = choose(drawn(read, plan.edits))
        if move is None:
            break
        plan = _after(plan, move)
    return worked_out(work, faults(work(())), plan)
