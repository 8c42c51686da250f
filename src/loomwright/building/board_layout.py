"""Lay a loom's tree flat: an angle for every section, nothing crossing, the board long and thin.

the far ends inward: each becomes a stiff shape that is hung on at the best angle that keeps clear, the
    biggest first. A part that finds no room goes first the next time, then is made slim. Where nothing
    helps, `board_sectors` gives every part a sector of its own. Kinks only at branch points and partings:
    common practice.
"""

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from loomwright.building.board_task import Corridor, Group, Task, Turn
from loomwright.building.shape import Floats, Row, Shape, collide
from loomwright.model.tree import Section

TURNS: Final = tuple(range(15, 180, 15))
CLEAR_MM: Final = (25.0, 12.0, 4.0, 1.0)  # tried in this order; ours
LEAST_TURN_DEG: Final = 14.0
CROWDED_DEG: Final = 30.0
BENCH_HALF_MM: Final = 300.0  # a bench is 0.6 to 1.0 m deep, common practice: half of it, less a border
SIDE_WAY_HALF_MM: Final = 120.0  # the same for what hangs off a side way; ours
SLIM_HALF_MM: Final = 90.0
ANGLE_DEG: Final = 60.0  # this much off the usual angle costs as much as
STRETCH_MM: Final = 30.0  # ... this much beyond the bench; ours
BACK_SHARE: Final = 1.0  # what hangs on may reach back over this much of the straight behind it; ours
BACKWARD: Final = 0.8  # cost of an angle that goes back along the loom; ours
CROWDED: Final = 1.0
SAME_SIDE: Final = 0.4
SIDE_BONUS: Final = 0.75
SLIM_DEG: Final = (30.0, 15.0)  # the angles tried where the usual one found no room; ours
LEAN_DEG: Final = {"square": 30.0, "back": 60.0}  # against the usual angle; ours


class NoRoom(Exception):
    """No angle was free for a part of the loom; the name is its first section's."""


@dataclass(frozen=True, slots=True)
class Hanger:
    """A part that hangs on a way.

    Attributes:
        name: its first section
        at: where, in the way's frame [mm]
        along_mm: where along the way [mm]
        point: what the directions in use are kept under: the point, or the co-run's own parting
        corridor: it parts from a co-run
        goes_on_from: section its kept angle counts from, None = the x axis
        heading: direction straight on [degrees]
        straight: it is tried straight on first
        lay_mm: length of its first section that is left to lay [mm]
    """

    name: str
    group: Group
    at: tuple[float, float]
    along_mm: float
    point: str
    lay_mm: float
    corridor: Corridor | None = None
    goes_on_from: str | None = None
    heading: float = 0.0
    straight: bool = False


@dataclass(slots=True)
class Standing:
    """What stands on a way so far.

    Attributes:
        first, last: the stretch of the way a piece belongs to [mm]
        off: how far along the loom a piece is from that stretch [mm]
        taken: directions in use at every point [degrees]
        hung: number of parts on the left (1) and right (-1) of every point
    """

    rows: Floats
    half: Floats
    first: Floats
    last: Floats
    off: Floats
    taken: dict[str, list[tuple[float, float]]]
    hung: dict[tuple[str, int], int] = field(default_factory=dict)

    def seen_from(self, along_mm: float) -> Shape:
        """The shape, with gaps counted from a place on the way."""
        gap = np.maximum(0.0, np.maximum(self.first - along_mm, along_mm - self.last)) + self.off
        return Shape(self.rows, self.half, gap)

    def add(self, part: Shape, along_mm: float) -> None:
        """Hang a part on at a place of the way."""
        self.rows, self.half = np.concatenate((self.rows, part.rows)), np.concatenate((self.half, part.half))
        place = np.full(len(part.half), along_mm)
        self.first, self.last = np.concatenate((self.first, place)), np.concatenate((self.last, place))
        self.off = np.concatenate((self.off, part.gap))


