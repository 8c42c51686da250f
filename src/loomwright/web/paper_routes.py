"""The HTTP interface of papers: single sheets, the pack with a printer's correction, issued revisions."""

from datetime import date
from pathlib import Path
from threading import Lock
from typing import Final

from fastapi import APIRouter, Response
from fastapi.responses import FileResponse

from loomwright.errors import LoomwrightError
from loomwright.pack.papers import pack_head, papers
from loomwright.pack.printing import as_printed
from loomwright.sheets.beside import second_process
from loomwright.sheets.printers import known_printers, printer_named, remember
from loomwright.sheets.tiles import PrinterScale
from loomwright.sheets.write_boards import lies_landscape, paper_named
from loomwright.sheets.write_pack import Written, write_pack
from loomwright.web.answers import raw_json
from loomwright.web.desk import Desk, State
from loomwright.web.issuing import issue
from loomwright.web.jobs import Jobs
from loomwright.web.messages import IssueMessage, PackMessage
from loomwright.web.slices import json_of

PACK: Final = "pack"
INLINE: Final = (".pdf", ".svg", ".html")
_FILE_POLICY: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data:; frame-ancestors 'self'; "
    "sandbox allow-popups allow-top-navigation-by-user-activation"
)


def paper_router(jobs: Jobs) -> APIRouter:
    """Return the routes of papers.

    Args:
        jobs: the folder that is served
    """
    router = APIRouter(prefix="/api/job/{job}")
    writing = Lock()

    @router.get("/paper/{key}.pdf")
    def paper(job: str, key: str) -> Response:
        """Return one paper as a PDF, as of now; numbers are provisional until a pack is written."""
        return Response(_paper_pdf(jobs.desk(job).state(), key), media_type="application/pdf")

    @router.post("/pack")
    def pack(job: str, said: PackMessage) -> Response:
        """Give numbers for good and write every paper into the job's folder pack/."""
        desk = jobs.desk(job)
        with writing:
            state, written = _write(desk, said)
        return raw_json(json_of(_told(state, written)))

    @router.post("/issue")
    def issued(job: str, said: IssueMessage) -> Response:
        """Issue a revision: a frozen copy of the job with its pack, sealed by digests."""
        desk = jobs.desk(job)
        with writing:
            return raw_json(json_of(issue(desk, said.rev, said.with_faults, said.tile_paper, _today())), 201)

    @router.get("/printers")
    def printers(job: str) -> Response:
        """Name the printers whose correction is remembered."""
        return raw_json(json_of(sorted(known_printers(jobs.desk(job).folder))))

    @router.get("/pack/{name:path}")
    def pack_file(job: str, name: str) -> Response:
        """Return a file of the pack written last."""
        return _file_below(jobs.desk(job).folder / PACK, name)

    @router.get("/issued/{name:path}")
    def issued_file(job: str, name: str) -> Response:
        """Return a file of an issued revision."""
        return _file_below(jobs.desk(job).folder / "issued", name)

    return router


def _today() -> str:
    return date.today().isoformat()


def _paper_pdf(state: State, key: str) -> bytes:
    from loomwright.sheets.typeset import pack_pdf

    done, day = state.done, _today()
    printed = as_printed(done.worked, done.read.folder, done.digest)
    sheets = [x for x in papers(printed, done.findings, done.digest, day) if x.key == key]
    if not sheets:
        raise LoomwrightError("There is no such paper in this job, or it has nothing to say yet.")
    head = pack_head(printed, done.digest, day)
    return pack_pdf(head, tuple(sheets), paper_named(done.worked.job.paper))


def _write(desk: Desk, said: PackMessage) -> tuple[State, Written]:
    state = desk.keep(desk.state())
    done = state.done
    scale = _scale(desk, state, said) if said.printer else None
    with second_process() as beside:
        written = write_pack(
            as_printed(done.worked, done.read.folder, done.digest),
            done.findings,
            done.digest,
            desk.folder / PACK,
            _today(),
            done.worked.job.paper,
            said.tile_paper,
            said.measured,
            beside,
            scale,
        )
    return state, written


def _scale(desk: Desk, state: State, said: PackMessage) -> PrinterScale:
    if said.measured is None:
        return printer_named(desk.folder, said.printer)
    lies = lies_landscape(state.done.worked, said.tile_paper)
    return remember(desk.folder, said.printer, *said.measured, lies)


def _told(state: State, written: Written) -> dict[str, object]:
    return {
        "digest": state.digest,
        "printed_digest": state.done.digest,
        "faults": len(state.done.faults),
        "files": [
            {"file": x.name, "words": x.words, "sheets": x.count, "paper": x.paper} for x in written.files
        ],
    }


def _file_below(folder: Path, name: str) -> Response:
    """A file below a folder and nowhere else, whatever its name tries."""
    parts = name.split("/")
    if "\\" in name or "\0" in name or any(part in ("", ".", "..") or ":" in part for part in parts):
        raise LoomwrightError("There is no such file.")
    file = folder.joinpath(*parts)
    if not file.resolve().is_relative_to(folder.resolve()) or not file.is_file():
        raise LoomwrightError("There is no such file. Write the pack first.")
    kind = "inline" if file.suffix in INLINE else "attachment"
    heads = {"content-security-policy": _FILE_POLICY} if file.suffix != ".pdf" else {}
    return FileResponse(file, filename=file.name, content_disposition_type=kind, headers=heads)
