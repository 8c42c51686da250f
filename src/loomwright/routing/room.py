"""Where along a section a splice may sit, and what is taken already."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from loomwright.model.circuit import LoomPlace
from loomwright.model.shop import Shop
from loomwright.model.tree import Section, Tree

STAGGER_PER_COVER: Final = 1.5  # stagger is at least 1.5 x the cover [common practice]
BEND_CLEAR_MM: Final = 40.0  # a cover and its support on either side of a bend [ours]
TIE_CLEAR_MM: Final = 20.0  # a tie's own width and half a cover [ours]

Stretch = tuple[float, float]


@dataclass(frozen=True)
class Room:
    """The stretches of one loom in which a splice may sit."""

    tree: Tree
    shop: Shop

    @cached_property
    def half_cover_mm(self) -> float:
        """Half the cover of a splice, from the shop's stagger [mm]."""
        return self.shop.splice_stagger_mm.value / STAGGER_PER_COVER / 2

    @cached_property
    def plugs(self) -> frozenset[str]:
        """Points that are rope ends."""
        return frozenset(self.tree.ends)

    @cached_property
    def stretches(self) -> dict[str, tuple[Stretch, ...]]:
        """Stretches of every section, in whole mm, before any splice sits there."""
        return {s.name: self._straight(s) for s in self.tree.sections}

    def free(self, section: str, taken: Iterable[float]) -> tuple[Stretch, ...]:
        """Return the stretches of a section that are a stagger away from every splice in it."""
        gap = self.shop.splice_stagger_mm.value
        return _without(self.stretches[section], ((mm - gap, mm + gap) for mm in taken))

    def objection(self, place: LoomPlace, taken: Iterable[float]) -> str:
        """Return why a splice may not sit at a place, "" = it may."""
        section = self.tree.by_name.get(place.section)
        if section is None:
            return "there is no such section"
        if not 0 <= place.mm <= section.length_mm:
            return f"{section.name} is {section.length_mm:.0f} mm long"
        if not any(low <= place.mm <= high for low, high in self._bounds(section)):
            return "it is too near to a branch point or plug"
        if not any(low <= place.mm <= high for low, high in self.stretches[place.section]):
            return "it is in a bend or under a tie"
        if any(abs(place.mm - mm) < self.shop.splice_stagger_mm.value for mm in taken):
            return "its cover would lie beside another splice's"
        return ""

    def beside(self, place: LoomPlace) -> str:
        """Return the nearer of the two points a place lies between."""
        section = self.tree.by_name[place.section]
        return section.inner if place.mm <= section.length_mm / 2 else section.outer

    def _margin_mm(self, point: str) -> float:
        if point in self.plugs:
            return self.shop.splice_behind_plug_mm.value
        return self.shop.splice_from_branch_mm.value + self.half_cover_mm

    def _bounds(self, section: Section) -> tuple[Stretch, ...]:
        low = float(math.ceil(self._margin_mm(section.inner)))
        high = float(math.floor(section.length_mm - self._margin_mm(section.outer)))
        return ((low, high),) if low <= high else ()

    def _straight(self, section: Section) -> tuple[Stretch, ...]:
        passes = section.passes
        if passes is None:
            return self._bounds(section)
        blocked = [(tie.at_mm - TIE_CLEAR_MM, tie.at_mm + TIE_CLEAR_MM) for tie in passes.ties]
        for bend in passes.bends:
            arc = bend.radius_mm * math.radians(bend.angle_deg) / 2 + self.half_cover_mm
            clear = max(BEND_CLEAR_MM, arc)
            blocked.append((bend.at_mm - clear, bend.at_mm + clear))
        return _without(self._bounds(section), blocked)


def _without(stretches: Iterable[Stretch], blocked: Iterable[Stretch]) -> tuple[Stretch, ...]:
    """Return stretches with others taken out; their ends stay whole mm, and touching is allowed."""
    left = list(stretches)
    for start, stop in blocked:
        first, last = float(math.floor(start)), float(math.ceil(stop))
        parts = []
        for low, high in left:
            if last < low or first > high:
                parts.append((low, high))
                continue
            parts += [(low, first)] if low <= first else []
            parts += [(last, high)] if last <= high else []
        left = parts
    return tuple(left)
