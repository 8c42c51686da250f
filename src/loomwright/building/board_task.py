"""What is laid flat on a forming board, and the words a layout is told in."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from loomwright.building.exits import Leaving
from loomwright.model.tree import Section, Tree

SHORTEST_CO_RUN_MM: Final = 30.0  # a shorter one is drawn as an exit of its own; ours
SHORTEST_REST_MM: Final = (
    20.0  # nor is one whose end has less than this left beyond: no room for a plug; ours
)
FAN_LENGTHS: Final = 4.0  # co-runs reach their offset over this many times the widest offset; ours
FAN_SHARE: Final = 0.6  # ... but over no more than this share of the shortest co-run; ours
END_SHARE: Final = 0.7  # of its length that a single end counts against a way that branches on; ours
BESIDE_MM: Final = 3.0  # air drawn between bundles that run side by side; ours


@dataclass(frozen=True, slots=True)
class Beyond:
    """What lies beyond an end on the board: its trim zone, then contacts and housing.

    Attributes:
        mm: how far all of it reaches [mm]
        half_mm: half the housing's width [mm]
        trim_mm: how far the trim zone reaches [mm]
        trim_half_mm: half the trim zone's width [mm]
    """

    mm: float
    half_mm: float
    trim_mm: float = 0.0
    trim_half_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Corridor:
    """How a co-run runs beside its companion.

    Attributes:
        beside: section it runs beside
        offset_mm: distance from its centre line, left positive [mm]
        fan_mm: along the companion, where the offset is reached [mm]
        until_mm: along the companion, where it parts [mm]
    """

    beside: str
    offset_mm: float
    fan_mm: float
    until_mm: float

    @property
    def slant_mm(self) -> float:
        """Own length until the offset is reached [mm]."""
        return math.hypot(self.fan_mm, self.offset_mm)

    @property
    def run_mm(self) -> float:
        """Own length from the branch point to the parting [mm]."""
        return self.slant_mm + self.until_mm - self.fan_mm

    @property
    def fan_deg(self) -> float:
        """Angle to the companion on the way to the offset [degrees]."""
        return math.degrees(math.atan2(self.offset_mm, self.fan_mm))


@dataclass(frozen=True, slots=True)
class Turn:
    """How a section is drawn: its turn from what it goes on from [degrees, left positive].

    A co-run turns from its companion's direction where it parts; any other from the section before it, and
    at the datum from the x axis.
    """

    deg: float
    corridor: Corridor | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Sections that leave a point as one: a section and the co-runs beside it, the last to part first."""

    lead: Section
    beside: tuple[tuple[Section, Corridor], ...]


@dataclass(frozen=True)
class Task:
    """What has to be laid flat.

    Attributes:
        leaving: how sections leave their points, by section name
        half_mm: half the finished diameter, by section name [mm]
        beyond: what lies beyond the ends, by end
        kept: directions chosen before, by section name [degrees]
        to_left: sections that leave the datum to the left of the board
        side_by_side: co-runs are drawn beside each other; else each is an exit of its own
    """

    tree: Tree
    leaving: Mapping[str, Leaving]
    half_mm: Mapping[str, float]
    beyond: Mapping[str, Beyond] = field(default_factory=dict)
    kept: Mapping[str, float] = field(default_factory=dict)
    to_left: frozenset[str] = frozenset()
    side_by_side: bool = True

    @cached_property
    def depth(self) -> dict[str, float]:
        """The longest way from every section's inner point outward [mm]."""
        found: dict[str, float] = {}
        for s in reversed(self.tree.sections):
            further = (found[x.name] for x in self.tree.out_of.get(s.outer, ()))
            found[s.name] = s.length_mm + max(further, default=0.0)
        return found

    @cached_property
    def groups(self) -> dict[str, tuple[Group, ...]]:
        """The groups that leave every point, the deepest first."""
        return {point: self._groups(out) for point, out in self.tree.out_of.items()}

    def kept_turn(self, section: str, goes_on_from: str | None) -> float | None:
        """Return the turn a section had before, -180 to 180 [degrees]; None = it is new here."""
        if section not in self.kept or (goes_on_from and goes_on_from not in self.kept):
            return None
        turn = self.kept[section] - (self.kept[goes_on_from] if goes_on_from else 0.0)
        return turn - 360.0 * math.ceil((turn - 180.0) / 360.0)

    def _groups(self, out: tuple[Section, ...]) -> tuple[Group, ...]:
        sections = {s.name: s for s in out}
        beside = co_runs(out, self.tree.out_of) if self.side_by_side else {s.name: {} for s in out}
        free, found = set(sections), []
        while free:
            lead = max(
                free,
                key=lambda n: (max((beside[n].get(x, 0.0) for x in free), default=0.0), self.depth[n], n),
            )
            with_it = {n: mm for n, mm in beside[lead].items() if n in free}
            free -= {lead, *with_it}
            found.append(Group(sections[lead], self._corridors(sections, lead, with_it)))
        return tuple(sorted(found, key=lambda g: (-self.reach(g), g.lead.name)))

    def reach(self, group: Group) -> float:
        """How far a group reaches [mm]; for what goes straight on, a single end counts for less."""
        some = (group.lead, *(s for s, _ in group.beside))
        return max(self.depth[s.name] * (1.0 if s.outer in self.tree.out_of else END_SHARE) for s in some)

    def _corridors(
        self, sections: Mapping[str, Section], lead: str, with_it: Mapping[str, float]
    ) -> tuple[tuple[Section, Corridor], ...]:
        outside = {1: self.half_mm[lead], -1: self.half_mm[lead]}
        rows: dict[int, list[tuple[str, float, float]]] = {1: [], -1: []}
        for name, until in sorted(with_it.items(), key=lambda x: (-x[1], x[0])):
            leaving = self.leaving[name]
            side = leaving.side or leaving.leans_to or (1 if len(rows[1]) <= len(rows[-1]) else -1)
            offset = outside[side] + BESIDE_MM + self.half_mm[name]
            outside[side] = offset + self.half_mm[name]
            rows[side].append((name, side * offset, until))
        found = []
        for some in rows.values():
            if some:
                fan = min(FAN_LENGTHS * abs(some[-1][1]), FAN_SHARE * some[-1][2])
                found += [(sections[n], Corridor(lead, offset, fan, until)) for n, offset, until in some]
        return tuple(sorted(found, key=lambda x: (-x[1].until_mm, x[0].name)))


def co_runs(out: tuple[Section, ...], goes_on: Mapping[str, object]) -> dict[str, dict[str, float]]:
    """Return which sections that leave one point run side by side, and how long [mm], both ways round.

    Args:
        out: sections that leave one point
        goes_on: points where something goes on; at any other a plug needs room beyond the parting
    """
    sections = {s.name: s for s in out}
    found: dict[str, dict[str, float]] = {name: {} for name in sections}
    for s in out:
        for run in s.co_runs:
            other = sections.get(run.section)
            if other is None or other is s:
                continue
            mm = min(run.until_mm, s.length_mm, other.length_mm)
            room = all(x.outer in goes_on or x.length_mm - mm >= SHORTEST_REST_MM for x in (s, other))
            if mm >= SHORTEST_CO_RUN_MM and room:
                found[s.name][other.name] = max(mm, found[s.name].get(other.name, 0.0))
                found[other.name][s.name] = max(mm, found[other.name].get(s.name, 0.0))
    return found
