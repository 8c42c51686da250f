"""Crossing to what moves: a free loop that gives twice the movement."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.calc.bend import loop_extra_mm, loop_sag_mm
from loomwright.calc.clearance import support
from loomwright.checks.entry import CAUTION, Entry
from loomwright.checks.looking import cited, named, verb
from loomwright.checks.worked import Worked
from loomwright.edits import Edit, Verb
from loomwright.findings import Finding
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree
from loomwright.sources import OURS, Figure, Mark, Source

MOVE_01: Final = Entry(
    "MOVE-01",
    "Crossing to a moving part without a loop",
    CAUTION,
    "The engine rocks and the loom doesn't: the nearest plug or branch point takes the pull.",
    Source(Mark.PRACTICE, "twice the measured movement; sag by the shallow parabola"),
    ("route", "board"),
)
MOVE_02: Final = Entry(
    "MOVE-02",
    "Loop too small for the movement",
    CAUTION,
    "The loop is stretched before the engine has moved as far as it can.",
    Source(Mark.PRACTICE, "twice the measured movement; sag by the shallow parabola"),
    ("route", "board"),
)
ENTRIES: Final = (MOVE_01, MOVE_02)
SPAN_MM: Final = Figure(200.0, OURS)
"""Span of a loop between its two clips where nothing is told [mm]."""
WORTH_MM: Final = 5.0  # ours: solid mounts move 1 to 3 mm; a hand-laid loom gives that much


@dataclass(frozen=True, slots=True)
class _Crossing:
    """A section that leads from one area, `came_from`, to another that moves against it."""

    section: Section
    before: Section | None
    came_from: str
    moves_mm: float
    hangs_mm: float | None  # of the loop noted there, None = none is

    @property
    def trunk(self) -> str:
        """Name of the section before it, where nobody noted its area and its loom's is taken."""
        before = self.before
        return before.name if before and not (before.passes and before.passes.area) else ""

    @property
    def needs(self) -> tuple[float, float, float]:
        """Extra length, span and sag of the loop it needs [mm]."""
        extra = loop_extra_mm(self.moves_mm)
        span = max(SPAN_MM.value, extra / 0.15)
        return extra, span, loop_sag_mm(span, extra)


def loops(worked: Worked) -> Iterator[Finding]:
    """MOVE-01, MOVE-02: sections where the loom crosses to an area that moves."""
    trees = worked.routed.trees
    for tree in trees:
        found = [x for s in tree.sections for x in _crossing(worked.job, tree, s)]
        lacking = [x for x in found if x.hangs_mm is None or x.hangs_mm < x.needs[2] - 0.5]
        trunks = _trunks(worked.job, lacking)
        told = {x.section.name for row in trunks for x in row}
        yield from (_loop(tree.loom, one) for one in lacking if one.section.name not in told)
        for row in trunks:
            alone = sum(row[0].trunk in other.by_name for other in trees) == 1
            yield _trunk(tree.loom, row, alone)


def _trunks(job: Job, lacking: list[_Crossing]) -> list[list[_Crossing]]:
    """Crossings to one moving area from trunks whose area nobody noted, by trunk; none where one is all."""
    rows: dict[str, dict[str, list[_Crossing]]] = {}
    for one in lacking:
        if one.hangs_mm is None and one.trunk and job.area[one.section.area].moves_mm > 0:
            rows.setdefault(one.section.area, {}).setdefault(one.trunk, []).append(one)
    return [
        row for by_trunk in rows.values() if sum(map(len, by_trunk.values())) > 1 for row in by_trunk.values()
    ]


def _crossing(job: Job, tree: Tree, section: Section) -> Iterator[_Crossing]:
    """The crossing at a section's inner end, where the two areas move against each other enough.

    Areas that move are taken to sit on one engine: they move against each other by the difference of their
    movements, and not at all where these are equal.
    """
    before = tree.into.get(section.inner)
    area = before.area if before is not None else next((x.area for x in job.looms if x.name == tree.loom), "")
    own, other = job.area.get(section.area), job.area.get(area)
    if own is None or other is None or own.name == other.name:
        return
    moves = abs(own.moves_mm - other.moves_mm)
    if moves >= WORTH_MM:
        noted = [s.passes.loop_mm for s in (section, before) if s is not None and s.passes is not None]
        hangs = max((mm for mm in noted if mm is not None), default=None)
        yield _Crossing(section, before, other.name, moves, hangs)


def _loop(loom: str, one: _Crossing) -> Finding:
    section = one.section
    extra, span, sag = one.needs
    entry = MOVE_01 if one.hangs_mm is None else MOVE_02
    what = (
        f"{section.name} leads from {one.came_from} to {section.area}, {one.moves_mm:.0f} mm of movement"
        + (", and no loop is noted." if one.hangs_mm is None else f"; its loop hangs {one.hangs_mm:.0f} mm.")
    )
    flex = support("from a flex point")
    return entry.at(
        section.name,
        section.passes.path if section.passes else section.path,
        what,
        f"A free loop gives twice the movement, {extra:.0f} mm: over {span:.0f} mm between clips it hangs "
        f"{sag:.0f} mm [common practice].",
        f"Leave the loop, clip both sides within {flex.most_mm:.0f} mm {cited(flex.source)}, and write "
        f"loop_mm = {sag:.0f} at {section.name}; if it lies in {section.area} from its "
        "start, note that area for the section before it.",
        subject=f"{loom}/{section.name}",
    )


def _trunk(loom: str, row: list[_Crossing], alone: bool) -> Finding:
    """One finding for all that leaves a trunk whose area nobody noted, for one area that moves.

    Args:
        alone: no other loom has a section of that name
    """
    trunk, area = row[0].before, row[0].section.area
    assert trunk is not None
    most = max(row, key=lambda x: x.moves_mm)
    sag, names = most.needs[2], named(x.section.name for x in row)
    where = trunk.passes.path if trunk.passes else ("passes", trunk.name if alone else f"{loom}/{trunk.name}")
    return MOVE_01.at(
        trunk.name,
        trunk.passes.path if trunk.passes else trunk.path,
        f"{names} {verb(len(row), 'leads', 'lead')} from {trunk.name} to {area}, {most.moves_mm:.0f} mm "
        f"of movement; nobody noted where {trunk.name} lies, so it is taken to lie in {trunk.area}.",
        "A trunk that lies on the engine says so and has one loop where it gets there; else each crossing "
        f"has a loop that hangs {sag:.0f} mm [common practice].",
        f'If {trunk.name} lies on the engine, write area = "{area}" for it; if not, leave a loop at each and '
        f"write loop_mm = {sag:.0f}.",
        subject=f"{loom}/{trunk.name} area",
        group=f"{loom} {area}",
        mends=(Edit(Verb.SET, (*where, "area"), area, "the trunk lies on what moves"),),
    )
