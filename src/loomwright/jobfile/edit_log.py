"""The edit log of a job: every edit with its inverse, in `edits.log`, one JSON object per line.

An entry is written and brought to the disk before the job file is changed. So an entry whose edits
never reached the file (a power cut in between) is known by the file still having the entry's base
digest, and counts for nothing. Undo and redo are entries themselves and are worked out from the log,
so all windows share them. A change from outside ends redo; undo then works only where what it takes
back is still as it was. `stock.toml` has a log of its own, `stock-edits.log`.
"""

import json
import os
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from loomwright.edits import Edit, Verb
from loomwright.errors import ChangedMeanwhile, LoomwrightError, RefusedEdit
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.edit_words import Applied, Splice, WrittenEdit, spliced
from loomwright.jobfile.plain_edit import same
from loomwright.jobfile.save import locked, read, replace, sync_folder
from loomwright.jobfile.toml_text import TomlDocument, digest_of, read_text

JOB: Final = "job.toml"
LOG: Final = "edits.log"
Does = Literal["do", "undo", "redo"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the log.

    Attributes:
        number: from 1, without gaps
        when: date and time as handed in
        does: do, undo or redo
        of: the number of the entry it takes back or brings back; of a do, its own
        base: digest of the job file before
        result: digest of the job file after
        edits: what was done
        inverse: edits that take it back
        back: splices that bring the former bytes back
        reason: why
    """

    number: int
    when: str
    does: Does
    of: int
    base: str
    result: str
    edits: tuple[Edit, ...]
    inverse: tuple[Edit, ...]
    back: tuple[tuple[Splice, ...], ...]
    reason: str


@dataclass(frozen=True, slots=True)
class EditLog:
    """The log as read.

    Attributes:
        entries: all sound entries in order
        faults: what could not be read, in words
        sound_bytes: how many bytes of the file hold whole lines
    """

    entries: tuple[Entry, ...]
    faults: tuple[str, ...]
    sound_bytes: int


@dataclass(frozen=True, slots=True)
class Steps:
    """What can be undone and redone.

    Attributes:
        undoable: numbers of entries, the next one to undo last
        redoable: numbers of entries, the next one to redo last
        changed_outside: the job file was changed since the last entry
    """

    undoable: tuple[int, ...]
    redoable: tuple[int, ...]
    changed_outside: bool


@dataclass(frozen=True, slots=True)
class Done:
    """A step carried out.

    Attributes:
        entry: what was logged; None when nothing changed
        document: the job file's text now
        faults: what in the log could not be read, in words
    """

    entry: Entry | None
    document: TomlDocument
    faults: tuple[str, ...]


def do(
    folder: Path, edits: Sequence[Edit], when: str, base_digest: str, reason: str = "", name: str = JOB
) -> Done:
    """Carry out edits on the job file of a folder and log them.

    Args:
        folder: the job folder
        edits: what to do, all or none
        when: date and time for the log
        base_digest: digest of the job file the edits were made for
        reason: why; empty means the edits' own reasons
        name: which file of the folder
    Errors: ChangedMeanwhile, RefusedEdit, Unreadable; the job file stays as it was then.
    """
    file = folder / name
    with locked(file):
        document = read_text(read(file).text)
        if document.digest != base_digest:
            raise ChangedMeanwhile(file)
        why = reason or "; ".join(sorted({edit.reason for edit in edits if edit.reason}))
        return _logged(
            file, read_log(folder, name), document, apply(document, edits), ("do", 0, tuple(edits), why, when)
        )


def undo(folder: Path, when: str, name: str = JOB) -> Done:
    """Take back the last step that was not taken back yet, whoever did it.

    Args:
        folder: the job folder
        when: date and time for the log
        name: which file of the folder
    Errors: RefusedEdit when there is none, or what it changed was changed again from outside.
    """
    file = folder / name
    with locked(file):
        document, log = read_text(read(file).text), read_log(folder, name)
        steps = steps_of(log, document.digest)
        if not steps.undoable:
            raise RefusedEdit("There is nothing to undo.")
        entry = _entry(log, steps.undoable[-1])
        taken = _taken_back(document, entry)
        return _logged(file, log, document, taken, ("undo", entry.number, entry.inverse, entry.reason, when))


def redo(folder: Path, when: str, name: str = JOB) -> Done:
    """Bring back the step that was taken back last.

    Args:
        folder: the job folder
        when: date and time for the log
        name: which file of the folder
    Errors: RefusedEdit when there is none, as after any other change.
    """
    file = folder / name
    with locked(file):
        document, log = read_text(read(file).text), read_log(folder, name)
        steps = steps_of(log, document.digest)
        if not steps.redoable:
            raise RefusedEdit("There is nothing to redo.")
        entry = _entry(log, steps.redoable[-1])
        again = apply(document, entry.edits)
        return _logged(file, log, document, again, ("redo", entry.number, entry.edits, entry.reason, when))


def steps_of(log: EditLog, digest: str) -> Steps:
    """Return what can be undone and redone.

    Args:
        log: the log
        digest: the job file's digest now
    """
    undoable: list[int] = []
    redoable: list[int] = []
    last = None
    entries = log.entries
    for entry, following in zip(entries, [*(one.base for one in entries[1:]), digest], strict=False):
        if entry.base == following != entry.result:
            continue  # it never reached the job file
        if entry.base != last:
            redoable.clear()
        if entry.does == "do":
            redoable.clear()
        taken, given = (undoable, redoable) if entry.does == "undo" else (redoable, undoable)
        if entry.of in taken:
            taken.remove(entry.of)
        given.append(entry.of)
        last = entry.result
    outside = last is not None and last != digest
    return Steps(tuple(undoable), () if outside else tuple(redoable), outside)


def _entry(log: EditLog, number: int) -> Entry:
    return next(one for one in log.entries if one.number == number)


def _taken_back(document: TomlDocument, entry: Entry) -> Applied:
    if document.digest == entry.result:
        former = _former(document, entry)
        if former is not None:
            return former
    undone = apply(document, entry.inverse)
    if not same(apply(undone.document, entry.edits).document.values, document.values):
        raise RefusedEdit(
            "What this step changed was changed again from outside; undo would lose that. Edit it by hand."
        )
    return undone


def _former(document: TomlDocument, entry: Entry) -> Applied | None:
    """Return the former text byte for byte, or None when the log's splices don't lead there."""
    raw, back = document.raw, []
    try:
        for splices in entry.back:
            raw, forth = spliced(raw, splices)
            back.append(forth)
    except ValueError:
        return None
    if digest_of(raw) != entry.base:
        return None
    return Applied(read_text(raw.decode()), entry.edits, tuple(reversed(back)))


def _logged(
    file: Path,
    log: EditLog,
    before: TomlDocument,
    applied: Applied,
    what: tuple[Does, int, tuple[Edit, ...], str, str],
) -> Done:
    does, of, edits, reason, when = what
    after = applied.document
    if after.digest == before.digest and does == "do":
        return Done(None, after, log.faults)
    number = max((one.number for one in log.entries), default=0) + 1
    entry = Entry(
        number,
        when,
        does,
        of or number,
        before.digest,
        after.digest,
        edits,
        applied.inverse,
        applied.back,
        reason,
    )
    _append(file.with_name(_log_of(file.name)), log, entry)
    replace(file, after.raw, before.digest)
    return Done(entry, after, log.faults)


def _append(file: Path, log: EditLog, entry: Entry) -> None:
    """Write an entry behind the last whole line and bring it to the disk; a torn line is cut off."""
    line = json.dumps(_as_json(entry), separators=(",", ":")).encode("ascii") + b"\n"
    try:
        with open(file, "r+b" if file.exists() else "x+b") as out:
            out.truncate(log.sound_bytes)
            out.seek(max(0, log.sound_bytes - 1))
            ended = out.read(1) in (b"", b"\n")
            out.seek(log.sound_bytes)
            out.write(line if ended else b"\n" + line)
            out.flush()
            os.fsync(out.fileno())
    except OSError as fault:
        raise LoomwrightError(f"{file} can't be written: {fault.strerror}. Nothing was changed.") from fault
    sync_folder(file.parent)


def _log_of(name: str) -> str:
    return LOG if name == JOB else f"{name.partition('.')[0]}-{LOG}"


def read_log(folder: Path, name: str = JOB) -> EditLog:
    """Return the edit log of a job folder; never raises for what is in it.

    Args:
        folder: the job folder
        name: which file's
    Errors: LoomwrightError when the file can't be opened.
    """
    file = folder / _log_of(name)
    try:
        raw = file.read_bytes()
    except FileNotFoundError:
        return EditLog((), (), 0)
    except OSError as fault:
        raise LoomwrightError(f"{file} can't be opened: {fault.strerror}. Check its permissions.") from fault
    entries: list[Entry] = []
    faults: list[str] = []
    sound = 0
    for number, line in enumerate(raw.splitlines(keepends=True), start=1):
        entry = _read_entry(line)
        if entry is not None:
            entries.append(entry)
        elif not line.endswith(b"\n"):
            words = "The last entry is cut off, as by a power cut. It was not carried out."
            faults.append(f"{file}:{number}  {words}")
            break
        elif line.strip():
            faults.append(f"{file}:{number}  This entry can't be read. It is passed over.")
        sound += len(line)
    return EditLog(tuple(entries), tuple(faults), sound)


def _read_entry(line: bytes) -> Entry | None:
    with suppress(ValueError, KeyError, TypeError, RecursionError):
        held = json.loads(line)
        back = tuple(
            tuple(Splice(int(a), int(b), str(c).encode()) for a, b, c in one) for one in held["back"]
        )
        does: Does = {"do": "do", "undo": "undo", "redo": "redo"}[held["does"]]  # type: ignore[assignment]
        return Entry(
            number=int(held["number"]),
            when=str(held["when"]),
            does=does,
            of=int(held["of"]),
            base=str(held["base"]),
            result=str(held["result"]),
            edits=edits_from_json(held["edits"]),
            inverse=edits_from_json(held["inverse"]),
            back=back,
            reason=str(held["reason"]),
        )
    return None


def _as_json(entry: Entry) -> dict[str, object]:
    return {
        "number": entry.number,
        "when": entry.when,
        "does": entry.does,
        "of": entry.of,
        "base": entry.base,
        "result": entry.result,
        "reason": entry.reason,
        "edits": edits_as_json(entry.edits),
        "inverse": edits_as_json(entry.inverse),
        "back": [[[one.start, one.end, one.new.decode()] for one in splices] for splices in entry.back],
    }


def edits_as_json(edits: Iterable[Edit]) -> list[dict[str, object]]:
    """Return edits as objects for JSON: verb, path and, where they have them, value, reason, written."""
    done = []
    for edit in edits:
        one: dict[str, object] = {"verb": str(edit.verb), "path": list(edit.path)}
        one.update({} if edit.value is None else {"value": edit.value})
        one.update({"reason": edit.reason} if edit.reason else {})
        one.update({"written": edit.written} if isinstance(edit, WrittenEdit) else {})
        done.append(one)
    return done


def edits_from_json(held: Iterable[dict[str, object]]) -> tuple[Edit, ...]:
    """Return edits from plain objects; errors: ValueError, KeyError, TypeError when they are no edits."""
    return tuple(_edit(one) for one in held)


def _edit(held: dict[str, object]) -> Edit:
    path = held["path"]
    if not isinstance(path, list) or not all(isinstance(one, str | int) for one in path):
        raise TypeError("a path is a list of names and numbers")
    verb, value, reason = Verb(str(held["verb"])), held.get("value"), str(held.get("reason", ""))
    if "written" in held:
        return WrittenEdit(verb, tuple(path), value, reason, str(held["written"]))  # type: ignore[arg-type]
    return Edit(verb, tuple(path), value, reason)  # type: ignore[arg-type]
