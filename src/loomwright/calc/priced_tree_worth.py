"""What a tree costs on its map: every section by what runs in it, every branch point, every tie once."""

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from loomwright.calc.priced_tree import BROKEN, Bough, Task, Worth, boughs, taken_points
from loomwright.calc.priced_tree_ways import Rates, Ways

Rate = tuple[float, float, float, int, float]
"""Wire, sheath [money/mm], thickness [mm], pairs kept apart that meet, wires."""


@dataclass(slots=True)
class Scale:
    """Weighs trees of one map by one set of ways; remembers what it has weighed.

    Attributes:
        opened: parts that are removed for these ways
        closed_mm: corridors narrower than this are closed [mm]
    """

    task: Task
    ways: Ways
    rates: Rates
    opened: tuple[int, ...] = ()
    closed_mm: float = 0.0
    _rate: dict[int, Rate] = field(default_factory=dict)
    _ties: dict[tuple[int, tuple[int, ...]], float] = field(default_factory=dict)
    _points: dict[tuple[int, ...], float] = field(default_factory=dict)

    def rate(self, mask: int) -> Rate:
        """Return what a section costs that has these ends beyond it."""
        found = self._rate.get(mask)
        if found is None:
            self.learn((mask,))
            found = self._rate[mask]
        return found

    def learn(self, masks: Iterable[int]) -> None:
        """Work out the rates of many sets at once."""
        new = [mask for mask in dict.fromkeys(masks) if mask not in self._rate]
        if not new:
            return
        found = self.rates.of(new)
        rows = zip(found.wire, found.sheath, found.thick, found.clashes, found.wires, strict=True)
        for mask, (wire, sheath, thick, clashes, wires) in zip(new, rows, strict=True):
            meets = 0 if self.own_section(mask) else int(clashes)
            self._rate[mask] = (float(wire), float(sheath), float(thick), meets, float(wires))

    def own_section(self, mask: int) -> bool:
        """Whether a section with these ends beyond it is an end's or the root connector's own."""
        left = (((1 << len(self.task.ends)) - 1) ^ mask).bit_count()
        wired = bool(self.rates.rooted.any())
        return mask.bit_count() == 1 or (left == 0 if self.task.root_is_end else left == 1 and not wired)

    def ties(self, point: int, to: tuple[int, ...]) -> float:
        """Return the price of ties for all sections that leave one point; each corridor once [money]."""
        if len(to) == 1:
            return float(self.ways.ties[point, to[0]])
        key = (point, tuple(sorted(to)))
        found = self._ties.get(key)
        if found is None:
            found = self._ties[key] = self._union(*key)
        return found

    def _union(self, point: int, to: tuple[int, ...]) -> float:
        ways, many = self.ways, dict[int, int]()
        for there in to:
            at = there
            while at != point:
                many[at] = many.get(at, 0) + 1
                at = int(ways.before[point, at])
        terms = []
        for at, count in many.items():
            last = int(ways.before[point, at])
            terms.append(float(ways.ties[point, at] - ways.ties[point, last]))
            if count > 1:
                terms.append(float(ways.beside[point, at] - ways.beside[point, last]))
        return math.fsum(terms)

    def charged(self, tree: Bough) -> float:
        """Return what the search compares trees by; the same as `worth(tree).charged`, quicker [money]."""
        total, _ = self._charged(tree, True)
        if self._narrow():
            return self.worth(tree).charged
        fixed = len(self.task.ends) * self.task.breakout_money
        return total + fixed + sum(self.task.parts[part] for part in self.opened)

    def _charged(self, one: Bough, root: bool) -> tuple[float, int]:
        """Return what a point of a tree is charged with all beyond it, and the ends there."""
        total, mask = 0.0, 0 if one.end < 0 else 1 << one.end
        key = [one.point, root]
        for outer in one.beyond:
            if outer.beyond:
                money, beyond = self._charged(outer, False)
                total += money
            else:
                beyond = 1 << outer.end
            mask |= beyond
            key += (outer.point, beyond, outer.end >= 0)
        if len(key) == 2:
            return total, mask
        short = tuple(key)
        known = self._points.get(short)
        if known is None:
            known = self._points[short] = self._at(one, short, root)
        return total + known, mask

    def _at(self, one: Bough, key: tuple[int, ...], root: bool) -> float:
        """Return what the sections that leave a point are charged, and the point."""
        task, ways = self.task, self.ways
        terms = [self.ties(one.point, key[2::3])]
        broken = self._at_point(one, root)
        for outer, mask in zip(one.beyond, key[3::3], strict=True):
            wire, sheath, thick, clashes, _ = self.rate(mask)
            mm = float(ways.length[one.point, outer.point])
            terms += ((wire + sheath) * mm, float(ways.extra[one.point, outer.point]))
            broken += clashes + self._on_way(one, outer, mm, thick)
        if self.is_branch(one, root):
            terms.append(task.branch_money)
        return math.fsum(terms) + BROKEN * broken

    def worth(self, tree: Bough) -> Worth:
        """Return what a tree costs, by what it is for."""
        task, ways = self.task, self.ways
        masks = masks_of(tree)
        self.learn(masks.values())
        wire = sheath = ties = hazards = wire_mm = sheath_mm = 0.0
        broken = points = 0
        for inner in boughs(tree):
            if not inner.beyond:
                continue
            ties += self.ties(inner.point, tuple(one.point for one in inner.beyond))
            points += self.is_branch(inner, inner is tree)
            broken += self._at_point(inner, inner is tree)
            for outer in inner.beyond:
                rate = self._rate[masks[id(outer)]]
                mm = float(ways.length[inner.point, outer.point])
                wire += rate[0] * mm
                sheath += rate[1] * mm
                wire_mm += rate[4] * mm
                sheath_mm += mm
                hazards += float(ways.extra[inner.point, outer.point])
                broken += rate[3] + self._on_way(inner, outer, mm, rate[2])
        broken += self._full(tree, masks) if self._narrow() else 0
        parts = math.fsum(task.parts[part] for part in self.opened)
        branches, breakouts = points * task.branch_money, len(task.ends) * task.breakout_money
        return Worth(
            wire, sheath, ties, hazards, branches, breakouts, parts, broken, points, wire_mm, sheath_mm
        )

    def is_branch(self, one: Bough, root: bool) -> bool:
        """Whether a point of a tree is a branch point: three sections or more meet."""
        return one.end < 0 and len(one.beyond) + (not root) >= 3

    def _at_point(self, one: Bough, root: bool) -> int:
        exits = len(one.beyond) + (not root)
        most = 1 if root and self.task.root_is_end else self.task.limits.most_exits
        where = self.is_branch(one, root) and one.point in taken_points(self.task)
        return max(0, exits - most) + int(where)

    def _on_way(self, inner: Bough, outer: Bough, mm: float, thick: float) -> int:
        limits = self.task.limits
        least = limits.end_mm if outer.end >= 0 else limits.branch_mm
        return int(mm < least) + int(thick > self.ways.bore[inner.point, outer.point])

    def _narrow(self) -> bool:
        return bool(self.task.bores) or any(c.bore_mm < math.inf for c in self.task.corridors)

    def _full(self, tree: Bough, masks: dict[int, int]) -> int:
        """Return how many corridors and holes hold more than their bore, all sections as one bundle."""
        square: dict[tuple[str, int], float] = {}
        count: dict[tuple[str, int], int] = {}
        for inner in boughs(tree):
            for outer in inner.beyond:
                thick = self._rate[masks[id(outer)]][2]
                way = self.ways.way(inner.point, outer.point)
                at = [("corridor", self.ways.links[pair]) for pair in itertools.pairwise(way)]
                at += [("hole", point) for point in way[1:-1]]
                for key in at:
                    square[key] = square.get(key, 0.0) + thick**2
                    count[key] = count.get(key, 0) + 1
        holes = dict(self.task.bores)
        found = 0
        for (what, at_), value in square.items():
            bore = self.task.corridors[at_].bore_mm if what == "corridor" else holes.get(at_, math.inf)
            if count[what, at_] > 1 and self.task.bundle_factor * math.sqrt(value) > bore:
                found += 1
        return found


