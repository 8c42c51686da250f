"""Changes of the tree that is to be built, as edits: the rope's own readings are never touched.

A step says which sections get which length, which are gone, and what on the way of the old ones lies on which
new one, so that notes along a section (ties, bends, hazards, splices) stay at their place on the loom. A new
length is what the rope says of the way over the old sections; what was never taped that way says so.
"""

from loomwright.edits import Edit, Verb
from loomwright.errors import RefusedEdit
from loomwright.model.tree import Section
from loomwright.planning.known import Known
from loomwright.planning.moves_change import (
    LEAST_MM,
    Change,
    check_branch,
    check_free,
    check_on,
    is_built,
    longest,
    neat,
    section_of,
    until_mm,
)
from loomwright.planning.moves_change import MOST_MM as MOST_MM
from loomwright.planning.moves_change import Step as Step
from loomwright.planning.moves_notes import Piece


def set_length(done: Known, section: str, mm: float, reason: str = "") -> Step:
    """Return the step that gives a section another length to build.

    Args:
        done: the job worked out
        section: its key, "engine/B1-B2"
        mm: length to build, 1 to 100,000 [mm]
        reason: where the length comes from
    Raises:
        RefusedEdit: there is no such section, or the length can't be.
    """
    tree, one = section_of(done, section)
    change = Change(done, tree, reason or "typed on the plan")
    change.length(one.inner, one.outer, mm)
    return change.step(f"{one.name} {neat(one.length_mm)} to {neat(mm)} mm")


def as_measured(done: Known, section: str) -> Step:
    """Return the step that takes a section's own length away, so that the rope counts again.

    Raises:
        RefusedEdit: its length is the rope's already.
    """
    _, one = section_of(done, section)
    if not is_built(one):
        raise RefusedEdit(f"{one.name} has the rope's length already.")
    return Step((Edit(Verb.REMOVE, one.path),), f"{one.name} as the rope says")


def shift(done: Known, point: str, section: str, mm: float, reason: str = "") -> Step:
    """Return the step that moves a branch point along one of its sections.

    Args:
        done: the job worked out
        point: the branch point
        section: key of a section that meets there, along which it moves
        mm: how far, above 0 and less than the section [mm]
        reason: why
    Raises:
        RefusedEdit: no such section there, or it is too short.
    """
    tree, along = section_of(done, section)
    check_branch(tree, point)
    check_on(along, point)
    if not 0 < mm <= along.length_mm - LEAST_MM:
        raise RefusedEdit(
            f"{point} can move up to {along.length_mm - LEAST_MM:.0f} mm along {along.name}, not {mm:.0f} mm."
        )
    into = tree.into[point]
    change = Change(done, tree, reason or f"{point} moved {mm:.0f} mm along {along.name}")
    if along is into:
        change.length(into.inner, point, into.length_mm - mm)
        onward = longest(tree, point)
        kept = Piece(0.0, into.length_mm - mm, into.name, 0.0)
        rest = Piece(into.length_mm - mm, into.length_mm, onward.name, mm - into.length_mm)
        change.pieces[into.name] = (kept, rest)
        for one in tree.out_of[point]:
            change.length(point, one.outer, one.length_mm + mm)
            change.pieces[one.name] = (Piece(0.0, one.length_mm, one.name, mm),)
        change.pairs_beside([(one, (point, one.outer)) for one in tree.out_of[point]], mm)
    else:
        _outward(change, into, along, mm)
    return change.step(f"{point} {mm:.0f} mm along {along.name}")


def _outward(change: Change, into: Section, along: Section, mm: float) -> None:
    point = along.inner
    change.length(into.inner, point, into.length_mm + mm)
    change.length(point, along.outer, along.length_mm - mm)
    first = Piece(0.0, mm, into.name, into.length_mm)
    change.pieces[along.name] = (first, Piece(mm, along.length_mm, along.name, -mm))
    others = [one for one in change.tree.out_of[point] if one is not along]
    for one in others:
        _leave_later(change, one, along, first, point)
        change.beside.setdefault((point, one.outer), {})
    change.pairs_beside([(one, (point, one.outer)) for one in others], -mm)


def _leave_later(change: Change, one: Section, along: Section, way: Piece, point: str) -> None:
    """A section that left before now leaves further along another, over the piece `way` of it, from `point`.

    What ran beside that one so far is shorter by it; what went its own way has to come back from there: taken
    as the way over the old point, which is more than it can need, so it is to be measured again.
    """
    mm = way.mm
    beside = until_mm(one, along)
    shared = min(mm, beside)
    new = one.length_mm - shared + (mm - shared)
    name = change.length(point, one.outer, max(new, LEAST_MM), again=mm > shared)
    if beside > mm and along.outer != point:
        change.run_beside((point, one.outer), f"{point}-{along.outer}", beside - mm)
    offset = mm - 2 * shared
    first = (Piece(0.0, shared, way.section, way.offset_mm),) if shared else ()
    change.pieces[one.name] = (*first, Piece(shared, one.length_mm, name, offset))


