"""The marking-out sheet: pegs and marks to chalk on a bench where no full-size print is at hand."""

import math
from collections.abc import Iterator
from itertools import groupby
from typing import Final

from loomwright.building.built import Board, BoardMark, MarkingOutRow
from loomwright.pack.pages import Block, Column, Facts, Flow, Heading, Paragraph, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View
from loomwright.routing.routed import section_key

COLUMNS: Final = (
    Column("peg", bold=True),
    Column("after"),
    Column("from the datum", "mm", "number", decimals=0, bold=True),
    Column("from the last", "mm", "number", decimals=0, bold=True),
    Column("right", "mm", "number", decimals=0),
    Column("up", "mm", "number", decimals=0),
    Column("straight", "mm", "number", decimals=0),
    Column("trim beyond", "mm", "number", decimals=0),
    Column("what"),
    Column("set", kind="tick"),
)
MARKS: Final = (
    Column("at", "mm", "number", decimals=0, bold=True),
    Column("mark", bold=True),
    Column("what"),
    Column("right", "mm", "number", decimals=0),
    Column("up", "mm", "number", decimals=0),
    Column("set", kind="tick"),
)
MARKED: Final = ("splice", "tie", "label", "sleeve end", "cover end")
INTRO: Final = (
    "The board is seen from above. Right and up are measured from its lower left corner. Set the pegs, then "
    "check with a tape. From the last is the way along the loom; it counts. Straight is what a tape shows "
    "between the two pegs, of an end that ran beside another section from the peg where it parts: such a "
    "section lies a little to the side and bends. The angles are convenience. Trim: wires and sleeve go on "
    "so far beyond the peg until the test fit."
)
MARKS_NOTE: Final = "At: measured on the line from the section's inner end, the one nearer the datum."


def marking_out(view: View) -> tuple[Sheet, ...]:
    """Return the marking-out sheet of every loom that has a board."""
    return tuple(_sheet(view, board) for board in view.built.boards if board.marking_out)


def _sheet(view: View, board: Board) -> Sheet:
    name = f" {board.loom}" if len(view.trees) > 1 else ""
    facts = Facts(
        (
            ("Board, wide", f"{board.width_mm:.0f} mm"),
            ("Board, deep", f"{board.height_mm:.0f} mm"),
            ("Crossings left", str(board.crossings) if board.crossings else "none"),
        )
    )
    table = Table(COLUMNS, (RowGroup(tuple(_pegs(view, board))),), close=True)
    blocks: list[Block] = [facts, table]
    groups = tuple(_marks(view, board))
    if groups:
        marks = Table(MARKS, groups, close=True, name="Marks along the sections")
        blocks += [Heading("Marks along the sections"), Paragraph(MARKS_NOTE), Flow((marks,))]
    key = f"marking-out-{board.loom}" if name else "marking-out"
    return Sheet(key, f"Marking out{name}", tuple(blocks), INTRO, stamps=view.stamps("board"), big=True)


def _pegs(view: View, board: Board) -> Iterator[Row]:
    at: dict[str, MarkingOutRow] = {}
    for row in board.marking_out:
        at[row.point] = row
        before = at.get(f"{row.point} parts") or at.get(row.after)
        straight = math.dist((before.x_mm, before.y_mm), (row.x_mm, row.y_mm)) if before else None
        found = (row.point, row.after, row.running_mm, row.step_mm, row.x_mm, row.y_mm)
        yield (*found, straight, _trim_mm(view, board.loom, row.point), row.words, None)


def _trim_mm(view: View, loom: str, point: str) -> float | None:
    """How far wires and sleeve go on beyond an end's peg until the test fit."""
    into = view.routed.tree[loom].into.get(point)
    piece = view.sized.sleeve.get(section_key(loom, into.name)) if into else None
    return piece.trim_mm if piece and piece.trim_mm else None


def _marks(view: View, board: Board) -> Iterator[RowGroup]:
    """Splices, ties, labels and ends of coverings, section by section."""
    for key, own in groupby(board.marks, key=lambda mark: mark.section):
        section = view.routed.tree[board.loom].by_name[key.split("/", 1)[1]]
        rows = tuple(_mark(one) for one in own if one.kind in MARKED and 0 < one.mm < section.length_mm)
        if rows:
            yield RowGroup(rows, f"{section.name}: {section.length_mm:.0f} mm from {section.inner}")


def _mark(one: BoardMark) -> Row:
    return (one.mm, one.kind, one.words, one.x_mm, one.y_mm, None)
