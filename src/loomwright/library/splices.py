"""Splices by the summed copper of their wires, and solder sleeves for a screen's drain."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from loomwright.library.tables import Row, packaged_rows, pick
from loomwright.sources import Source


@dataclass(frozen=True, slots=True)
class SpliceSize:
    """One size of splice.

    Attributes:
        kind: "open barrel", "closed barrel", "in-line sealed" or "solder sleeve"
        label: size as printed on the bag
        mm2_min: least summed copper of all its wires
        mm2_max: most summed copper
        max_wires: most wires in it
        length_mm: length of the body that is crimped or soldered
        body_od_mm: outside diameter of the body before crimping; the lump is no larger
        cover_length_mm: length of the cover over it
        glue: whether the cover is glue-lined (a bare cap is not)
        source: where the figures come from
    """

    kind: str
    label: str
    mm2_min: float
    mm2_max: float
    max_wires: int
    length_mm: float
    body_od_mm: float
    cover_length_mm: float
    glue: bool
    source: Source


@cache
def splices() -> Mapping[str, tuple[SpliceSize, ...]]:
    """Return the splices by kind, each kind's sizes smallest first."""
    sizes = sorted(map(_size, packaged_rows("splices.csv")), key=lambda one: one.mm2_max)
    kinds = dict.fromkeys(row.name("kind") for row in packaged_rows("splices.csv"))
    return MappingProxyType({kind: tuple(one for one in sizes if one.kind == kind) for kind in kinds})


def splice_sizes(kind: str) -> tuple[SpliceSize, ...]:
    """Return the sizes of one kind of splice, smallest first.

    Raises:
        OutOfRange: there is no such kind; the message gives the nearest names.
    """
    return pick("kind of splice", kind, splices())


def splices_for(kind: str, summed_mm2: float, wires: int) -> tuple[SpliceSize, ...]:
    """Return the sizes whose window and count take these wires, smallest first; none if no size does.

    Args:
        kind: kind of splice
        summed_mm2: copper of all wires in it, above 0 [mm2]
        wires: number of wires, 2 and more
    Raises:
        OutOfRange: there is no such kind.
    """
    sizes = splice_sizes(kind)
    return tuple(one for one in sizes if one.mm2_min <= summed_mm2 <= one.mm2_max and wires <= one.max_wires)


def _size(row: Row) -> SpliceSize:
    return SpliceSize(
        kind=row.name("kind"),
        label=row.name("label"),
        mm2_min=row.number("mm2_min"),
        mm2_max=row.number("mm2_max"),
        max_wires=row.whole("max_wires"),
        length_mm=row.number("length_mm"),
        body_od_mm=row.number("body_od_mm"),
        cover_length_mm=row.number("cover_length_mm"),
        glue=row.yes("glue"),
        source=row.source(),
    )
