"""Changes of the tree that is to be built, as edits: the rope's own readings are never touched.

A step says which sections get which length, which are gone, and what on the way of the old ones lies on which
new one, so that notes along a section (ties, bends, hazards, splices) stay at their place on the loom. A new
length is what the rope says of the way over the old sections; what was never taped that way says so.
"""

from dataclasses import dataclass, field

from loomwright.edits import Edit, Verb
from loomwright.errors import RefusedEdit
from loomwright.model.tree import Section, Tree
from loomwright.planning.moves_notes import Known, Piece, moved_notes
from loomwright.routing.routed import section_key

LEAST_MM = 1.0
MOST_MM = 100_000.0


@dataclass(frozen=True, slots=True)
class Step:
    """One change of the tree, ready to be carried out or shown first.

    Attributes:
        edits: for the job file
        words: what it does
        again: sections whose new length nobody has measured that way
    """

    edits: tuple[Edit, ...]
    words: str
    again: tuple[str, ...] = ()


@dataclass
class _Change:
    """Lengths, pieces and sections gone, as they are gathered."""

    done: Known
    tree: Tree
    reason: str
    lengths: dict[tuple[str, str], float] = field(default_factory=dict)
    gone: list[Section] = field(default_factory=list)
    pieces: dict[str, tuple[Piece, ...]] = field(default_factory=dict)
    again: list[str] = field(default_factory=list)
    unsure: set[tuple[str, str]] = field(default_factory=set)

    def length(self, inner: str, outer: str, mm: float, again: bool = False) -> str:
        """Note a section's new length and return its name."""
        if not LEAST_MM <= mm <= MOST_MM:
            what = f"{inner}-{outer} would be {mm:.0f} mm long."
            raise RefusedEdit(f"{what} A section is from {LEAST_MM:.0f} mm to {MOST_MM / 1000:.0f} m long.")
        self.lengths[inner, outer] = mm
        if again:
            self.again.append(f"{inner}-{outer}")
            self.unsure.add((inner, outer))
        return f"{inner}-{outer}"

    def step(self, words: str) -> Step:
        """Return everything gathered as one step."""
        edits = [Edit(Verb.REMOVE, one.path, None, self.reason) for one in self.gone if _is_built(one)]
        for (inner, outer), mm in self.lengths.items():
            edits.append(self._built(inner, outer, mm))
        edits += moved_notes(self.done, self.tree, self.pieces, self.reason)
        return Step(tuple(edits), words, tuple(self.again))

    def _built(self, inner: str, outer: str, mm: float) -> Edit:
        known = self.tree.by_name.get(f"{inner}-{outer}")
        why = self.reason + ("; measure again" if (inner, outer) in self.unsure else "")
        value: dict[str, object] = {"mm": _neat(mm), "reason": why}
        if known is not None and _is_built(known):
            held = _table(self.done, known.path)
            return Edit(Verb.SET, known.path, {**held, **value}, self.reason)  # type: ignore[dict-item]
        looms = self.done.worked.job.looms
        if len(looms) > 1:
            value = {"loom": self.tree.loom, **value}
        name = f"{inner}-{outer}"
        trees = self.done.worked.routed.trees
        if any(name in one.by_name for one in trees if one is not self.tree):
            name = section_key(self.tree.loom, name)
        return Edit(Verb.SET, ("build", name), value, self.reason)  # type: ignore[arg-type]


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
    change = _Change(done, tree, reason or "typed on the plan")
    change.length(one.inner, one.outer, mm)
    return change.step(f"{one.name} {_neat(one.length_mm)} to {_neat(mm)} mm")


def as_measured(done: Known, section: str) -> Step:
    """Return the step that takes a section's own length away, so that the rope counts again.

    Raises:
        RefusedEdit: its length is the rope's already.
    """
    _, one = section_of(done, section)
    if not _is_built(one):
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
    _check_branch(tree, point)
    _check_on(along, point)
    if not 0 < mm <= along.length_mm - LEAST_MM:
        raise RefusedEdit(
            f"{point} can move up to {along.length_mm - LEAST_MM:.0f} mm along {along.name}, not {mm:.0f} mm."
        )
    into = tree.into[point]
    change = _Change(done, tree, reason or f"{point} moved {mm:.0f} mm along {along.name}")
    if along is into:
        change.length(into.inner, point, into.length_mm - mm)
        onward = _longest(tree, point)
        kept = Piece(0.0, into.length_mm - mm, into.name, 0.0)
        rest = Piece(into.length_mm - mm, into.length_mm, onward.name, mm - into.length_mm)
        change.pieces[into.name] = (kept, rest)
        for one in tree.out_of[point]:
            change.length(point, one.outer, one.length_mm + mm)
            change.pieces[one.name] = (Piece(0.0, one.length_mm, one.name, mm),)
    else:
        _outward(change, into, along, mm)
    return change.step(f"{point} {mm:.0f} mm along {along.name}")


def _outward(change: _Change, into: Section, along: Section, mm: float) -> None:
    point = along.inner
    change.length(into.inner, point, into.length_mm + mm)
    change.length(point, along.outer, along.length_mm - mm)
    first = Piece(0.0, mm, into.name, into.length_mm)
    change.pieces[along.name] = (first, Piece(mm, along.length_mm, along.name, -mm))
    for one in change.tree.out_of[point]:
        if one is not along:
            _leave_later(change, one, along, first, point)


