"""Names of sections and points in the job that no tree has."""

from collections.abc import Iterable
from typing import Final

from loomwright.edits import Edit, Path, Verb
from loomwright.findings import Finding, Place, Severity
from loomwright.library.tables import nearest
from loomwright.mockup.tape import LENGTH_SHEETS
from loomwright.model.job import Job
from loomwright.model.rope import BuiltSection
from loomwright.model.tree import Tree

NEAR_MM: Final = 1.0  # a co-run that parts no further from a branch point than this parts there; ours


def unknown_sections(job: Job, trees: tuple[Tree, ...]) -> list[Finding]:
    """Return a finding for every section or point that is named in the job and is in no tree."""
    sections = [section.name for tree in trees for section in tree.sections]
    known = {*sections, *(f"{tree.loom}/{section.name}" for tree in trees for section in tree.sections)}
    findings = [
        _no_section(one.section, one.path, sections, True) for one in job.passes if one.section not in known
    ]
    for circuit in job.circuits:
        at = circuit.splice_at
        if at is not None and at.section not in known:
            findings.append(_no_section(at.section, (*circuit.path, "splice_at", "section"), sections, False))
    for fixed in job.board_angles:
        if f"{fixed.loom}/{fixed.section}" not in known:
            findings.append(_no_angle(fixed.section, fixed.path, sections))
    findings += _beside_nothing(job, trees)
    sides = {frozenset((s.inner, s.outer)) for tree in trees for s in tree.sections}
    for one in job.exits:
        if frozenset((one.point, one.to)) not in sides:
            findings.append(_no_exit(one.point, one.to, one.path, trees))
    return findings


def _no_section(name: str, path: Path, known: list[str], table: bool) -> Finding:
    a, _, b = name.rpartition("/")[2].partition("-")
    turned = f"{b}-{a}"
    mends: tuple[Edit, ...] = ()
    if turned in known:
        remedy = f"It is called {turned}: the inner point comes first, and places along it count from there."
        mends = (Edit(Verb.RENAME, path, turned) if table else Edit(Verb.SET, path, turned),)
    else:
        remedy = _did_you_mean(nearest(name, known), "Measure it, or take the table away.")
    what, should = f"No loom has a section {name}.", "It should be one of the tree."
    place = Place(name, path)
    return Finding(
        "FILE-07",
        Severity.FAULT,
        place,
        what,
        should,
        remedy,
        LENGTH_SHEETS,
        what,
        mends,
        misses=(name, a, b),
    )


def _no_angle(name: str, path: Path, known: list[str]) -> Finding:
    remedy = _did_you_mean(nearest(name, known), "Take the table away.")
    what, should = f"No loom has a section {name} to draw.", "An angle belongs to a section of the tree."
    place = Place(f"board {name}", path)
    return Finding("FILE-07", Severity.CAUTION, place, what, should, remedy, ("board",), what)


def _beside_nothing(job: Job, trees: tuple[Tree, ...]) -> list[Finding]:
    """Return a finding for every [build] table whose section is told to run beside what it never comes to.

    It comes to what leaves its own inner point, and on to what leaves the outer point of a section it runs
    beside to the end.
    """
    findings = []
    for one in job.built:
        name = f"{one.inner}-{one.outer}"
        tree = next((tree for tree in trees if tree.loom == one.loom and name in tree.by_name), None)
        if tree is None:
            continue
        points = _points_along(tree, one)
        beside = [s.name for point in points for s in tree.out_of.get(point, ()) if s.name != name]
        for other in (other for other, _ in one.beside or () if other not in beside):
            whole = f" or the outer point of one it runs beside to its end, {', '.join(points[1:])}"
            where = f"{one.inner}{whole if points[1:] else ''}"
            what = f"{name} is said to run beside {other}, which does not leave {where}."
            should = "Sections that run side by side leave one point, or go on from where another ended."
            remedy = f"From {' or '.join(points)} leave also {', '.join(beside) or 'no others'}."
            place = Place(name, (*one.path, "beside"))
            findings.append(
                Finding("FILE-07", Severity.FAULT, place, what, should, remedy, LENGTH_SHEETS, what)
            )
    return findings


def _points_along(tree: Tree, one: BuiltSection) -> list[str]:
    """Return the points at which a section runs beside others: its inner one, and those it comes to so."""
    told = {tree.by_name[other]: mm for other, mm in one.beside or () if other in tree.by_name}
    points = [one.inner]
    for point in points:
        points += [s.outer for s, mm in told.items() if s.inner == point and mm >= s.length_mm - NEAR_MM]
    return points


def _no_exit(point: str, to: str, path: Path, trees: Iterable[Tree]) -> Finding:
    around = [
        s.outer if s.inner == point else s.inner
        for tree in trees
        for s in tree.sections
        if point in (s.inner, s.outer)
    ]
    if around:
        what, remedy = (
            f"No section leads from {point} to {to}.",
            f"From {point} it goes to {', '.join(around)}.",
        )
    else:
        points = [s.outer for tree in trees for s in tree.sections] + [tree.datum for tree in trees]
        what, remedy = (
            f"No loom has a point {point}.",
            _did_you_mean(nearest(point, points), "Measure it first."),
        )
    place = Place(f"exit {point} {to}", path)
    should = "An exit leads along a section."
    return Finding("FILE-07", Severity.CAUTION, place, what, should, remedy, (), what, misses=(point, to))


def _did_you_mean(like: tuple[str, ...], otherwise: str) -> str:
    return f"Did you mean {' or '.join(like)}?" if like else otherwise