def insert(done: Known, section: str, at_mm: float, name: str, reason: str = "") -> Step:
    """Return the step that sets a new point on a section.

    Args:
        done: the job worked out
        section: key of the section
        at_mm: from its inner end, above 0 and less than its length [mm]
        name: of the new point, free in all looms
        reason: why
    Raises:
        RefusedEdit: the name is taken or can't be one, or the place is not on the section.
    """
    tree, one = section_of(done, section)
    check_free(done, name)
    change = Change(done, tree, reason or f"{name} set on {one.name}")
    _cut(change, one, at_mm, name)
    _still_beside(change, one, name, [])
    return change.step(f"New point {name}, {at_mm:.0f} mm along {one.name}")


def _cut(change: Change, one: Section, at_mm: float, name: str) -> None:
    if not LEAST_MM <= at_mm <= one.length_mm - LEAST_MM:
        raise RefusedEdit(f"{one.name} is {one.length_mm:.0f} mm long; {at_mm:.0f} mm is not on it.")
    first = change.length(one.inner, name, at_mm)
    second = change.length(name, one.outer, one.length_mm - at_mm)
    change.gone.append(one)
    change.pieces[one.name] = (
        Piece(0.0, at_mm, first, 0.0),
        Piece(at_mm, one.length_mm, second, -at_mm),
    )


def _still_beside(change: Change, along: Section, name: str, without: list[Section]) -> None:
    """What ran beside a section that is cut now runs beside its first part, so far as that goes."""
    others = [one for one in change.tree.out_of[along.inner] if one is not along and one not in without]
    if not any(until_mm(one, along) for one in others):
        return
    others = [one for one in others if one.co_runs]
    first = change.lengths[along.inner, name]
    for one in others:
        change.length(one.inner, one.outer, one.length_mm)
        change.run_beside((one.inner, one.outer), f"{along.inner}-{name}", min(until_mm(one, along), first))
    change.pairs_beside([(one, (one.inner, one.outer)) for one in others], 0.0)


def split(done: Known, point: str, section: str, mm: float, name: str, take: tuple[str, ...]) -> Step:
    """Return the step that lets some sections leave from a new branch point instead.

    Args:
        done: the job worked out
        point: branch point they leave from now
        section: key of a section that meets there, on which the new point lies
        mm: how far from the branch point [mm]
        name: of the new branch point
        take: names of the sections that leave there, at least one, without `section`
    Raises:
        RefusedEdit: as for `insert`, or a section does not leave from the point.
    """
    tree, along = section_of(done, section)
    check_on(along, point)
    check_free(done, name)
    leaving = {one.name: one for one in tree.out_of.get(point, ()) if one is not along}
    chosen = [leaving[one] for one in dict.fromkeys(take) if one in leaving]
    if not chosen or len(chosen) != len(set(take)):
        raise RefusedEdit(f"Choose which of {', '.join(leaving) or 'no section'} shall leave from {name}.")
    change = Change(done, tree, f"{name} split off {point}")
    inward = along is tree.into.get(point)
    _cut(change, along, along.length_mm - mm if inward else mm, name)
    _still_beside(change, along, name, chosen)
    for one in chosen:
        change.gone.append(one)
        if inward:
            new = change.length(name, one.outer, one.length_mm + mm)
            change.pieces[one.name] = (Piece(0.0, one.length_mm, new, mm),)
            change.run_beside((name, one.outer), f"{name}-{point}", mm)
        else:
            _leave_later(change, one, along, change.pieces[along.name][0], name)
    change.pairs_beside([(one, (name, one.outer)) for one in chosen], mm if inward else -mm)
    taken = ", ".join(one.outer for one in chosen)
    return change.step(f"{name} split off {point}, {mm:.0f} mm along {along.name}, for {taken}")


def merge(done: Known, point: str, section: str) -> Step:
    """Return the step that makes one branch point of two neighbours.

    Args:
        done: the job worked out
        point: the branch point that goes
        section: key of the section between the two
    Raises:
        RefusedEdit: they are no neighbours, or the other is an end.
    """
    tree, between = section_of(done, section)
    check_branch(tree, point)
    check_on(between, point)
    inward = between.outer == point
    other = between.inner if inward else between.outer
    if other in done.read.job.connector:
        raise RefusedEdit(f"{other} is an end; a branch point can't be merged with it.")
    change = Change(done, tree, f"{point} and {other} made one")
    change.went[point] = other
    change.gone.append(between)
    mm = between.length_mm
    if inward:
        onward = f"{other}-{longest(tree, point).outer}"
        change.pieces[between.name] = (Piece(0.0, mm, onward, 0.0),)
    else:
        into = tree.into[point]
        name = change.length(into.inner, other, into.length_mm + mm)
        change.gone.append(into)
        for beside in tree.out_of[into.inner]:
            change.run_beside((into.inner, other), beside.name, until_mm(into, beside))
        change.pieces[into.name] = (Piece(0.0, into.length_mm, name, 0.0),)
        change.pieces[between.name] = (Piece(0.0, mm, name, into.length_mm),)
    going = [one for one in tree.out_of[point] if one is not between]
    for one in going:
        change.gone.append(one)
        if inward:
            new = change.length(other, one.outer, one.length_mm + mm)
            change.pieces[one.name] = (Piece(0.0, one.length_mm, new, mm),)
        else:
            _leave_later(change, one, between, change.pieces[between.name][0], other)
    if inward:
        change.pairs_beside([(one, (other, one.outer)) for one in going], mm)
        for beside in (one for one in tree.out_of[other] if until_mm(between, one)):
            for one in going:
                change.run_beside((other, one.outer), beside.name, until_mm(between, beside))
    return change.step(f"{point} merged into {other}")
