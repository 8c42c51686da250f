"""The early papers of a job as files: whatever its data allow before the loom can be worked out."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from loomwright.errors import Unreadable
from loomwright.jobfile.read_stock import Stock
from loomwright.jobfile.table_file import table_of
from loomwright.mockup.form import SPELLINGS, read_row
from loomwright.model.job import Job
from loomwright.pack.marks import Drawing, placed
from loomwright.pack.one_table import merged_tables
from loomwright.pack.pages import PackHead, Sheet
from loomwright.pack.stage_devices import device_papers, present
from loomwright.pack.stage_flags import flag_pages, rope_flags
from loomwright.pack.stage_gauge import gauge_drawing
from loomwright.pack.stage_measure import FORM_KEY, form_table, measure_papers
from loomwright.pack.stage_scope import ScopeWork, scope_papers
from loomwright.sheets.csv_out import table_csv
from loomwright.sheets.files import LIST_FILE, PackFile, list_text, remove_stale, write_whole
from loomwright.sheets.paper import Paper
from loomwright.sheets.pdf_drawing import PdfPage, pages_pdf
from loomwright.sheets.tiles import BAR_MM
from loomwright.sheets.write_boards import check_measured, paper_named

TABLES: Final = "early-tables.xlsx"


@dataclass(frozen=True, slots=True)
class EarlyTask:
    """What the early papers are written from.

    Attributes:
        head: what stands on every page
        scope: counts, hours, material; None = no scope is told and no device listed
        job: None = there is no job file yet
        stamps: words stamped across papers made from the device list
        paper: "A4" or "Letter"
        measured: what the printed 100 mm bars measure, across and up, to correct a printer [mm]
    """

    head: PackHead
    scope: ScopeWork | None
    job: Job | None
    stock: Stock
    stamps: tuple[str, ...]
    paper: str
    measured: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class EarlyWritten:
    """What was written, in the order of use, and the filled forms that were left alone."""

    files: tuple[PackFile, ...]
    left: tuple[str, ...]


def early_files(task: EarlyTask) -> tuple[PackFile, ...]:
    """Return every early paper the data allow, in the order of use; same input, same bytes.

    Raises:
        OutOfRange: a measured bar is so far off that the print was fitted to the page.
    """
    check_measured(task.measured)
    sheets: list[Sheet] = []
    files: list[PackFile] = []
    if task.scope is not None:
        found = scope_papers(task.scope)
        sheets += found
        files.append(_sheets(task, "1-scope.pdf", "scope, questions, what stays, tools", found))
    if task.job is not None and present(task.job):
        found = device_papers(task.job, task.stock, task.stamps)
        sheets += found
        files.append(_sheets(task, "2-devices.pdf", "open questions, order list, controller pins", found))
        files += _to_the_car(task, task.job)
        files += [
            PackFile(f"{s.key}.csv", f"{s.title} as a table", _csv(s)) for s in found if s.key in CSV_SHEETS
        ]
    return (*files, *_book(task, sheets))


CSV_SHEETS: Final = ("early-register", "early-order", "early-pins")


def _csv(sheet: Sheet) -> bytes:
    return table_csv(merged_tables(sheet)[0])


def _to_the_car(task: EarlyTask, job: Job) -> Iterator[PackFile]:
    """Yield what is taken to the car: how to, flags, gauge, forms."""
    from loomwright.sheets.xlsx import pack_xlsx

    trunk = task.scope.scope.trunk_mm if task.scope is not None else None
    yield _sheets(
        task, "3-rope.pdf", "build and measure the rope, measuring form", measure_papers(job, trunk)
    )
    flags = flag_pages(rope_flags(job), task.head.job)
    yield _full_size(task, "rope-flags.pdf", "flags for every end and branch point, to cut out", flags)
    gauge = (gauge_drawing(job.shop),)
    yield _full_size(task, "bend-gauge.pdf", "gauge for bends and rope thickness, full size", gauge)
    table = form_table(job)
    words = "the form to fill in and take in again"
    yield PackFile(f"{FORM_KEY}.csv", words, table_csv(table))
    sheet = Sheet(FORM_KEY, table.title, (table,))
    yield PackFile(f"{FORM_KEY}.xlsx", words, pack_xlsx(task.head, (sheet,)))


def _sheets(task: EarlyTask, name: str, words: str, sheets: tuple[Sheet, ...]) -> PackFile:
    from loomwright.sheets.typeset import pack_pdf

    paper = paper_named(task.paper)
    data = pack_pdf(task.head, sheets, paper)
    pages = max((int(n) for n in re.findall(rb"/Type\s*/Pages\b[^>]*?/Count (\d+)", data)), default=0)
    return PackFile(name, words, data, pages, paper.name)


def _full_size(task: EarlyTask, name: str, words: str, drawings: tuple[Drawing, ...]) -> PackFile:
    paper = paper_named(task.paper)
    level, upright = task.measured or (BAR_MM, BAR_MM)
    pages = tuple(_page(one, paper, BAR_MM / level, BAR_MM / upright) for one in drawings)
    return PackFile(name, words, pages_pdf(f"{task.head.job}: {words}", pages), len(pages), paper.name)


def _page(drawing: Drawing, paper: Paper, across: float, up: float) -> PdfPage:
    """Return a drawing in the middle of a page, at 1:1."""
    dx = (paper.width_mm / across - drawing.width_mm) / 2
    dy = (paper.height_mm / up - drawing.height_mm) / 2
    marks = tuple(placed(one, dx, dy) for one in drawing.marks)
    return PdfPage(paper.width_mm, paper.height_mm, marks, across, up)


def _book(task: EarlyTask, sheets: list[Sheet]) -> Iterator[PackFile]:
    from loomwright.sheets.xlsx import pack_xlsx

    flat = tuple(replace(sheet, blocks=merged_tables(sheet)) for sheet in sheets)
    if flat:
        yield PackFile(TABLES, "every table of these papers", pack_xlsx(task.head, flat))


def write_early(task: EarlyTask, folder: Path) -> EarlyWritten:
    """Write the early papers into a folder; older ones there are replaced or removed.

    A measuring form somebody has filled in is left as it is.

    Raises:
        OutOfRange: a measured bar is so far off that the print was fitted to the page.
        OSError: the folder can't be written.
    """
    files = early_files(task)
    left = tuple(one.name for one in files if one.name.startswith(FORM_KEY) and is_filled(folder / one.name))
    for one in files:
        if one.name not in left:
            write_whole(folder / one.name, one.data)
    names = [one.name for one in files]
    remove_stale(folder, [*names, *_forms(folder)])
    write_whole(folder / LIST_FILE, list_text(names, task.head.digest))
    return EarlyWritten(files, left)


def _forms(folder: Path) -> tuple[str, ...]:
    """Return the filled forms, which stay even where there is no form to write any more."""
    names = (f"{FORM_KEY}.csv", f"{FORM_KEY}.xlsx")
    return tuple(name for name in names if is_filled(folder / name))


def is_filled(file: Path) -> bool:
    """Return whether a form holds readings; one that can't be read counts as filled."""
    if not file.is_file():
        return False
    try:
        table = table_of(file.name, file.read_bytes(), SPELLINGS, ("point", "running mm"))
    except Unreadable:
        return True
    return any(read_row(row, "centre") is not None for row in table.rows)
