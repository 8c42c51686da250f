"""The handover command: as-built values, test record and photos for the car's next owner."""

import sys
from datetime import date
from pathlib import Path
from typing import Final

from loomwright.cli.progress import working
from loomwright.job import work_out
from loomwright.pack.as_built import how_tested, photos_of
from loomwright.pack.view import View
from loomwright.records.bench_standing import standing
from loomwright.records.bench_store import all_records
from loomwright.records.bench_text import TEXT_FILE
from loomwright.sheets.files import LIST_FILE, list_text, remove_stale, write_whole
from loomwright.sheets.write_handover import PAGE_FILE, PDF_FILE, handover_files, pictures_of

HANDOVER_FOLDER: Final = "handover"


def write_handover(folder: Path, out: Path | None, when: str) -> int:
    """Write the handover file.

    Args:
        folder: job folder, or its job.toml
        out: where to write, None = handover/ in the job's folder
        when: date to print, YYYY-MM-DD

    Returns:
        0 written, 1 written although tests read outside their limits, 2 not understood.
    """
    try:
        date.fromisoformat(when)
    except ValueError:
        print(f"The date {when} can't be read. Write it as YYYY-MM-DD.", file=sys.stderr)
        return 2
    with working("Working out the loom"):
        done = work_out(folder)
    home = done.read.folder
    target = out if out is not None else home / HANDOVER_FOLDER
    if target.exists() and not target.is_dir():
        print(f"{target} is a file. Name a folder to write to.", file=sys.stderr)
        return 2
    records = all_records(home)
    view = View(done.worked, done.findings, done.digest, when)
    with working("Writing the handover file"):
        files = handover_files(view, records, home)
        for name, data in files.items():
            write_whole(target / name, data)
        remove_stale(target, files)
        write_whole(target / LIST_FILE, list_text(files, done.digest))
    stands = standing(records)
    tests = how_tested(view, stands)
    counted = f"{tests.good} good, {tests.outside} outside, {tests.open} not recorded"
    print(f"{len(records)} records. Tests: {counted}.")
    missing = len(photos_of(stands)) - len(pictures_of(stands, home))
    if missing:
        print(f"{missing} photos are named in the records and are not in the folder.", file=sys.stderr)
    print(f"Written to {target}:")
    print(f"  {PAGE_FILE}  one page, opens anywhere without the program")
    print(f"  {PDF_FILE}  to print: as built, tests, build log, map, splices, field sheet, photos")
    print(f"  {TEXT_FILE}  every record as text")
    return 1 if tests.outside else 0
