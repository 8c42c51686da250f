"""One job on the desk: read and worked out once for every state of its files, edited by all windows.

All edits go through the job's log, so undo is shared and lasts. An edit made for an older state is carried
out all the same where nobody touched what it touches; else it is a clash, with both values, and nothing
is lost. Wire numbers are given for good with a pack or an issue only, not while a loom is being entered.
"""

import hashlib
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from threading import RLock
from typing import Final

from loomwright.edits import Edit, Verb
from loomwright.edits import Path as KeyPath
from loomwright.errors import ChangedMeanwhile, LoomwrightError
from loomwright.job import WorkedJob, keep, work_out_read
from loomwright.jobfile.edit_log import do, read_log, redo, steps_of, undo
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.kept import KEPT_FILE
from loomwright.jobfile.plain_edit import same
from loomwright.jobfile.read import JOB_FILE, ReadJob, job_of_document, read_job
from loomwright.jobfile.read_stock import STOCK_FILE, Stock, read_stock
from loomwright.jobfile.toml_spans import Plain
from loomwright.jobfile.toml_text import TomlDocument, digest_of
from loomwright.web.slices import Slices

MOST_STATES: Final = 2
MOST_FORMER: Final = 40
DIGEST_LETTERS: Final = 24
_BESIDE: Final = (".csv", ".xlsx", ".toml")


@dataclass(frozen=True, slots=True)
class State:
    """The job at one state of its files.

    Attributes:
        digest: names the state: job.toml before the dash, all files beside it behind
        done: the job worked out
        slices: what the pages show of it, made when asked for
        can_undo, can_redo: whether there is a step to take back or bring back
    """

    digest: str
    done: WorkedJob
    slices: Slices
    can_undo: bool
    can_redo: bool


@dataclass(frozen=True, slots=True)
class Clash:
    """A value that somebody else changed since the edit's state: what is there now, what was wanted."""

    path: KeyPath
    was: Plain
    now: Plain
    wanted: Plain


class Clashing(LoomwrightError):
    """An edit touches what somebody else changed meanwhile; nothing was written."""

    def __init__(self, state: State, clashes: tuple[Clash, ...]) -> None:
        self.state, self.clashes = state, clashes
        super().__init__(
            "The job was changed meanwhile, here or by another program. Look at both and choose."
        )


