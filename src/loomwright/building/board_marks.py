"""What is marked along the sections of a board: splices, sleeve ends, ties, labels, exits, mounts."""

import math
from collections.abc import Iterator
from typing import Final

from loomwright.building.board_lines import Line, along, length_mm
from loomwright.building.board_task import Task, Turn
from loomwright.building.built import BoardMark
from loomwright.model.tree import Section
from loomwright.routing.routed import Routed, section_key
from loomwright.sizing.sized import Sized

LABEL_FROM_END_MM: Final = 40.0  # 30 to 50 behind the boot, common practice
MOUNT_EVERY_MM: Final = 150.0  # each 100 to 150 mm and both sides of a branch point, common practice
MOUNT_FROM_POINT_MM: Final = 35.0  # clear of a 25 mm branch cover; ours
ORDER: Final = ("exit", "co-run parts", "splice", "sleeve end", "cover end", "tie", "label", "mount")


def marks(
    task: Task, turns: dict[str, Turn], lines: dict[str, Line], routed: Routed, sized: Sized
) -> tuple[BoardMark, ...]:
    """Return the marks of one loom's board, section by section in tree order, along each section.

    Args:
        lines: line of every section on the board, by section name [mm]
    """
    found = []
    for s in task.tree.sections:
        here = [*_measured(task, turns[s.name], s), *_fitted(s, routed, sized), *_mounts(task, s)]
        here.sort(key=lambda m: (m[2], ORDER.index(m[0]), m[1]))
        key = section_key(s.loom, s.name)
        for kind, words, mm in here:
            x, y = along(lines[s.name], _on_line(turns[s.name], lines[s.name], kind, mm))
            found.append(BoardMark(kind, words, key, mm, x, y))
    return tuple(found)


def _on_line(turn: Turn, line: Line, kind: str, mm: float) -> float:
    """Where along its line a mark is drawn: a parting stands at its place on the tape."""
    if kind == "co-run parts" and turn.corridor:
        return min(turn.corridor.run_mm, length_mm(line))
    return mm


Found = tuple[str, str, float]


def _measured(task: Task, turn: Turn, s: Section) -> Iterator[Found]:
    leaving = task.leaving[s.name]
    if leaving.words:
        yield "exit", f"{s.outer}: {leaving.words}", 0.0
    if turn.corridor:
        yield "co-run parts", f"{s.outer} parts from {turn.corridor.beside}", turn.corridor.until_mm
    for tie in s.passes.ties if s.passes else ():
        if 0 <= tie.at_mm <= s.length_mm:
            yield "tie", f"{tie.what} to {tie.to}" if tie.to else tie.what, tie.at_mm
    if s.outer not in task.tree.out_of:
        yield "label", s.outer, max(s.length_mm - LABEL_FROM_END_MM, s.length_mm / 2)


def _fitted(s: Section, routed: Routed, sized: Sized) -> Iterator[Found]:
    for splice in routed.splices:
        if splice.loom == s.loom and splice.place.section == s.name:
            yield "splice", splice.name, splice.place.mm
    key = section_key(s.loom, s.name)
    piece = sized.sleeve.get(key)
    if piece and piece.what != "none":
        words = " ".join(w for w in (piece.what, piece.printed) if w)
        yield "sleeve end", f"{words} starts", 0.0
        yield "sleeve end", f"{words} ends", s.length_mm
    for cover in sized.branch_covers:
        if cover.loom == s.loom:
            for leg, overlap in cover.legs:
                if leg == key and cover.point in (s.inner, s.outer) and overlap < s.length_mm:
                    mm = overlap if cover.point == s.inner else s.length_mm - overlap
                    yield "cover end", f"cover of {cover.point}", mm


def _mounts(task: Task, s: Section) -> Iterator[Found]:
    first, last = MOUNT_FROM_POINT_MM, s.length_mm - MOUNT_FROM_POINT_MM
    if last <= first:
        yield "mount", "", s.length_mm / 2
        return
    parts = max(1, math.ceil((last - first) / MOUNT_EVERY_MM))
    for n in range(parts + 1):
        yield "mount", "", first + n * (last - first) / parts
