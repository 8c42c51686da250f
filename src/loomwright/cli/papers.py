"""The pack command: work out, keep what was chosen, write every paper, say what prints on how many sheets."""

import json
import sys
from datetime import date
from pathlib import Path
from typing import Final

from loomwright.cli.progress import working
from loomwright.cli.report import summary
from loomwright.job import WorkedJob, keep, work_out
from loomwright.pack.printing import as_printed
from loomwright.sheets.beside import second_process, unswept
from loomwright.sheets.printers import printer_named, remember
from loomwright.sheets.tiles import PrinterScale
from loomwright.sheets.write_boards import lies_landscape
from loomwright.sheets.write_pack import Written, write_pack

PACK_FOLDER: Final = "pack"


def write_papers(
    folder: Path,
    out: Path | None,
    paper: str,
    tile_paper: str,
    measured: tuple[float, float] | None,
    issued: str,
    as_json: bool,
    printer: str = "",
    instrument: str = "",
) -> int:
    """Write every paper of a job and print one screen about it.

    Args:
        folder: job folder, or its job.toml
        out: where to write, None = pack/ in the job's folder
        paper: "A4", "Letter", "" = the job's
        tile_paper: paper of the board's tiles
        measured: what the printed 100 mm bars measure, across and up [mm]
        issued: date to print, YYYY-MM-DD
        as_json: print one JSON object instead
        printer: printer whose correction is remembered in the job's folder; `measured` is kept for it
        instrument: what this printing's test sheet is for; "" = the shop's

    Returns:
        0 sound, 1 faults that nobody accepted, 2 not readable or not understood.
    """
    try:
        date.fromisoformat(issued)
    except ValueError:
        print(f"The date {issued} can't be read. Write it as YYYY-MM-DD.", file=sys.stderr)
        return 2
    with unswept(), second_process() as beside:
        with working("Working out the loom", quiet=as_json):
            done = work_out(folder)
        target = out if out is not None else done.read.folder / PACK_FOLDER
        if target.exists() and not target.is_dir():
            print(f"{target} is a file. Name a folder to write to.", file=sys.stderr)
            return 2
        keep(done)
        scale = _scale(done, printer, measured, tile_paper) if printer else None
        with working("Writing the papers", quiet=as_json):
            size = paper or done.worked.job.paper
            written = write_pack(
                as_printed(done.worked, done.read.folder, done.digest, instrument),
                done.findings,
                done.digest,
                target,
                issued,
                size,
                tile_paper,
                measured,
                beside,
                scale,
            )
    print(_json(done, written) if as_json else _words(done, written))
    return 1 if done.faults else 0


def _scale(
    done: WorkedJob, printer: str, measured: tuple[float, float] | None, tile_paper: str
) -> PrinterScale:
    """The correction of a named printer; what was measured just now is remembered."""
    folder = done.read.folder
    if measured is None:
        return printer_named(folder, printer)
    return remember(folder, printer, *measured, lies_landscape(done.worked, tile_paper))


def _words(done: WorkedJob, written: Written) -> str:
    rows = [summary(done), f"Written to {written.folder}:"]
    wide = max(len(one.name) for one in written.files)
    rows.append(f"  {written.front.name:{wide}}  start here")
    for one in written.files:
        rows.append(f"  {one.name:{wide}}  {one.words}" + (f" ({one.prints})" if one.prints else ""))
    if done.faults:
        rows.append(
            f"Sheets that {len(done.faults)} faults touch are stamped NOT FOR BUILD. See: loomwright check"
        )
    return "\n".join(rows)


def _json(done: WorkedJob, written: Written) -> str:
    found = {
        "job": done.worked.job.title,
        "digest": done.digest,
        "faults": len(done.faults),
        "folder": str(written.folder),
        "front": str(written.front),
        "files": [
            {"file": one.name, "words": one.words, "sheets": one.count, "paper": one.paper}
            for one in written.files
        ],
    }
    return json.dumps(found, indent=1, ensure_ascii=False)
