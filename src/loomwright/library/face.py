"""A connector's face: where each cavity sits, which size it is, and how the two sides mirror.

A face is kept as seen from the wire side. `mating_side` gives the mirror image. Every face of the library is
generic and unchecked until the builder has held it against the numbers moulded in the plug.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from loomwright.sources import Source

WIRE_SIDE: Final = "wire side"
MATING_SIDE: Final = "mating side"
MIRRORED: Final = MappingProxyType(
    {"left": "right", "right": "left", "top": "top", "bottom": "bottom", "": ""}
)


@dataclass(frozen=True, slots=True)
class FaceCavity:
    """One cavity: its name, its centre from the middle of the face (x right, y up), its size class.

    `cell_mm` is what it takes up across; no two cavities of a face come closer than their cells allow.
    """

    id: str
    x_mm: float
    y_mm: float
    size_class: str
    cell_mm: float


@dataclass(frozen=True, slots=True)
class Outline:
    """The housing's outline: "rect" with width and height, or "round" with its diameter as both."""

    shape: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Face:
    """A connector's face as seen from one side.

    Attributes:
        name: short name, as the job file gives it
        words: what it is
        cavities: in the order they were described, from the wire side
        outline: the housing
        latch: edge the latch sits on as seen, "" if none
        key: edge the key or polarising rib sits on as seen, "" if none
        checked: whether somebody held it against the number moulded in the plug
        view: "wire side" or "mating side": what the picture must be captioned with
        source: where the picture comes from
    """

    name: str
    words: str
    cavities: tuple[FaceCavity, ...]
    outline: Outline
    latch: str
    key: str
    checked: bool
    view: str
    source: Source

    @property
    def ids(self) -> tuple[str, ...]:
        """The names of its cavities in order."""
        return tuple(one.id for one in self.cavities)

    def cavity(self, cavity_id: str) -> FaceCavity | None:
        """Return the cavity of that name, None if the face has none."""
        return next((one for one in self.cavities if one.id == cavity_id), None)


def mating_side(face: Face) -> Face:
    """Return the face as seen from the other side: left and right change places, top and bottom stay.

    Applied twice it gives the face it began with; exact.
    """
    cavities = tuple(replace(one, x_mm=0.0 - one.x_mm) for one in face.cavities)
    view = MATING_SIDE if face.view == WIRE_SIDE else WIRE_SIDE
    return replace(face, cavities=cavities, latch=MIRRORED[face.latch], key=MIRRORED[face.key], view=view)


def checked(face: Face, source: Source) -> Face:
    """Return the face marked as held against the part, with who says so as its source."""
    return replace(face, checked=True, source=source)


@lru_cache(maxsize=256)
def neighbours(face: Face) -> tuple[tuple[str, str], ...]:
    """Return pairs of cavities that lie side by side, in face order: those a short can bridge.

    Two lie side by side if they are no farther apart than 1.5 times the way from one of them to the cavity
    nearest it: on a square grid that takes in the diagonals. The factor is ours.
    """
    places = [(one.x_mm, one.y_mm) for one in face.cavities]
    nearest = [
        min((math.dist(one, other) for m, other in enumerate(places) if m != n), default=0.0)
        for n, one in enumerate(places)
    ]
    return tuple(
        (face.cavities[n].id, face.cavities[m].id)
        for n in range(len(places))
        for m in range(n + 1, len(places))
        if math.dist(places[n], places[m]) <= 1.5 * max(nearest[n], nearest[m])
    )
