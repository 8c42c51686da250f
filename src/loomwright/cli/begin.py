"""New job folders from starters, and the demo job with its pack."""

import shutil
import sys
import webbrowser
from pathlib import Path
from typing import Final

from loomwright.jobfile.read import JOB_FILE

DEMO_DAY: Final = "2026-01-01"  # demo papers carry one day, so that they are the same everywhere


def begin(folder: Path, starter: str) -> int:
    """Write a commented starter into a new folder; 2 if there is none such or the folder holds a job."""
    from loomwright.starters import names, starter_text

    if starter not in names():
        print(f"There is no starter {starter}; there are: {', '.join(names())}.", file=sys.stderr)
        return 2
    file = folder / JOB_FILE
    if file.exists():
        print(f"{file} is there already; nothing was written. Choose another folder.", file=sys.stderr)
        return 2
    folder.mkdir(parents=True, exist_ok=True)
    with file.open("x", encoding="utf-8", newline="\n") as out:
        out.write(starter_text(starter))
    print(f"{file} is written. Fill it in, then: loomwright check {folder}")
    return 0


def demonstrate(out: Path, name: str, show: bool) -> int:
    """Copy a demo job (invented data) beside its pack, work it out and write its papers."""
    from loomwright.cli.papers import write_papers
    from loomwright.demos import demo_folder, names

    if name not in names():
        print(f"There is no demo {name}; there are: {', '.join(names())}.", file=sys.stderr)
        return 2
    job = out / f"{name}-job"
    job.mkdir(parents=True, exist_ok=True)
    for file in sorted(demo_folder(name).iterdir()):
        if file.is_file() and file.suffix in (".toml", ".csv"):
            shutil.copyfile(file, job / file.name)
    done = write_papers(job, out / f"{name}-pack", "", "A4", None, DEMO_DAY, False)
    if show and (front := out / f"{name}-pack" / "index.html").exists():
        webbrowser.open(front.resolve().as_uri())
    return done
