"""Which exits and co-runs get into each other's way, and how what nobody noted is laid so that they don't.

A co-run that runs past a branch point lies beside it on one side; what leaves there on that side lies across
it. Exits noted stand, and so do board angles kept from before; the others leave, and co-runs pass, so that
the fewest cross. Board and groups follow the same order.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import Final

from loomwright.building.board_task import Task
from loomwright.building.exits import Leaving, leavings
from loomwright.calc.exit_order import Corridors, across_at
from loomwright.calc.exit_order_search import Exits, best_exits
from loomwright.mockup.unknown import NEAR_MM
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree

RIM: Final = 1.0
HANDS: Final = MappingProxyType({1: "to the left", -1: "to the right"})


@dataclass(frozen=True, slots=True)
class Crossing:
    """Two sections that can't but cross, with the exits as noted.

    Attributes:
        passer: the co-run
        other: what it lies across
        point: branch point it passes, "" = they change sides on the way
    """

    passer: str
    other: str
    point: str


@dataclass(frozen=True, slots=True)
class Abreast:
    """Sections side by side over one stretch of the way, from the left to the right, looking outward.

    Attributes:
        inner: where the stretch begins: a point, or "MAP parts" where a co-run leaves
        outer: where it ends
        at_inner: sections at its inner end, two or more
        at_outer: the same at its outer end; in another order only where some can't but cross
    """

    inner: str
    outer: str
    at_inner: tuple[str, ...]
    at_outer: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LoomExits:
    """How the sections of one loom leave their inner points, lie side by side, and what can't but cross.

    Attributes:
        leaving: how each leaves its inner point, by section
        crossings: what crosses
        abreast: order of what runs side by side, from the datum outward
        least: fewer crossings are proved to be impossible with the exits noted
    """

    loom: str
    leaving: Mapping[str, Leaving]
    crossings: tuple[Crossing, ...]
    abreast: tuple[Abreast, ...] = ()
    least: bool = True

    @property
    def begun(self) -> tuple[Abreast, ...]:
        """Of what lies side by side the stretches whose order does not follow from the one before."""
        before: dict[str, Abreast] = {}
        found = []
        for one in self.abreast:
            last = before.get(one.inner)
            stays = last and tuple(name for name in last.at_outer if name in one.at_inner) == one.at_inner
            if not stays or one.at_inner != one.at_outer:
                found.append(one)
            before[one.outer] = one
        return tuple(found)


@dataclass(frozen=True)
class ExitPaths:
    """How one loom's exits leave and its co-runs lie.

    Attributes:
        task: corridors and lines as the kernel takes them
        points: names of the kernel's points
        sections: names, in the order of the kernel's lines
        own: corridor in which a section lies alone or leads, by section
        onward: corridor that goes on from a point of the kernel, by point
        free: sections whose exit nobody noted; a direction kept from before counts, but doesn't note it
        exits: what the kernel found
    """

    task: Corridors
    points: tuple[str, ...]
    sections: tuple[str, ...]
    own: Mapping[str, int]
    onward: Mapping[int, int]
    free: frozenset[str]
    exits: Exits

    @cached_property
    def side(self) -> dict[str, int]:
        """Hand chosen for what nobody noted, where it decides what crosses: 1 = left, -1 = right."""
        return {name: side for name, side in self._hands.items() if self.task.noted[self.own[name]] is None}

    @cached_property
    def kept_side(self) -> dict[str, int]:
        """Hand of the same where the board's direction was kept from before: it stays what it was."""
        return {name: side for name, side in self._hands.items() if name not in self.side}

    @cached_property
    def _hands(self) -> dict[str, int]:
        deciding = {p for line, _ in self.task.passing for p in self.task.ways[line]}
        found = {}
        for name, corridor in self.own.items():
            point = self.task.inner[corridor]
            onward = self.onward.get(point, corridor)
            if point in deciding and corridor != onward and name in self.free:
                rank = self.exits.choice.rank[point]
                found[name] = 1 if rank[corridor] > rank[onward] else -1
        return found

    @cached_property
    def abreast(self) -> tuple[Abreast, ...]:
        """What runs side by side and in which order, from the datum outward."""
        found = []
        for corridor, ends in enumerate(self.exits.order):
            if len(ends[0]) > 1:
                lies = (tuple(self.sections[line] for line in reversed(end)) for end in ends)
                between = self.points[self.task.inner[corridor]], self.points[corridor + 1]
                found.append(Abreast(*between, *lies))
        return tuple(found)

    @cached_property
    def crossings(self) -> tuple[Crossing, ...]:
        """What can't but cross, sorted."""
        left = list(self.exits.crossings)
        found = []
        for line, point in self.task.passing:
            for other in across_at(self.task, self.exits.choice, line, point):
                left.remove((min(line, other), max(line, other)))
                found.append(Crossing(self.sections[line], self.sections[other], self.points[point]))
        found += [Crossing(self.sections[a], self.sections[b], "") for a, b in left]
        return tuple(sorted(found, key=lambda c: (c.point, c.passer, c.other)))


