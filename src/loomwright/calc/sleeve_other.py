"""Coverings that don't shrink, what overlaps what, and the grommet."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.calc.bend import STRAIGHT_BY_STIFF_MM
from loomwright.calc.tables import Row, rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import MEMORY, PRACTICE, Figure, Source

GLUE_LEG_MM: Final = (Figure(20.0, PRACTICE), Figure(25.0, PRACTICE))  # least, good
GLUE_LEG_TIMES: Final = (Figure(1.5, PRACTICE), Figure(2.0, PRACTICE))
GROMMET_TIGHTER_MM: Final = (Figure(0.5, PRACTICE), Figure(1.5, PRACTICE))


@dataclass(frozen=True, slots=True)
class Overlap:
    """How far one piece reaches over the other.

    Attributes:
        place: where
        least_mm: shorter than this is a fault
        good_mm: what to plan
        source: where the figures come from
    """

    place: str
    least_mm: float
    good_mm: float
    source: Source


def overlap(place: str) -> Overlap:
    """Return a fixed overlap by its place.

    Args:
        place: as in table `overlaps`: "boot lip, small", "splice cover, each end", ...
    Raises:
        OutOfRange: the table has no such place; the message lists those it has
    Source: table `overlaps`, every row with its mark.
    """
    for row in rows("overlaps"):
        if row["place"] == place:
            return _overlap(row)
    known = ", ".join(row["place"] for row in rows("overlaps"))
    raise OutOfRange("place of the overlap", place, f"one of: {known}", "take a listed one")


def overlaps() -> tuple[Overlap, ...]:
    """Return all fixed overlaps in the table's order."""
    return tuple(_overlap(row) for row in rows("overlaps"))


def _overlap(row: Row) -> Overlap:
    return Overlap(row["place"], row.number("least_mm"), row.number("good_mm"), source_of(row))


def glue_over_leg_mm(leg_od_mm: float) -> tuple[float, float]:
    """Return how far a glue-lined piece must reach over a leg of a branch point: least and good [mm].

    Args:
        leg_od_mm: outside diameter of the leg, above 0 [mm]
    Raises:
        OutOfRange: not above 0
    Source: common practice: at least 20 to 25 mm, or 1.5 to 2 diameters, whichever is larger.
    """
    _above_zero("leg_od_mm", leg_od_mm)
    least, good = (
        max(flat.value, times.value * leg_od_mm)
        for flat, times in zip(GLUE_LEG_MM, GLUE_LEG_TIMES, strict=True)
    )
    return least, good


def stiff_length_mm(overlaps_mm: Sequence[float], body_mm: float = 0.0) -> float:
    """Return the length of a section that can't bend because of a moulded or glue-lined piece on it.

    Args:
        overlaps_mm: overlaps that make it stiff, each 0 or more [mm]
        body_mm: length of the piece between them [mm]
    Returns:
        their sum and 10 mm of straight on each side before a bend may begin
    Raises:
        OutOfRange: a length below 0
    Source: common practice.
    """
    for one in (*overlaps_mm, body_mm):
        if one < 0:
            raise OutOfRange("length of a stiff piece", one, "0 mm or more", "measure it again")
    return math.fsum(overlaps_mm) + body_mm + 2 * STRAIGHT_BY_STIFF_MM.value


def braid_range_mm(nominal_mm: float) -> tuple[float, float]:
    """Return the thinnest and thickest bundle an expandable braid suits [mm].

    Args:
        nominal_mm: nominal diameter, above 0 [mm]
    Raises:
        OutOfRange: not above 0
    Source: table `covering_limits`: a braided-sleeve maker's article, 0.6 to 1.8 times nominal, depending
    on weave.
    """
    _above_zero("nominal_mm", nominal_mm)
    return nominal_mm * _limit("braid, least"), nominal_mm * _limit("braid, most")


