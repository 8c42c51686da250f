"""Two worked-out states of a job compared: the change, its sheet, and the papers to exchange as files."""

from dataclasses import replace
from pathlib import Path
from typing import Final

from loomwright.checks.worked import Worked
from loomwright.job import WorkedJob
from loomwright.pack.change_parts import More, to_order
from loomwright.pack.change_sheet import change_sheet, papers_to_print
from loomwright.pack.pages import PackHead, Sheet
from loomwright.pack.papers import pack_head, papers
from loomwright.pack.printing import CHANGED, as_printed
from loomwright.pack.reprint import Reprints, reprints
from loomwright.pack.view import View
from loomwright.planning.change import Change, change
from loomwright.records.issued_done import read_done
from loomwright.sheets.files import LIST_FILE, list_text, remove_stale, write_whole

CHANGE_FOLDER: Final = "change"
SHEET_FILE: Final = "change-sheet.pdf"
PRINT_FILE: Final = "changed-sheets.pdf"


class Compared:
    """Two states of a job compared.

    Attributes:
        after: the job as it is now
        when: date to print
        change: what has to be done
        prints: which papers are out of date
        order: parts the change takes
        sheet: the change sheet
        printed: the state now with the words its papers carry; only an issued state bears its bare letter
        head: what stands on every page; where both states bear one revision's name it says "+ changes"
    """

    def __init__(
        self, before: WorkedJob, after: WorkedJob, name: str, when: str, being_issued: bool = False
    ) -> None:
        ticked = read_done(after.read.folder)
        self.after, self.when = after, when
        self.change: Change = change(before.worked, after.worked, ticked)
        was, now = (View(one.worked, one.findings, one.digest, when) for one in (before, after))
        self.prints: Reprints = reprints(was, now)
        self.order: tuple[More, ...] = to_order(was, now, self.change, ticked)
        self.sheet: Sheet = change_sheet(was, now, self.change, name, self.prints, self.order)
        own, folder = after.worked, after.read.folder
        self.printed: Worked = own if being_issued else as_printed(own, folder, after.digest)
        head = pack_head(self.printed, after.digest, when)
        letter = own.job.revision
        same_name = before.worked.job.revision == letter and before.digest != after.digest
        self.head: PackHead = replace(head, revision=f"{letter} {CHANGED}".strip()) if same_name else head

    @property
    def same(self) -> bool:
        """Whether nothing is to be done and no paper to be exchanged."""
        papers_stay = all(one.state == "stays" for one in self.prints.sheets)
        return self.change.nothing and papers_stay and not self.prints.boards

    @property
    def changed_papers(self) -> tuple[Sheet, ...]:
        """The papers to print again, as of now."""
        one = self.after
        return papers_to_print(papers(self.printed, one.findings, one.digest, self.when), self.prints)

    def pdf(self, sheets: tuple[Sheet, ...]) -> bytes:
        """Return sheets as one PDF."""
        from loomwright.sheets.typeset import pack_pdf
        from loomwright.sheets.write_boards import paper_named

        return pack_pdf(self.head, sheets, paper_named(self.after.worked.job.paper))


def write_change(found: Compared, print_changed: bool, tile_paper: str) -> tuple[Path, ...]:
    """Write the change sheet into `change/` of the job, and the papers to exchange when asked to.

    Raises:
        OSError: the folder can't be written.
    """
    files = {SHEET_FILE: found.pdf((found.sheet,))}
    if print_changed:
        files[PRINT_FILE] = found.pdf((found.sheet, *found.changed_papers))
        files |= _tiles(found, tile_paper)
    folder = found.after.read.folder / CHANGE_FOLDER
    for name, data in files.items():
        write_whole(folder / name, data)
    remove_stale(folder, files)
    write_whole(folder / LIST_FILE, list_text(files, found.after.digest))
    return tuple(folder / name for name in files)


def _tiles(found: Compared, tile_paper: str) -> dict[str, bytes]:
    """The tiles of the boards to exchange."""
    from loomwright.sheets.write_boards import BoardTask, board_files

    one = found.after
    boards = tuple(b for b in one.worked.built.boards if b.loom in found.prints.boards)
    worked = replace(one.worked, built=replace(one.worked.built, boards=boards))
    tiles = board_files(BoardTask(worked, one.findings, found.head, tile_paper, None))
    return {file.name: file.data for file in tiles if file.count}
