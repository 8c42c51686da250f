"""One change of the tree as it is gathered: lengths, sections gone, co-runs, where old sections lie now."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from loomwright.edits import Edit, Verb
from loomwright.errors import RefusedEdit
from loomwright.model.tree import Section, Tree
from loomwright.planning.known import Known
from loomwright.planning.moves_notes import Piece, moved_notes
from loomwright.routing.routed import section_key

LEAST_MM: Final = 1.0
MOST_MM: Final = 100_000.0


@dataclass(frozen=True, slots=True)
class Step:
    """One change of the tree, ready to be carried out or shown first.

    Attributes:
        edits: for the job file
        words: what it does
        again: sections whose new length nobody has measured that way
        lengths: (inner, outer, mm) of every section that is new or has another length
        gone: names of sections that are no more
        went: (point that is no more, point it is one with)
    """

    edits: tuple[Edit, ...]
    words: str
    again: tuple[str, ...] = ()
    lengths: tuple[tuple[str, str, float], ...] = ()
    gone: tuple[str, ...] = ()
    went: tuple[tuple[str, str], ...] = ()


@dataclass
class Change:
    """Lengths, pieces and sections gone, as they are gathered."""

    done: Known
    tree: Tree
    reason: str
    lengths: dict[tuple[str, str], float] = field(default_factory=dict)
    gone: list[Section] = field(default_factory=list)
    pieces: dict[str, tuple[Piece, ...]] = field(default_factory=dict)
    again: list[str] = field(default_factory=list)
    unsure: set[tuple[str, str]] = field(default_factory=set)
    beside: dict[tuple[str, str], dict[str, float]] = field(default_factory=dict)
    went: dict[str, str] = field(default_factory=dict)

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

    def run_beside(self, one: tuple[str, str], other: str, mm: float) -> None:
        """Note that a new section runs beside another of its point, so far [mm]; too short a run is none."""
        if mm >= LEAST_MM:
            self.beside.setdefault(one, {})[other] = mm

    def pairs_beside(self, sections: Iterable[tuple[Section, tuple[str, str]]], more_mm: float) -> None:
        """Carry the co-runs of sections over that now leave another point together.

        Args:
            sections: old section and its new points, all of one old and one new point
            more_mm: how much longer they run side by side now; below 0 = shorter [mm]
        """
        some = list(sections)
        for at, (old, new) in enumerate(some):
            for other, other_new in some[:at]:
                mm = more_mm + until_mm(old, other)
                self.run_beside(new, "-".join(other_new), min(mm, self.lengths[new], self.lengths[other_new]))

    def step(self, words: str) -> Step:
        """Return everything gathered as one step."""
        edits = [Edit(Verb.REMOVE, one.path, None, self.reason) for one in self.gone if is_built(one)]
        for (inner, outer), mm in self.lengths.items():
            edits.append(self._built(inner, outer, mm))
        edits += self._beside_what_is_gone()
        edits += self._spares()
        edits += moved_notes(self.done, self.tree, self.pieces, self.reason)
        lengths = tuple((inner, outer, mm) for (inner, outer), mm in self.lengths.items())
        gone = tuple(one.name for one in self.gone)
        return Step(tuple(edits), words, tuple(self.again), lengths, gone, tuple(self.went.items()))

    def _beside_what_is_gone(self) -> list[Edit]:
        """Tables that say to run beside a section that is gone, said anew: beside what lies there now."""
        gone = {one.name: one for one in self.gone}
        kept = (one for one in self.done.read.job.built if one.loom == self.tree.loom and one.beside)
        edits = []
        for one in kept:
            name = f"{one.inner}-{one.outer}"
            if (
                name in gone
                or (one.inner, one.outer) in self.lengths
                or not gone.keys() & dict(one.beside or ())
            ):
                continue
            near = [row for row in one.beside or () if row[0].startswith(f"{one.inner}-")]
            rows = [row for other, mm in near for row in self._now_beside(one.inner, other, mm)]
            edits.append(Edit(Verb.SET, (*one.path, "beside"), [list(row) for row in rows], self.reason))
        return edits

    def _spares(self) -> list[Edit]:
        """Spare wires that end at a point that is gone end where it went."""
        spares = self.done.read.job.spares
        ends = [(one, key, point) for one in spares for key, point in (("a", one.a), ("b", one.b))]
        return [
            Edit(Verb.SET, (*one.path, key), self.went[point], self.reason)
            for one, key, point in ends
            if point in self.went
        ]

    def _now_beside(self, inner: str, other: str, mm: float) -> list[tuple[str, float]]:
        if other not in self.pieces:
            return [(other, neat(mm))]
        first = self.pieces[other][0]
        return [(first.section, neat(min(mm, first.mm)))] if first.section.startswith(f"{inner}-") else []

    def _built(self, inner: str, outer: str, mm: float) -> Edit:
        known = self.tree.by_name.get(f"{inner}-{outer}")
        why = self.reason + ("; measure again" if (inner, outer) in self.unsure else "")
        value: dict[str, object] = {"mm": neat(mm), "reason": why}
        if (inner, outer) in self.beside:
            beside = self.beside[inner, outer]
            value["beside"] = [[name, neat(beside[name])] for name in sorted(beside)]
        if known is not None and is_built(known):
            held = table(self.done, known.path)
            return Edit(Verb.SET, known.path, {**held, **value}, self.reason)  # type: ignore[dict-item]
        looms = self.done.read.job.looms
        if len(looms) > 1:
            value = {"loom": self.tree.loom, **value}
        name = f"{inner}-{outer}"
        trees = self.done.trees
        if any(name in one.by_name for one in trees if one is not self.tree):
            name = section_key(self.tree.loom, name)
        return Edit(Verb.SET, ("build", name), value, self.reason)  # type: ignore[arg-type]


def until_mm(one: Section, other: Section) -> float:
    """Return how far a section runs beside another from their common point [mm]; 0 = not at all."""
    return next((run.until_mm for run in one.co_runs if run.section == other.name), 0.0)


def section_of(done: Known, key: str) -> tuple[Tree, Section]:
    """Return a section and its tree by the key "loom/section".

    Raises:
        RefusedEdit: there is none of that key.
    """
    loom, _, name = key.partition("/")
    tree = next((one for one in done.trees if one.loom == loom), None)
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
    trees = done.trees
    points = {point for tree in trees for point in tree.from_datum_mm}
    if name in points or name in done.read.job.connector or name in done.read.job.device:
        raise RefusedEdit(f"{name} is there already. Take another name.")


def check_branch(tree: Tree, point: str) -> None:
    """See that a point lies between sections; raises RefusedEdit."""
    if point not in tree.into or point not in tree.out_of:
        raise RefusedEdit(f"{point} is no branch point between sections; datum and ends stay where they are.")


def check_on(one: Section, point: str) -> None:
    """See that a section meets a point; raises RefusedEdit."""
    if point not in (one.inner, one.outer):
        raise RefusedEdit(f"{one.name} does not meet {point}.")


def longest(tree: Tree, point: str) -> Section:
    """The section that goes on from a point: one that branches on before one that ends, then the longest."""
    return max(tree.out_of[point], key=lambda one: (one.outer in tree.out_of, one.length_mm, one.name))


def is_built(one: Section) -> bool:
    """Return whether a section's length stands in a [build] table."""
    return bool(one.path) and one.path[0] == "build"


def table(done: Known, path: tuple[str | int, ...]) -> dict[str, object]:
    """Return the job file's table at a path, {} = none."""
    values: object = done.read.document.values
    for step in path:
        values = values[step] if isinstance(values, dict) and step in values else {}
    return dict(values) if isinstance(values, dict) else {}


def neat(mm: float) -> float | int:
    """A length to 0.1 mm, whole where it is [mm]."""
    found = round(mm, 1)
    return int(found) if found == int(found) else found
