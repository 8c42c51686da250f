"""Every file of a pack, written from a worked-out job: sheets, tables, boards, front page."""

import pickle
import re
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from loomwright.checks.run import stamped_sheets
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.pack.labels import printer_table
from loomwright.pack.one_table import merged_tables
from loomwright.pack.pages import PackHead, Sheet
from loomwright.pack.papers import pack_head, papers
from loomwright.pack.view import View
from loomwright.sheets.csv_out import table_csv
from loomwright.sheets.files import LIST_FILE, PackFile, list_text, remove_stale, write_whole
from loomwright.sheets.front_page import front_page
from loomwright.sheets.tiles import PrinterScale
from loomwright.sheets.write_boards import BoardTask, board_files, board_files_of, check_measured, paper_named
from loomwright.sheets.write_more import more_files, more_files_of

FRONT: Final = "index.html"
PACK_PDF: Final = "build-pack.pdf"
TABLES: Final = "tables.xlsx"
CSV_SHEETS: Final = ("cut-list", "conductors", "pinouts", "pinouts-unchecked", "parts")
"""Sheets also written as CSV; labels are written label by label."""


@dataclass(frozen=True, slots=True)
class Written:
    """What was written: every file but the front page and the list, in the order to show."""

    folder: Path
    files: tuple[PackFile, ...]

    @property
    def front(self) -> Path:
        """The front page."""
        return self.folder / FRONT


def write_pack(
    worked: Worked,
    findings: tuple[Finding, ...],
    digest: str,
    folder: Path,
    issued: str,
    paper: str,
    tile_paper: str,
    measured: tuple[float, float] | None = None,
    beside: Executor | None = None,
    scale: PrinterScale | None = None,
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
        beside: where boards are drawn meanwhile; None draws them here
        scale: correction of a printer that is known already; goes before `measured`

    Returns:
        What was written. Same input, same bytes. The front page is written last.

    Raises:
        OutOfRange: a measured bar is so far off that the print was fitted to the page.
        OSError: the folder can't be written.
    """
    check_measured(measured)
    head = pack_head(worked, digest, issued)
    task = BoardTask(worked, findings, head, tile_paper, measured, scale)
    # Pickled here and now: the pool would do it in a thread of its own while the papers fill what is cached.
    packed = pickle.dumps(task) if beside is not None else b""
    drawing = beside.submit(board_files_of, packed) if beside is not None else None
    setting = beside.submit(more_files_of, packed, paper) if beside is not None else None
    sheets = papers(worked, findings, digest, issued)
    with ThreadPoolExecutor(1) as pool:
        pdf = pool.submit(_sheets_file, head, sheets, paper)
        tables = tuple(_table_files(View(worked, findings, digest, issued), head, sheets))
        boards = _done(drawing) or board_files(task)
        more = _done(setting) or more_files(task, paper)
        files = (pdf.result(), *more, *boards, *tables)
    return _put(folder, head, findings, files)


def _done(future: "Future[tuple[PackFile, ...]] | None") -> tuple[PackFile, ...]:
    """What was written beside; nothing where nothing is beside or it broke."""
    if future is not None:
        with suppress(BrokenExecutor):
            return future.result()
    return ()


def _sheets_file(head: PackHead, sheets: tuple[Sheet, ...], paper: str) -> PackFile:
    from loomwright.sheets.typeset import pack_pdf

    data = pack_pdf(head, sheets, paper_named(paper))
    pages = max((int(n) for n in re.findall(rb"/Type\s*/Pages\b[^>]*?/Count (\d+)", data)), default=0)
    return PackFile(PACK_PDF, "all papers in the order of work", data, pages, paper_named(paper).name)


def _table_files(view: View, head: PackHead, sheets: tuple[Sheet, ...]) -> Iterator[PackFile]:
    from loomwright.sheets.xlsx import pack_xlsx

    flat = tuple(replace(sheet, blocks=merged_tables(sheet)) for sheet in sheets)
    yield PackFile(TABLES, "every table, one worksheet a paper", pack_xlsx(head, flat))
    for sheet in flat:
        if sheet.key in CSV_SHEETS and (tables := merged_tables(sheet)):
            yield PackFile(f"csv/{sheet.key}.csv", f"{sheet.title} as a table", table_csv(tables[0]))
    labels = printer_table(view)
    if labels.rows:
        yield PackFile("csv/labels.csv", "labels one by one, for a label printer", table_csv(labels))


def _put(folder: Path, head: PackHead, findings: tuple[Finding, ...], files: tuple[PackFile, ...]) -> Written:
    page = front_page(head, files, stamped_sheets(findings), findings)
    names = [FRONT, *(one.name for one in files)]
    for one in files:
        write_whole(folder / one.name, one.data)
    remove_stale(folder, names)
    write_whole(folder / LIST_FILE, list_text(names, head.digest))
    write_whole(folder / FRONT, page)
    return Written(folder, files)
