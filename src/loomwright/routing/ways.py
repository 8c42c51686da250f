"""Distances and ways in one loom's tree, found by climbing towards the datum."""

from dataclasses import dataclass
from functools import cached_property

from loomwright.model.circuit import LoomPlace
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import Step

Spot = str | LoomPlace  # a point of the tree, or a place inside a section


@dataclass(frozen=True)
class Ways:
    """One tree with what is needed to measure in it quickly."""

    tree: Tree

    @cached_property
    def depth(self) -> dict[str, int]:
        """Number of sections between every point and the datum."""
        found = {self.tree.datum: 0}
        for s in self.tree.sections:
            found[s.outer] = found[s.inner] + 1
        return found

    @cached_property
    def order(self) -> dict[str, int]:
        """Every point's turn on a walk that finishes each branch before it starts the next."""
        found: dict[str, int] = {}
        waiting = [self.tree.datum]
        while waiting:
            point = waiting.pop()
            found[point] = len(found)
            waiting.extend(s.outer for s in reversed(self.tree.out_of.get(point, ())))
        return found

    @cached_property
    def beyond(self) -> dict[str, int]:
        """Number of points at and beyond every point."""
        found = dict.fromkeys(self.order, 1)
        for s in reversed(self.tree.sections):
            found[s.inner] += found[s.outer]
        return found

    def is_beyond(self, section: Section, point: str) -> bool:
        """Tell whether a point lies on the outer side of a section."""
        first = self.order[section.outer]
        return first <= self.order[point] < first + self.beyond[section.outer]

    def meeting(self, a: str, b: str) -> str:
        """Return the point where the ways of two points to the datum meet."""
        while a != b:
            if self.depth[a] >= self.depth[b]:
                a = self.tree.into[a].inner
            else:
                b = self.tree.into[b].inner
        return a

    def gap_mm(self, a: str, b: str) -> float:
        """Return the distance between two points along the tree [mm]."""
        run = self.tree.from_datum_mm
        return run[a] + run[b] - 2 * run[self.meeting(a, b)]

    def place_gap_mm(self, place: LoomPlace, point: str) -> float:
        """Return the distance between a place and a point along the tree [mm]."""
        section = self.tree.by_name[place.section]
        if self.is_beyond(section, point):
            return section.length_mm - place.mm + self.gap_mm(section.outer, point)
        return place.mm + self.gap_mm(section.inner, point)

    def steps(self, a: Spot, b: Spot) -> tuple[Step, ...]:
        """Return the way from spot `a` to spot `b`.

        Args:
            a, b: points of the tree, or places inside its sections
        Raises:
            KeyError: a spot is not in the tree.
        """
        (up_in, up_mm), (down_in, down_mm) = self._entry(a), self._entry(b)
        up: list[Step] = []
        down: list[Step] = []
        while up_in is not down_in:
            if self._rank(up_in) >= self._rank(down_in):
                assert up_in is not None
                up.append(Step(up_in.name, up_mm, 0.0))
                up_in, up_mm = self._entry(up_in.inner)
            else:
                assert down_in is not None
                down.append(Step(down_in.name, 0.0, down_mm))
                down_in, down_mm = self._entry(down_in.inner)
        middle = () if up_in is None else (Step(up_in.name, up_mm, down_mm),)
        return tuple(step for step in (*up, *middle, *reversed(down)) if step.mm > 0)

    def _entry(self, spot: Spot) -> tuple[Section | None, float]:
        """Return the section a spot lies in and where, None at the datum."""
        if isinstance(spot, LoomPlace):
            return self.tree.by_name[spot.section], spot.mm
        if spot == self.tree.datum:
            return None, 0.0
        section = self.tree.into[spot]
        return section, section.length_mm

    def _rank(self, section: Section | None) -> int:
        return 0 if section is None else self.depth[section.outer]


def shortened(way: tuple[Step, ...], mm: float) -> tuple[tuple[Step, ...], LoomPlace | None]:
    """Return a way without its first `mm`, and the place where it now starts.

    Args:
        way: steps, from the end that is shortened
        mm: 0 to the length of the way [mm]
    """
    left = list(way)
    while left and left[0].mm <= mm:
        mm -= left.pop(0).mm
    if not left:
        last = way[-1] if way else None
        return (), LoomPlace(last.section, last.to_mm) if last else None
    first = left[0]
    start = first.from_mm + (mm if first.to_mm > first.from_mm else -mm)
    return (Step(first.section, start, first.to_mm), *left[1:]), LoomPlace(first.section, start)
