"""Crossing to what moves: a free loop that gives twice the movement."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.bend import loop_extra_mm, loop_sag_mm
from loomwright.calc.clearance import support
from loomwright.checks.entry import CAUTION, Entry
from loomwright.checks.looking import cited
from loomwright.checks.worked import Worked
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


def loops(worked: Worked) -> Iterator[Finding]:
    """MOVE-01, MOVE-02: sections where the loom crosses to an area that moves."""
    for tree in worked.routed.trees:
        for section in tree.sections:
            moves = _crossing_mm(worked.job, tree, section)
            if moves >= WORTH_MM:
                yield from _loop(tree, section, moves)


def _crossing_mm(job: Job, tree: Tree, section: Section) -> float:
    """How much the two areas that meet at a section's inner end move against each other [mm]."""
    before = tree.into.get(section.inner)
    area = before.area if before is not None else next((x.area for x in job.looms if x.name == tree.loom), "")
    own, other = job.area.get(section.area), job.area.get(area)
    if own is None or other is None or own.name == other.name:
        return 0.0
    return max(own.moves_mm, other.moves_mm)


def _loop(tree: Tree, section: Section, moves: float) -> Iterator[Finding]:
    extra = loop_extra_mm(moves)
    span = max(SPAN_MM.value, extra / 0.15)
    sag = loop_sag_mm(span, extra)
    before = tree.into.get(section.inner)
    given = [s.passes.loop_mm for s in (section, before) if s is not None and s.passes is not None]
    best = max((mm for mm in given if mm is not None), default=None)
    if best is not None and best >= sag - 0.5:
        return
    entry = MOVE_01 if best is None else MOVE_02
    what = f"{section.name} crosses to an area that moves {moves:.0f} mm" + (
        " and no loop is noted." if best is None else f", and its loop hangs {best:.0f} mm."
    )
    flex = support("from a flex point")
    yield entry.at(
        section.name,
        section.passes.path if section.passes else section.path,
        what,
        f"A free loop gives twice the movement, {extra:.0f} mm: over {span:.0f} mm between clips it hangs "
        f"{sag:.0f} mm [common practice].",
        f"Leave the loop, clip both sides within {flex.most_mm:.0f} mm {cited(flex.source)}, and enter "
        f"loop_mm; or "
        "note the section's area if it lies on the engine already.",
        subject=f"{tree.loom}/{section.name}",
    )
