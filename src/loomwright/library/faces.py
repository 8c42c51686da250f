"""The faces of the library by name; every one generic and unchecked."""

from collections.abc import Iterable, Mapping
from functools import cache, lru_cache

from loomwright.errors import LoomwrightError, OutOfRange
from loomwright.library.face import (
    MATING_SIDE,
    MIRRORED,
    WIRE_SIDE,
    Face,
    FaceCavity,
    Outline,
    checked,
    mating_side,
    neighbours,
)
from loomwright.library.face_text import parse_faces
from loomwright.library.tables import by_name, packaged, pick

__all__ = [
    "MATING_SIDE",
    "MIRRORED",
    "WIRE_SIDE",
    "Face",
    "FaceCavity",
    "Outline",
    "checked",
    "face",
    "face_named",
    "faces",
    "faces_by_name",
    "mating_side",
    "neighbours",
]


@cache
def faces() -> Mapping[str, Face]:
    """Return the library's generic faces by name, all unchecked."""
    return faces_by_name(parse_faces(packaged("faces.txt"), "faces.txt"))


def faces_by_name(found: Iterable[Face]) -> Mapping[str, Face]:
    """Return faces by name; put the builder's own after the library's to replace those of the same name."""
    return by_name(found, lambda one: one.name)


def face(name: str) -> Face:
    """Return a generic face.

    Raises:
        OutOfRange: there is none of that name; the message gives the nearest names.
    """
    return pick("face", name, faces())


def face_named(name: str, own: Iterable[tuple[str, str]]) -> Face | None:
    """Return a face by name, the builder's own before the library's; None = none of that name can be read.

    Args:
        name: as the job gives it; "" = none
        own: name and text of the faces described in the job
    """
    if not name:
        return None
    text = next((text for known, text in own if known == name), None)
    if text is not None:
        return _own(name, text)
    try:
        return face(name)
    except OutOfRange:
        return None


@lru_cache(maxsize=256)
def _own(name: str, text: str) -> Face | None:
    try:
        found = parse_faces(text, f"face {name}")
    except LoomwrightError:
        return None
    return found[0] if found else None
