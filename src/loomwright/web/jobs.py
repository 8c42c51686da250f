"""The folder of jobs that is served: what lies in it, new jobs, one desk a job."""

import re
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Final

from loomwright.demos import demo_folder
from loomwright.demos import names as demo_names
from loomwright.edits import Edit, Verb
from loomwright.errors import LoomwrightError
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.read import JOB_FILE
from loomwright.jobfile.toml_text import read_text
from loomwright.records.issue import FROZEN, TAKEN_BY_SYSTEMS
from loomwright.starters import names as starter_names
from loomwright.starters import starter_text
from loomwright.web.desk import Desk

MOST_DESKS: Final = 6
MOST_LETTERS: Final = 40
_NOT_SLUG: Final = re.compile(r"[^a-z0-9]+")


class UnknownJob(LoomwrightError):
    """There is no job of that id in the folder that is served."""


@dataclass(frozen=True, slots=True)
class JobFolder:
    """One job in the folder: its id in addresses, and where it lies."""

    id: str
    folder: Path


def slug_of(name: str) -> str:
    """Return a name as address and folder have it: small letters, digits, hyphens; "job" for none."""
    slug = _NOT_SLUG.sub("-", name.lower()).strip("-")[:MOST_LETTERS].strip("-") or "job"
    return f"{slug}-job" if TAKEN_BY_SYSTEMS.fullmatch(slug) else slug


class Jobs:
    """All jobs in one folder, each with its desk while it is in use.

    Args:
        root: folder whose folders are jobs
    """

    def __init__(self, root: Path) -> None:
        self.root = root
        self._desks: OrderedDict[str, Desk] = OrderedDict()
        self._lock = Lock()

    def listed(self) -> tuple[JobFolder, ...]:
        """Return the jobs, sorted by folder name; ids are the same as long as no folder comes or goes."""
        found: list[JobFolder] = []
        taken: set[str] = set()
        folders = sorted(one.parent for one in self.root.glob(f"*/{JOB_FILE}")) if self.root.is_dir() else []
        for folder in folders:
            if folder.name.startswith("."):
                continue
            base = slug_of(folder.name)
            name, number = base, 2
            while name in taken:
                name, number = f"{base}-{number}", number + 1
            taken.add(name)
            found.append(JobFolder(name, folder))
        return tuple(found)

    def desk(self, job: str) -> Desk:
        """Return the desk of a job.

        Raises:
            UnknownJob: there is none of that id.
        """
        with self._lock:
            known = self._desks.get(job)
            if known is not None and (known.folder / JOB_FILE).exists():
                self._desks.move_to_end(job)
                return known
            folder = next((one.folder for one in self.listed() if one.id == job), None)
            if folder is None:
                self._desks.pop(job, None)
                raise UnknownJob("There is no job of that name here. Go back to the list of jobs.")
            self._desks[job] = Desk(folder)
            while len(self._desks) > MOST_DESKS:
                self._desks.popitem(last=False)
            return self._desks[job]

    def begin(self, name: str, source: str, text: str = "") -> str:
        """Make a new job folder and return its id.

        Args:
            name: what the builder calls it; becomes its title and, made plain, its folder
            source: "starter:NAME", "demo:NAME", "copy:ID" or "import"
            text: for "import" the text of a job file
        Raises:
            LoomwrightError: there is no such source, or the folder can't be written.
        """
        title = " ".join(name.split())
        files = self._files(source, text)
        if title:
            files[JOB_FILE] = _titled(files[JOB_FILE], title)
        with self._lock:
            folder = self._free_folder(slug_of(title or source.partition(":")[2] or "job"))
            for file, raw in files.items():
                (folder / file).parent.mkdir(exist_ok=True)
                with (folder / file).open("xb") as out:
                    out.write(raw)
            return next(one.id for one in self.listed() if one.folder == folder)

    def _free_folder(self, base: str) -> Path:
        for number in range(1, 1000):
            folder = self.root / (base if number == 1 else f"{base}-{number}")
            try:
                folder.mkdir(parents=True)
            except FileExistsError:
                continue
            except OSError as fault:
                raise LoomwrightError(f"{self.root} can't be written to: {fault.strerror}.") from fault
            return folder
        raise LoomwrightError("There are a thousand jobs of that name. Choose another one.")

    def _files(self, source: str, text: str) -> dict[str, bytes]:
        kind, _, name = source.partition(":")
        if kind == "starter" and name in starter_names():
            return {JOB_FILE: starter_text(name).encode()}
        if kind == "demo" and name in demo_names():
            return _copied(demo_folder(name), kept=True)
        if kind == "copy":
            desk = self.desk(name)
            photos = desk.state().done.read.job.photos
            kept = {x.file: x.data for x in photos if x.data and _PHOTO.fullmatch(x.file)}
            return {**_copied(desk.folder, kept=False), **kept}
        if kind == "import" and text.strip():
            return {JOB_FILE: text.encode()}
        if kind == "import":
            raise LoomwrightError("There is nothing in the file. Choose a job.toml.")
        raise LoomwrightError("A new job begins from a starter, a demo, a copy of a job here or a job file.")


_PHOTO: Final = re.compile(r"photos/[0-9A-Za-z_-]+\.[a-z]+")
"""Photos of the run that go with a copy: those that lie where the program puts them."""


def _copied(folder: Path, kept: bool) -> dict[str, bytes]:
    """The job's own files; a copy is another loom, so numbers on the first one's wires do not bind it."""
    return {
        one.name: one.read_bytes()
        for one in sorted(folder.iterdir())
        if one.is_file() and one.suffix in FROZEN and (kept or one.name != "kept.toml")
        if one.name not in ("planted.toml", "printers.toml")
    }


def _titled(raw: bytes, title: str) -> bytes:
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as fault:
        raise LoomwrightError("The file is not UTF-8. Save it again as UTF-8.") from fault
    return apply(read_text(text), [Edit(Verb.SET, ("job", "title"), title)]).document.raw
