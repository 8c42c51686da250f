"""Give or take: how reading errors and common errors add up along a loom."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from loomwright.errors import OutOfRange

BLANK_GIVE_MM: Final = 10.0  # a reading whose give or take was left blank; realistic by hand, common practice


@dataclass(frozen=True, slots=True)
class Doubt:
    """Give or take of a length, kept in its two parts.

    Attributes:
        own_mm: reading errors, each independent of the others; they add in square [mm]
        common_mm: error common to all readings (tape, rope stretch, rope against bundle); adds straight [mm]
    """

    own_mm: float = 0.0
    common_mm: float = 0.0

    def __post_init__(self) -> None:
        for name, value in (("own_mm", self.own_mm), ("common_mm", self.common_mm)):
            if not 0 <= value < math.inf:
                raise OutOfRange(name, value, "0 or more, in mm", "enter the give or take as a plain number")

    def add(self, other: "Doubt") -> "Doubt":
        """Return the doubt of the sum of two lengths: own parts in square, common parts straight."""
        return Doubt(math.hypot(self.own_mm, other.own_mm), self.common_mm + other.common_mm)

    @property
    def total_mm(self) -> float:
        """Give or take of the length: both parts together, straight [mm]."""
        return self.own_mm + self.common_mm


def reading(give_mm: float | None, common_mm: float = 0.0) -> Doubt:
    """Return the doubt of one reading.

    Args:
        give_mm: give or take the builder entered, 0 or more; None (left blank) means 10 mm
        common_mm: error common to all readings, 0 or more [mm]
    Raises:
        OutOfRange: a value is below 0
    Source: ours (rule of addition); 10 mm common practice.
    """
    return Doubt(BLANK_GIVE_MM if give_mm is None else give_mm, common_mm)


def total(doubts: Iterable[Doubt]) -> Doubt:
    """Return the doubt of a sum of lengths; without any, no doubt.

    Source: propagation of independent errors, root of the sum of squares; common errors straight. Exact.
    """
    parts = tuple(doubts)
    return Doubt(math.hypot(*(one.own_mm for one in parts)), math.fsum(one.common_mm for one in parts))


def between(give_from_mm: float | None, give_to_mm: float | None, common_mm: float = 0.0) -> Doubt:
    """Return the doubt of a length that is the difference of two running readings of one tape.

    Args:
        give_from_mm, give_to_mm: give or take of either reading [mm], None = left blank (10 mm); a datum
        that is
            the tape's zero has 0
        common_mm: common error over the length between them [mm]; see `stretch_mm`
    Source: both readings' errors count, in square; ours.
    """
    return reading(give_from_mm).add(Doubt(reading(give_to_mm).own_mm, common_mm))


def running_total(give_first_mm: float | None, give_last_mm: float | None, common_mm: float = 0.0) -> Doubt:
    """Return the doubt of adjoining lengths of one tape run, added: inner readings cancel, only the ends
    count.

    Args:
        give_first_mm, give_last_mm: give or take of first and last reading [mm], None = blank
        common_mm: common error over the whole length [mm]
    Source: (c - b) + (b - a) = c - a; exact.
    """
    return between(give_first_mm, give_last_mm, common_mm)


def stretch_mm(length_mm: float, share: float = 0.01) -> float:
    """Return the common error by rope stretch over a length.

    Args:
        length_mm: 0 or more [mm]
        share: stretch of a rope pulled hand-tight, 0 to 0.1; below 0.01 from memory
    Raises:
        OutOfRange: an argument outside its range
    Source: from memory, under 1 % hand-tight; proportion.
    """
    if length_mm < 0:
        raise OutOfRange("length_mm", length_mm, "0 mm or more", "measure from the datum outward")
    if not 0 <= share <= 0.1:
        raise OutOfRange("stretch share", share, "0 to 0.1", "use a rope that does not stretch")
    return length_mm * share


def rope_offset_mm(rope_diameter_mm: float, bundle_diameter_mm: float, bend_angle_deg: float) -> float:
    """Return the common error of a bend measured with a rope that is thinner or thicker than the bundle.

    Laid round the same corner, the centre line of the thicker one runs farther out by half the difference.

    Args:
        rope_diameter_mm, bundle_diameter_mm: above 0 [mm]
        bend_angle_deg: sum of the changes of direction, 0 or more [degrees]
    Raises:
        OutOfRange: an argument outside its range
    Source: plane geometry, angle times half the difference of diameters; exact for bends that lie on a
    corner.
    """
    for name, value in (("rope_diameter_mm", rope_diameter_mm), ("bundle_diameter_mm", bundle_diameter_mm)):
        if value <= 0:
            raise OutOfRange(name, value, "above 0 mm", "enter the outside diameter")
    if bend_angle_deg < 0:
        raise OutOfRange("bend_angle_deg", bend_angle_deg, "0 or more", "count every bend as positive")
    return math.radians(bend_angle_deg) * abs(bundle_diameter_mm - rope_diameter_mm) / 2
