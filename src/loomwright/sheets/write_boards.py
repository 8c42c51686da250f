"""The board of every loom as files: tiles, one large page, SVG and DXF."""

import pickle
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.checks.run import stamped_sheets
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.pack.draw_board import board_drawing
from loomwright.pack.marks import Drawing
from loomwright.pack.pages import NOT_FOR_BUILD, PackHead
from loomwright.sheets.files import PackFile, safe_name
from loomwright.sheets.paper import PAPERS, Paper
from loomwright.sheets.pdf_drawing import PAGE_LIMIT_MM, drawing_pdf
from loomwright.sheets.svg import svg_text
from loomwright.sheets.tile_pages import tiles_pdf
from loomwright.sheets.tiles import TRUE_PRINTER, PrinterScale, TilePlan, tile_plan

PRINTER: Final = "your printer"


@dataclass(frozen=True, slots=True)
class BoardTask:
    """What the boards of a job are written from.

    Attributes:
        measured: what the printed 100 mm bars measure, across and up, to correct a printer [mm]
        scale: correction of a printer that is known already; goes before `measured`
    """

    worked: Worked
    findings: tuple[Finding, ...]
    head: PackHead
    tile_paper: str
    measured: tuple[float, float] | None
    scale: PrinterScale | None = None


def paper_named(name: str) -> Paper:
    """Return a paper by its name; A4 where there is none of that name."""
    return next((p for p in PAPERS if p.name == name), PAPERS[0])


def check_measured(measured: tuple[float, float] | None) -> None:
    """See that the measured bars can be those of a printer, before anything is drawn.

    Raises:
        OutOfRange: a bar is so far off that the print was fitted to the page.
    """
    if measured is not None:
        TRUE_PRINTER.measured(PRINTER, measured[0], measured[1], False)


def lies_landscape(worked: Worked, tile_paper: str) -> bool:
    """Return whether the first board's tiles lie with their long side across, printed without correction."""
    boards = worked.built.boards
    if not boards:
        return False
    return tile_plan(board_drawing(worked, boards[0]), paper_named(tile_paper)).landscape


def board_files_of(task: bytes) -> tuple[PackFile, ...]:
    """Return the files of a task that was pickled, as it travels to another process."""
    found: BoardTask = pickle.loads(task)
    return board_files(found)


def board_files(task: BoardTask) -> tuple[PackFile, ...]:
    """Return the files of every loom's board; same input, same bytes.

    Raises:
        OutOfRange: a measured bar is so far off that the print was fitted to the page.
    """
    stamp = NOT_FOR_BUILD if "board" in stamped_sheets(task.findings) else ""
    boards = task.worked.built.boards
    drawings = [board_drawing(task.worked, board, stamp, task.head) for board in boards]
    scale = _scale(task, drawings)
    found: list[PackFile] = []
    names: list[str] = []
    for board, drawing in zip(boards, drawings, strict=True):
        names.append(safe_name(f"board-{board.loom}", names))
        plan = tile_plan(drawing, paper_named(task.tile_paper), scale=scale)
        found += _files(board.loom, names[-1], drawing, plan)
    return tuple(found)


def _scale(task: BoardTask, drawings: list[Drawing]) -> PrinterScale:
    """The printer's correction; the bars were measured on the first board's tiles, as those lie."""
    if task.scale is not None:
        return task.scale
    if task.measured is None or not drawings:
        return TRUE_PRINTER
    landscape = tile_plan(drawings[0], paper_named(task.tile_paper)).landscape
    return TRUE_PRINTER.measured(PRINTER, task.measured[0], task.measured[1], landscape)


def _files(loom: str, name: str, drawing: Drawing, plan: TilePlan) -> Iterator[PackFile]:
    from loomwright.sheets.dxf import dxf_text

    what, paper = f"forming board of loom {loom}, full size", plan.paper.name
    tiles = tiles_pdf(drawing, plan)
    yield PackFile(f"{name}-tiles-{paper}.pdf", f"{what}, in tiles", tiles, plan.sheets, paper)
    screens = "for screens"
    if drawing.height_mm > PAGE_LIMIT_MM:
        screens += f"; higher than a PDF page can be ({PAGE_LIMIT_MM:.0f} mm): print the tiles"
    else:
        large = "one large page" if drawing.width_mm <= PAGE_LIMIT_MM else "large pages to lay side by side"
        yield PackFile(f"{name}.pdf", f"{what}, {large}", drawing_pdf(drawing))
    yield PackFile(f"{name}.svg", f"{what}, {screens}", svg_text(drawing).encode())
    yield PackFile(f"{name}.dxf", f"{what}, for a plotter", dxf_text(drawing).encode())
