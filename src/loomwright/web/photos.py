"""Photos in the job folder as the desk sends and shows them: by file name, the digest with its ending."""

import re
from pathlib import Path
from typing import Final

from loomwright.errors import LoomwrightError
from loomwright.jobfile.photo_whole import DamagedPhoto, check_whole
from loomwright.records.bench_photos import RefusedPhoto, keep_photo, kind_of, photo_file

_NAME: Final = re.compile(r"([0-9a-f]{64})\.(png|jpg)")
LEAST_BYTES: Final = 100  # less is no picture; ours


class NoPhoto(LoomwrightError):
    """There is no such photo, or what was sent is none."""


def save_photo(folder: Path, raw: bytes) -> str:
    """Keep a photo in a job's folder and return its file name; the same photo twice is one file.

    Args:
        folder: the job folder
        raw: a PNG or JPEG, at most 16 MB
    Raises:
        NoPhoto: it is neither, too big, or can't be decoded to its end.
        OSError: the folder can't be written.
    """
    look_through(raw)
    try:
        digest = keep_photo(folder, raw)
    except RefusedPhoto as fault:
        raise NoPhoto(str(fault)) from fault
    file = photo_file(folder, digest)
    assert file is not None
    return file.name


def look_through(raw: bytes) -> None:
    """Look at a photo without keeping it.

    Args:
        raw: its bytes
    Raises:
        NoPhoto: it is no PNG or JPEG, or can't be decoded to its end.
    """
    if len(raw) < LEAST_BYTES:
        raise NoPhoto("That is no photo in PNG or JPEG.")
    try:
        kind_of(raw)
        check_whole(raw)
    except (RefusedPhoto, DamagedPhoto) as fault:
        raise NoPhoto(str(fault)) from fault


def photo(folder: Path, name: str) -> tuple[bytes, str]:
    """Return a photo and its content type.

    Raises:
        NoPhoto: there is none of that name.
    """
    found = _NAME.fullmatch(name)
    file = photo_file(folder, found[1]) if found else None
    if file is None or file.name != name:
        raise NoPhoto("There is no photo of that name.")
    try:
        raw = file.read_bytes()
    except OSError as fault:
        raise NoPhoto("There is no photo of that name.") from fault
    return raw, "image/png" if name.endswith("png") else "image/jpeg"
