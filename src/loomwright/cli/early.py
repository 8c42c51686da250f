"""The early command: papers from counts, devices or rope, as far as a job's data go."""

import hashlib
import json
import sys
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from loomwright import VERSION
from loomwright.cli.progress import working
from loomwright.errors import Unreadable
from loomwright.findings import Severity
from loomwright.jobfile.read import JOB_FILE, ReadJob, read_job
from loomwright.jobfile.read_stock import Stock
from loomwright.model.job import Job
from loomwright.pack.pages import NOT_FOR_BUILD, PackHead
from loomwright.pack.stage_devices import EARLY
from loomwright.pack.stage_scope import ScopeWork
from loomwright.planning.effort import hours_of, material_of
from loomwright.planning.effort_counts import counts_of, counts_of_job, guide_for, usual_devices
from loomwright.planning.scope import SCOPE_FILE, Scope, read_scope, scope_text
from loomwright.sheets.files import write_whole
from loomwright.sheets.write_stages import EarlyTask, EarlyWritten, write_early

EARLY_FOLDER: Final = "early"
DIGEST_LETTERS: Final = 10
FOOT: Final = "An early paper: to ask, order and measure from. No wire is cut from it."
NO_DATA: Final = "Try: loomwright early FOLDER --counts cylinders=4 injection=sequential throttle=cable"


@dataclass(frozen=True, slots=True)
class _Known:
    """What a folder and the command line tell so far."""

    folder: Path
    scope: Scope
    told: bool
    read: ReadJob | None
    digest: str
    counts: tuple[str, ...]
    new_scope: str


def write_early_papers(
    folder: Path,
    out: Path | None,
    counts: tuple[str, ...],
    paper: str,
    measured: tuple[float, float] | None,
    issued: str,
    as_json: bool,
) -> int:
    """Write the early papers and say what they are and what the next ones need.

    Args:
        folder: job folder, or its job.toml; need not be there yet where counts are given
        out: where to write, None = early/ in the folder
        counts: words like "cylinders=4"; where the folder has no scope.toml they are kept in one
        paper: "A4", "Letter", "" = the job's
        measured: what the printed 100 mm bars measure, across and up [mm]
        issued: date to print, YYYY-MM-DD
        as_json: print one JSON object instead

    Returns:
        0 done, 1 something in the job can't be taken, 2 not readable or not understood.
    """
    try:
        date.fromisoformat(issued)
    except ValueError:
        print(f"The date {issued} can't be read. Write it as YYYY-MM-DD.", file=sys.stderr)
        return 2
    known = _known(folder, counts)
    task = _task(known, paper, measured, issued)
    target = out if out is not None else known.folder / EARLY_FOLDER
    if target.exists() and not target.is_dir():
        print(f"{target} is a file. Name a folder to write to.", file=sys.stderr)
        return 2
    with working("Writing the early papers", quiet=as_json):
        written = write_early(task, target)
    if known.new_scope:
        write_whole(known.folder / SCOPE_FILE, known.new_scope.encode())
    faults = _faults(known.read)
    print(_json(task, written, target) if as_json else _words(known, task, written, target))
    if faults and not as_json:
        print(f"{faults} faults stand in {JOB_FILE}; papers from it are stamped. See: loomwright check")
    return 1 if faults else 0


def _known(folder: Path, counts: tuple[str, ...]) -> _Known:
    folder = folder.parent if folder.is_file() else folder
    file = folder / SCOPE_FILE
    raw = file.read_bytes() if file.is_file() else b""
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        raise Unreadable(file, None, "The text is not UTF-8.", "", "Save it again as UTF-8.") from None
    scope = read_scope(text, counts, str(file))
    read = read_job(folder) if (folder / JOB_FILE).is_file() else None
    told = bool(text) or bool(counts)
    if not told and (read is None or not read.job.devices):
        what = f"There is neither {JOB_FILE} nor {SCOPE_FILE}, and no counts are given."
        if read is not None:
            what = f"{JOB_FILE} has no device yet, there is no {SCOPE_FILE}, and no counts are given."
        raise Unreadable(folder, None, what, "Some of them is needed.", NO_DATA)
    job_text = read.document.text if read is not None else ""
    said = "\n".join((f"loomwright {VERSION}", text, *counts, job_text, repr(read.stock if read else "")))
    digest = hashlib.sha256(said.encode()).hexdigest()[:DIGEST_LETTERS]
    new_scope = scope_text(counts) if counts and not text else ""
    return _Known(folder, scope, told, read, digest, counts, new_scope)


