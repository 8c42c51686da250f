"""Photos in the job folder: named by their digest, taken only when they are what they say."""

import hashlib
import re
from pathlib import Path
from typing import Final

from loomwright.errors import LoomwrightError
from loomwright.sheets.files import write_whole

FOLDER: Final = "photos"
MOST_BYTES: Final = 15_000_000
_NAME: Final = re.compile(r"[0-9a-f]{64}\.(png|jpg)")
_PNG: Final = b"\x89PNG\r\n\x1a\n"
_JPEG: Final = b"\xff\xd8\xff"


class NoPhoto(LoomwrightError):
    """There is no such photo, or what was sent is none."""


def save_photo(folder: Path, raw: bytes) -> str:
    """Keep a photo in a job's folder and return its file name; the same photo twice is one file.

    Args:
        folder: the job folder
        raw: a PNG or JPEG, at most 15 MB
    Raises:
        NoPhoto: it is neither, or too big.
        OSError: the folder can't be written.
    """
    kind = "png" if raw.startswith(_PNG) else "jpg" if raw.startswith(_JPEG) else ""
    if not kind or not 100 < len(raw) <= MOST_BYTES:
        raise NoPhoto("That is no photo in PNG or JPEG of at most 15 MB.")
    name = f"{hashlib.sha256(raw).hexdigest()}.{kind}"
    file = folder / FOLDER / name
    if not file.exists():
        write_whole(file, raw)
    return name


def photo(folder: Path, name: str) -> tuple[bytes, str]:
    """Return a photo and its content type.

    Raises:
        NoPhoto: there is none of that name.
    """
    if not _NAME.fullmatch(name):
        raise NoPhoto("There is no photo of that name.")
    try:
        raw = (folder / FOLDER / name).read_bytes()
    except OSError as fault:
        raise NoPhoto("There is no photo of that name.") from fault
    return raw, "image/png" if name.endswith("png") else "image/jpeg"
