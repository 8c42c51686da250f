"""What lets bench devices in: pass phrase and ticket, kept from one start to the next.

They lie in the user's own state folder, readable by the user alone, and not beside the jobs: a folder of jobs
is copied, synchronised and handed over, and what opens the door must not travel with it. Who can read
the file can read the jobs anyway. After 30 days without a start that shares, a new phrase is made.
"""

import hashlib
import json
import os
import secrets
import stat
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Final

KEPT_DAYS: Final = 30  # ours
PHRASE_WORDS: Final = 4
TICKET_BYTES: Final = 32
_WORDS: Final = (
    "brass",
    "cable",
    "cedar",
    "chain",
    "clamp",
    "clay",
    "cloth",
    "copper",
    "cork",
    "crane",
    "dowel",
    "drill",
    "elbow",
    "felt",
    "flint",
    "forge",
    "glass",
    "glove",
    "gravel",
    "hammer",
    "hinge",
    "hook",
    "iron",
    "ladder",
    "lamp",
    "latch",
    "ledge",
    "lever",
    "linen",
    "maple",
    "mast",
    "nail",
    "oak",
    "paint",
    "pencil",
    "pine",
    "plank",
    "plate",
    "plum",
    "pulley",
    "quartz",
    "rafter",
    "ribbon",
    "rivet",
    "rope",
    "saddle",
    "sand",
    "shelf",
    "slate",
    "spade",
    "spool",
    "stone",
    "string",
    "tape",
    "thread",
    "timber",
    "tongs",
    "torch",
    "trowel",
    "twine",
    "velvet",
    "wedge",
    "wheel",
    "willow",
    "wool",
)


@dataclass(frozen=True, slots=True)
class Entry:
    """How a bench device comes in.

    Attributes:
        phrase: what is typed once, "" = nobody comes in
        ticket: what a device that typed it holds from then on
        kept: whether both hold over a restart of the program
    """

    phrase: str
    ticket: str
    kept: bool = False


def new_entry() -> Entry:
    """Return a phrase and a ticket nobody knows yet."""
    phrase = " ".join(secrets.choice(_WORDS) for _ in range(PHRASE_WORDS))
    return Entry(phrase, secrets.token_urlsafe(TICKET_BYTES))


def kept_entry(root: Path, fresh: bool = False) -> Entry:
    """Return the phrase and ticket of a folder of jobs, those of the last start where they still hold.

    Args:
        root: folder whose folders are jobs
        fresh: make new ones; every device has to log in again

    Returns:
        New ones, not kept, where the state folder can't be written.
    """
    file = state_folder() / f"share-{hashlib.sha256(str(root.resolve()).encode()).hexdigest()[:16]}.json"
    held = None if fresh else _read(file)
    try:
        return _written(file, held or new_entry())
    except OSError:
        return replace(held or new_entry(), kept=False)


def state_folder() -> Path:
    """Return the user's own folder for what a program keeps between starts."""
    if os.name == "nt":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
    return Path(base) / "loomwright"


def _read(file: Path) -> Entry | None:
    """What was kept; None where it is too old, not the user's alone, or no such thing."""
    try:
        told = file.stat()
        if os.name != "nt" and (told.st_uid != os.getuid() or stat.S_IMODE(told.st_mode) & 0o077):
            return None
        held = json.loads(file.read_text("utf-8"))
        entry = Entry(str(held["phrase"]), str(held["ticket"]))
        age = (_today() - date.fromisoformat(str(held["used"]))).days
    except (OSError, ValueError, KeyError, TypeError):
        return None
    sound = len(entry.phrase.split()) == PHRASE_WORDS and len(entry.ticket) >= TICKET_BYTES
    return entry if sound and 0 <= age <= KEPT_DAYS else None


def _written(file: Path, entry: Entry) -> Entry:
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    fresh = file.with_name(f".{file.name}.{os.getpid()}.tmp")
    with suppress(FileNotFoundError):
        fresh.unlink()
    said = {"phrase": entry.phrase, "ticket": entry.ticket, "used": _today().isoformat()}
    with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as out:
        json.dump(said, out)
    fresh.replace(file)
    return replace(entry, kept=True)


def _today() -> date:
    return date.today()
