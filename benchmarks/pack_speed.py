"""How long the whole pack command takes, started cold, and what it writes.

    python -m benchmarks.pack_speed [JOB ...] [--runs N] [--cores N] [--json]

JOB is a job folder or the name of a demo job; v8 if left out. Every run is a process of its own on a copy of
the job; the first one fills the cache of compiled modules and doesn't count. `--cores` keeps the runs to so
many cores, where the system can. With more than one core another program on the machine shows in the figures:
the least of the runs is the one to compare.
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import asdict, dataclass
from pathlib import Path

from loomwright.demos import demo_folder, names

TARGET_S = 4.0
DAY = "2026-01-01"


@dataclass(frozen=True, slots=True)
class Run:
    job: str
    cores: int
    seconds: tuple[float, ...]
    least_s: float
    cpu_s: float
    sheets: int
    files: int
    bytes: int


def folder_of(job: str) -> Path:
    return demo_folder(job) if job in names() else Path(job)


def measured(job: str, runs: int, cores: int, place: Path) -> Run:
    copy = place / "job"
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(folder_of(job), copy, ignore=shutil.ignore_patterns("pack", "issued"))
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    env["PYTHONPYCACHEPREFIX"] = str(place / "compiled")
    command = [sys.executable, "-m", "loomwright", "pack", str(copy), "--issued", DAY, "--json"]
    seconds, told, cpu = [], {}, 0.0
    for n in range(runs + 1):
        before, start = os.times(), time.perf_counter()
        done = subprocess.run(command, env=env, capture_output=True, text=True)
        took, after = time.perf_counter() - start, os.times()
        if done.returncode > 1:
            raise SystemExit(f"{job}: {done.stderr.strip()}")
        told = json.loads(done.stdout)
        if n:
            seconds.append(round(took, 3))
            spent = after.children_user + after.children_system
            cpu = round(spent - before.children_user - before.children_system, 3)
    files = [f for f in (copy / "pack").rglob("*") if f.is_file()]
    sheets = sum(one["sheets"] for one in told["files"])
    size = sum(f.stat().st_size for f in files)
    return Run(job, cores, tuple(seconds), min(seconds), cpu, sheets, len(files), size)


def kept_to(cores: int) -> int:
    """Keep this process and its children to so many cores; return how many they have."""
    if not hasattr(os, "sched_setaffinity"):
        return os.cpu_count() or 1
    free = sorted(os.sched_getaffinity(0))
    os.sched_setaffinity(0, free[:cores])
    return len(os.sched_getaffinity(0))


def main() -> int:
    shape = argparse.RawDescriptionHelpFormatter
    words = argparse.ArgumentParser(description=__doc__, formatter_class=shape)
    words.add_argument("jobs", nargs="*", default=["v8"])
    words.add_argument("--runs", type=int, default=3)
    words.add_argument("--cores", type=int, default=2)
    words.add_argument("--json", action="store_true")
    told = words.parse_args()
    cores = kept_to(max(told.cores, 1))
    with tempfile.TemporaryDirectory() as place:
        found = [measured(job, max(told.runs, 1), cores, Path(place)) for job in told.jobs]
    if told.json:
        rows = [asdict(one) for one in found]
        worst = max(one.least_s for one in found)
        summary = {"target_s": TARGET_S, "worst_least_s": worst}
        print(json.dumps({"rows": rows, "summary": summary}, indent=1))
        return 0
    for one in found:
        took = f"{one.least_s:.2f} s at least of {list(one.seconds)}, {one.cpu_s:.2f} s of computing"
        wrote = f"{one.files} files, {one.bytes / 1e6:.1f} MB, {one.sheets} sheets of paper"
        print(f"{one.job}: {took}, {one.cores} cores; {wrote}")
    print(f"Target: {TARGET_S:g} s for v8 on 2 cores.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
