"""Every file of a pack, written from a worked-out job: sheets, tables, boards, front page."""

import re
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from loomwright.checks.run import stamped_sheets
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.pack.draw_board import board_drawing
from loomwright.pack.labels import printer_table
from loomwright.pack.marks import Drawing
from loomwright.pack.one_table import merged_tables
from loomwright.pack.pages import NOT_FOR_BUILD, PackHead, Sheet
from loomwright.pack.papers import pack_head, papers
from loomwright.pack.view import View
from loomwright.sheets.csv_out import table_csv
from loomwright.sheets.files import LIST_FILE, list_text, remove_stale, safe_name, write_whole
from loomwright.sheets.front_page import Linked, front_page
from loomwright.sheets.paper import PAPERS, Paper
from loomwright.sheets.pdf_drawing import drawing_pdf
from loomwright.sheets.svg import svg_text
from loomwright.sheets.tile_pages import tiles_pdf
from loomwright.sheets.tiles import TRUE_PRINTER, PrinterScale, TilePlan, tile_plan

FRONT: Final = "index.html"
PACK_PDF: Final = "build-pack.pdf"
TABLES: Final = "tables.xlsx"
CSV_SHEETS: Final = ("cut-list", "conductors", "pinouts", "pinouts-unchecked", "parts")
"""Sheets also written as CSV; labels are written label by label."""


@dataclass(frozen=True, slots=True)
class Written:
    """What was written.

    Attributes:
        files: paths in the order to show, the front page first
        links: the same with what they are and on how many sheets they print
    """

    folder: Path
    files: tuple[Path, ...]
    links: tuple[Linked, ...]


def paper_named(name: str) -> Paper:
    """Return a paper by its name; A4 where there is none of that name."""
    return next((p for p in PAPERS if p.name == name), PAPERS[0])


@dataclass(frozen=True, slots=True)
class _Board:
    """One loom's board: its drawing and the plan of its tiles."""

    loom: str
    file: str
    drawing: Drawing
    plan: TilePlan


@dataclass(frozen=True, slots=True)
class _File:
    link: Linked
    data: bytes


def write_pack(
    worked: Worked,
    findings: tuple[Finding, ...],
    digest: str,
    folder: Path,
    issued: str,
    paper: str,
    tile_paper: str,
    measured: tuple[float, float] | None = None,
) -> Written:
    """Write every paper of a job into a folder; files of an older pack there are replaced or removed.

    Args:
        worked: job with everything derived from it
        findings: all findings, accepted ones marked
        digest: printed on every sheet
        folder: where to write; made where it is missing
        issued: date to print
        paper: "A4" or "Letter", for the sheets
        tile_paper: paper of the board's tiles
        measured: what the printed 100 mm bars measure, across and up, to correct a printer [mm]

    Returns:
        What was written. Same input, same bytes. The front page is written last.

    Raises:
        OutOfRange: a measured bar is so far off that the print was fitted to the page.
        OSError: the folder can't be written.
    """
    head = pack_head(worked, digest, issued)
    sheets = papers(worked, findings, digest, issued)
    with ThreadPoolExecutor(1) as pool:
        pdf = pool.submit(_pdf, head, sheets, paper)
        boards = _boards(worked, findings, head, tile_paper, measured)
        others = tuple(_board_files(boards))
        tables = tuple(_table_files(View(worked, findings, digest, issued), head, sheets))
        files = (_sheets_file(pdf, paper), *others, *tables)
    return _put(folder, head, findings, files)


def _pdf(head: PackHead, sheets: tuple[Sheet, ...], paper: str) -> bytes:
    from loomwright.sheets.typeset import pack_pdf

    return pack_pdf(head, sheets, paper_named(paper))


def _sheets_file(pdf: Future[bytes], paper: str) -> _File:
    data = pdf.result()
    counts = [int(n) for n in re.findall(rb"/Count (\d+)", data)]
    return _File(Linked(PACK_PDF, "all papers in the order of work", max(counts, default=0), paper), data)


def _boards(
    worked: Worked,
    findings: tuple[Finding, ...],
    head: PackHead,
    tile_paper: str,
    measured: tuple[float, float] | None,
) -> tuple[_Board, ...]:
    stamp = NOT_FOR_BUILD if "board" in stamped_sheets(findings) else ""
    drawings = [(b.loom, board_drawing(worked, b, stamp, head)) for b in worked.built.boards]
    if not drawings:
        return ()
    paper = paper_named(tile_paper)
    scale = TRUE_PRINTER
    if measured is not None:
        landscape = tile_plan(drawings[0][1], paper).landscape
        scale = PrinterScale().measured("your printer", measured[0], measured[1], landscape)
    names: list[str] = []
    for loom, _ in drawings:
        names.append(safe_name(f"board-{loom}", names))
    return tuple(
        _Board(loom, name, drawing, tile_plan(drawing, paper, scale=scale))
        for (loom, drawing), name in zip(drawings, names, strict=True)
    )


def _board_files(boards: tuple[_Board, ...]) -> Iterator[_File]:
    from loomwright.sheets.dxf import dxf_text

    for one in boards:
        what = f"forming board of loom {one.loom}, full size"
        paper, count = one.plan.paper.name, one.plan.sheets
        tiles = Linked(f"{one.file}-tiles-{paper}.pdf", f"{what}, in tiles", count, paper)
        yield _File(tiles, tiles_pdf(one.drawing, one.plan))
        yield _File(Linked(f"{one.file}.pdf", f"{what}, one large page"), drawing_pdf(one.drawing))
        yield _File(Linked(f"{one.file}.svg", f"{what}, for screens"), svg_text(one.drawing).encode())
        yield _File(Linked(f"{one.file}.dxf", f"{what}, for a plotter"), dxf_text(one.drawing).encode())


def _table_files(view: View, head: PackHead, sheets: tuple[Sheet, ...]) -> Iterator[_File]:
    from loomwright.sheets.xlsx import pack_xlsx

    flat = tuple(replace(sheet, blocks=merged_tables(sheet)) for sheet in sheets)
    yield _File(Linked(TABLES, "every table, one worksheet a paper"), pack_xlsx(head, flat))
    for sheet in flat:
        if sheet.key in CSV_SHEETS and sheet.blocks:
            table = merged_tables(sheet)[0]
            yield _File(Linked(f"csv/{sheet.key}.csv", f"{sheet.title} as a table"), table_csv(table))
    labels = printer_table(view)
    if labels.rows:
        yield _File(Linked("csv/labels.csv", "labels one by one, for a label printer"), table_csv(labels))


def _put(folder: Path, head: PackHead, findings: tuple[Finding, ...], files: tuple[_File, ...]) -> Written:
    links = tuple(one.link for one in files)
    page = front_page(head, links, stamped_sheets(findings), findings)
    names = [FRONT, *(link.file for link in links)]
    for one in files:
        write_whole(folder / one.link.file, one.data)
    remove_stale(folder, names)
    write_whole(folder / LIST_FILE, list_text(names, head.digest))
    write_whole(folder / FRONT, page)
    return Written(folder, tuple(folder / name for name in names), links)
