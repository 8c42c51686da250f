"""The forming board as data: lines to turn, what the builder fixed, and the sheets it prints on."""

from loomwright.building.built import Board
from loomwright.building.exits import cabin_half
from loomwright.job import WorkedJob
from loomwright.model.rope import BoardAngle
from loomwright.model.tree import Section, Tree
from loomwright.pack.draw_board import board_drawing
from loomwright.routing.routed import section_key
from loomwright.sheets.tiles import tile_plan
from loomwright.sheets.write_boards import paper_named
from loomwright.web.views.drawn import Plain, rounded


def board_view(done: WorkedJob) -> list[Plain]:
    """Return every loom's board: seen from above, to scale, y downward, in mm."""
    trees = done.worked.routed.tree
    return [_board(done, one, trees[one.loom]) for one in done.worked.built.boards if one.sections]


def _board(done: WorkedJob, board: Board, tree: Tree) -> Plain:
    job, high = done.worked.job, board.height_mm
    fixed = {one.section: one for one in job.board_angles if one.loom == board.loom}
    leaving, left = done.worked.built.leaving[tree.loom], cabin_half(job, tree)
    lines = {one.section: one for one in board.sections}
    sections: list[Plain] = []
    for one in tree.sections:
        drawn = lines[section_key(one.loom, one.name)]
        line = [[rounded(x), rounded(high - y)] for x, y in drawn.line]
        sections.append(
            {
                **_section(one, fixed.get(one.name), [x.section for x in one.co_runs]),
                "line": line,
                "od_mm": rounded(drawn.finished_mm),
                "trim_mm": rounded(drawn.trim_mm),
                "hand": leaving[one.name].side,
                "hand_words": leaving[one.name].words,
                "to_left": one.name in left,
                "against_hand": one.name in board.against_hand,
            }
        )
    return {
        "loom": board.loom,
        "datum": tree.datum,
        "wide_mm": rounded(board.width_mm),
        "high_mm": rounded(high),
        "crossings": board.crossings,
        "points": [
            {"name": p.name, "kind": p.kind, "x": rounded(p.x_mm), "y": rounded(high - p.y_mm)}
            for p in board.points
        ],
        "sections": sections,
        "marks": [
            {"kind": m.kind, "words": m.words, "section": m.section, "mm": rounded(m.mm)}
            | {"x": rounded(m.x_mm), "y": rounded(high - m.y_mm)}
            for m in board.marks
            if m.kind in ("splice", "tie")
        ],
        "several": len(job.looms) > 1,
    }


def _section(one: Section, fixed: BoardAngle | None, beside: list[str]) -> Plain:
    return {
        "key": section_key(one.loom, one.name),
        "name": one.name,
        "inner": one.inner,
        "outer": one.outer,
        "mm": rounded(one.length_mm),
        "beside": beside,
        "fixed": fixed is not None,
        "reason": fixed.reason if fixed else "",
        "path": list(fixed.path) if fixed else [],
    }


def tiles_view(done: WorkedJob, loom: str, paper: str = "") -> Plain | None:
    """Return which sheets of paper a loom's board prints on; None where there is no such board.

    Args:
        done: the job worked out
        loom: name of the loom
        paper: name of the paper in the tray; "" or unknown = the job's
    """
    board = done.worked.built.board.get(loom)
    if board is None or not board.sections:
        return None
    drawing = board_drawing(done.worked, board)
    plan = tile_plan(drawing, paper_named(paper or done.worked.job.paper))
    tiles = [
        {
            "name": one.name,
            "x": rounded(one.window.left),
            "y": rounded(board.height_mm - one.window.top),
            "wide": rounded(one.window.width_mm),
            "high": rounded(one.window.height_mm),
        }
        for one in plan.tiles
    ]
    return {
        "loom": loom,
        "paper": plan.paper.name,
        "landscape": plan.landscape,
        "columns": plan.columns,
        "rows": plan.rows,
        "sheets": plan.sheets,
        "overlap_mm": plan.overlap_mm,
        "tiles": tiles,
    }
