"""The rope to buy for a mock-up: about as thick as the sheathed section will be."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.errors import OutOfRange
from loomwright.sources import PRACTICE, Figure

ROPE_WITHIN: Final = Figure(0.15, PRACTICE)
STOCK_ROPES_MM: Final = (
    4.0,
    5.0,
    6.0,
    8.0,
    10.0,
    12.0,
    14.0,
    16.0,
    18.0,
    20.0,
    24.0,
)  # ordinary hardware sizes


@dataclass(frozen=True, slots=True)
class Rope:
    """Nearest rope of a stock list.

    Attributes:
        diameter_mm: its diameter
        off: (rope - section) / section, as a share
        within: whether it is near enough to be trusted for bends and room
    """

    diameter_mm: float
    off: float
    within: bool


def rope_for(sheathed_od_mm: float, stock_mm: Sequence[float] = STOCK_ROPES_MM) -> Rope:
    """Return the rope of a stock list that is nearest to a section's finished diameter; the thicker of two
    equals.

    Args:
        sheathed_od_mm: expected outside diameter of the sheathed section, above 0 [mm]
        stock_mm: diameters that can be had, each above 0 [mm]; at least one
    Raises:
        OutOfRange: an argument outside its range
    Source: within 15 % of the sheathed diameter, common practice.
    """
    if not sheathed_od_mm > 0:
        raise OutOfRange("sheathed_od_mm", sheathed_od_mm, "above 0 mm", "size the section first")
    if not stock_mm or min(stock_mm) <= 0:
        raise OutOfRange(
            "stock_mm", list(stock_mm), "one or more diameters above 0 mm", "list the ropes at hand"
        )
    best = min(sorted(stock_mm, reverse=True), key=lambda one: abs(one - sheathed_od_mm))
    off = (best - sheathed_od_mm) / sheathed_od_mm
    return Rope(best, off, abs(off) <= ROPE_WITHIN.value + 1e-12)