def exit_paths(job: Job, tree: Tree) -> ExitPaths:
    """Return how a loom's exits leave and its co-runs lie.

    Args:
        job: for the tapes, which tell past which branch points a co-run runs, and for kept board angles
        tree: the loom's tree with its exits
    """
    return _Walk(job, tree).found()


def loom_exits(job: Job, tree: Tree) -> LoomExits:
    """Return how every section leaves its inner point, and what can't but cross.

    Where nobody noted an exit and it decides whether something crosses, it leaves so that the fewest do.
    """
    paths, leaving = exit_paths(job, tree), leavings(job, tree)
    crossed = {name for one in paths.crossings for name in (one.passer, one.other)}
    for name, side in (*paths.side.items(), *paths.kept_side.items()):
        said = HANDS[side] if name in crossed else f"{HANDS[side]}, clear of the others"
        words = f"{leaving[name].words}{', ' if leaving[name].words else ''}{said}"
        leaving[name] = replace(leaving[name], side=side, words=words)
    return LoomExits(tree.loom, leaving, paths.crossings, paths.abreast, paths.exits.least)


class _Walk:
    """Builds the corridors from the datum outward."""

    def __init__(self, job: Job, tree: Tree) -> None:
        self.tree = tree
        leaving = leavings(job, tree)
        prefix = f"{tree.loom}/"
        kept = {k.removeprefix(prefix): deg for k, deg in job.kept.board_angles if k.startswith(prefix)}
        self.flat = Task(tree, leaving, dict.fromkeys(leaving, RIM), kept=kept)
        self.past = _past(job, tree)
        self.inner: list[int] = []
        self.noted: list[float | None] = []
        self.points = [tree.datum]
        self.number = {tree.datum: 0}
        self.own: dict[str, int] = {}
        self.onward: dict[int, int] = {}
        self.coming: dict[str, list[tuple[Section, tuple[tuple[str, float], ...]]]] = {}

    def found(self) -> ExitPaths:
        """Return corridors, lines and what the kernel makes of them."""
        waiting = [self.tree.datum]
        while waiting:
            waiting += self._leave(waiting.pop(0))
        sections = tuple(s.name for s in self.tree.sections)
        lines = tuple((self.number[s.inner], self.number[s.outer]) for s in self.tree.sections)
        task = Corridors(tuple(self.inner), tuple(self.noted), lines)
        free = frozenset(
            name for name, how in self.flat.leaving.items() if how.angle_deg is None and not how.side
        )
        return ExitPaths(task, tuple(self.points), sections, self.own, self.onward, free, best_exits(task))

    def _add(self, inner: int, name: str, noted: float | None) -> int:
        """Add a corridor and the point it leads to; return that point."""
        self.inner.append(inner)
        self.noted.append(noted)
        self.points.append(name)
        return len(self.inner)

    def _leave(self, point: str) -> list[str]:
        """Lay what leaves a point; return the points that were reached."""
        reached: list[str] = []
        passers = self.coming.pop(point, [])
        for n, group in enumerate(self.flat.groups.get(point, ())):
            lead = group.lead
            parting: list[tuple[float, Section]] = []
            for s, corridor in group.beside:
                further = self.past.get(s.name, ())
                if corridor.until_mm < lead.length_mm - NEAR_MM or not further:
                    parting.append((corridor.until_mm, s))
                else:
                    self.coming.setdefault(lead.outer, []).append((s, further))
            for s, further in [one for one in passers if one[1] and one[1][0][0] == lead.outer]:
                passers.remove((s, further))
                if further[0][1] < lead.length_mm - NEAR_MM:
                    parting.append((further[0][1], s))
                else:
                    self.coming.setdefault(lead.outer, []).append((s, further[1:]))
            reached += self._lay(point, lead, sorted(parting, key=lambda x: (x[0], x[1].name)), n == 0)
        for s, _ in passers:
            reached.append(self._end(self.number[point], s))
        return reached

    def _lay(self, point: str, lead: Section, parting: list[tuple[float, Section]], first: bool) -> list[str]:
        """Lay a section with what parts from it on the way."""
        at, noted = self.number[point], self._noted(lead, first)
        tails: list[tuple[int, Section]] = []
        names = [f"{s.outer} parts" for _, s in parting]
        for n, name in enumerate((*names, lead.outer)):
            corridor = len(self.inner)
            self.own.setdefault(lead.name, corridor)
            if n or first:
                self.onward[at] = corridor
            at, noted = self._add(at, name, noted), 0.0
            tails += [(at, s) for _, s in parting[n : n + 1]]
        self.number[lead.outer] = at
        return [lead.outer, *(self._end(parts_at, s) for parts_at, s in tails)]

    def _end(self, at: int, s: Section) -> str:
        """Lay the rest of a co-run from where it parts."""
        self.own[s.name] = len(self.inner)
        self.number[s.outer] = self._add(at, s.outer, self._noted(s, False))
        return s.outer

    def _noted(self, s: Section, onward: bool) -> float | None:
        """Return the direction noted, else the one kept from before, else straight on for what goes on."""
        leaving = self.flat.leaving[s.name]
        if leaving.angle_deg is not None or leaving.side:
            return leaving.angle_deg
        if onward:
            return 0.0
        into = self.tree.into.get(s.inner)
        beside = next(
            (c.beside for g in self.flat.groups[s.inner] for x, c in g.beside if x.name == s.name), None
        )
        return self.flat.kept_turn(s.name, beside or (into.name if into else None))


