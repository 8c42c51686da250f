"""Photos of the bench in `photos/`, named by their digest, so that the same picture is there once."""

import hashlib
from pathlib import Path
from typing import Final

from loomwright.errors import LoomwrightError
from loomwright.jobfile.save import put_in_place
from loomwright.records.bench import DIGEST

PHOTOS: Final = "photos"
MOST_BYTES: Final = 16_000_000  # ours
KINDS: Final = ((b"\xff\xd8\xff", ".jpg", "image/jpeg"), (b"\x89PNG\r\n\x1a\n", ".png", "image/png"))


class RefusedPhoto(LoomwrightError):
    """What was sent is no picture that is kept; nothing was stored."""


def kind_of(data: bytes) -> tuple[str, str]:
    """Return file ending and media type of a picture by what it begins with.

    Raises:
        RefusedPhoto: it is neither JPEG nor PNG.
    """
    for begins, ending, media in KINDS:
        if data.startswith(begins):
            return ending, media
    raise RefusedPhoto("A photo is a JPEG or a PNG.")


def keep_photo(folder: Path, data: bytes) -> str:
    """Store a picture and return its SHA-256; it lies on the disk then.

    Args:
        folder: the job folder
        data: JPEG or PNG, at most 16 MB
    Raises:
        RefusedPhoto: too large, or neither JPEG nor PNG.
    """
    if len(data) > MOST_BYTES:
        raise RefusedPhoto(f"A photo has at most {MOST_BYTES // 1_000_000} MB.")
    ending, _ = kind_of(data)
    digest = hashlib.sha256(data).hexdigest()
    file = folder / PHOTOS / (digest + ending)
    if not file.is_file():
        file.parent.mkdir(exist_ok=True)
        put_in_place(file, data)
    return digest


def photo_file(folder: Path, digest: str) -> Path | None:
    """Return where a picture lies; None where there is none, or the digest is none."""
    if not DIGEST.fullmatch(digest):
        return None
    files = (folder / PHOTOS / (digest + ending) for _, ending, _ in KINDS)
    return next((one for one in files if one.is_file()), None)
