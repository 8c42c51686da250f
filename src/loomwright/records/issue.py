"""Issued revisions: frozen copies of a job and its pack in `issued/REV/`, each sealed by file digests."""

import hashlib
import json
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from loomwright.errors import LoomwrightError, Unreadable
from loomwright.jobfile.read import read_job
from loomwright.records.bench_store import all_records
from loomwright.records.bench_text import TEXT_FILE, records_text

ISSUED: Final = "issued"
JOB: Final = "job"  # the frozen job folder inside
PACK: Final = "pack"
SEAL_FILE: Final = "issue.json"
APART: Final = ("pack.json", "job.toml")  # mark a folder as a written pack or as another job
FROZEN: Final = (".toml", ".csv", ".xlsx")
NAME: Final = re.compile(r"[A-Za-z0-9]([A-Za-z0-9._-]{0,30}[A-Za-z0-9])?")
TAKEN_BY_SYSTEMS: Final = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.I)


@dataclass(frozen=True, slots=True)
class Issue:
    """One issued revision.

    Attributes:
        number: 1 for the first, then counted on
        revision: its name, also that of its folder
        when: date of issue, YYYY-MM-DD
        digest: the job's digest as printed on the papers
        version: version of the program that wrote it
        not_for_build: keys of the sheets that were stamped, () = sound
        files: (path below the folder, SHA-256), sorted
    """

    number: int
    revision: str
    when: str
    digest: str
    version: str
    not_for_build: tuple[str, ...] = ()
    files: tuple[tuple[str, str], ...] = ()

    @property
    def seal(self) -> str:
        """SHA-256 over everything else; a change of any file or word changes it."""
        return hashlib.sha256(json.dumps(_plain(self), sort_keys=True).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Listed:
    """A revision as found on disk.

    Attributes:
        issue: what its seal says, None = that can't be read
        touched: what is other than at the issue, in words; () = untouched
    """

    folder: Path
    issue: Issue | None
    touched: tuple[str, ...]

    @property
    def job(self) -> Path:
        """The frozen job folder."""
        return self.folder / JOB


def issues(folder: Path) -> tuple[Listed, ...]:
    """Return the issued revisions of a job in the order of their issue, each compared with its seal.

    Args:
        folder: the job folder
    """
    home = folder / ISSUED
    found = [_listed(one) for one in sorted(home.iterdir()) if _is_revision(one)] if home.is_dir() else []
    return tuple(sorted(found, key=lambda one: (one.issue.number if one.issue else 0, one.folder.name)))


def issue_named(folder: Path, revision: str) -> Listed:
    """Return an issued revision by name; "" names the last one.

    Raises:
        Unreadable: there is none of that name, or none at all.
    """
    found = issues(folder)
    fits = [one for one in found if not revision or one.folder.name == revision]
    if fits:
        return fits[-1]
    if not found:
        remedy = "Issue one, or name a folder to compare with."
        raise Unreadable(folder / ISSUED, None, "No revision is issued yet.", "", remedy)
    names = ", ".join(one.folder.name for one in found)
    raise Unreadable(folder / ISSUED, None, f"There is no revision {revision}.", f"There are: {names}.", "")


def check_free(folder: Path, revision: str) -> None:
    """See that a revision can be issued under a name.

    Raises:
        LoomwrightError: the name is no file name on every system, or is taken, whatever its case.
    """
    if not NAME.fullmatch(revision) or TAKEN_BY_SYSTEMS.fullmatch(revision):
        raise LoomwrightError(
            f'"{revision}" can\'t be the name of a revision. Take letters, digits, "-", "_" and ".", like B.'
        )
    home = folder / ISSUED
    taken = {one.name.lower(): one.name for one in home.iterdir()} if home.is_dir() else {}
    if revision.lower() in taken:
        there = taken[revision.lower()]
        raise LoomwrightError(
            f"Revision {there} is issued already and stays as it is. Give the next one another name."
        )


@contextmanager
def issuing(folder: Path, one: Issue) -> Iterator[Path]:
    """Give a folder to put a revision's pack into; when the block ends well, it stands in `issued/`, sealed.

    The job's own files are copied by this function. Nothing is left behind when the block fails.

    Args:
        folder: the job folder
        one: the revision; its number and files are found here
    Raises:
        LoomwrightError: the name can't be used or is taken.
        OSError: the folder can't be written.
    """
    check_free(folder, one.revision)
    home = folder / ISSUED
    home.mkdir(exist_ok=True)
    part = Path(tempfile.mkdtemp(prefix=".part-", dir=home))
    try:
        _copy_job(folder, part / JOB)
        _write_records(folder, part / JOB)
        yield part
        last = max((x.issue.number for x in issues(folder) if x.issue), default=0)
        sealed = replace(one, number=last + 1, files=_digests(part))
        text = json.dumps({**_plain(sealed), "seal": sealed.seal}, indent=1, ensure_ascii=False)
        (part / SEAL_FILE).write_text(f"{text}\n", "utf-8", newline="\n")
        os.chmod(part, 0o755)
        check_free(folder, one.revision)
        os.rename(part, home / one.revision)
    finally:
        shutil.rmtree(part, ignore_errors=True)


def job_files(folder: Path) -> tuple[Path, ...]:
    """Return the files a job consists of, sorted; packs, revisions, other jobs and hidden files are none."""
    found: list[Path] = []
    for one in sorted(folder.iterdir()):
        if one.name.startswith("."):
            continue
        if one.is_dir() and not one.is_symlink():
            if one.name != ISSUED and not any((one / name).exists() for name in APART):
                found += job_files(one)
        elif one.suffix.lower() in FROZEN and one.is_file():
            found.append(one)
    return tuple(found)


def _copy_job(folder: Path, to: Path) -> None:
    for file in job_files(folder):
        copy = to / file.relative_to(folder)
        copy.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file, copy)
    for photo in read_job(folder).job.photos:
        if photo.data:  # then it lies in the folder
            copy = to / (folder / photo.file).resolve().relative_to(folder.resolve())
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(photo.data)


