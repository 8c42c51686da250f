"""Alternatives to a loom's tree, each priced by working the changed job out, and ranked."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.edits import Edit
from loomwright.errors import RefusedEdit
from loomwright.findings import Severity
from loomwright.jobfile.keys import MAP_EXITS
from loomwright.model.tree import Tree
from loomwright.planning.alternatives_quick import Quick
from loomwright.planning.known import Tried, Work
from loomwright.planning.moves import Move, moves
from loomwright.planning.price import Price, price

MOST_EXITS: Final = MAP_EXITS
"""Sections that can meet in one branch point and still be closed."""
EXACT: Final = 20
"""How many of the promising moves are priced exactly."""


Progress = Callable[[int, int], None]
"""Told how many of how many are done."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """A tree that could be built instead.

    Attributes:
        moves: what leads there from the present tree, in order
        edits: the same for the job file, in order
        about: quick figure of the difference in money; above 0 = dearer
        price: exact, as the pack of that tree would list it; None = not worked out yet
        faults: faults and crowded points the present tree has not, in words
        lost: its edits don't fit the job file
    """

    moves: tuple[Move, ...]
    edits: tuple[Edit, ...]
    about: float
    price: Price | None = None
    faults: tuple[str, ...] = ()
    lost: bool = False

    @property
    def name(self) -> str:
        """What --apply takes."""
        return "; ".join(one.name for one in self.moves)

    @property
    def words(self) -> str:
        """What it does."""
        return "; ".join(one.step.words for one in self.moves)

    @property
    def again(self) -> tuple[str, ...]:
        """Sections to measure again, loom/section."""
        return tuple(dict.fromkeys(f"{one.loom}/{name}" for one in self.moves for name in one.step.again))

    @property
    def sound(self) -> bool:
        """Whether it is worked out and brings no fault of its own."""
        return self.price is not None and not self.faults and not self.lost


@dataclass(frozen=True, slots=True)
class Alternatives:
    """The present tree and what could be built instead.

    Attributes:
        present: price of the tree as it is
        found: sound and exactly priced ones first by money, then those with faults, then quick figures
    """

    present: Price
    found: tuple[Alternative, ...]

    @property
    def exact(self) -> tuple[Alternative, ...]:
        """Those that are worked out."""
        return tuple(one for one in self.found if one.price is not None)

    def named(self, name: str) -> Alternative:
        """Return one by its name.

        Raises:
            RefusedEdit: there is none of that name.
        """
        for one in self.found:
            if one.name == name:
                return one
        raise RefusedEdit(f'There is no alternative "{name}" any more. Look at the plan as it is now.')


def alternatives(work: Work, exact: int = EXACT, progress: Progress | None = None) -> Alternatives:
    """Return every single change of the tree with its price, the best first.

    Every one has a quick figure; the `exact` most promising by it are worked out, and with them for each
    branch point the cheapest way to do without it.

    Args:
        work: works the job out with edits made
        exact: how many of the promising ones to work out, 0 or more
        progress: told how far it is
    """
    present = work(())
    before = price(present.worked)
    quick = Quick(present.worked, before)
    rough = [Alternative((one,), one.step.edits, quick.money(one.loom, one.step)) for one in moves(present)]
    rough.sort(key=lambda one: (one.about, one.name))
    chosen = {one.name for one in (*rough[:exact], *_without_each(rough))}
    known = faults(present)
    found = []
    for one in rough:
        if one.name in chosen:
            found.append(worked_out(work, known, one))
            if progress is not None:
                progress(len(found), len(chosen))
    found += [one for one in rough if one.name not in chosen]
    return Alternatives(before, tuple(sorted(found, key=_rank)))


def _without_each(rough: Iterable[Alternative]) -> list[Alternative]:
    """For each branch point the merge that looks cheapest."""
    found: dict[tuple[str, str], Alternative] = {}
    for one in rough:
        move = one.moves[0]
        if move.kind == "merge":
            found.setdefault((move.loom, move.point), one)
    return list(found.values())


def worked_out(work: Work, known: Iterable[str], one: Alternative) -> Alternative:
    """Return an alternative with its exact price.

    Args:
        work: works the job out with edits made
        known: faults of the present tree
        one: the alternative
    """
    try:
        tried = work(one.edits)
    except RefusedEdit:
        return Alternative(one.moves, one.edits, one.about, lost=True)
    fresh = sorted(set(faults(tried)) - set(known))
    return Alternative(one.moves, one.edits, one.about, price(tried.worked), tuple(fresh))


def crowded(tree: Tree) -> Iterator[str]:
    """Yield the points of a tree where more sections meet than `MOST_EXITS`, in words."""
    for point in tree.branch_points:
        meet = len(tree.out_of[point]) + (point in tree.into)
        if meet > MOST_EXITS.value:
            yield f"crowded {point}: {meet} sections meet, at most {MOST_EXITS.value:.0f}"


def faults(tried: Tried) -> tuple[str, ...]:
    """Return the unaccepted faults as code and place, and the crowded points, sorted."""
    found = {
        f"{f.code} {f.place.words}" for f in tried.findings if f.severity is Severity.FAULT and not f.accepted
    }
    for tree in tried.worked.routed.trees:
        found.update(crowded(tree))
    return tuple(sorted(found))


def _rank(one: Alternative) -> tuple[int, float, str]:
    if one.price is None:
        return (2 + one.lost, one.about, one.name)
    return (int(not one.sound), one.price.money, one.name)


def chosen(found: Alternatives, more_a_branch_point: float = 0.0) -> Alternative | None:
    """Return the best sound alternative; None = the present tree is.

    With a higher price of a branch point the choice never has more of them: of two trees the one with fewer
    gains as the price rises, and of equals the one with fewer is taken.

    Args:
        found: alternatives with their prices
        more_a_branch_point: added to the price of each branch point, in the shop's own money
    """

    def cost(one: Price) -> tuple[float, int]:
        return one.money + more_a_branch_point * one.branch_points, one.branch_points

    best: tuple[tuple[float, int], Alternative | None] = (cost(found.present), None)
    for one in found.found:
        if one.sound and one.price is not None and cost(one.price) < best[0]:
            best = (cost(one.price), one)
    return best[1]


def doing_without(found: Alternatives) -> tuple[tuple[str, str, Alternative], ...]:
    """Return for each branch point the cheapest exact way to do without it: loom, point, alternative.

    A way without new faults comes before one with them. In the order of loom and point.
    """
    best: dict[tuple[str, str], Alternative] = {}
    for one in found.exact:
        move = one.moves[0]
        if move.kind == "merge" and len(one.moves) == 1:
            key = (move.loom, move.point)
            if key not in best or _rank(one) < _rank(best[key]):
                best[key] = one
    return tuple((loom, point, best[loom, point]) for loom, point in sorted(best))
