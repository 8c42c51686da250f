"""Read and save a job file whole: nobody's change is lost, and a power cut leaves the old text or the new.

A save writes a temporary file beside the job file, brings it to the disk and puts it in place by
renaming, only if the file still has the digest the change was based on. Writers queue at a lock file,
which the system releases when a writer dies.
"""

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from loomwright.errors import ChangedMeanwhile, LoomwrightError, Unreadable
from loomwright.jobfile.toml_text import digest_of

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

NEW: Final = ""  # `based_on` of a file that is not there yet
_MARK: Final = "\ufeff"
_WAIT_S: Final = 10.0  # how long a writer waits for another one (ours)
_TRY_EVERY_S: Final = 0.02


@dataclass(frozen=True, slots=True)
class FileText:
    """A text file as read: its text with byte order mark and line endings as they stand, its digest."""

    file: Path
    text: str
    digest: str


def read(file: Path) -> FileText:
    """Return the text of a file.

    Args:
        file: a text file in UTF-8
    Errors: Unreadable, with the line, when it is missing, locked away or not UTF-8.
    """
    try:
        raw = file.read_bytes()
    except FileNotFoundError as gone:
        raise Unreadable(file, None, "There is no such file.", "", "Check the folder and the name.") from gone
    except OSError as fault:
        raise _closed(file, fault) from fault
    return FileText(file, _decoded(file, raw), digest_of(raw))


def _closed(file: Path, fault: OSError) -> Unreadable:
    return Unreadable(file, None, f"It can't be opened: {fault.strerror}.", "", "Check its permissions.")


def _decoded(file: Path, raw: bytes) -> str:
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
            what = "The file is saved as UTF-16."
        else:
            column = len(raw[raw.rfind(b"\n", 0, fault.start) + 1 : fault.start].decode()) + 1
            what = f"Column {column} holds the byte 0x{raw[fault.start]:02X}, which is not UTF-8."
        should = "A job file is a text in UTF-8."
        remedy = "Open it in your editor and save it with encoding UTF-8."
        raise Unreadable(file, line, what, should, remedy) from fault


def save(file: Path, text: str, based_on: str) -> str:
    """Save a text whole, with the file's own line endings and byte order mark; return its digest.

    Args:
        file: where to
        text: the whole new text
        based_on: digest of the file the text was made from; NEW when there was none
    Errors: ChangedMeanwhile when the file has another digest now; LoomwrightError when it can't be written.
    """
    with locked(file):
        there = bytes_there(file)
        raw = _in_manner_of(text, there or b"").encode("utf-8")
        replace(file, raw, based_on)
    return digest_of(raw)


def _in_manner_of(text: str, there: bytes) -> str:
    if there.startswith(_MARK.encode()) and not text.startswith(_MARK):
        text = _MARK + text
    returns, lines = there.count(b"\r\n"), there.count(b"\n")
    if lines and returns in (0, lines):
        text = text.replace("\r\n", "\n")
        if returns:
            text = text.replace("\n", "\r\n")
    return text


def bytes_there(file: Path) -> bytes | None:
    """Return the bytes of a file, or None when there is none; errors: Unreadable."""
    try:
        return file.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as fault:
        raise _closed(file, fault) from fault


def replace(file: Path, raw: bytes, based_on: str) -> None:
    """Put new bytes in place of a file's; the caller holds its lock.

    Args:
        file: where to
        raw: the new bytes
        based_on: digest the file must have still; NEW when it must not be there
    Errors: ChangedMeanwhile; LoomwrightError when it can't be written. The old bytes stay then.
    """
    there = bytes_there(file)
    if (NEW if there is None else digest_of(there)) != based_on:
        raise ChangedMeanwhile(file)
    try:
        put_in_place(file.resolve(), raw)
    except OSError as fault:
        raise LoomwrightError(
            f"{file} can't be written: {fault.strerror}. The old text is still there."
        ) from fault


def put_in_place(file: Path, raw: bytes) -> None:
    """Write a file beside its place, bring it to the disk and put it there by renaming.

    Raises:
        OSError: the place can't be written; what was there stays.
    """
    for left_over in file.parent.glob(f".{file.name}.*.tmp"):  # of a writer that died
        left_over.unlink(missing_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{file.name}.", suffix=".tmp", dir=file.parent)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(raw)
            out.flush()
            os.fsync(out.fileno())
        if file.exists():
            shutil.copymode(file, name)
        else:
            os.chmod(name, 0o644)
        os.replace(name, file)
    except OSError:
        with suppress(OSError):
            os.unlink(name)
        raise
    sync_folder(file.parent)


def sync_folder(folder: Path) -> None:
    """Bring a folder's list of names to the disk, where the system can."""
    if sys.platform == "win32":
        return
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def locked(file: Path, wait_s: float = _WAIT_S) -> Iterator[None]:
    """Hold the lock for writing a file; writers of the same file queue here.

    Args:
        file: the file to be written; its lock is `.NAME.lock` in the same folder
        wait_s: how long to wait for another writer [s]
    Errors: LoomwrightError when another writer does not finish, or the folder can't be written to.
    """
    lock = file.with_name(f".{file.name}.lock")
    try:
        handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as fault:
        raise LoomwrightError(f"{file.parent} can't be written to: {fault.strerror}.") from fault
    try:
        deadline = time.monotonic() + wait_s
        while not _taken(handle):
            if time.monotonic() > deadline:
                words = f"{file} is being written by another window that does not finish."
                raise LoomwrightError(f"{words} Close it and try again.")
            time.sleep(_TRY_EVERY_S)
        yield
    finally:
        os.close(handle)  # releases the lock, too


def _taken(handle: int) -> bool:
    try:
        if sys.platform == "win32":
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:  # a network drive without locks: the digest alone guards, but for a moment's race
        return True
    return True
