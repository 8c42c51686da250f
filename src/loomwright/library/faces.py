"""The faces of the library by name; every one generic and unchecked."""

from collections.abc import Iterable, Mapping
from functools import cache

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