def turns(task: Task, usual_deg: float = 60.0, slim_sides: bool = False) -> dict[str, Turn]:
    """Return the turn of every section, by section name.

    Args:
        task: the tree and what to keep
        usual_deg: angle at which parts leave where nothing speaks against it, 15 to 90 [degrees]
        slim_sides: side ways are made slim from the start
    Raises:
        NoRoom: a part found no free angle.
    """
    return _Layout(task, usual_deg, slim_sides).lay()


class _Layout:
    """One attempt at laying a tree flat; a builder, used once."""

    def __init__(self, task: Task, usual_deg: float, slim_sides: bool) -> None:
        self.task, self.usual_deg = task, usual_deg
        self.turn: dict[str, Turn] = {}
        self.shape: dict[str, Shape] = {}
        self.lanes = {g.lead.name: g.beside for some in task.groups.values() for g in some}
        out = task.groups.get(task.tree.datum, ())
        self.main = frozenset(next((g.lead.name for g in some), "") for some in self._halves(out))
        self.slim = {
            name: int(slim_sides and name not in self.main and len(way) > 1)
            for name, way in task.ways.items()
        }

    def lay(self) -> dict[str, Turn]:
        """Hang everything on, far ends first, and return the turns."""
        for name in reversed(self.task.ways):
            self._lay_way(name)
        out = self.task.groups.get(self.task.tree.datum, ())
        hangers = []
        for heading, some in zip((0.0, 180.0), self._halves(out), strict=True):
            for n, g in enumerate(some):
                here = Hanger(g.lead.name, g, (0.0, 0.0), 0.0, "", g.lead.length_mm, heading=heading)
                hangers.append(replace(here, straight=n == 0))
        self._hang_all(_standing([], {"": []}), hangers, float("inf"), BENCH_HALF_MM)
        return self.turn

    def _halves(self, out: tuple[Group, ...]) -> tuple[list[Group], list[Group]]:
        """Groups that leave the datum to the right, and those that leave it to the left."""
        left = [g for g in out if g.lead.name in self.task.to_left]
        return [g for g in out if g not in left], left

    def _lay_way(self, name: str) -> None:
        """Lay one straight way with all that hangs on it."""
        way, pieces, hangers, x = self.task.ways[name], [], [], 0.0
        taken: dict[str, list[tuple[float, float]]] = {}
        for n, s in enumerate(way):
            pieces += self._pieces(s, x)
            hangers += (co_runs := self._co_runs(s, x))
            taken |= {h.point: [(180.0, 180.0), (0.0, 0.0)] for h in co_runs}
            x += s.length_mm
            out = self.task.groups.get(s.outer, ())
            goes_on = way[n + 1].name if n + 1 < len(way) else ""
            taken[s.outer] = [(180.0, 180.0)]
            for g in out:
                if g.lead.name == goes_on:
                    self.turn[goes_on] = Turn(0.0)
                    taken[s.outer].append(_fan(g))
                else:
                    here = Hanger(g.lead.name, g, (x, 0.0), x, s.outer, g.lead.length_mm, goes_on_from=s.name)
                    hangers.append(replace(here, straight=not goes_on and g is out[0]))
        wide = BENCH_HALF_MM if name in self.main else SIDE_WAY_HALF_MM
        half = SLIM_HALF_MM if self.slim.get(name) else wide
        behind = (
            [((-x, 0.0, 0.0, 0.0), 1.0, 0.0, 0.0, 0.0)] if name in self.main and self.task.to_left else []
        )
        done = self._hang_all(_standing([*behind, *pieces], taken), hangers, BACK_SHARE, half)
        self.shape[name] = done.seen_from(0.0).without(len(behind))

    def _pieces(self, s: Section, x: float) -> list[tuple[Row, float, float, float, float]]:
        """A section, its co-runs and what lies beyond an end: row, half thickness, first, last, off."""
        end, half = x + s.length_mm, self.task.half_mm[s.name]
        found = [((x, 0.0, end, 0.0), half, x, end, 0.0)]
        for other, c in self.lanes.get(s.name, ()):
            fan, last, own = x + c.fan_mm, x + self._along(other, c), self.task.half_mm[other.name]
            found.append(((x, 0.0, fan, c.offset_mm), own, x, fan, 0.0))
            found.append(((fan, c.offset_mm, last, c.offset_mm), own, fan, last, 0.0))
        beyond = self.task.beyond.get(s.outer)
        if beyond and s.outer not in self.task.tree.out_of:
            found.append(((end, 0.0, end + beyond.mm, 0.0), max(half, beyond.half_mm), end, end, 0.0))
        return found

    def _along(self, s: Section, c: Corridor) -> float:
        """Where along its companion a co-run leaves it or ends [mm]."""
        return min(c.until_mm, c.fan_mm + s.length_mm - c.slant_mm)

    def _co_runs(self, s: Section, x: float) -> list[Hanger]:
        found = []
        for other, c in self.lanes.get(s.name, ()):
            along = x + self._along(other, c)
            rest = max(0.0, other.length_mm - c.run_mm)
            at, group = (along, c.offset_mm), Group(other, ())
            found.append(Hanger(other.name, group, at, along, f"{other.name} parts", rest, c, s.name))
        return found

    def _hang_all(self, start: Standing, hangers: list[Hanger], back: float, half_mm: float) -> Standing:
        """Hang parts on, biggest first; what finds no room goes first, then is made slim, then all are."""
        first: list[str] = []
        while True:
            place = replace(start, taken={p: list(d) for p, d in start.taken.items()}, hung={})
            try:
                for h in sorted(hangers, key=lambda h: self._order(h, first)):
                    self._hang(place, h, back, half_mm)
                return place
            except NoRoom as failed:
                name = str(failed)
                if name not in first:
                    first.append(name)
                elif not self._slimmer([name]) and not self._slimmer([h.name for h in hangers]):
                    raise

    def _order(self, h: Hanger, first: list[str]) -> tuple[bool, bool, bool, int, float, str]:
        early = -first.index(h.name) if h.name in first else 1
        kept = h.name in self.task.kept
        return (not h.straight, h.lay_mm >= 1.0, not kept, early, -self.task.reach(h.group), h.name)

    def _slimmer(self, names: list[str]) -> bool:
        """Make parts, and all that hangs on them, one step slimmer; False = they are as slim as can be."""
        within, changed = set(names), False
        for s in self.task.tree.sections:
            into = self.task.tree.into.get(s.inner)
            if into and into.name in within:
                within.add(s.name)
        for name in reversed(self.task.ways):
            if name in within and self.slim.get(name, 0) < len(SLIM_DEG):
                self.slim[name] = self.slim.get(name, 0) + 1
                self._lay_way(name)
                changed = True
        return changed

    def _part(self, h: Hanger) -> Shape:
        """The shape of what hangs, from where it hangs; a co-run's first section is cut to what is left."""
        whole = self.shape[h.name]
        cut = h.group.lead.length_mm - h.lay_mm
        if not cut:
            return whole
        rows, gap = whole.rows - np.array([cut, 0.0, cut, 0.0]), np.maximum(whole.gap - cut, 0.0)
        rows[0] = (0.0, 0.0, h.lay_mm, 0.0)
        return Shape(rows, whole.half, gap)

    def _hang(self, place: Standing, h: Hanger, back: float, half_mm: float) -> None:
        part = self._part(h)
        seen = place.seen_from(h.along_mm)
        fan, taken = _fan(h.group), place.taken[h.point]
        choices = self._choices(place, h, part, fan, back * h.along_mm if h.along_mm else back, half_mm)
        for clear in CLEAR_MM:
            for deg in choices:
                turned = part.turned(deg + h.heading).moved(*h.at)
                if len(seen.half) and collide(seen, turned, h.at, clear):
                    continue
                place.add(turned, h.along_mm)
                taken.append((deg + h.heading + fan[0], deg + h.heading + fan[1]))
                if deg:
                    side = (h.point, 1 if deg > 0 else -1)
                    place.hung[side] = place.hung.get(side, 0) + 1
                self.turn[h.name] = Turn(deg + h.heading, h.corridor)
                return
        raise NoRoom(h.name)

    def _choices(
        self,
        place: Standing,
        h: Hanger,
        part: Shape,
        fan: tuple[float, float],
        back_mm: float,
        half_mm: float,
    ) -> list[float]:
        """Turns to try, best first."""
        if h.corridor and h.lay_mm < 1.0:
            return [0.0]
        leaving = self.task.leaving[h.name]
        only = (1 if h.corridor.offset_mm > 0 else -1) if h.corridor else leaving.side
        slim, taken = self.slim.get(h.name, 0), place.taken[h.point]
        usual = SLIM_DEG[slim - 1] if slim else self.usual_deg + LEAN_DEG.get(leaving.lean, 0.0)
        some = [float(side * deg) for side in ((only,) if only else (1, -1)) for deg in TURNS]
        rated = []
        for deg, cost in zip(some, _reach_costs(part, some, place.rows, back_mm, half_mm), strict=True):
            room = _room(taken, fan[0] + deg + h.heading, fan[1] + deg + h.heading)
            if room < LEAST_TURN_DEG:
                continue
            side = 1 if deg > 0 else -1
            cost += (
                abs(abs(deg) - usual) / ANGLE_DEG
                + CROWDED * (room < CROWDED_DEG)
                + BACKWARD * (abs(deg) > 90.0)
            )
            cost += SAME_SIDE * place.hung.get((h.point, side), 0) - SIDE_BONUS * (leaving.leans_to == side)
            rated.append((cost, -side, deg))
        first = [0.0] if h.straight else []
        kept = self.task.kept_turn(h.name, h.goes_on_from)
        if kept is not None and (h.straight or not only or (kept - h.heading) * only > 0):
            first = [kept - h.heading, *first]
        ok = [
            d for d in first if _room(taken, fan[0] + d + h.heading, fan[1] + d + h.heading) >= LEAST_TURN_DEG
        ]
        return ok + [deg for _, _, deg in sorted(rated)]


