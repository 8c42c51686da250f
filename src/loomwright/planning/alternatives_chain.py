"""Many changes in a row: fewer branch points one by one, one in all, one at every device."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import islice
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
from loomwright.planning.known import Work
from loomwright.planning.moves import Move, moves
from loomwright.planning.price import Price, price

LOOK: Final = 3
"""How many of the promising changes of each tree are worked out."""
SMALL: Final = 8
"""Branch points up to which more trees of each number are gone on from; ours."""
MOST_KEPT: Final = 4
LEAST_KEPT: Final = 2
"""Trees of each number of branch points that are gone on from, in a small job and in a large one; ours."""
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
    """Return plans with ever fewer branch points: the cheapest found for each number.

    From the present tree on, the merges that look cheapest are worked out, and of the sound trees with one
    branch point less the best few are gone on from, so that a merge that only pays with the next one is met.
    A way down, not proved the best; the corridor map's planner gives bounds.

    Args:
        work: works the job out with edits made
        look: how many of each tree's promising merges to work out
        progress: told how many branch points of the present ones are gone
    """
    now = work(())
    known = faults(now)
    points = sum(len(tree.branch_points) for tree in now.trees)
    found: list[Alternative] = []
    kept = [Alternative((), (), 0.0, price(now.worked))]
    while kept:
        every: dict[frozenset[str], Alternative] = {}
        for base in kept:
            for one in _merges(work, known, base, look):
                every.setdefault(frozenset(move.name for move in one.moves), one)
        kept = sorted(every.values(), key=lambda one: (_money(one.price), one.name))[: wide(points)]
        found += kept[:1]
        if progress is not None and kept:
            progress(len(found), points)
    return tuple(found)


def wide(points: int) -> int:
    """Return how many trees of each number of branch points are gone on from, with so many at the start."""
    return MOST_KEPT if points <= SMALL else LEAST_KEPT


def _merges(work: Work, known: tuple[str, ...], base: Alternative, look: int) -> list[Alternative]:
    """Return the sound trees with fewer branch points that one merge leads to, of the promising ones; where
    none of them is sound, the first other that is."""
    assert base.price is not None
    now = work(base.edits)
    quick = Quick(now.worked, base.price)
    count = base.price.branch_points
    rough = sorted(
        (quick.money(one.loom, one.step), one.name, one) for one in moves(now) if one.kind == "merge"
    )
    tried = (worked_out(work, known, _after(base, one, about)) for about, _, one in rough[:look])
    sound = [one for one in tried if _less(one, count)]
    if not sound:
        more = (worked_out(work, known, _after(base, one, about)) for about, _, one in rough[look:])
        sound = list(islice((one for one in more if _less(one, count)), 1))
    return sound


def _less(one: Alternative, count: int) -> bool:
    return one.sound and one.price is not None and one.price.branch_points < count


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
