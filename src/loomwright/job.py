"""The one order of work: a job folder in, everything derived from it out."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, TypeVar

from loomwright import VERSION
from loomwright.building.build import build
from loomwright.checks.run import run
from loomwright.checks.worked import Worked
from loomwright.edits import Edit
from loomwright.errors import ChangedMeanwhile, Unreadable
from loomwright.findings import Finding, Severity
from loomwright.jobfile.kept import KEPT_FILE, kept_text, read_kept
from loomwright.jobfile.read import JOB_FILE, ReadJob, read_job
from loomwright.jobfile.save import NEW, FileText, read, save
from loomwright.jobfile.tried import tried
from loomwright.mockup.trees import trees
from loomwright.model.job import Kept
from loomwright.model.tree import Tree
from loomwright.routing.kept import kept_from
from loomwright.routing.route import route
from loomwright.sizing.size import size_up

STOCK_FILE: Final = "stock.toml"
DIGEST_LETTERS: Final = 10


@dataclass(frozen=True, slots=True)
class WorkedJob:
    """A job folder worked out.

    Attributes:
        read: the job as read, with the text it came from
        worked: job, routing, sizes, building
        findings: all findings, faults first; accepted ones say so
        kept: numbers, places, colours and sizes to keep from now on
        digest: short digest of the folder and the program's version, printed on every sheet
    """

    read: ReadJob
    worked: Worked
    findings: tuple[Finding, ...]
    kept: Kept
    digest: str

    @property
    def trees(self) -> tuple[Tree, ...]:
        """One tree for every loom."""
        return self.worked.routed.trees

    @property
    def faults(self) -> tuple[Finding, ...]:
        """The faults that nobody accepted."""
        return tuple(f for f in self.findings if f.severity is Severity.FAULT and not f.accepted)


def work_out(place: Path | str) -> WorkedJob:
    """Work out a job.

    Args:
        place: the job's folder, or its job.toml
    Raises:
        Unreadable: job.toml is missing or not UTF-8; anything else wrong with the job is a finding.
    """
    return work_out_read(read_job(place))


def work_out_tried(read: ReadJob, edits: Iterable[Edit]) -> WorkedJob:
    """Work out a job as edits would make it, without its forming boards; nothing is written. Pure.

    Args:
        read: the job as it is
        edits: what to try; none works out the job itself
    Raises:
        RefusedEdit: an edit does not fit the job file.
    """
    return work_out_read(tried(read, edits), boards=False)


def work_out_read(read: ReadJob, boards: bool = True) -> WorkedJob:
    """Work out a job that was read before; pure.

    Args:
        read: the job
        boards: whether its forming boards are laid out, too
    """
    job = read.job
    looms, from_rope = trees(job)
    routed = route(job, looms)
    sized = size_up(job, routed)
    built = build(job, routed, sized, boards)
    worked = Worked(job, routed, sized, built, read.stock)
    earlier = (*read.findings, *from_rope, *routed.findings, *sized.findings, *built.findings)
    kept = replace(
        kept_from(routed, job.kept),
        sizes=_merged(job.kept.sizes, ((row.wire, row.size.label) for row in sized.conductors)),
        board_angles=_merged(
            job.kept.board_angles,
            (pair for board in built.boards for pair in board.angles),
        ),
    )
    return WorkedJob(read, worked, run(worked, earlier), kept, _digest(read, kept))


def keep(done: WorkedJob) -> None:
    """Write what is to be kept beside the job, if it changed; no number once given gets lost.

    Raises:
        ChangedMeanwhile: somebody else wrote it since the job was read.
        Unreadable: what is there is damaged; writing over it would lose numbers that are on wires already.
    """
    file = done.read.folder / KEPT_FILE
    text = kept_text(done.kept)
    before = read(file) if file.is_file() else None
    if before is not None and before.text != text:
        _check_nothing_is_lost(before, done.kept)
    if before is None or before.text != text:
        save(file, text, NEW if before is None else before.digest)


def _check_nothing_is_lost(before: FileText, now: Kept) -> None:
    there, faults = read_kept(before.text)
    if faults:
        one = faults[0]
        should = f"{one.should} Nothing was written over it."
        raise Unreadable(before.file, None, one.what_is, should, one.remedy)
    if set(there.wire_numbers) - set(now.wire_numbers):
        raise ChangedMeanwhile(before.file)


_Kept = TypeVar("_Kept")


def _merged(
    before: Iterable[tuple[str, _Kept]], now: Iterable[tuple[str, _Kept]]
) -> tuple[tuple[str, _Kept], ...]:
    """Newer values over older ones, sorted by name; names that are gone stay."""
    return tuple(sorted({**dict(before), **dict(now)}.items(), key=lambda one: one[0]))


def _digest(read: ReadJob, kept: Kept) -> str:
    """Digest of all that decides the papers: job, stock, rope tables, photos, kept values, the program."""
    found = hashlib.sha256(f"loomwright {VERSION}\n".encode())
    found.update(read.document.text.encode())
    found.update(kept_text(kept).encode())
    for photo in read.job.photos:
        found.update(hashlib.sha256(photo.data).digest())
    if read.folder.is_dir():
        for file in sorted(read.folder.glob("*")):
            if (file.suffix in (".csv", ".xlsx") or file.name == STOCK_FILE) and file.is_file():
                found.update(file.name.encode())
                found.update(file.read_bytes())
    return found.hexdigest()[:DIGEST_LETTERS]


__all__ = ["JOB_FILE", "WorkedJob", "keep", "work_out", "work_out_read", "work_out_tried"]