def masks_of(tree: Bough) -> dict[int, int]:
    """Return the ends beyond every point of a tree, by the identity of the point."""
    found: dict[int, int] = {}
    for one in reversed(list(boughs(tree))):
        mask = 0 if one.end < 0 else 1 << one.end
        for outer in one.beyond:
            mask |= found[id(outer)]
        found[id(one)] = mask
    return found


def tidy(tree: Bough, root_is_end: bool = False) -> Bough:
    """Return a tree without points that nothing parts at: merged where a section has no length, cut short
    where only one section goes on. A connector at the root keeps its one section."""
    if root_is_end and len(tree.beyond) == 1 and tree.beyond[0].end < 0:
        first = tree.beyond[0]
        return Bough(tree.point, -1, (Bough(first.point, -1, _beyond(first)),))
    return Bough(tree.point, tree.end, _beyond(tree))


def _beyond(top: Bough) -> tuple[Bough, ...]:
    """What hangs from a point, tidied; from the outside in, as a tree can be deeper than calls may nest."""
    every = list(boughs(top))
    inner = {id(outer): one for one in every for outer in one.beyond}
    hangs: dict[int, list[Bough]] = {}
    for one in reversed(every[1:]):
        before = inner[id(one)]
        beyond = tuple(sorted(hangs.pop(id(one), ()), key=_order))
        hangs.setdefault(id(before), []).extend(_tidied(one, beyond, before.point))
    return tuple(sorted(hangs.get(id(top), ()), key=_order))


def _tidied(one: Bough, beyond: tuple[Bough, ...], inner_point: int) -> tuple[Bough, ...]:
    if one.end >= 0:
        return (Bough(one.point, one.end),)
    if len(beyond) < 2 or one.point == inner_point:
        return _merged(beyond, inner_point)
    return (Bough(one.point, -1, beyond),)


def _merged(beyond: tuple[Bough, ...], inner_point: int) -> tuple[Bough, ...]:
    found: list[Bough] = []
    for one in beyond:
        found.extend(one.beyond if one.end < 0 and one.point == inner_point else (one,))
    return tuple(found)


def _order(one: Bough) -> tuple[int, int]:
    mask = 0 if one.end < 0 else 1 << one.end
    for outer in boughs(one):
        if outer.end >= 0:
            mask |= 1 << outer.end
    return (mask & -mask).bit_length(), one.point
