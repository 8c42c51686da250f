"""A quick figure for a move, so that promising ones are looked at first: wire, sheath and fixed prices."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from loomwright.checks.worked import Worked
from loomwright.model.tree import Section, Tree
from loomwright.planning.moves_change import Step
from loomwright.planning.price import Price
from loomwright.routing.routed import Wire, section_key


@dataclass(frozen=True)
class Quick:
    """What quick figures rest on: a worked-out job and its price."""

    worked: Worked
    price: Price

    @cached_property
    def wire_each(self) -> dict[tuple[str, str], float]:
        """Price of a metre by family and size, the mean of its colours."""
        found: dict[tuple[str, str], list[float]] = {}
        for one in self.price.of("wire"):
            if one.each is not None:
                found.setdefault((one.need.name, one.need.size), []).append(one.each.value)
        return {key: math.fsum(some) / len(some) for key, some in found.items()}

    @cached_property
    def sheath_each(self) -> dict[tuple[str, str], float]:
        """Price of a metre by type and size of covering."""
        lines = self.price.sheaths
        return {(x.need.name, x.need.size): x.each.value for x in lines if x.each is not None}

    def sheath_price(self, loom: str, section: str) -> float:
        """Return what a metre of a section's covering costs; 0 = it has none."""
        piece = self.worked.sized.sleeve.get(section_key(loom, section))
        return 0.0 if piece is None else self.sheath_each.get((piece.type or piece.what, piece.size), 0.0)

    def money(self, loom: str, step: Step) -> float:
        """Return about how much dearer (above 0) or cheaper a loom becomes, in the shop's own money.

        Wires follow the new tree with their splices at the point next to them; sizes, colours and coverings
        stay as they are. Ours; the exact price follows by working the changed job out.

        Args:
            loom: the loom it is in
            step: the change
        """
        tree = self.worked.routed.tree[loom]
        new = _edges(tree, step)
        wire = math.fsum(
            self._wire(tree, new, step, one) for one in self.worked.routed.wires if one.loom == loom
        )
        points = _branch_points(tree.datum, new) - len(tree.branch_points)
        trunk = _trunk(new) - _trunk({s.outer: (s.inner, s.length_mm) for s in tree.sections})
        section = next(
            (s.minutes.middle for s in self.price.hours.steps if s.per == "sections of trunk"), 0.0
        )
        fixed = points * self.price.fixed[0].each + trunk * section / 60 * self.price.hour.value
        return wire + self._sheath(tree, new) + fixed

    def _wire(self, tree: Tree, new: Mapping[str, tuple[str, float]], step: Step, wire: Wire) -> float:
        if not wire.way:
            return 0.0
        first, last = wire.way[0].section, wire.way[-1].section
        a, b = _ends(tree, wire, first, last)
        went = dict(step.went)
        was = math.fsum(s.length_mm for s in tree.way(a, b))
        now = _distance(new, went.get(a, a), went.get(b, b))
        size = self.worked.sized.conductor[wire.identity].size
        return (now - was) / 1000 * self.wire_each.get((size.family, size.label), 0.0)

    def _sheath(self, tree: Tree, new: Mapping[str, tuple[str, float]]) -> float:
        before = math.fsum(s.length_mm * self.sheath_price(tree.loom, s.name) for s in tree.sections)
        after = 0.0
        for outer, (_, mm) in new.items():
            old = tree.into.get(outer) or max(
                tree.sections, key=lambda s: self.sheath_price(tree.loom, s.name)
            )
            after += mm * self.sheath_price(tree.loom, old.name)
        return (after - before) / 1000


def _ends(tree: Tree, wire: Wire, first: str, last: str) -> tuple[str, str]:
    """The points of the tree a wire runs between; a splice within a section counts as at its near point."""
    a, b = tree.by_name[first], tree.by_name[last]
    if first == last:
        return a.inner, a.outer
    return _far(a, tree.by_name[wire.way[1].section]), _far(b, tree.by_name[wire.way[-2].section])


def _far(one: Section, following: Section) -> str:
    """The point of a section that the next one does not share."""
    return one.outer if one.inner in (following.inner, following.outer) else one.inner


def _edges(tree: Tree, step: Step) -> dict[str, tuple[str, float]]:
    """The new tree: inner point and length by outer point."""
    kept = (s for s in tree.sections if s.name not in step.gone)
    found = {s.outer: (s.inner, s.length_mm) for s in kept}
    found.update({outer: (inner, mm) for inner, outer, mm in step.lengths})
    return found


def _distance(new: Mapping[str, tuple[str, float]], a: str, b: str) -> float:
    """The way between two points of the new tree [mm]."""
    above = {a: 0.0}
    mm, point = 0.0, a
    while point in new:
        point, more = new[point]
        mm += more
        above[point] = mm
    mm, point = 0.0, b
    while point not in above and point in new:
        point, more = new[point]
        mm += more
    return mm + above.get(point, 0.0)


def _branch_points(datum: str, new: Mapping[str, tuple[str, float]]) -> int:
    out: dict[str, int] = {}
    for inner, _ in new.values():
        out[inner] = out.get(inner, 0) + 1
    return sum(count + (point != datum) >= 3 for point, count in out.items())


def _trunk(new: Mapping[str, tuple[str, float]]) -> int:
    inner = {point for point, _ in new.values()}
    return sum(outer in inner for outer in new)
