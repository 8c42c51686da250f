"""Writing the files of a pack: each whole or not at all, with safe names; what an older pack left goes."""

import json
import os
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Final

LIST_FILE: Final = "pack.json"  # what the pack consists of; the next one removes what it no longer has
LETTERS: Final = 48  # of a name in a file name


@dataclass(frozen=True, slots=True)
class PackFile:
    """One file of a pack.

    Attributes:
        name: path below the pack's folder, with forward slashes
        words: what it is
        data: its bytes
        count: sheets of paper it prints on, 0 = it isn't printed
        paper: paper to put in
    """

    name: str
    words: str
    data: bytes
    count: int = 0
    paper: str = ""

    @property
    def prints(self) -> str:
        """How much paper it takes: "41 sheets of A4", "" where it isn't printed."""
        return (
            f"{self.count} {'sheet' if self.count == 1 else 'sheets'} of {self.paper}" if self.count else ""
        )


def safe_name(text: str, taken: Iterable[str] = ()) -> str:
    """Return a name that is a file name on every system: letters, digits, "-" and "_" of ASCII only.

    Args:
        text: any text
        taken: names in use; case counts for nothing
    """
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-_") else "-" for c in text)
    plain = plain.strip("-_")[:LETTERS] or "unnamed"
    used = {name.lower() for name in taken}
    name, number = plain, 2
    while name.lower() in used:
        name, number = f"{plain}-{number}", number + 1
    return name


def write_whole(file: Path, data: bytes) -> None:
    """Write a file beside its place and put it there by renaming, so that nobody sees half of it.

    Raises:
        OSError: the place can't be written.
    """
    file.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{file.name}.", dir=file.parent)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        os.chmod(name, 0o644)
        os.replace(name, file)
    except BaseException:
        with suppress(OSError):
            os.unlink(name)
        raise


def remove_stale(folder: Path, kept: Iterable[str]) -> None:
    """Remove what an older pack in the folder wrote and this one does not have; nothing else is touched."""
    now = set(kept)
    for name in _listed(folder):
        path = PurePosixPath(name)
        if name in now or path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name:
            continue
        file = folder / name
        if file.is_file() and not file.is_symlink():
            with suppress(OSError):
                file.unlink()


def _listed(folder: Path) -> tuple[str, ...]:
    try:
        found = json.loads((folder / LIST_FILE).read_text("utf-8"))
        return tuple(name for name in found["files"] if isinstance(name, str))
    except (OSError, ValueError, KeyError, TypeError):
        return ()


def list_text(files: Iterable[str], digest: str) -> bytes:
    """Return the list of a pack's files as it stands beside them."""
    return (json.dumps({"digest": digest, "files": sorted(files)}, indent=1) + "\n").encode()
