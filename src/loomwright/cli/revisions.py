"""Revisions: issue one, list what is issued, say and print what changed since."""

import json
import sys
from datetime import date, datetime
from pathlib import Path

from loomwright import VERSION
from loomwright.checks.run import stamped_sheets
from loomwright.cli.change_words import change_json, change_lines
from loomwright.cli.compared import Compared, write_change
from loomwright.cli.progress import working
from loomwright.edits import Edit, Verb
from loomwright.job import WorkedJob, keep, work_out
from loomwright.jobfile.edit_log import do
from loomwright.pack.pages import NOT_FOR_BUILD
from loomwright.records.issue import ISSUED, PACK, Issue, Listed, check_free, issue_named, issues, issuing
from loomwright.sheets.beside import second_process
from loomwright.sheets.write_pack import write_pack


def issue_revision(folder: Path, revision: str, when: str, with_faults: bool, tile_paper: str) -> int:
    """Issue a revision: frozen copy of the job and its pack, sealed.

    Args:
        folder: job folder, or its job.toml
        revision: its name, "" = the one the job file has
        when: date to print, YYYY-MM-DD
        with_faults: issue in spite of faults nobody accepted
        tile_paper: paper of the board's tiles

    Returns:
        0 issued, 1 refused for faults or issued with them, 2 not readable or not understood.
    """
    if not _is_day(when):
        return 2
    with working("Working out the loom"):
        done = work_out(folder)
    name = revision or done.worked.job.revision
    check_free(done.read.folder, name)
    if done.faults and not with_faults:
        many = f"{len(done.faults)} {'fault' if len(done.faults) == 1 else 'faults'}"
        print(f"{many} nobody accepted; nothing is issued. See: loomwright check {folder}", file=sys.stderr)
        print("To issue all the same, stamped NOT FOR BUILD: --with-faults", file=sys.stderr)
        return 1
    done = _named(done, folder, name)
    keep(done)
    stamped = tuple(sorted(stamped_sheets(done.findings)))
    with working("Writing the papers"):
        freeze(done, Issue(0, name, when, done.digest, VERSION, stamped), tile_paper)
    if stamped:
        print(f"{NOT_FOR_BUILD}: {', '.join(stamped)}.")
    print(f"Revision {name} is issued: {done.read.folder / ISSUED / name}. Digest {done.digest}.")
    return 1 if done.faults else 0


def freeze(done: WorkedJob, one: Issue, tile_paper: str) -> None:
    """Write a revision's pack, and the change sheet since the one before, beside the frozen job."""
    folder, paper = done.read.folder, done.worked.job.paper
    last = next((x for x in reversed(issues(folder)) if not x.touched), None)
    with second_process() as beside, issuing(folder, one) as part:
        to = part / PACK
        write_pack(done.worked, done.findings, done.digest, to, one.when, paper, tile_paper, None, beside)
        if last is not None:
            earlier = work_out(last.job)
            found = Compared(earlier, done, f"revision {last.folder.name}", one.when, being_issued=True)
            (part / f"change-since-{last.folder.name}.pdf").write_bytes(found.pdf((found.sheet,)))


def list_issued(folder: Path, as_json: bool) -> int:
    """List the issued revisions and say whether they are untouched; 1 if one isn't."""
    found = issues(folder if folder.is_dir() else folder.parent)
    if as_json:
        print(json.dumps([_listed_json(one) for one in found], indent=1, ensure_ascii=False))
    elif not found:
        print("No revision is issued yet.")
    else:
        for one in found:
            print("\n".join(_listed_lines(one)))
    return 1 if any(one.touched for one in found) else 0


def tell_change(
    folder: Path, since: str, print_changed: bool, when: str, tile_paper: str, as_json: bool
) -> int:
    """Say what changed since a revision or another folder, and write the change sheet.

    Args:
        folder: job folder, or its job.toml
        since: name of an issued revision, or a folder with a job; "" = the last issued one
        print_changed: write the papers to exchange, too
        when: date to print, YYYY-MM-DD
        tile_paper: paper of the tiles of boards to exchange
        as_json: print one JSON object instead of words

    Returns:
        0 sound, 1 faults that nobody accepted, 2 not readable or not understood.
    """
    if not _is_day(when):
        return 2
    with working("Working out both states", quiet=as_json):
        done = work_out(folder)
        before, name = _earlier(done.read.folder, since)
        found = Compared(before, done, name, when)
    files: tuple[Path, ...] = ()
    if not found.same:
        with working("Writing the papers", quiet=as_json):
            keep(done)
            files = write_change(found, print_changed, tile_paper)
    if as_json:
        print(change_json(found.change, found.prints, found.order, name, files))
    else:
        print("\n".join(change_lines(found.change, found.prints, found.order, name, files)))
    return 1 if done.faults else 0


def _named(done: WorkedJob, folder: Path, revision: str) -> WorkedJob:
    """The job with the revision's name in its file; the edit is logged and can be undone."""
    if done.worked.job.revision == revision:
        return done
    edit = Edit(Verb.SET, ("job", "revision"), revision)
    when = datetime.now().isoformat(timespec="seconds")
    do(done.read.folder, (edit,), when, done.read.document.digest, f"issued as revision {revision}")
    return work_out(folder)


def _earlier(folder: Path, since: str) -> tuple[WorkedJob, str]:
    other = Path(since)
    if since and (other.is_file() or (other / "job.toml").is_file()):
        return work_out(other), f"the job in {other.name if other.is_dir() else other.parent.name}"
    one = issue_named(folder, since)
    for words in one.touched:
        print(f"Caution: revision {one.folder.name} is not as issued: {words}.", file=sys.stderr)
    if one.issue and one.issue.version != VERSION:
        words = f"was issued by version {one.issue.version} and is worked out by {VERSION} here"
        print(f"Caution: revision {one.folder.name} {words}; figures may have moved.", file=sys.stderr)
    return work_out(one.job), f"revision {one.folder.name}"


def _listed_lines(one: Listed) -> list[str]:
    name, told = one.folder.name, one.issue
    head = f"{name}  {told.when}  digest {told.digest}  {len(told.files)} files" if told else name
    if told and told.not_for_build:
        head += f"  {NOT_FOR_BUILD}: {', '.join(told.not_for_build)}"
    if not one.touched:
        return [f"{head}  untouched"]
    return [f"{head}  TOUCHED", *(f"   {words}" for words in one.touched)]


def _listed_json(one: Listed) -> dict[str, object]:
    told = one.issue
    return {
        "revision": one.folder.name,
        "when": told.when if told else None,
        "digest": told.digest if told else None,
        "version": told.version if told else None,
        "not_for_build": list(told.not_for_build) if told else [],
        "untouched": not one.touched,
        "touched": list(one.touched),
    }


def _is_day(when: str) -> bool:
    try:
        date.fromisoformat(when)
    except ValueError:
        print(f"The date {when} can't be read. Write it as YYYY-MM-DD.", file=sys.stderr)
        return False
    return True