class Desk:
    """One job in use.

    Args:
        folder: the job folder
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = RLock()
        self._states: deque[State] = deque(maxlen=MOST_STATES)
        self._former: deque[tuple[str, Plain]] = deque(maxlen=MOST_FORMER)
        self._signature: object = None

    def state(self) -> State:
        """Return the job as its files are now; worked out again only where one of them changed.

        Raises:
            Unreadable: job.toml is missing or not UTF-8.
        """
        with self._lock:
            signature = self._signed()
            if not self._states or signature != self._signature:
                self._read()
            return self._states[-1]

    def known(self, digest: str) -> State | None:
        """Return the state of a digest where it is the last or the one before."""
        with self._lock:
            return next((one for one in self._states if one.digest == digest), None)

    @property
    def last_digest(self) -> str:
        """The digest of the state last read; "" = none yet."""
        return self._states[-1].digest if self._states else ""

    def changed_outside(self) -> bool:
        """Return whether a file is other than at the state last read; costs a look at the folder alone."""
        return self._signed() != self._signature

    def edit(self, base: str, edits: Sequence[Edit], words: str = "") -> State:
        """Carry out edits.

        Args:
            base: digest of the state they were made for
            edits: all or none
            words: what it is, for the log
        Raises:
            Clashing: somebody else changed what they touch.
            RefusedEdit: they can't be carried out, in words.
        """
        with self._lock:
            now = self._meant_for(base, edits)
            known, document = now.done.read.document.digest, apply(now.done.read.document, edits).document
            with ThreadPoolExecutor(1) as pool:  # the disk takes its time; the loom is worked out meanwhile
                saved = pool.submit(do, self.folder, edits, _now(), known, words)
                done = _worked(self._read_as(document), now)
                self._step(saved.result)
            self._read(done)
            return self._states[-1]

    def undo(self, base: str) -> State:
        """Take the last step back; errors as of `edit`."""
        with self._lock:
            self._check_current(base)
            self._step(lambda: undo(self.folder, _now()))
            return self.state()

    def redo(self, base: str) -> State:
        """Bring back the step taken back last; errors as of `edit`."""
        with self._lock:
            self._check_current(base)
            self._step(lambda: redo(self.folder, _now()))
            return self.state()

    def preview(self, base: str, edits: Sequence[Edit]) -> tuple[State, WorkedJob]:
        """Return the state now and the job as edits would make it; nothing is written. Errors as `edit`."""
        with self._lock:
            now = self._meant_for(base, edits)
        document = apply(now.done.read.document, edits).document
        return now, _worked(self._read_as(document), now)

    def keep(self, state: State) -> State:
        """Give numbers, places and sizes for good, before a pack is printed; return the state then."""
        with self._lock:
            keep(state.done)
            return self.state()

    def _step(self, carry_out: Callable[[], object]) -> None:
        try:
            carry_out()
        except ChangedMeanwhile as fault:
            raise Clashing(self.state(), ()) from fault

    def _check_current(self, base: str) -> None:
        now = self.state()
        if _job_part(base) != _job_part(now.digest):
            raise Clashing(now, ())

    def _meant_for(self, base: str, edits: Sequence[Edit]) -> State:
        now = self.state()
        if _job_part(base) == _job_part(now.digest):
            return now
        then = next((values for digest, values in self._former if digest == _job_part(base)), None)
        there = now.done.read.document.values
        if then is None:
            raise Clashing(now, tuple(_unknown(edit, there) for edit in edits))
        clashes = tuple(clash for edit in edits if (clash := _clash(edit, then, there)))
        if clashes:
            raise Clashing(now, clashes)
        return now

    def _signed(self) -> object:
        found = []
        for one in sorted(self.folder.glob("*")):
            if one.suffix in _BESIDE:
                try:
                    told = one.stat()
                except OSError:
                    continue
                found.append((one.name, told.st_mtime_ns, told.st_size, told.st_ino))
        return tuple(found)

    def _read_as(self, document: TomlDocument) -> ReadJob:
        """The job with another text and the files beside it as they are."""
        kept = self.folder / KEPT_FILE
        words = kept.read_text("utf-8") if kept.is_file() else ""
        read = job_of_document(document, words, self.folder)
        stock = self.folder / STOCK_FILE
        held, faults = read_stock(stock.read_text("utf-8")) if stock.is_file() else (Stock(), ())
        return replace(read, folder=self.folder, stock=held, findings=(*read.findings, *faults))

    def _read(self, made: WorkedJob | None = None) -> None:
        """Take in the files as they are.

        Args:
            made: the job worked out already, which holds where the files say just what it was made from
        """
        self._signature = self._signed()
        last = self._states[-1] if self._states else None
        beside = _beside(self.folder)
        if made is not None and last is not None and last.digest.endswith(f"-{beside}"):
            raw = digest_of((self.folder / JOB_FILE).read_bytes())
            made = made if raw == made.read.document.digest else None
        else:
            made = None
        read = made.read if made is not None else read_job(self.folder)
        digest = f"{read.document.digest[:DIGEST_LETTERS]}-{beside}"
        if last is not None and last.digest == digest:
            return
        steps = steps_of(read_log(self.folder), read.document.digest)
        done = made if made is not None else _worked(read, last)
        self._former.append((_job_part(digest), read.document.values))
        self._states.append(State(digest, done, Slices(done), bool(steps.undoable), bool(steps.redoable)))


def _worked(read: ReadJob, last: State | None) -> WorkedJob:
    """Work out a job; the board keeps the angles it had, so that it stands still under the builder's eyes."""
    if last is not None:
        held = {**dict(last.done.kept.board_angles), **dict(read.job.kept.board_angles)}
        kept = replace(read.job.kept, board_angles=tuple(sorted(held.items())))
        read = replace(read, job=replace(read.job, kept=kept))
    return work_out_read(read)


def _now() -> str:
    return datetime.now().isoformat(timespec="seconds")


def _job_part(digest: str) -> str:
    return digest.partition("-")[0]


def _beside(folder: Path) -> str:
    found = hashlib.sha256()
    for one in sorted(folder.glob("*")):
        if one.suffix in _BESIDE and one.name != JOB_FILE and one.is_file():
            found.update(one.name.encode("utf-8", "surrogateescape") + b"\n" + one.read_bytes())
    return found.hexdigest()[:8]


def _watched(edit: Edit) -> KeyPath:
    """What must stand still for an edit to mean the same: its path, or the list or table around it."""
    path = edit.path[:-1] if edit.verb is Verb.RENAME else edit.path
    for depth, step in enumerate(path):
        if isinstance(step, int):
            return path[:depth]
    return path


def _held(values: Plain, path: KeyPath) -> Plain | None:
    for step in path:
        if not isinstance(values, dict) or step not in values:
            return None
        values = values[str(step)]
    return values


def _clash(edit: Edit, then: Plain, now: Plain) -> Clash | None:
    path = _watched(edit)
    was, there = _held(then, path), _held(now, path)
    if was is there or (was is not None and there is not None and same(was, there)):
        return None
    return Clash(edit.path, was, there, edit.value)  # type: ignore[arg-type]


def _unknown(edit: Edit, now: Plain) -> Clash:
    return Clash(edit.path, None, _held(now, _watched(edit)), edit.value)  # type: ignore[arg-type]
