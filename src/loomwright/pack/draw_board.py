"""The forming board as a drawing in full size: lines of true length, marks, words that keep clear."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.building.built import Board, BoardMark, BoardSection
from loomwright.building.exits import Leaving
from loomwright.checks.worked import Worked
from loomwright.model.tree import Tree
from loomwright.pack.draw_board_ends import End, end_marks, end_of, end_outlines, end_words
from loomwright.pack.draw_board_head import HeadBox, bars_and_key, stamps
from loomwright.pack.draw_board_symbols import symbol, symbol_outline
from loomwright.pack.draw_place import DENSE, INK, SYMBOL, Label, Room, Words, around, beside, folded, strip
from loomwright.pack.lettering import shortened
from loomwright.pack.marks import (
    CHAIN,
    FULL,
    WHITE,
    Box,
    Circle,
    Drawing,
    Group,
    Mark,
    Point,
    Polygon,
    Polyline,
)
from loomwright.pack.pages import PackHead

NAME_MM: Final = 5.0
WORDS_MM: Final = 3.5
POINT_MM: Final = 6.0
NOTED_MM: Final = 60.0
MOST_MM: Final = 95.0  # longest line of words on the board; ours
DOT_MM: Final = 2.5
ORDER: Final = ("label", "sleeve end", "cover end", "mount", "tie", "co-run parts", "splice")
NO_HEAD: Final = PackHead("", "", "")


@dataclass(frozen=True, slots=True)
class _Laid:
    """What labels are made from."""

    worked: Worked
    board: Board
    tree: Tree
    ends: tuple[End, ...]
    leaving: Mapping[str, Leaving]


def board_drawing(worked: Worked, board: Board, stamp: str = "", head: PackHead = NO_HEAD) -> Drawing:
    """Return a loom's forming board in full size, seen from above.

    Args:
        worked: job with everything derived from it
        board: the board of one of its looms
        stamp: words laid over the drawing, "NOT FOR BUILD"; empty for none
        head: job, revision and digest to print on it

    Returns:
        A drawing whose lower left corner is the board's corner, so that the marking-out figures hold on it.
        The centre line of a section is one mark of layer "centre line" and is as long as the section.
    """
    tree = worked.routed.tree[board.loom]
    laid = _Laid(worked, board, tree, _ends(worked, board, tree), worked.built.leaving[tree.loom])
    room = Room(Box(4.0, 4.0, board.width_mm - 4.0, board.height_mm - 4.0))
    _take_lines(laid, room)
    labels = tuple(_labels(laid, room))
    pale = tuple(stamps(board, stamp, room))
    box = HeadBox(
        f"Forming board, loom {board.loom}", head, stamp, worked.job.demo, board.width_mm, board.height_mm
    )
    block, right_mm, top_mm = bars_and_key(box, room)
    marks: list[Mark] = [*_sections(board), *pale]
    for end in laid.ends:
        marks.append(Group(f"end:{end.name}", tuple(end_marks(end))))
    marks += _symbols(board)
    marks += _points(board)
    for label in labels:
        marks += [*((label.leader,) if label.leader else ()), *label.texts]
    wide, high = max(board.width_mm, right_mm), max(board.height_mm, top_mm)
    return Drawing(box.title, wide, high, (*marks, *block))


def _ends(worked: Worked, board: Board, tree: Tree) -> tuple[End, ...]:
    found = []
    for section in board.sections:
        outer = tree.by_name[_name(section)].outer
        if outer not in tree.out_of:
            half = section.finished_mm / 2
            found.append(end_of(worked.job, outer, section.line, half, section.trim_mm))
    return tuple(found)


def _name(section: BoardSection | BoardMark) -> str:
    return section.section.split("/", 1)[1]


def _sections(board: Board) -> Iterator[Mark]:
    for section in board.sections:
        outline = Polygon(outline_of(section.line, section.finished_mm / 2), FULL, WHITE, layer="outline")
        yield Group(f"section:{_name(section)}", (outline,))
    for section in board.sections:
        yield Polyline(section.line, CHAIN, layer="centre line")


def outline_of(line: Sequence[Point], half_mm: float) -> tuple[Point, ...]:
    """Return the closed outline of a line of true width, mitred where it kinks."""
    left, right = [], []
    for n, (x, y) in enumerate(line):
        before = _unit(line[n - 1], line[n]) if n else _unit(line[0], line[1])
        after = _unit(line[n], line[n + 1]) if n + 1 < len(line) else before
        ux, uy = before[0] + after[0], before[1] + after[1]
        size = math.hypot(ux, uy) or 1.0
        ux, uy = ux / size, uy / size
        reach = half_mm / max(0.5, ux * after[0] + uy * after[1])
        left.append((x - uy * reach, y + ux * reach))
        right.append((x + uy * reach, y - ux * reach))
    return (*left, *reversed(right))


def _unit(a: Point, b: Point) -> Point:
    size = math.dist(a, b) or 1.0
    return (b[0] - a[0]) / size, (b[1] - a[1]) / size


def _points(board: Board) -> Iterator[Mark]:
    for point in board.points:
        at = (point.x_mm, point.y_mm)
        if point.kind == "end":
            continue
        if point.kind == "datum":
            yield Circle(at, 2 * DOT_MM, FULL, WHITE, layer="point")
        yield Circle(at, DOT_MM, FULL, "#000000", layer="point")


def _symbols(board: Board) -> Iterator[Mark]:
    width = {section.section: section.finished_mm for section in board.sections}
    line = {section.section: section.line for section in board.sections}
    for mark in sorted(board.marks, key=lambda one: ORDER.index(one.kind) if one.kind in ORDER else 0):
        yield from symbol(mark, line[mark.section], width[mark.section])


def _take_lines(laid: _Laid, room: Room) -> None:
    """Mark as taken what no words should lie over."""
    for section in laid.board.sections:
        for a, b in zip(section.line, section.line[1:], strict=False):
            room.take(strip(a, b, section.finished_mm / 2 + 0.8), INK)
    for end in laid.ends:
        for outline in end_outlines(end):
            room.take(outline, DENSE)
    width = {section.section: section.finished_mm for section in laid.board.sections}
    for mark in laid.board.marks:
        room.take(symbol_outline(mark, width[mark.section]), SYMBOL)


def _labels(laid: _Laid, room: Room) -> Iterator[Label]:
    """Yield all words of the board, the most important first."""
    for end in laid.ends:
        yield _end_label(end, room)
    for point in laid.board.points:
        if point.kind != "end":
            lines = _point_words(laid, point.name)
            first = _free_side(laid, point.name)
            yield room.place(around(lines, (point.x_mm, point.y_mm), 8.0, first))
    yield from _mark_labels(laid, room, ("splice",))
    for section in sorted(laid.board.sections, key=lambda one: (one.length_mm, one.section)):
        yield room.place(beside(_section_words(laid, section), section.line, section.finished_mm / 2))
    yield from _mark_labels(laid, room, ("co-run parts", "tie"))


def _mark_labels(laid: _Laid, room: Room, kinds: tuple[str, ...]) -> Iterator[Label]:
    for mark in laid.board.marks:
        if mark.kind not in kinds:
            continue
        reach = symbol_outline(mark, 6.0)
        clear = max(abs(reach[0][0] - mark.x_mm), 7.0)
        yield room.place(around(_mark_words(laid, mark), (mark.x_mm, mark.y_mm), clear, 90.0))


def _end_label(end: End, room: Room) -> Label:
    deg = math.degrees(math.atan2(end.ahead[1], end.ahead[0]))
    lines = end_words(end)
    depth = 26.0 if end.connector else 0.0
    tip, middle = end.out(end.trim_mm + depth), end.out(end.trim_mm + depth / 2)
    half = end.width_mm / 2 + 4.0
    if end.connector:
        candidates = [*around(lines, tip, 3.0, deg), *around(lines, middle, half, deg + 90.0)]
        candidates.sort(key=lambda one: one.leader is not None)
    else:
        candidates = list(around(lines, tip, 3.0, deg))
    return room.place(candidates)


def _free_side(laid: _Laid, point: str) -> float:
    """Return the direction in the middle of the widest gap between the sections at a point [degrees]."""
    found = []
    for section in laid.board.sections:
        one = laid.tree.by_name[_name(section)]
        if one.inner == point:
            found.append(_direction(section.line[0], section.line[1]))
        if one.outer == point:
            found.append(_direction(section.line[-1], section.line[-2]))
    found = sorted(deg % 360.0 for deg in found) or [270.0]
    gaps = [(b - a, (a + b) / 2) for a, b in zip(found, [*found[1:], found[0] + 360.0], strict=True)]
    return max(gaps, key=lambda gap: (round(gap[0], 3), -gap[1]))[1]


def _direction(a: Point, b: Point) -> float:
    return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))


def _point_words(laid: _Laid, point: str) -> tuple[Words, ...]:
    running = laid.tree.from_datum_mm[point]
    where = "datum" if point == laid.tree.datum else f"{running:.0f} mm from {laid.tree.datum}"
    lines = [Words(point, POINT_MM, True), Words(where, WORDS_MM)]
    out = laid.tree.out_of.get(point, ())
    noted = [(one.outer, laid.leaving[one.name].words) for one in out]
    texts = [f"to {outer}: {words}" for outer, words in noted if words]
    if missing := [outer for outer, words in noted if not words]:
        texts += folded("exit not noted: " + ", ".join(missing), NOTED_MM, WORDS_MM)
    return (*lines, *(Words(shortened(text, MOST_MM, WORDS_MM), WORDS_MM) for text in texts))


def _section_words(laid: _Laid, section: BoardSection) -> tuple[Words, ...]:
    piece = laid.worked.sized.sleeve.get(section.section)
    cover = (
        " ".join(part for part in (piece.what, piece.printed) if part)
        if piece and piece.what != "none"
        else ""
    )
    wires = f"{section.wires} wire" if section.wires == 1 else f"{section.wires} wires"
    rest = [wires, f"OD {section.finished_mm:.1f}", cover]
    return (
        Words(f"{_name(section)}   {section.length_mm:.0f} mm", NAME_MM, True),
        Words(" · ".join(part for part in rest if part), WORDS_MM),
    )


def _mark_words(laid: _Laid, mark: BoardMark) -> tuple[Words, ...]:
    section = laid.tree.by_name[_name(mark)]
    if mark.kind == "splice":
        return (
            Words(mark.words, NAME_MM, True),
            Words(f"{mark.mm:.0f} mm from {section.inner}, to {section.outer}", WORDS_MM),
        )
    if mark.kind == "tie":
        words = shortened(f"{mark.words}, {mark.mm:.0f} from {section.inner}", MOST_MM, WORDS_MM)
        return (Words(words, WORDS_MM),)
    words = f"{section.outer} parts here, {mark.mm:.0f} mm from {section.inner}"
    return (Words(shortened(words, MOST_MM, WORDS_MM), WORDS_MM),)