def _fan(group: Group) -> tuple[float, float]:
    """The directions of a group's outermost lines against its first section's [degrees]."""
    fans = [0.0, 0.0, *(c.fan_deg for _, c in group.beside)]
    return min(fans), max(fans)


def _standing(
    pieces: list[tuple[Row, float, float, float, float]], taken: dict[str, list[tuple[float, float]]]
) -> Standing:
    rows = np.array([p[0] for p in pieces], dtype=float).reshape(-1, 4)
    half, first, last, off = np.array([p[1:] for p in pieces], dtype=float).reshape(-1, 4).T
    return Standing(rows, half, first, last, off, taken)


def _reach_costs(
    part: Shape, some: list[float], standing: Floats, back_mm: float, half_mm: float
) -> list[float]:
    """What it costs that a part, turned, reaches beyond the bench or what stands there, or too far back."""
    angles = np.radians(np.array(some))[:, None]
    x, y = part.points.T
    across = x * np.sin(angles) + y * np.cos(angles)
    back = (y * np.sin(angles) - x * np.cos(angles)).max(axis=1)
    ys = standing[:, 1::2]
    left = max(half_mm, float(ys.max())) if len(ys) else half_mm
    right = max(half_mm, float(-ys.min())) if len(ys) else half_mm
    over = np.maximum(across.max(axis=1) - left, 0.0) + np.maximum(-across.min(axis=1) - right, 0.0)
    total: list[float] = ((over + np.maximum(back - back_mm, 0.0)) / STRETCH_MM).tolist()
    return total


def _room(taken: list[tuple[float, float]], low: float, high: float) -> float:
    """Return the least angle between a new direction and those in use [degrees]; 0 where they overlap."""
    least = 360.0
    for a, b in taken:
        one, two = (low - b) % 360.0, (a - high) % 360.0
        apart = min(one, two) if one + two + (high - low) + (b - a) <= 360.0 + 1e-6 else 0.0
        least = min(least, apart)
    return least
