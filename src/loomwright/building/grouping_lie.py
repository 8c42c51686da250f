"""Where the groups of wires lie inside every sheath, so that none crosses another on the way to its exit.

What leaves next lies outermost, at the hour at which it leaves; what goes on furthest lies in the middle. A
group keeps its hour all the way: at its branch point it lies at the surface and leaves straight outward.
"""

import math
from collections.abc import Iterator

from loomwright.building.built import GroupLie, SectionLies
from loomwright.building.compass import Hand
from loomwright.building.exit_paths import LoomExits
from loomwright.building.exits import Leaving
from loomwright.building.grouping import at_inner_end, at_outer_end, nearest_first
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import Routed, Wire, section_key


def section_lies(routed: Routed, exits: tuple[LoomExits, ...]) -> tuple[SectionLies, ...]:
    """Return how the groups lie inside every section in which there are two or more, in tree order.

    A group is what leaves the way of the core by one exit. Wires that end on that way, at a splice, count
    with the core. A wire that comes in on another side than it leaves goes round the bundle where it comes
    in; that is not told.

    Args:
        routed: trees and wires
        exits: how the sections of every loom leave, and lie side by side
    Source: nearest exit outermost, at the hour at which it leaves, common practice. Exact, given the exits.
    """
    found = []
    for loom in exits:
        tree = routed.tree[loom.loom]
        before = _Before(routed, tree)
        for s in tree.sections:
            groups = tuple(_groups(before, loom, s))
            if len(groups) > 1:
                found.append(SectionLies(tree.loom, section_key(tree.loom, s.name), groups))
    return tuple(found)


def lie_beside(exit_to: Leaving, core: Leaving) -> Hand | None:
    """Return where an exit's wires lie in the bundle before it, from its core; None = wherever there is room.

    Where the core turns at the branch point, what goes straight on lies on the core's other side.

    Args:
        exit_to: how the exit leaves
        core: how the core goes on; not noted, or straight back = straight on
    """
    way = _way(exit_to)
    if way is None or _back(way):
        return None
    ahead = _way(core)
    (left, above), (aside, up) = way.fan, (0.0, 0.0) if ahead is None or _back(ahead) else ahead.fan
    beside = Hand(left - aside, above - up, 0.0)
    return way if beside.clock is None else beside


def _way(one: Leaving) -> Hand | None:
    """Where a section points, its lean counted; None = not noted."""
    if one.seen is None:
        return Hand(float(one.side), 0.0, 0.0) if one.side else None
    if one.angle_deg is None:
        return one.seen
    flat, turn = math.hypot(one.seen.left, one.seen.onward), math.radians(one.angle_deg)
    return Hand(flat * math.sin(turn), one.seen.above, flat * math.cos(turn))


def _back(way: Hand) -> bool:
    return way.clock is None and way.onward < 0.0


class _Before:
    """What all sections of one loom ask for, found once: order of exits, which wires begin and end where."""

    def __init__(self, routed: Routed, tree: Tree) -> None:
        self.tree = tree
        self.exits = nearest_first(tree)
        self.at_inner: dict[str, tuple[Wire, ...]] = {}
        self.at_outer: dict[str, tuple[Wire, ...]] = {}
        for s in tree.sections:
            wires = routed.in_section.get(section_key(tree.loom, s.name), ())
            self.at_inner[s.name] = tuple(w for w in wires if at_inner_end(w, s))
            self.at_outer[s.name] = tuple(w for w in wires if at_outer_end(w, s))


def _groups(before: _Before, exits: LoomExits, s: Section) -> Iterator[GroupLie]:
    """Yield the groups of one section from the inside out."""
    tree = before.tree
    wires = {w.identity: w for w in before.at_outer[s.name]}
    outside: list[GroupLie] = []
    last = s
    while last.outer in tree.out_of and wires:
        *beside, core = before.exits[last.outer]
        for one, clock in _outermost_first(exits, last.outer, core, beside):
            taken = [w for w in before.at_inner[one.name] if w.identity in wires]
            if taken:
                outside.append(_lie(tree, one, clock, False, taken))
            for w in taken:
                del wires[w.identity]
        if not any(w.identity in wires for w in before.at_inner[core.name]):
            break
        last = core
    if wires:
        yield _lie(tree, last, None, True, list(wires.values()))
    yield from reversed(outside)


def _outermost_first(
    exits: LoomExits, point: str, core: Section, beside: list[Section]
) -> list[tuple[Section, int | None]]:
    """What leaves a point outside, with its hour.

    Branches first, what turns off furthest first; then co-runs as they part.
    """
    along = next((x.at_inner for x in exits.abreast if x.inner == point and core.name in x.at_inner), ())
    place = {name: n for n, name in enumerate(along)}
    hand = {s.name: lie_beside(exits.leaving[s.name], exits.leaving[core.name]) for s in beside}

    def key(s: Section) -> tuple[int, float]:
        from_core = abs(place[s.name] - place[core.name]) if s.name in place else len(along)
        way = hand[s.name]
        return -from_core, -round(math.hypot(way.left, way.above), 6) if way else 0.0

    return [(s, way.clock if (way := hand[s.name]) else None) for s in sorted(beside, key=key)]


def _lie(tree: Tree, s: Section, clock: int | None, core: bool, wires: list[Wire]) -> GroupLie:
    labels = tuple(w.label for w in sorted(wires, key=lambda w: w.number))
    return GroupLie(section_key(tree.loom, s.name), s.inner, clock, core, labels)