def _leave_later(change: _Change, one: Section, along: Section, way: Piece, point: str) -> None:
    """A section that left before now leaves further along another, over the piece `way` of it, from `point`.

    What ran beside that one so far is shorter by it; what went its own way has to come back from there: taken
    as the way over the old point, which is more than it can need, so it is to be measured again.
    """
    mm = way.mm
    beside = next((x.until_mm for x in one.co_runs if x.section == along.name), 0.0)
    shared = min(mm, beside)
    new = one.length_mm - shared + (mm - shared)
    name = change.length(point, one.outer, max(new, LEAST_MM), again=mm > shared)
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
    change = _Change(done, tree, reason or f"{name} set on {one.name}")
    _cut(change, one, at_mm, name)
    return change.step(f"New point {name}, {at_mm:.0f} mm along {one.name}")


def _cut(change: _Change, one: Section, at_mm: float, name: str) -> None:
    if not LEAST_MM <= at_mm <= one.length_mm - LEAST_MM:
        raise RefusedEdit(f"{one.name} is {one.length_mm:.0f} mm long; {at_mm:.0f} mm is not on it.")
    first = change.length(one.inner, name, at_mm)
    second = change.length(name, one.outer, one.length_mm - at_mm)
    change.gone.append(one)
    change.pieces[one.name] = (
        Piece(0.0, at_mm, first, 0.0),
        Piece(at_mm, one.length_mm, second, -at_mm),
    )


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
    _check_on(along, point)
    check_free(done, name)
    leaving = {one.name: one for one in tree.out_of.get(point, ()) if one is not along}
    chosen = [leaving[one] for one in dict.fromkeys(take) if one in leaving]
    if not chosen or len(chosen) != len(set(take)):
        raise RefusedEdit(f"Choose which of {', '.join(leaving) or 'no section'} shall leave from {name}.")
    change = _Change(done, tree, f"{name} split off {point}")
    inward = along is tree.into.get(point)
    _cut(change, along, along.length_mm - mm if inward else mm, name)
    for one in chosen:
        change.gone.append(one)
        if inward:
            new = change.length(name, one.outer, one.length_mm + mm)
            change.pieces[one.name] = (Piece(0.0, one.length_mm, new, mm),)
        else:
            _leave_later(change, one, along, change.pieces[along.name][0], name)
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
    _check_branch(tree, point)
    _check_on(between, point)
    inward = between.outer == point
    other = between.inner if inward else between.outer
    if other in done.worked.job.connector:
        raise RefusedEdit(f"{other} is an end; a branch point can't be merged with it.")
    change = _Change(done, tree, f"{point} and {other} made one")
    change.gone.append(between)
    mm = between.length_mm
    if inward:
        onward = f"{other}-{_longest(tree, point).outer}"
        change.pieces[between.name] = (Piece(0.0, mm, onward, 0.0),)
    else:
        into = tree.into[point]
        name = change.length(into.inner, other, into.length_mm + mm)
        change.gone.append(into)
        change.pieces[into.name] = (Piece(0.0, into.length_mm, name, 0.0),)
        change.pieces[between.name] = (Piece(0.0, mm, name, into.length_mm),)
    for one in tree.out_of[point]:
        if one is between:
            continue
        change.gone.append(one)
        if inward:
            new = change.length(other, one.outer, one.length_mm + mm)
            change.pieces[one.name] = (Piece(0.0, one.length_mm, new, mm),)
        else:
            _leave_later(change, one, between, change.pieces[between.name][0], other)
    return change.step(f"{point} merged into {other}")


def section_of(done: Known, key: str) -> tuple[Tree, Section]:
    """Return a section and its tree by the key "loom/section".

    Raises:
        RefusedEdit: there is none of that key.
    """
    loom, _, name = key.partition("/")
    tree = done.worked.routed.tree.get(loom)
    if tree is None or name not in tree.by_name:
        raise RefusedEdit(f"There is no section {key} any more. Look at the plan as it is now.")
    return tree, tree.by_name[name]


def check_free(done: Known, name: str) -> None:
    """See that a name can be a new point's.

    Raises:
        RefusedEdit: it is empty, has a sign names don't have, or is taken.
    """
    if not name or any(sign in name for sign in " -.:|/\"'\\") or not name.isprintable() or len(name) > 40:
        raise RefusedEdit("A point's name has letters and digits, without spaces and - . : | /")
    trees = done.worked.routed.trees
    points = {point for tree in trees for point in tree.from_datum_mm}
    if name in points or name in done.worked.job.connector or name in done.worked.job.device:
        raise RefusedEdit(f"{name} is there already. Take another name.")


def _check_branch(tree: Tree, point: str) -> None:
    if point not in tree.into or point not in tree.out_of:
        raise RefusedEdit(f"{point} is no branch point between sections; datum and ends stay where they are.")


def _check_on(one: Section, point: str) -> None:
    if point not in (one.inner, one.outer):
        raise RefusedEdit(f"{one.name} does not meet {point}.")


def _longest(tree: Tree, point: str) -> Section:
    """The section that goes on from a point: one that branches on before one that ends, then the longest."""
    return max(tree.out_of[point], key=lambda one: (one.outer in tree.out_of, one.length_mm, one.name))


def _is_built(one: Section) -> bool:
    return bool(one.path) and one.path[0] == "build"


def _table(done: Known, path: tuple[str | int, ...]) -> dict[str, object]:
    values: object = done.read.document.values
    for step in path:
        values = values[step] if isinstance(values, dict) and step in values else {}
    return dict(values) if isinstance(values, dict) else {}


def _neat(mm: float) -> float | int:
    """A length to 0.1 mm, whole where it is [mm]."""
    found = round(mm, 1)
    return int(found) if found == int(found) else found