def _faults(read: ReadJob | None) -> int:
    return sum(one.severity is Severity.FAULT for one in read.findings) if read is not None else 0


def _task(known: _Known, paper: str, measured: tuple[float, float] | None, issued: str) -> EarlyTask:
    job = known.read.job if known.read is not None else None
    stock = known.read.stock if known.read is not None else Stock()
    title = (job.title if job is not None else "") or known.scope.title or known.folder.resolve().name
    foot = FOOT
    if job is not None and job.demo:
        title, foot = f"Invented demo: {title}", f"Invented data. {FOOT}"
    head = PackHead(title, "", known.digest, issued, foot)
    stamps = (EARLY, NOT_FOR_BUILD) if _faults(known.read) else (EARLY,)
    size = paper or (job.paper if job is not None else "A4")
    return EarlyTask(head, _scope(known, job, stock), job, stock, stamps, size, measured)


def _scope(known: _Known, job: Job | None, stock: Stock) -> ScopeWork | None:
    scope = known.scope
    listed = job is not None and bool(job.devices)
    if job is not None and listed:
        counts = counts_of_job(job, scope)
    elif known.told:
        counts = counts_of(scope)
    else:
        return None
    hours, goods = hours_of(scope, counts, stock), material_of(scope, counts, stock)
    return ScopeWork(scope, counts, hours, goods, guide_for(scope), usual_devices(scope), listed)


def _words(known: _Known, task: EarlyTask, written: EarlyWritten, target: Path) -> str:
    rows = [f"{task.head.job}: {len(written.files)} early papers. Digest {task.head.digest}."]
    if task.scope is not None and task.scope.counts:
        likely = task.scope.hours.likely
        rows.append(f"Hours, likely: {likely.least:.0f} to {likely.most:.0f}, from memory; no offer.")
    elif task.scope is not None:
        rows.append("Too little is told for hours: give cylinders, or sensors and actuators, or devices.")
    rows.append(f"Written to {target}:")
    wide = max(len(one.name) for one in written.files)
    for one in written.files:
        tail = f" ({one.prints})" if one.prints else ""
        rows.append(f"  {one.name:{wide}}  {one.words}{tail}")
    rows += [f"{name} is filled in and was left as it is." for name in written.left]
    if known.counts and not known.new_scope:
        rows.append(
            f"{known.folder / SCOPE_FILE} is there already; counts of this command are not kept in it."
        )
    if known.new_scope:
        rows.append(f"The counts are kept in {known.folder / SCOPE_FILE}; go on there.")
    return "\n".join((*rows, _next(task.job)))


def _next(job: Job | None) -> str:
    if job is None or not job.devices:
        return f"Next: list the devices in {JOB_FILE}; then come order list, flags and measuring form."
    if not job.runs:
        return "Next: build and measure the rope, take the form in; then: loomwright pack"
    return "The rope is measured: loomwright pack writes everything else."


def _json(task: EarlyTask, written: EarlyWritten, target: Path) -> str:
    likely = task.scope.hours.likely if task.scope is not None and task.scope.counts else None
    found = {
        "job": task.head.job,
        "digest": task.head.digest,
        "folder": str(target),
        "hours_likely": [round(likely.least, 1), round(likely.most, 1)] if likely is not None else None,
        "files": [
            {"file": one.name, "words": one.words, "sheets": one.count, "paper": one.paper}
            for one in written.files
        ],
        "left": list(written.left),
    }
    return json.dumps(found, indent=1, ensure_ascii=False)
