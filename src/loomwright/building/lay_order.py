"""In which order the sections of a loom come on to the board when the wires that run furthest go first."""

from collections.abc import Iterable
from dataclasses import dataclass

from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import Wire

_Leg = tuple[str, Section, str]  # from, section, to


@dataclass(frozen=True, slots=True)
class Strand:
    """Sections in a row that one wire is the first to be laid in.

    Attributes:
        points: from the point where they join what lies already, outward; of the first strand from end to end
        sections: names, in the order of the points
        joins: points where they meet what lies already; none where nothing of it touches yet
        first: the wire that is laid there first
    """

    points: tuple[str, ...]
    sections: tuple[str, ...]
    joins: tuple[str, ...]
    first: Wire


def furthest_first(wires: Iterable[Wire]) -> tuple[Wire, ...]:
    """Return wires as they are laid on the board: the longest way first, then by number.

    Source: long wires lie inside, nearest exit outermost, common practice.
    """
    return tuple(sorted(wires, key=lambda w: (-w.path_mm, w.number)))


def strands(tree: Tree, wires: Iterable[Wire]) -> tuple[Strand, ...]:
    """Return the sections of a loom in the order in which their first wires are laid.

    Args:
        tree: the loom's tree
        wires: its wires, in any order

    Returns:
        Every section that has a wire, once.
    """
    found: list[Strand] = []
    laid: set[str] = set()
    points: set[str] = set()
    for wire in furthest_first(wires):
        for run in _runs(tree, wire, laid, points):
            found.append(_strand(run, points, wire))
            laid.update(found[-1].sections)
            points.update(found[-1].points)
    return tuple(found)


def _runs(tree: Tree, wire: Wire, laid: set[str], points: set[str]) -> list[list[_Leg]]:
    """New sections on a wire's way, those one after the other together, cut where they touch what lies."""
    runs: list[list[_Leg]] = [[]]
    for step in wire.way:
        section = tree.by_name[step.section]
        outward = step.to_mm > step.from_mm
        a, b = (section.inner, section.outer) if outward else (section.outer, section.inner)
        if step.section in laid or a in points:
            runs.append([])
        if step.section not in laid:
            runs[-1].append((a, section, b))
    return [run for run in runs if run]


def _strand(run: list[_Leg], points: set[str], wire: Wire) -> Strand:
    walked = [run[0][0], *(b for _, _, b in run)]
    names = [section.name for _, section, _ in run]
    if walked[-1] in points and walked[0] not in points:
        walked.reverse()
        names.reverse()
    joins = tuple(p for p in (walked[0], walked[-1]) if p in points)
    return Strand(tuple(walked), tuple(names), joins, wire)
