"""Tables into the job: what would change is shown first; carried out as logged edits that undo takes back."""

import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from loomwright.edits import Edit
from loomwright.jobfile.edit_log import do, undo
from loomwright.jobfile.read import ReadJob, read_job
from loomwright.jobfile.take_in import Outcome, take_in
from loomwright.mockup.capture import capture


def take_table_in(table: Path, folder: Path, device: str, rope: bool, write: bool) -> int:
    """Show what a table would change, and carry it out with `write`; 1 if a row was refused."""
    read = read_job(folder)
    raw = table.read_bytes()
    edits, refused = _rope(read, table.name, raw) if rope else _devices(read, table.name, raw, device)
    if not edits:
        print("Nothing would change.")
    elif write:
        do(read.folder, edits, _now(), read.document.digest, f"taken in from {table.name}")
        print(f"{len(edits)} edits are in the job; loomwright undo takes them back.")
    else:
        print(f"{len(edits)} edits; nothing is written yet. Repeat with --write to carry them out.")
    return 1 if refused else 0


def undo_last(folder: Path) -> int:
    """Take the last logged edit back."""
    where = folder if folder.is_dir() else folder.parent
    undo(where, _now())
    print("The last edit is taken back.")
    return 0


def _devices(read: ReadJob, name: str, raw: bytes, device: str) -> tuple[Sequence[Edit], int]:
    end, _, connector = device.partition(".")
    taken = take_in(read.document.values, name, raw, device=end, connector=connector)
    for row in taken.rows:
        if row.outcome is not Outcome.SAME:
            print(f"row {row.row:>4}  {row.outcome:<11} {row.what}  {row.reason}".rstrip())
    print(f"{taken.counted(Outcome.SAME)} rows are in the job already.")
    return taken.edits, taken.counted(Outcome.REFUSED)


def _rope(read: ReadJob, name: str, raw: bytes) -> tuple[Sequence[Edit], int]:
    found = capture(read.job, name, raw)
    for one in found.differences:
        by = f"  ({one.difference_mm:+.0f} mm)" if one.difference_mm is not None else ""
        print(f"{one.place}: {one.before or 'nothing'} -> {one.after}{by}")
    for problem in found.problems:
        print(f"{problem.file}:{problem.row}  {problem.what_is} {problem.remedy}", file=sys.stderr)
    return found.edits, len(found.problems)


def _now() -> str:
    return datetime.now().isoformat(timespec="seconds")
