"""Lay a loom's tree flat: an angle for every section so that nothing crosses and the board stays long and thin.

The longest way from the datum runs straight along x; what hangs off it leaves at multiples of 15 degrees on the hand
it has on the car. The tree is laid from its far ends inward, each part as a stiff shape that is hung on at the
best angle that keeps clear. Where that finds no room, `board_sectors` gives every part a sector of its own, which
always works. Kinks only at branch points and partings: common practice.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from loomwright.building.board_task import Corridor, Group, Task, Turn
from loomwright.building.exits import Leaving
from loomwright.building.shape import Floats, Shape, collide, shape
from loomwright.model.tree import Section

TURNS: Final = tuple(range(15, 180, 15))
CLEAR_MM: Final = (25.0, 12.0, 4.0, 1.0)  # tried in this order; ours
LEAST_TURN_DEG: Final = 14.0
CROWDED_DEG: Final = 30.0
BENCH_HALF_MM: Final = 300.0  # a bench is 0.6 to 1.0 m deep, common practice: half of it, less a border
SIDE_WAY_HALF_MM: Final = 120.0  # the same for what hangs off a side way; ours
STRETCH_MM: Final = 50.0  # this much beyond the bench costs as much as 30 degrees; ours
BACK_SHARE: Final = 0.7  # what hangs on may reach back over this much of the straight behind it; ours
BACKWARD: Final = 1.5  # cost of an angle that goes back along the loom; ours
SLIM_DEG: Final = (30.0, 15.0)  # the angles tried where the usual one found no room; ours
LEAN_DEG: Final = {"outward": -15.0, "square": 30.0, "back": 60.0}  # against the usual angle; ours
SLIM_HALF_MM: Final = 40.0


class NoRoom(Exception):
    """No angle was free for a part of the loom; it is laid in sectors instead."""


@dataclass(slots=True)
class Place:
    """What stands at a point so far, while parts are being hung on.

    Attributes:
        shape: None = nothing yet
        taken: directions in use, as (from, to) [degrees]
        back_mm: how far what hangs on may reach back at no cost [mm]
        hung: number of parts on the left (1) and on the right (-1)
    """

    shape: Shape | None
    taken: list[tuple[float, float]]
    back_mm: float
    half_mm: float
    hung: dict[int, int]


def turns(task: Task, usual_deg: float = 60.0) -> dict[str, Turn]:
    """Return the turn of every section, by section name.

    Args:
        task: the tree and what to keep
        usual_deg: angle at which parts leave where nothing speaks against it, 15 to 90 [degrees]
    Raises:
        NoRoom: a part found no free angle.
    """
    return _Layout(task, usual_deg).lay()


class _Layout:
    """One attempt at laying a tree flat; a builder, used once.

    A part that finds no room is laid anew with sharper angles, so that it becomes slim, and tried again; then
    what stands at the point already is laid slim as well.
    """

    def __init__(self, task: Task, usual_deg: float) -> None:
        self.task, self.usual_deg = task, usual_deg
        self.turn: dict[str, Turn] = {}
        self.outer: dict[str, Shape] = {}
        self.slim: dict[str, int] = {}
        self.lanes = {g.lead.name: g.beside for some in task.groups.values() for g in some}

    def lay(self) -> dict[str, Turn]:
        """Hang everything on, far ends first, and return the turns."""
        for s in reversed(self.task.tree.sections):
            self._lay_outer(s)
        self._fill(self.task.tree.datum, self._datum)
        return self.turn

    def _lay_outer(self, s: Section) -> None:
        waiting = self.task.groups.get(s.outer, ())
        order = sorted(enumerate(waiting), key=lambda g: (g[0] > 0, g[1].lead.name not in self.task.kept))
        wide = BENCH_HALF_MM if s.outer in self.task.main_way else SIDE_WAY_HALF_MM
        half = SLIM_HALF_MM if self.slim.get(s.name) else wide

        def fill() -> None:
            back = self.task.straight_back[s.name] * BACK_SHARE
            place = Place(self._incoming(s), [(180.0, 180.0)], back, half, {1: 0, -1: 0})
            for n, group in order:
                self._hang(place, group, s.name, 0.0, straight=n == 0)
            self.outer[s.name] = place.shape or self._incoming(s)

        self._fill(s.outer, fill)

    def _fill(self, point: str, fill: Callable[[], None]) -> None:
        """Hang everything on at a point; where there's no room, with slimmer parts."""
        groups = self.task.groups.get(point, ())
        for slim in range(1, len(SLIM_DEG) + 1):
            for some in (groups[1:], groups):
                try:
                    return fill()
                except NoRoom:
                    self._lay_again(some, slim)
        return fill()

    def _lay_again(self, some: tuple[Group, ...], slim: int) -> None:
        within = {s.name for g in some for s in (g.lead, *(x for x, _ in g.beside))}
        for s in self.task.tree.sections:
            into = self.task.tree.into.get(s.inner)
            if into and into.name in within:
                within.add(s.name)
        for s in reversed(self.task.tree.sections):
            if s.name in within and self.slim.get(s.name, 0) < slim:
                self.slim[s.name] = slim
                self._lay_outer(s)

    def _datum(self) -> None:
        place = Place(None, [], float("inf"), BENCH_HALF_MM, {1: 0, -1: 0})
        for heading, left in ((0.0, False), (180.0, True)):
            some = [g for g in self.task.groups.get(self.task.tree.datum, ()) if (g.lead.name in self.task.to_left) is left]
            for n, group in enumerate(some):
                self._hang(place, group, None, heading, straight=n == 0)

    def _incoming(self, s: Section) -> Shape:
        """What stands at a section's outer point before anything is hung on: itself, its co-runs, what lies beyond."""
        half = self.task.half_mm[s.name]
        pieces = [((-self.task.straight_back[s.name], 0.0, 0.0, 0.0), half, 0.0)]
        for other, c in self.lanes.get(s.name, ()):
            row = (c.fan_mm - s.length_mm, c.offset_mm, c.until_mm - s.length_mm, c.offset_mm)
            pieces.append((row, self.task.half_mm[other.name], s.length_mm - c.until_mm + 1.0))
        beyond = self.task.beyond.get(s.outer)
        if beyond and s.outer not in self.task.tree.out_of:
            pieces.append(((0.0, 0.0, beyond.mm, 0.0), max(half, beyond.half_mm), 0.0))
        return shape(*pieces)

    def _rooted(self, s: Section, length_mm: float) -> Shape:
        """A section with all that hangs on it, in the frame of a point `length_mm` before its outer point."""
        outer = self.outer[s.name]
        rows, gap = outer.rows.copy(), outer.gap + length_mm
        rows[0] = (-length_mm, 0.0, 0.0, 0.0)
        gap[0] = 0.0
        return Shape(rows, outer.half, gap).moved(length_mm, 0.0)

    def _group(self, group: Group) -> tuple[Shape, float, float]:
        """The shape of a group in the frame of its point, and the directions of its outermost lines there."""
        lead = group.lead
        whole = self._rooted(lead, lead.length_mm)
        for n, (_, c) in enumerate(group.beside):
            whole.gap[n + 1] = c.slant_mm
        for n, (s, c) in enumerate(group.beside):
            whole = self._parted(whole, n + 1, len(group.beside), s, c)
        fans = [c.fan_deg for _, c in group.beside]
        return whole, min(0.0, *fans, 0.0), max(0.0, *fans, 0.0)

    def _parted(self, whole: Shape, lane: int, lanes: int, s: Section, c: Corridor) -> Shape:
        half = self.task.half_mm[s.name]
        fan = shape(((0.0, 0.0, c.fan_mm, c.offset_mm), half, 0.0))
        rest = s.length_mm - c.run_mm
        if rest < 1.0:
            part = self._rooted(s, max(rest, 0.0) or 1e-9).moved(c.until_mm + min(rest, 0.0), c.offset_mm)
            self.turn[s.name] = Turn(0.0, c)
        else:
            part, deg = self._part_from(whole, lane, lanes, s, c, rest)
            self.turn[s.name] = Turn(deg, c)
        return whole.joined(fan).joined(replace(part, gap=part.gap + c.run_mm))

    def _part_from(
        self, whole: Shape, lane: int, lanes: int, s: Section, c: Corridor, rest: float
    ) -> tuple[Shape, float]:
        side = 1 if c.offset_mm > 0 else -1
        place = Place(None, [(180.0, 180.0), (0.0, 0.0)], c.until_mm, SIDE_WAY_HALF_MM, {1: 0, -1: 0})
        gap = np.maximum(np.abs(whole.gap - c.run_mm), 1e-6)
        gap[: lanes + 1] = 1e-6
        seen = replace(whole, gap=gap)
        touching = np.zeros(len(whole.half))
        touching[0] = touching[lane] = 1.0
        part = self._rooted(s, rest)
        leaving = replace(self.task.leaving[s.name], side=side)
        choices = self._choices(place, part, (0.0, 0.0), leaving, self.task.kept_turn(s.name, c.beside), False)
        for clear in CLEAR_MM:
            for deg in choices:
                turned = part.turned(deg).moved(c.until_mm, c.offset_mm)
                if not collide(seen, turned, clear, touching):
                    return turned, deg
        raise NoRoom(s.name)

    def _hang(self, place: Place, group: Group, into: str | None, heading: float, straight: bool) -> None:
        part, low, high = self._group(group)
        leaving, kept = self.task.leaving[group.lead.name], self.task.kept_turn(group.lead.name, into)
        kept = None if kept is None else kept - heading
        for clear in CLEAR_MM:
            for deg in self._choices(place, part, (low + heading, high + heading), leaving, kept, straight):
                turned = part.turned(deg + heading)
                if place.shape is None or not collide(place.shape, turned, clear):
                    place.shape = turned if place.shape is None else place.shape.joined(turned)
                    place.taken.append((deg + low + heading, deg + high + heading))
                    if deg:
                        place.hung[1 if deg > 0 else -1] += 1
                    self.turn[group.lead.name] = Turn(deg + heading)
                    return
        raise NoRoom(group.lead.name)

    def _choices(
        self,
        place: Place,
        part: Shape,
        fan: tuple[float, float],
        leaving: Leaving,
        kept: float | None,
        straight: bool,
    ) -> list[float]:
        """Turns to try, best first."""
        sides = (leaving.side,) if leaving.side else (1, -1)
        some = [float(side * deg) for side in sides for deg in TURNS]
        costs = _reach_costs(part, some, place.back_mm, place.half_mm)
        slim = self.slim.get(leaving.section, 0)
        usual = SLIM_DEG[slim - 1] if slim else self.usual_deg + LEAN_DEG.get(leaving.lean, 0.0)
        rated = []
        for deg, cost in zip(some, costs.tolist(), strict=True):
            room = _room(place.taken, fan[0] + deg, fan[1] + deg)
            if room < LEAST_TURN_DEG:
                continue
            side = 1 if deg > 0 else -1
            cost += abs(abs(deg) - usual) / 30.0 + (room < CROWDED_DEG) + 0.4 * place.hung[side]
            cost += BACKWARD * (abs(deg) > 90.0)
            rated.append((cost - 0.75 * (leaving.leans_to == side), -side, deg))
        best = [deg for _, _, deg in sorted(rated)]
        first = [0.0] if straight else []
        if kept is not None and (straight or kept * leaving.side > 0 or not leaving.side):
            first = [kept, *first]
        return [d for d in first if _room(place.taken, fan[0] + d, fan[1] + d) >= LEAST_TURN_DEG] + best


def _reach_costs(part: Shape, some: list[float], back_mm: float, half_mm: float) -> Floats:
    angles = np.radians(np.array(some))[:, None]
    x, y = part.points.T
    across = np.abs(x * np.sin(angles) + y * np.cos(angles)).max(axis=1)
    back = (y * np.sin(angles) - x * np.cos(angles)).max(axis=1)
    total: Floats = (np.maximum(across - half_mm, 0.0) + np.maximum(back - back_mm, 0.0)) / STRETCH_MM
    return total


def _room(taken: list[tuple[float, float]], low: float, high: float) -> float:
    """Return the least angle between a new direction and those in use [degrees]; 0 where they overlap."""
    least = 360.0
    for a, b in taken:
        one, two = (low - b) % 360.0, (a - high) % 360.0
        apart = min(one, two) if one + two + (high - low) + (b - a) <= 360.0 + 1e-6 else 0.0
        least = min(least, apart)
    return least
