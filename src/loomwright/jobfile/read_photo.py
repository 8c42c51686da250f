"""Photos of the car with the run tapped and drawn on them, from the checked tables."""

import struct
from collections.abc import Callable, Iterator
from typing import Final, cast

from loomwright.edits import Path
from loomwright.errors import Unreadable
from loomwright.findings import Severity
from loomwright.jobfile.photo_whole import DamagedPhoto, check_whole
from loomwright.jobfile.read_table import Entry, Notes
from loomwright.jobfile.toml_write import path_words
from loomwright.model.photo import RunPhoto, Spot

MOST_BYTES: Final = 15_000_000
MOST_PIXELS: Final = 100_000_000  # of one photo; ours
MOST_SLIM: Final = 5.0  # long side to short side; ours
_PNG: Final = b"\x89PNG\r\n\x1a\n"
_PNG_END: Final = b"IEND\xaeB`\x82"
_JPEG: Final = b"\xff\xd8"
_JPEG_END: Final = b"\xff\xd9"
_NO_SIZE: Final = (0xC4, 0xC8, 0xCC)  # markers among the frame headers that are none (ITU-T T.81 table B.1)


def photo_of(entry: Entry, opened: Callable[[str], bytes], notes: Notes) -> RunPhoto:
    """Return one photo; one that can't be used has no data, and there is a caution.

    Args:
        entry: the [photo.NAME] table
        opened: returns a file of the job folder, or raises Unreadable
        notes: takes the findings
    """
    points = tuple(_points(entry, notes))
    lines = tuple(_lines(entry, notes))
    file = entry.text("file")
    plain = RunPhoto(entry.name, file, entry.text("words"), points, lines, entry.path)
    try:
        data = opened(file)
        media, wide, high = _kind(file, data)
    except (Unreadable, ValueError) as fault:
        said = fault if isinstance(fault, Unreadable) else _unreadable(file, "The name is no file name.")
        path = (*entry.path, "file")
        notes.add("FILE-10", path, said.what_is, said.should, said.remedy, Severity.CAUTION)
        return plain
    return RunPhoto(entry.name, file, plain.words, points, lines, entry.path, data, media, wide, high)


def _unreadable(file: str, what: str) -> Unreadable:
    should = "A photo is a whole PNG or JPEG of at most 15 MB in the job folder."
    return Unreadable(file, None, what, should, "Put the photo in again; what is drawn on it stays.")


def _kind(file: str, data: bytes) -> tuple[str, int, int]:
    """Return what a photo is and its size, by its content."""
    if len(data) > MOST_BYTES:
        raise _unreadable(file, "The photo is too large.")
    try:
        if data.startswith(_PNG) and _PNG_END in data[-64:]:
            wide, high = struct.unpack(">II", data[16:24])
            media = "image/png"
        elif data.startswith(_JPEG) and _JPEG_END in data[-64:]:
            wide, high = _jpeg_size(data)
            media = "image/jpeg"
        else:
            raise _unreadable(file, "The file is no whole PNG or JPEG.")
    except (struct.error, IndexError):
        raise _unreadable(file, "The photo's size can't be read.") from None
    slim = max(wide, high) > MOST_SLIM * min(wide, high)
    if min(wide, high) < 1 or slim or wide * high > MOST_PIXELS:
        raise _unreadable(file, f"The photo is {wide} x {high} pixels.")
    try:
        check_whole(data)
    except DamagedPhoto as fault:
        raise _unreadable(file, str(fault)) from fault
    return media, wide, high


def _jpeg_size(data: bytes) -> tuple[int, int]:
    """Width and height from the frame header (ITU-T T.81, B.2.2)."""
    at = 2
    while True:
        while data[at] == 0xFF and data[at + 1] == 0xFF:
            at += 1
        mark, length = struct.unpack(">xBH", data[at : at + 4])
        if data[at] != 0xFF or length < 2:
            raise IndexError(at)
        if 0xC0 <= mark <= 0xCF and mark not in _NO_SIZE:
            high, wide = struct.unpack(">HH", data[at + 5 : at + 9])
            return wide, high
        at += 2 + length


def _points(entry: Entry, notes: Notes) -> Iterator[tuple[str, Spot]]:
    for name, value in entry.mapping("points").items():
        spot = _spot(value)
        if spot is None:
            _fault((*entry.path, "points", name), notes)
        else:
            yield name, spot


def _lines(entry: Entry, notes: Notes) -> Iterator[tuple[str, tuple[Spot, ...]]]:
    for name, value in entry.mapping("lines").items():
        corners = [_spot(one) for one in value] if isinstance(value, list) else [None]
        if None in corners:
            _fault((*entry.path, "lines", name), notes)
        else:
            yield name, tuple(cast("list[Spot]", corners))


def _spot(value: object) -> Spot | None:
    if not isinstance(value, list) or len(value) != 2:
        return None
    if not all(isinstance(one, int | float) and not isinstance(one, bool) and 0 <= one <= 1 for one in value):
        return None
    return float(value[0]), float(value[1])


def _fault(path: Path, notes: Notes) -> None:
    what = f"{path_words(path)} is no place on the photo."
    should = "A place is [right, down], shares of width and height from 0 to 1; a line is a list of places."
    notes.add("FILE-04", path, what, should, "Write [0.42, 0.31], or tap it again.", Severity.CAUTION)