def _past(job: Job, tree: Tree) -> dict[str, tuple[tuple[str, float], ...]]:
    """Return for co-runs past a branch point: every further point they run towards, and how far that way.

    As the [build] tables say it, where they do; else as on the tape. The last entry is the section in which
    the co-run parts; further ones are not told.
    """
    return {**_past_on_tapes(job, tree), **_past_as_built(job, tree)}


def _past_as_built(job: Job, tree: Tree) -> dict[str, tuple[tuple[str, float], ...]]:
    """The same from [build] beside: a section runs on beside others where one it runs beside ends."""
    found = {}
    for one in job.built:
        section = tree.into.get(one.outer) if one.loom == tree.loom else None
        if section is None or section.inner != one.inner or one.beside is None:
            continue
        told = {name: mm for name, mm in one.beside if name in tree.by_name}
        along = {name: tree.by_name[name] for name in told}
        goes_on = {s.inner for s in along.values()}
        way: list[tuple[str, float]] = []
        at, left = one.inner, section.length_mm
        while some := [s for s in along.values() if s.inner == at and left > NEAR_MM]:
            on = min(some, key=lambda s: (s.outer not in goes_on, -told[s.name], s.name))
            mm = min(told[on.name], on.length_mm, left)
            way.append((on.outer, mm))
            left -= mm
            at = on.outer if mm >= on.length_mm - NEAR_MM else ""
        found[section.name] = tuple(way[1:])
    return found


def _past_on_tapes(job: Job, tree: Tree) -> dict[str, tuple[tuple[str, float], ...]]:
    """The same from the partings on the tapes."""
    found = {}
    for run in job.runs:
        known = [(r.mm, r.point) for r in run.readings if r.point in tree.into]
        chain = [(0.0, run.start), *sorted(known)] if run.loom == tree.loom else []
        for parting in run.partings if chain else ():
            section = tree.into.get(parting.end)
            start = next((mm for mm, point in chain if section and point == section.inner), None)
            if section is None or start is None:
                continue
            stops = [mm for mm, point in chain if point in tree.out_of and mm > start]
            way = [
                (point, parting.at_mm - before)
                for mm, point in chain
                for before in [max((x for x in stops if x < mm), default=parting.at_mm)]
                if mm > start and parting.at_mm - before > NEAR_MM
            ]
            found[section.name] = tuple(way)
    return found