def _write_records(folder: Path, to: Path) -> None:
    """The bench's records as text; nothing where nothing was recorded."""
    found = all_records(folder)
    if found:
        (to / TEXT_FILE).write_text(records_text(found), "utf-8", newline="\n")


def _is_revision(folder: Path) -> bool:
    return folder.is_dir() and not folder.name.startswith(".")


def _digests(folder: Path) -> tuple[tuple[str, str], ...]:
    """Digests of all files below a folder but the seal itself."""
    files = {one.relative_to(folder).as_posix(): one for one in folder.rglob("*") if one.is_file()}
    files.pop(SEAL_FILE, None)
    return tuple((name, hashlib.sha256(files[name].read_bytes()).hexdigest()) for name in sorted(files))


def _listed(folder: Path) -> Listed:
    try:
        raw = json.loads((folder / SEAL_FILE).read_text("utf-8"))
        one = _issue(raw)
    except OSError:
        return Listed(folder, None, (f"{SEAL_FILE} is missing or can't be opened",))
    except (ValueError, KeyError, TypeError, AttributeError):
        return Listed(folder, None, (f"{SEAL_FILE} is not as it was written",))
    touched = () if raw["seal"] == one.seal else (f"{SEAL_FILE} is not as it was written",)
    return Listed(folder, one, (*touched, *_differences(dict(one.files), dict(_digests(folder)))))


def _differences(was: dict[str, str], now: dict[str, str]) -> Iterator[str]:
    for name in sorted({*was, *now}):
        if name not in now:
            yield f"{name} is missing"
        elif name not in was:
            yield f"{name} was added"
        elif was[name] != now[name]:
            yield f"{name} was changed"


def _plain(one: Issue) -> dict[str, Any]:
    return {
        "revision": one.revision,
        "number": one.number,
        "when": one.when,
        "digest": one.digest,
        "version": one.version,
        "not_for_build": list(one.not_for_build),
        "files": dict(one.files),
    }


def _issue(raw: dict[str, Any]) -> Issue:
    texts = {name: raw[name] for name in ("revision", "when", "digest", "version")}
    files, stamped = raw["files"].items(), raw["not_for_build"]
    sound = all(isinstance(x, str) for x in (*texts.values(), *stamped, *(v for _, v in files)))
    if not sound or type(raw["number"]) is not int:
        raise ValueError(SEAL_FILE)
    return Issue(raw["number"], **texts, not_for_build=tuple(stamped), files=tuple(sorted(files)))
