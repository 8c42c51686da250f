"""Which wires leave together at a branch point, and which are gathered first."""

from collections.abc import Mapping
from typing import Final

from loomwright.building.built import ExitGroup, Later
from loomwright.building.exits import Leaving
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import EndKind, Routed, Wire, section_key

STRAIGHT_ON: Final = "core"
OUTSIDE: Final = "outside"
AT_END_MM: Final = 0.05  # nearer to a section's end than this a wire is at it; ours


def exit_groups(routed: Routed, leaving: Mapping[str, Mapping[str, Leaving]]) -> tuple[ExitGroup, ...]:
    """Return the wires of every exit at every branch point, in tree order, the first to gather first.

    What leaves here lies outside; the exit that reaches furthest is the core and is gathered last.
    Within an exit the wires that run furthest come first, for they lie inside; cores of one cable stay
    together. A wire that begins beyond, at a splice or a joint, is not in the exit yet and told apart.

    Args:
        routed: trees and wires
        leaving: how sections leave their inner points: by loom, by section
    Source: nearest exit outermost, common practice.
    """
    found = []
    for tree in routed.trees:
        seen, exits = leaving[tree.loom], nearest_first(tree)
        for point in tree.branch_points:
            out = exits.get(point, ())
            for order, s in enumerate(out, 1):
                key = section_key(tree.loom, s.name)
                wires = sorted(routed.in_section.get(key, ()), key=lambda w: _run(tree, w, s))
                inside = [w for w in wires if at_inner_end(w, s)]
                how = seen[s.name]
                layer = STRAIGHT_ON if order == len(out) and point in tree.into else OUTSIDE
                labels = tuple(w.label for w in inside)
                later = tuple(Later(w.label, _beginning(w, s)) for w in wires if not at_inner_end(w, s))
                found.append(
                    ExitGroup(tree.loom, point, key, order, layer, how.clock, how.words, labels, later)
                )
    return tuple(found)


def nearest_first(tree: Tree) -> dict[str, tuple[Section, ...]]:
    """Return what leaves every point, the one that reaches least far first; the last is the core."""
    reach = _reaches(tree)
    return {
        point: tuple(sorted(out, key=lambda s: (reach[s.name], s.name))) for point, out in tree.out_of.items()
    }


def at_inner_end(wire: Wire, s: Section) -> bool:
    """Return whether a wire is in a section where that begins."""
    return any(min(step.from_mm, step.to_mm) <= AT_END_MM for step in wire.way if step.section == s.name)


def at_outer_end(wire: Wire, s: Section) -> bool:
    """Return whether a wire is in a section where that ends."""
    last = s.length_mm - AT_END_MM
    return any(max(step.from_mm, step.to_mm) >= last for step in wire.way if step.section == s.name)


def _beginning(wire: Wire, s: Section) -> str:
    """What a wire begins at on its way along a section: a splice, or the joint of a lead."""
    ends = (e for e in (wire.a, wire.b) if e.place is not None and e.place.section == s.name)
    first = min(ends, key=lambda e: (e.place.mm if e.place else 0.0, e.name), default=None)
    if first is None:
        return s.outer
    return first.name if first.kind is EndKind.SPLICE else f"the joint to {first.name}"


def _reaches(tree: Tree) -> dict[str, float]:
    found: dict[str, float] = {}
    for s in reversed(tree.sections):
        found[s.name] = s.length_mm + max((found[x.name] for x in tree.out_of.get(s.outer, ())), default=0.0)
    return found


def _run(tree: Tree, wire: Wire, s: Section) -> tuple[float, str, int]:
    """Furthest first; the cores of one cable beside each other."""
    far = max(tree.from_datum_mm.get(end.point, 0.0) for end in (wire.a, wire.b))
    return (-far, wire.cable, wire.number)