def tube_fill(root_square_mm: float, bore_mm: float) -> float:
    """Return how full a convoluted or plain tube is, as a share of its bore's area.

    Args:
        root_square_mm: root of the sum of squared wire diameters, or the bundle's outside diameter, above 0
        [mm]
        bore_mm: inside diameter, above 0 [mm]
    Raises:
        OutOfRange: an argument not above 0
    Source: plane geometry; the catalogue's table takes the bundle's outside diameter. Exact.
    """
    _above_zero("root_square_mm", root_square_mm)
    _above_zero("bore_mm", bore_mm)
    return (root_square_mm / bore_mm) ** 2


def tube_takes_mm(bore_mm: float, fill: float | None = None) -> float:
    """Return the thickest bundle for a tube.

    Args:
        bore_mm: inside diameter, above 0 [mm]
        fill: share of the bore's area that may be filled, above 0 to 0.8; None = the catalogue's 70 %
    Raises:
        OutOfRange: an argument outside its range
    Source: table `covering_limits`: convoluted conduit catalogue, 70 % recommended; 80 % from memory.
    """
    _above_zero("bore_mm", bore_mm)
    share, most = _limit("tube fill, recommended") if fill is None else fill, _limit("tube fill, most")
    if not 0 < share <= most:
        raise OutOfRange("fill", share, f"above 0 and at most {most:g}", "take the next larger tube")
    return bore_mm * math.sqrt(share)


def choose_tube(bores_mm: Sequence[float], bundle_mm: float, fill: float | None = None) -> float | None:
    """Return the smallest bore that takes the bundle; None = none does.

    Args:
        bores_mm: inside diameters that can be had, each above 0 [mm]
        bundle_mm: outside diameter of the bundle, above 0 [mm]
        fill: see `tube_takes_mm`
    Raises:
        OutOfRange: an argument outside its range
    Source: `tube_takes_mm`.
    """
    _above_zero("bundle_mm", bundle_mm)
    return next((one for one in sorted(bores_mm) if tube_takes_mm(one, fill) >= bundle_mm - 1e-12), None)


def grommet_bore_mm(sheathed_od_mm: float) -> tuple[float, float]:
    """Return the smallest and largest bore of a grommet that seals on a sheathed section [mm].

    Args:
        sheathed_od_mm: outside diameter over the sheath, above 1.5 [mm]
    Raises:
        OutOfRange: not above 1.5
    Source: common practice, 0.5 to 1.5 mm tighter than the section.
    """
    if not sheathed_od_mm > GROMMET_TIGHTER_MM[1].value:
        raise OutOfRange("sheathed_od_mm", sheathed_od_mm, "above 1.5 mm", "size the section first")
    return sheathed_od_mm - GROMMET_TIGHTER_MM[1].value, sheathed_od_mm - GROMMET_TIGHTER_MM[0].value


def hole_needs_mm(width_mm: float, height_mm: float, spare_mm: float = 3.0) -> float:
    """Return the hole a rectangular housing needs to go through.

    Args:
        width_mm, height_mm: outline across its way, above 0 [mm]
        spare_mm: room to spare, 0 or more; 2 to 3 common practice [mm]
    Raises:
        OutOfRange: an argument outside its range
    Source: plane geometry, diagonal; spare common practice.
    """
    _above_zero("width_mm", width_mm)
    _above_zero("height_mm", height_mm)
    if spare_mm < 0:
        raise OutOfRange("spare_mm", spare_mm, "0 mm or more", "2 to 3 mm is usual")
    return math.hypot(width_mm, height_mm) + spare_mm


BARE_CONTACTS_TIMES: Final = Figure(
    1.3, MEMORY
)  # staggered contacts without housing, over the bundle's diameter


def contacts_need_mm(bundle_mm: float) -> float:
    """Return the hole that staggered contacts without their housing need.

    Args:
        bundle_mm: outside diameter of the bundle, above 0 [mm]
    Raises:
        OutOfRange: not above 0
    Source: from memory, 1.3 times the bundle.
    """
    _above_zero("bundle_mm", bundle_mm)
    return BARE_CONTACTS_TIMES.value * bundle_mm


def _limit(what: str) -> float:
    return next(row.number("value") for row in rows("covering_limits") if row["what"] == what)


def _above_zero(name: str, value: float) -> None:
    if not value > 0:
        raise OutOfRange(name, value, "above 0 mm", "enter what was measured or computed")
