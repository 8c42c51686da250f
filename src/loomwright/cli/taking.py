"""Tables into the job: what would change is shown first; carried out as logged edits that undo takes back."""

import sys
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

from loomwright.edits import Edit
from loomwright.errors import Unreadable
from loomwright.jobfile.edit_log import do, undo
from loomwright.jobfile.read import ReadJob, read_job
from loomwright.jobfile.table_file import table_of
from loomwright.jobfile.take_in import SPELLINGS, Outcome, take_in
from loomwright.jobfile.tried import tried
from loomwright.library.tables import nearest
from loomwright.mockup.capture import capture
from loomwright.mockup.form import SPELLINGS as FORM_SPELLINGS
from loomwright.mockup.twice import Twice, measured_twice, new_on_the_rope
from loomwright.model.job import Job

REFUSED: Final = 1
TWO_LENGTHS: Final = "ROPE-01"


def take_table_in(table: Path, folder: Path, device: str, rope: bool, write: bool) -> int:
    """Show what a table would change, and carry it out with `write`; 1 if a row was refused."""
    read = read_job(folder)
    raw = table.read_bytes()
    mistaken = _mistaken(read.job, table, raw, device, rope) or _no_such_plug(read.job, device)
    if mistaken:
        print(mistaken, file=sys.stderr)
        return REFUSED
    edits, refused = _rope(read, table.name, raw) if rope else _devices(read, table.name, raw, device)
    if not edits:
        print("Nothing would change.")
    elif write:
        do(read.folder, edits, _now(), read.document.digest, f"taken in from {table.name}")
        them = "it" if len(edits) == 1 else "them"
        print(f"{_edits(edits)} in the job now; loomwright undo takes {them} back.")
    else:
        print(f"{_edits(edits)}; nothing is written yet. Repeat with --write to carry them out.")
    return REFUSED if refused else 0


def undo_last(folder: Path) -> int:
    """Take the last logged edit back."""
    where = folder if folder.is_dir() else folder.parent
    undo(where, _now())
    print("The last edit is taken back.")
    return 0


def _mistaken(job: Job, table: Path, raw: bytes, device: str, rope: bool) -> str:
    """Say where a table is of another sort than it was taken for, "" = it isn't."""
    readings = _has(table.name, raw, FORM_SPELLINGS, ("point", "running mm"))
    pins = _has(table.name, raw, SPELLINGS, ("cavity", "circuit"))
    if rope and not readings and pins:
        return f"{table.name} has the columns of a pin list, not of a measuring form. Repeat without --rope."
    if rope or device or _has(table.name, raw, SPELLINGS, ("device",)):
        return ""
    if readings:
        return f"{table.name} has the columns of a measuring form. Repeat with --rope."
    if not pins:
        return ""
    plugs = [plug for one in job.devices if one.family == "controller" for plug in one.connectors]
    plugs = plugs or [plug for one in job.devices for plug in one.connectors]
    named = ", ".join(plug.end for plug in plugs[:6]) or "the controller's name"
    example = plugs[0].end if plugs else "ECU"
    return (
        f"{table.name} is a pin list: it names cavities and circuits and no device. "
        f"Say whose plug it is ({named}): repeat with --device {example}, or add a column device."
    )


def _has(name: str, raw: bytes, spellings: Mapping[str, tuple[str, ...]], needed: tuple[str, ...]) -> bool:
    try:
        table_of(name, raw, spellings, needed)
    except Unreadable:
        return False
    return True


def _no_such_plug(job: Job, device: str) -> str:
    """Say that the plug named on the command line is not in the job, "" = it is, or none was named."""
    name = device.partition(".")[0]
    if not device or device in job.connector:
        return ""
    known = job.device.get(name)
    if known is None:
        like = " or ".join(nearest(device, {**job.device, **job.connector}))
        ask = f"Did you mean {like}?" if like else f"Write its table [device.{name}] first."
        return f'The job has no device "{name}". {ask}'
    plugs = [plug.end for plug in known.connectors if plug.name]
    if device != name:
        has = f"it has {', '.join(plugs)}" if plugs else f"its one plug is called {name}"
        table = f"[device.{name}.connector.{device.partition('.')[2]}]"
        return f"{name} has no plug {device}; {has}. Repeat with that name, or write {table} first."
    if plugs:
        return f"{name} has plugs with names of their own: repeat with --device {' or '.join(plugs)}."
    return ""


def _devices(read: ReadJob, name: str, raw: bytes, device: str) -> tuple[Sequence[Edit], int]:
    end, _, connector = device.partition(".")
    taken = take_in(read.document.values, name, raw, device=end, connector=connector)
    for row in taken.rows:
        if not row.row:
            print(f"{row.what}: {row.reason}")
        elif row.outcome is not Outcome.SAME:
            print(f"row {row.row:>4}  {row.outcome:<11} {row.what}  {row.reason}".rstrip())
    same = taken.counted(Outcome.SAME)
    print(f"{same} row{' is' if same == 1 else 's are'} in the job already.")
    return taken.edits, taken.counted(Outcome.REFUSED)


def _rope(read: ReadJob, name: str, raw: bytes) -> tuple[Sequence[Edit], int]:
    found = capture(read.job, name, raw)
    for one in found.differences:
        by = f"  ({one.difference_mm:+.0f} mm)" if one.difference_mm is not None else ""
        print(f"{one.place}: {one.before or 'nothing'} -> {one.after}{by}")
    for problem in found.problems:
        print(f"{problem.file}:{problem.row}  {problem.what_is} {problem.remedy}", file=sys.stderr)
    if found.edits:
        _say_what_comes_of_it(read, found.edits)
    return found.edits, len(found.problems)


def _say_what_comes_of_it(read: ReadJob, edits: Sequence[Edit]) -> None:
    """Print the pieces that are measured twice afterwards, and what is wrong with the rope then."""
    after = tried(read, edits).job
    tapes = frozenset(str(edit.path[1]) for edit in edits if edit.path[0] == "rope")
    tapes |= {f"section {edit.path[1]}" for edit in edits if edit.path[0] == "section"}
    twice = measured_twice(after, tapes)
    for one in twice:
        print(_twice_words(one))
    told = {one.piece for one in twice if not one.agree}
    for finding in new_on_the_rope(read.job, after):
        if finding.code == TWO_LENGTHS and finding.place.words in told:
            continue
        print(f"Afterwards {finding.code}: {finding.what_is} {finding.remedy}")


def _twice_words(one: Twice) -> str:
    both = f"{one.holds.mm:g} mm ({one.holds.origin}) and {one.other.mm:g} mm ({one.other.origin})"
    apart = f"{abs(one.holds.mm - one.other.mm):.0f} mm apart"
    told = f"{one.piece} is measured twice: {both}, {apart}"
    holds = f"{one.holds.mm:g} mm holds, its doubt is the smaller"
    if one.agree:
        return f"{told}, within their doubt of {one.doubt_mm:.0f} mm. {holds}; both may stay."
    return (
        f"{told}, and their doubt is {one.doubt_mm:.0f} mm: a fault ({TWO_LENGTHS}). {holds} until you "
        "measure a third time and take the wrong reading out."
    )


def _edits(edits: Sequence[Edit]) -> str:
    return f"{len(edits)} edit{'' if len(edits) == 1 else 's'}"


def _now() -> str:
    return datetime.now().isoformat(timespec="seconds")
