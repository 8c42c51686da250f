"""How fast a job is worked out: warm, after an edit, in a fresh process, and as looms grow; targets beside.

    python -m benchmarks.speed [FOLDER ...] [--wires N ...] [--json]

Without folders the bundled demo jobs are measured (invented data). An edit changes one value in the text of
job.toml; the text is read again and everything is worked out, in a process that has seen the job before:
once with what was kept (kept.toml: numbers, places, board angles), as while a job is worked on, and once as
if nothing had ever been kept.
"""

import argparse
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from statistics import median

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, as the figures say

from benchmarks.generated import job_text
from loomwright import demos
from loomwright.job import WorkedJob, work_out_read
from loomwright.jobfile.kept import kept_text
from loomwright.jobfile.read import job_of_text
from loomwright.jobfile.toml_text import TomlDocument

RUNS = 5
EDITS = 10
TARGETS = {"warm_s": 0.5, "edit_s": 0.1, "grown_s": 15.0}
SIZES = (180, 500, 1000, 2000)


@dataclass(frozen=True, slots=True)
class FolderRow:
    """One job folder: everything worked out again, after one of ten edits (median), in a fresh process.

    `first_edit_s` is the median edit of a job of which nothing was kept yet.
    """

    job: str
    wires: int
    warm_s: float
    edit_s: float
    slowest_edit_s: float
    first_edit_s: float
    cold_s: float


@dataclass(frozen=True, slots=True)
class GrownRow:
    """One generated loom; growth is the exponent of time over wires since the row before."""

    asked_wires: int
    wires: int
    seconds: float
    growth: float | None


def worked(text: str, kept_words: str = "") -> WorkedJob:
    return work_out_read(job_of_text(text, kept_words))


def took(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def edits_of(text: str, document: TomlDocument) -> list[str]:
    """Return ten texts in each of which one number is another, spread evenly over the file.

    Lengths, temperatures and currents a little larger: edits as a builder makes them.
    """
    numbers = [
        one
        for one in document.statements
        if one.path and one.value < one.end and _is_number(document.raw[one.value : one.end])
    ]
    spread = [numbers[at * (len(numbers) - 1) // (EDITS - 1)] for at in range(EDITS)]
    found = []
    for one in spread:
        was = document.raw[one.value : one.end].decode()
        now = str(int(was) + 7) if was.strip().isdigit() else f"{float(was) * 0.97:.3f}"
        raw = document.raw[: one.value] + now.encode() + document.raw[one.end :]
        found.append(raw.decode())
    return found


def _is_number(raw: bytes) -> bool:
    try:
        return float(raw) != 0
    except ValueError:
        return False


def folder_row(folder: Path) -> FolderRow:
    file = folder / "job.toml" if folder.is_dir() else folder
    text = file.read_text(encoding="utf-8")
    done = worked(text)
    warm = min(took(lambda: worked(text)) for _ in range(RUNS))
    edits, kept = edits_of(text, done.read.document), kept_text(done.kept)
    after = [took(partial(worked, now, kept)) for now in edits]
    first = [took(partial(worked, now)) for now in edits]
    command = [sys.executable, "-m", "loomwright", "check", str(folder), "--json"]
    cold = min(took(lambda: subprocess.run(command, capture_output=True, check=False)) for _ in range(2))
    wires = len(done.worked.routed.wires)
    return FolderRow(folder.name, wires, warm, median(after), max(after), median(first), cold)


def grown_rows(sizes: list[int]) -> list[GrownRow]:
    from math import log

    rows: list[GrownRow] = []
    for size in sizes:
        text = job_text(size)
        start = time.perf_counter()
        wires = len(worked(text).worked.routed.wires)
        seconds = time.perf_counter() - start
        last = rows[-1] if rows else None
        growth = log(seconds / last.seconds) / log(wires / last.wires) if last else None
        rows.append(GrownRow(size, wires, seconds, growth))
    return rows


def bundled() -> list[Path]:
    root = Path(demos.__file__).parent
    return [root / name for name in ("six", "hillclimb", "v8") if (root / name / "job.toml").is_file()]


def summary(folders: list[FolderRow], grown: list[GrownRow]) -> dict[str, dict[str, float | bool | None]]:
    """Return the slowest of every figure beside its target."""
    figures = {
        "warm_s": max((one.warm_s for one in folders), default=None),
        "edit_s": max((one.edit_s for one in folders), default=None),
        "cold_s": max((one.cold_s for one in folders), default=None),
        "grown_s": max((one.seconds for one in grown), default=None),
    }
    return {name: beside_target(figure, TARGETS.get(name)) for name, figure in figures.items()}


def beside_target(figure: float | None, target: float | None) -> dict[str, float | bool | None]:
    met = None if figure is None or target is None else figure <= target
    return {"seconds": figure, "target": target, "met": met}


def print_tables(folders: list[FolderRow], grown: list[GrownRow]) -> None:
    print(f"{'job':12} {'wires':>6} {'warm':>8} {'edit':>8} {'slowest':>8} {'first':>8} {'cold':>8}   [s]")
    for one in folders:
        times = (one.warm_s, one.edit_s, one.slowest_edit_s, one.first_edit_s, one.cold_s)
        print(f"{one.job:12} {one.wires:6} " + " ".join(f"{second:8.3f}" for second in times))
    print(f"{'target':12} {'':6} {TARGETS['warm_s']:8.3f} {TARGETS['edit_s']:8.3f}")
    print()
    print(f"{'generated':12} {'wires':>6} {'seconds':>8} {'growth':>8}")
    for row in grown:
        growth = "" if row.growth is None else f"{row.growth:.2f}"
        print(f"{row.asked_wires:<12} {row.wires:6} {row.seconds:8.2f} {growth:>8}")
    print(f"{'target':12} {'2000':>6} {TARGETS['grown_s']:8.2f}")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("folders", nargs="*", type=Path, help="job folders instead of the bundled demos")
    options.add_argument(
        "--wires", nargs="*", type=int, help="sizes of the generated looms; none = leave out"
    )
    options.add_argument("--json", action="store_true", help="print one JSON object: rows, summary")
    given = options.parse_args()
    folders = [folder_row(one) for one in given.folders or bundled()]
    grown = grown_rows(list(SIZES) if given.wires is None else given.wires)
    if given.json:
        rows = [*map(asdict, folders), *map(asdict, grown)]
        print(json.dumps({"rows": rows, "summary": summary(folders, grown)}))
        return
    print_tables(folders, grown)


if __name__ == "__main__":
    main()
