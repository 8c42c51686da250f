"""How sure the loom fits: the chance that an end comes short, the trim it needs, the tolerance of points."""

import math
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial
from typing import Final

from loomwright.calc.shortfall import Measurements, drawn, worst_of
from loomwright.checks.worked import Worked
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import EndKind, Wire
from loomwright.sizing.sized import WireLength

SURE: Final = 0.997
"""Share of measurements that have to fit: three standard deviations either way; common practice."""
SURE_SIGMAS: Final = 3.0
DRAWS: Final = 100_000
ALLOWANCES: Final = ("to the contact", "sealed end", "ring at")  # what a fixed end can give


@dataclass(frozen=True, slots=True)
class EndRisk:
    """How likely one rope end comes short.

    Attributes:
        wires: how many wires are cut to it
        slack_mm: the least any of them can give: trim, cutting step, at fixed ends the allowance [mm]
        chance: that at least one of its wires is too short; 0..1
        lacks_mm: what its wires would need more, so that 997 of 1000 fit; 0 = they have it [mm]
    """

    loom: str
    end: str
    wires: int
    slack_mm: float
    chance: float
    lacks_mm: float

    @property
    def needs_mm(self) -> float:
        """Slack the end needs for 997 of 1000 [mm]."""
        return max(0.0, self.slack_mm + self.lacks_mm)


@dataclass(frozen=True, slots=True)
class PointTolerance:
    """How well a branch point's place is known, and how far off it may be built.

    Attributes:
        known_mm: 997 of 1000 measurements are within this of its distance from the datum [mm]
        room_mm: it may be set off by this along the loom without a wire coming short [mm]; 0 = none
    """

    loom: str
    point: str
    from_datum_mm: float
    known_mm: float
    room_mm: float


@dataclass(frozen=True, slots=True)
class Robust:
    """Ends by chance, the likeliest to come short first; branch points in the order of the tree."""

    ends: tuple[EndRisk, ...]
    points: tuple[PointTolerance, ...]
    draws: int


@dataclass(frozen=True, slots=True)
class _Ways:
    wires: tuple[tuple[Wire, WireLength], ...]
    told: Measurements
    slacks_mm: tuple[float, ...]


def robust(worked: Worked, draws: int = DRAWS, seed: int = 0, executor: Executor | None = None) -> Robust:
    """Return how sure a loom's lengths are.

    Every reading of the rope is drawn again and again about what was read, its give or take being two
    standard deviations; what is common to all readings (stretch) is drawn once a time for all ways. An end
    comes short when one of its wires does.

    Args:
        worked: the job, worked out
        draws: measurements drawn, 1 or more
        seed: the same seed gives the same answer, whoever carries the draws out
        executor: any executor of `concurrent.futures`; None = here
    Source: simulation, ours; a single wire agrees with the closed form of the normal distribution.
    """
    ends: list[EndRisk] = []
    points: list[PointTolerance] = []
    for tree in worked.routed.trees:
        ways = _ways(worked, tree)
        if ways.wires:
            ends += _ends(tree, ways, draws, seed, executor)
        points += _points(tree, ways)
    ends.sort(key=lambda one: (-one.chance, -one.lacks_mm, one.loom, one.end))
    return Robust(tuple(ends), tuple(points), draws)


def _ways(worked: Worked, tree: Tree) -> _Ways:
    rows = {row.wire: row for row in worked.sized.lengths}
    wires = tuple(
        (wire, rows[wire.identity])
        for wire in worked.routed.wires
        if wire.loom == tree.loom and wire.identity in rows and _can_be_short(wire, rows[wire.identity])
    )
    told = measurements([[tree.by_name[step.section] for step in wire.way] for wire, _ in wires])
    return _Ways(wires, told, tuple(_slack_mm(row) for _, row in wires))


def _can_be_short(wire: Wire, row: WireLength) -> bool:
    """A screen is dressed back, and a splice goes where its wires reach; anything else may be too short."""
    spliced = EndKind.SPLICE in (wire.a.kind, wire.b.kind)
    return not wire.screen and (row.trim_a_mm + row.trim_b_mm > 0 or not spliced)


def measurements(ways: Sequence[Sequence[Section]]) -> Measurements:
    """Return what ways of sections are measured by: readings two neighbours share cancel."""
    gives: dict[str, float] = {}
    rows: list[dict[str, float]] = []
    for way in ways:
        row: dict[str, float] = {}
        for section in way:
            for name, sign, give_mm in section.readings or ((section.name, 1.0, section.own_mm),):
                gives[name] = give_mm
                row[name] = row.get(name, 0.0) + sign
        rows.append(row)
    names = tuple(sorted(gives))
    return Measurements(
        tuple(gives[name] for name in names),
        tuple(tuple(row.get(name, 0.0) for name in names) for row in rows),
        tuple(math.fsum(section.common_mm for section in way) for way in ways),
    )


def _slack_mm(row: WireLength) -> float:
    """What a wire can give: trim and cutting step; between fixed ends what the ends' allowances give."""
    trim = row.trim_a_mm + row.trim_b_mm
    if trim <= 0:
        trim = math.fsum(one.mm for one in row.terms if one.words.startswith(ALLOWANCES))
    return trim + row.cut_mm - row.exact_mm


def _ends(tree: Tree, ways: _Ways, draws: int, seed: int, executor: Executor | None) -> list[EndRisk]:
    import numpy as np

    at: dict[str, list[int]] = {}
    for index, (wire, _) in enumerate(ways.wires):
        for side in (wire.a, wire.b):
            if side.kind is not EndKind.SPLICE and side.point in tree.ends:
                at.setdefault(side.point, []).append(index)
    names = sorted(at)
    if not names:
        return []
    groups = tuple(tuple(dict.fromkeys(at[name])) for name in names)
    over = drawn(ways.told, partial(worst_of, groups, ways.slacks_mm), draws, seed, executor)
    chances = (over > 0).mean(axis=0)
    lacks = np.quantile(over, SURE, axis=0)
    found = []
    for name, group, chance, lack in zip(names, groups, chances, lacks, strict=True):
        least = min(ways.slacks_mm[one] for one in group)
        found.append(EndRisk(tree.loom, name, len(group), least, float(chance), float(lack)))
    return found


def _points(tree: Tree, ways: _Ways) -> list[PointTolerance]:
    places = [point for point in tree.branch_points if point != tree.datum]
    to_datum = measurements([tuple(reversed(tree.to_datum(point))) for point in places])
    room: dict[str, float] = {}
    for index, (wire, _) in enumerate(ways.wires):
        left = ways.slacks_mm[index] - SURE_SIGMAS * ways.told.sigma_mm(index)
        for point in {p for step in wire.way for p in _ends_of(tree.by_name[step.section])}:
            room[point] = min(room.get(point, math.inf), left)
    return [
        PointTolerance(
            tree.loom,
            point,
            tree.from_datum_mm[point],
            SURE_SIGMAS * to_datum.sigma_mm(index),
            max(0.0, room.get(point, 0.0)),
        )
        for index, point in enumerate(places)
    ]


def _ends_of(section: Section) -> tuple[str, str]:
    return section.inner, section.outer
