"""Every single change of the tree worth a look: merge, split, shift, branch to co-run and back."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from string import ascii_lowercase
from typing import Final, ParamSpec

from loomwright.errors import RefusedEdit
from loomwright.model.tree import Section, Tree
from loomwright.planning import moves_beside, moves_steps
from loomwright.planning.known import Known
from loomwright.planning.moves_change import LEAST_MM, Step, longest, until_mm
from loomwright.routing.routed import section_key
from loomwright.sources import OURS, Figure

P = ParamSpec("P")
SHIFT_MM: Final = Figure(50.0, OURS)
"""How far a branch point is moved on trial [mm]."""
SPLIT_MM: Final = Figure(60.0, OURS)
"""How far from the old branch point a new one is set on trial, where no co-run says a better place [mm]."""
SPLIT_FROM: Final = 4  # sections that meet at a point before it is worth splitting; ours


@dataclass(frozen=True, slots=True)
class Move:
    """One change of a loom's tree.

    Attributes:
        name: short and the same for the same change, "merge engine/B4 into B3"; --apply takes it
        kind: "merge", "split", "shift", "co-run" or "branch"
        loom: the loom it is in
        point: branch point it goes away from, moves, or sets ("" = none)
        step: edits, words, sections to measure again
    """

    name: str
    kind: str
    loom: str
    point: str
    step: Step


def moves(done: Known) -> tuple[Move, ...]:
    """Return every single change worth a look, loom by loom in tree order; each name once.

    Args:
        done: the job worked out
    """
    found: dict[str, Move] = {}
    for tree in done.trees:
        for point in tree.branch_points:
            for move in _at(done, tree, point):
                found.setdefault(move.name, move)
    return tuple(found.values())


def _at(done: Known, tree: Tree, point: str) -> Iterator[Move]:
    kinds = (_merges, _co_runs, _branches, _splits, _shifts)
    return (move for kind in kinds for move in kind(done, tree, point))


def _merges(done: Known, tree: Tree, point: str) -> Iterator[Move]:
    """The point given up for its neighbour on either side, where that is no end."""
    into = tree.into.get(point)
    if into is None:
        return
    for between in (into, *(s for s in tree.out_of[point] if s.outer in tree.out_of)):
        other = between.inner if between is into else between.outer
        if other not in done.read.job.connector:
            key = section_key(tree.loom, between.name)
            made = _made(moves_steps.merge, done, point, key)
            yield from _move(f"merge {tree.loom}/{point} into {other}", "merge", tree, point, made)


def _co_runs(done: Known, tree: Tree, point: str) -> Iterator[Move]:
    """A branch that leaves one point earlier; of two, the point would be gone, which is a merge."""
    into = tree.into.get(point)
    out = tree.out_of[point]
    if into is None or len(out) < 3 or into.inner in done.read.job.connector:
        return
    for one in out:
        if one is not longest(tree, point):
            key = section_key(tree.loom, one.name)
            made = _made(moves_beside.leave_earlier, done, key)
            yield from _move(f"co-run {key} from {into.inner}", "co-run", tree, point, made)


def _branches(done: Known, tree: Tree, point: str) -> Iterator[Move]:
    """A co-run that branches off where it parts: at a new point, or where the other section ends."""
    for one in tree.out_of[point]:
        along = _carrier(tree, one)
        if along is None or one.outer in tree.out_of:
            continue
        key, mm = section_key(tree.loom, one.name), until_mm(one, along)
        if along.outer in tree.out_of and mm >= along.length_mm - LEAST_MM:
            made = _made(moves_beside.leave_later, done, key, along.name)
            yield from _move(f"branch {key} at {along.outer}", "branch", tree, along.outer, made)
            continue
        new, carrier = free_point(done, point), section_key(tree.loom, along.name)
        beyond = tuple(
            s.name for s in tree.out_of[point] if s.outer not in tree.out_of and until_mm(s, along) >= mm
        )
        made = _made(moves_steps.split, done, point, carrier, mm, new, (one.name,))
        yield from _move(f"branch {key} from {along.name}", "branch", tree, new, made)
        if len(beyond) > 1:
            name = f"branch {key} and those beyond from {along.name}"
            made = _made(moves_steps.split, done, point, carrier, mm, new, beyond)
            yield from _move(name, "branch", tree, new, made)


def _carrier(tree: Tree, one: Section) -> Section | None:
    """The section a co-run could run inside: one that goes on before one that ends, then the longest."""
    beside = [s for s in tree.out_of[one.inner] if until_mm(one, s)]
    best = max(beside, key=lambda s: (s.outer in tree.out_of, s.length_mm, s.name), default=None)
    if best is None or best.outer in tree.out_of:
        return best
    return best if (best.length_mm, best.name) > (one.length_mm, one.name) else None


def _splits(done: Known, tree: Tree, point: str) -> Iterator[Move]:
    """A crowded point made two: one of its sections leaves a little earlier."""
    into = tree.into.get(point)
    out = tree.out_of[point]
    if into is None or len(out) + 1 < SPLIT_FROM or into.length_mm <= 2 * SPLIT_MM.value:
        return
    new, key = free_point(done, point), section_key(tree.loom, into.name)
    for one in out:
        if one is not longest(tree, point):
            made = _made(moves_steps.split, done, point, key, SPLIT_MM.value, new, (one.name,))
            yield from _move(f"split {tree.loom}/{point} for {one.outer}", "split", tree, new, made)


def _shifts(done: Known, tree: Tree, point: str) -> Iterator[Move]:
    """The point moved inward, and outward along the section that goes on."""
    into, mm = tree.into.get(point), SHIFT_MM.value
    if into is None:
        return
    for along, words in ((into, "inward"), (longest(tree, point), "outward")):
        if along.length_mm > 2 * mm:
            made = _made(moves_steps.shift, done, point, section_key(tree.loom, along.name), mm)
            name = f"shift {tree.loom}/{point} {mm:.0f} mm {words}"
            yield from _move(name, "shift", tree, point, made)


def _made(make: Callable[P, Step], *args: P.args, **named: P.kwargs) -> Step | None:
    """Return a step, None where the tree refuses it."""
    try:
        return make(*args, **named)
    except RefusedEdit:
        return None


def _move(name: str, kind: str, tree: Tree, point: str, step: Step | None) -> Iterator[Move]:
    if step is not None:
        yield Move(name, kind, tree.loom, point, step)


def free_point(done: Known, point: str) -> str:
    """Return a name for a new branch point near another: "B4a", "B4b" ... or with more letters."""
    trees = done.trees
    taken = {p for tree in trees for p in tree.from_datum_mm} | {*done.read.job.connector}
    taken |= {*done.read.job.device}
    tail = ""
    while True:
        for letter in ascii_lowercase:
            if (name := f"{point.replace('.', '')}{tail}{letter}") not in taken:
                return name
        tail += "z"
