"""The marking-out sheet: pegs to chalk on a bench where no full-size print is at hand."""

from typing import Final

from loomwright.building.built import Board, MarkingOutRow
from loomwright.pack.pages import Column, Facts, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View

COLUMNS: Final = (
    Column("peg", bold=True),
    Column("after"),
    Column("from the datum", "mm", "number", decimals=0, bold=True),
    Column("from the last", "mm", "number", decimals=0, bold=True),
    Column("right", "mm", "number", decimals=0),
    Column("up", "mm", "number", decimals=0),
    Column("what"),
    Column("set", kind="tick"),
)
INTRO: Final = (
    "The board is seen from above. Right and up are measured from its lower left corner. Set the pegs, "
    "then check every length along the loom with a tape: the lengths count, the angles are convenience."
)


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
    table = Table(COLUMNS, (RowGroup(tuple(map(_row, board.marking_out))),))
    key = f"marking-out-{board.loom}" if name else "marking-out"
    return Sheet(key, f"Marking out{name}", (facts, table), INTRO, stamps=view.stamps("board"), big=True)


def _row(row: MarkingOutRow) -> Row:
    return (row.point, row.after, row.running_mm, row.step_mm, row.x_mm, row.y_mm, row.words, None)
