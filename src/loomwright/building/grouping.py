"""Which wires leave together at a branch point, and which are gathered first."""

from collections.abc import Mapping
from typing import Final

from loomwright.building.built import ExitGroup
from loomwright.building.exits import Leaving
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import Routed, Wire, section_key

STRAIGHT_ON: Final = "core"
OUTSIDE: Final = "outside"


def exit_groups(routed: Routed, leaving: Mapping[str, Mapping[str, Leaving]]) -> tuple[ExitGroup, ...]:
    """Return the wires of every exit at every branch point, in tree order, the first to gather first.

    What leaves here lies outside; the exit that reaches furthest is the core and is gathered last.
    Within an exit the wires that run furthest come first, for they lie inside; cores of one cable stay
    together.

    Args:
        routed: trees and wires
        leaving: how sections leave their inner points: by loom, by section
    Source: nearest exit outermost, common practice.
    """
    found = []
    for tree in routed.trees:
        seen = leaving[tree.loom]
        reach = _reaches(tree)
        for point in tree.branch_points:
            out = sorted(tree.out_of.get(point, ()), key=lambda s: (reach[s.name], s.name))
            for order, s in enumerate(out, 1):
                key = section_key(tree.loom, s.name)
                wires = sorted(routed.in_section.get(key, ()), key=lambda w: _run(tree, w, s))
                how = seen[s.name]
                layer = STRAIGHT_ON if order == len(out) and point in tree.into else OUTSIDE
                labels = tuple(w.label for w in wires)
                found.append(
                    ExitGroup(tree.loom, point, key, order, layer, how.clock, how.words, labels)
                )
    return tuple(found)


def _reaches(tree: Tree) -> dict[str, float]:
    found: dict[str, float] = {}
    for s in reversed(tree.sections):
        found[s.name] = s.length_mm + max((found[x.name] for x in tree.out_of.get(s.outer, ())), default=0.0)
    return found


def _run(tree: Tree, wire: Wire, s: Section) -> tuple[float, str, int]:
    """Furthest first; the cores of one cable beside each other."""
    far = max(tree.from_datum_mm.get(end.point, 0.0) for end in (wire.a, wire.b))
    return (-far, wire.cable, wire.number)
