"""Papers that stand beside the build pack: a page for every device, labels to cut out, the plan's plot."""

import pickle
import re
from collections.abc import Iterator
from typing import Final

from loomwright.pack.device_pages import device_pages
from loomwright.pack.label_sheets import label_sheets
from loomwright.pack.pages import PackHead
from loomwright.pack.plan_sheet import plan_drawing
from loomwright.pack.view import View
from loomwright.sheets.files import PackFile
from loomwright.sheets.paper import Paper
from loomwright.sheets.pdf_drawing import PdfPage, pages_pdf
from loomwright.sheets.write_boards import BoardTask, paper_named

DEVICES: Final = "device-pages.pdf"
LABELS: Final = "label-sheets.pdf"
PLOT: Final = "branch-points.svg"


def more_files_of(task: bytes, paper: str) -> tuple[PackFile, ...]:
    """Return the files of a task that was pickled, as it travels to another process."""
    found: BoardTask = pickle.loads(task)
    return more_files(found, paper)


def more_files(task: BoardTask, paper: str) -> tuple[PackFile, ...]:
    """Return the papers beside the pack; same input, same bytes.

    Args:
        task: the worked job, as its boards are drawn from it
        paper: name of the paper of the sheets
    """
    head = task.head
    view = View(task.worked, task.findings, head.digest, head.issued)
    found = paper_named(paper)
    return (*_devices(view, head, found), *_labels(view, head, found), *_plot(view))


def _devices(view: View, head: PackHead, paper: Paper) -> Iterator[PackFile]:
    from loomwright.sheets.typeset import pack_pdf

    pages = device_pages(view)
    if pages:
        data = pack_pdf(head, pages, paper)
        words = "a page for every device, for the bench and the track"
        yield PackFile(DEVICES, words, data, _count(data), paper.name)


def _labels(view: View, head: PackHead, paper: Paper) -> Iterator[PackFile]:
    sheets = label_sheets(view, paper.width_mm, paper.height_mm)
    if sheets:
        drawn = (PdfPage(s.width_mm, s.height_mm, s.marks) for s in sheets)
        data = pages_pdf(f"{head.job}: labels", drawn)
        words = "labels to cut out, with codes, in the order of the bench"
        yield PackFile(LABELS, words, data, len(sheets), paper.name)


def _plot(view: View) -> Iterator[PackFile]:
    from loomwright.sheets.svg import svg_text

    plan = view.job.plan
    for drawing in () if plan is None else plan_drawing(plan):
        words = "what the trees to choose from cost, over their number of branch points"
        yield PackFile(PLOT, words, svg_text(drawing, "branch-points").encode())


def _count(data: bytes) -> int:
    return max((int(n) for n in re.findall(rb"/Type\s*/Pages\b[^>]*?/Count (\d+)", data)), default=0)
