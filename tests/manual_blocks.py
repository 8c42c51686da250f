"""The manual's examples: read from the pages, carried out, compared; run as a program it refreshes the pages.

In a page, a comment before a fenced block says what the block is:

    <!-- job: six as my-job -->        a copy of a demo's job file, no block follows
    <!-- write: my-job/pins.csv -->    the block is written to that file
    <!-- append: my-job/job.toml -->   the block is added to the end of that file
    <!-- run -->                       a console block: `$ ` starts a command, the rest is what it prints

In what a command prints, a line `...` stands for any number of lines, and `…` for anything within a line.
Letters of a digest are not compared, for they change with every edit of the program.
"""

import contextlib
import io
import re
import shlex
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from loomwright.cli import main
from loomwright.demos import demo_folder

ROOT = Path(__file__).parent.parent
BEFORE = "python3 start.py"
SKIP = "..."
TASK = re.compile(r"<!-- (job|write|append|run)(?:: (.*?))? -->\n(?:```\w*\n(.*?)```\n?)?", re.S)


@dataclass(frozen=True)
class Task:
    verb: str
    what: str
    block: str
    start: int  # where the block stands in the page


@dataclass(frozen=True)
class Said:
    command: str
    shown: tuple[str, ...]
    code: int
    printed: tuple[str, ...]
    task: Task


def pages() -> tuple[Path, ...]:
    return (ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md")))


def tasks(text: str) -> tuple[Task, ...]:
    return tuple(Task(m[1], m[2] or "", m[3] or "", m.start(3)) for m in TASK.finditer(text))


def carried_out(text: str, folder: Path) -> Iterator[Said]:
    """Carry out a page's tasks one after the other in a folder; yield what each command printed."""
    for task in tasks(text):
        if task.verb == "job":
            demo, name = task.what.split(" as ")
            (folder / name).mkdir()
            (folder / name / "job.toml").write_bytes((demo_folder(demo) / "job.toml").read_bytes())
        elif task.verb == "run":
            for command, shown in commands(task.block):
                yield Said(command, shown, *run(command, folder), task)
        else:
            file = folder / task.what
            file.parent.mkdir(exist_ok=True, parents=True)
            with file.open("a" if task.verb == "append" else "w", encoding="utf-8") as out:
                out.write(task.block)


def commands(block: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    for part in re.split(r"^\$ ", block, flags=re.M)[1:]:
        command, *shown = part.rstrip("\n").split("\n")
        yield command, tuple(shown)


def run(command: str, folder: Path) -> tuple[int, tuple[str, ...]]:
    if not command.startswith(BEFORE):
        raise ValueError(f"the manual runs only start.py, not: {command}")
    words = shlex.split(command.removeprefix(BEFORE)) or ["demo"]  # what start.py does with no words
    out = io.StringIO()
    with contextlib.chdir(folder), contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        code = main(words)
    return code, tuple(line.rstrip() for line in out.getvalue().rstrip("\n").split("\n"))


def agree(shown: tuple[str, ...], printed: tuple[str, ...]) -> bool:
    wanted = "".join(".*" if line == SKIP else _line(line) for line in shown)
    return re.fullmatch(wanted, "".join(f"{undated(line)}\n" for line in printed), re.S) is not None


def _line(line: str) -> str:
    return "[^\n]*".join(re.escape(part) for part in undated(line.rstrip()).split("…")) + "\n"


def undated(line: str) -> str:
    return re.sub(r"[Dd]igest (?:[0-9a-f]{10}|…)", "digest", line)


def dotted(line: str) -> str:
    """A line without the letters of its digest, which change with every edit of the program."""
    return re.sub(r"([Dd]igest) [0-9a-f]{10}", r"\1 …", line)


def refreshed(text: str, folder: Path) -> str:
    """The page with what its commands print today; shortened ones stay and are told."""
    said = tuple(carried_out(text, folder))
    for task in reversed([t for t in tasks(text) if t.verb == "run"]):
        block = "".join("".join(f"{line}\n" for line in _now(one)) for one in said if one.task == task)
        text = text[: task.start] + block + text[task.start + len(task.block) :]
    return text


def _now(said: Said) -> tuple[str, ...]:
    if SKIP in said.shown and not agree(said.shown, said.printed):
        print(f"shorten by hand: {said.command}", *said.printed, sep="\n    ")
    keep = SKIP in said.shown or agree(said.shown, said.printed)
    return (f"$ {said.command}", *(said.shown if keep else map(dotted, said.printed)))


if __name__ == "__main__":
    import tempfile

    for page in pages() if len(sys.argv) == 1 else map(Path, sys.argv[1:]):
        before = page.read_text("utf-8")
        with tempfile.TemporaryDirectory() as folder:
            after = refreshed(before, Path(folder))
        if after != before:
            page.write_text(after, "utf-8")
            print(f"refreshed: {page}")
