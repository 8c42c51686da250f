"""Bends: how tight is allowed, how much length they use up, and how far a loop must hang to give way."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from loomwright.errors import OutOfRange
from loomwright.sources import PRACTICE, Figure, Mark, Source

MEMBER_RULE: Final = Source(
    Mark.STANDARD, "NASA workmanship pictorial pages 4.01-4.03, citing NASA-STD-8739.4"
)
MEMBER_TIMES: Final = Figure(10.0, MEMBER_RULE)  # times OD of the largest or most sensitive wire or cable
MEMBER_NEVER_BELOW_TIMES: Final = Figure(6.0, MEMBER_RULE)
BUNDLE_TIMES: Final = Figure(6.0, PRACTICE)  # times OD of the sheathed bundle, comfortable
BUNDLE_TIGHT_TIMES: Final = Figure(4.0, PRACTICE)  # with support
BEND_SUPPORT_MM: Final = Figure(75.0, PRACTICE)
STRAIGHT_BY_STIFF_MM: Final = Figure(10.0, PRACTICE)  # straight on each side of a stiff piece before a bend


class BendVerdict(StrEnum):
    """What a bend radius means for the loom."""

    GOOD = "good"
    CAUTION = "caution"
    FAULT = "fault"


@dataclass(frozen=True, slots=True)
class BendLimits:
    """Least inner bend radii of a section.

    Attributes:
        member_mm: recommended by the largest or most sensitive wire or cable
        never_below_mm: by the same, the limit
        bundle_mm: comfortable for the sheathed bundle
        bundle_tight_mm: with support within 75 mm
    """

    member_mm: float
    never_below_mm: float
    bundle_mm: float
    bundle_tight_mm: float

    def verdict(self, inner_radius_mm: float) -> BendVerdict:
        """Return what a bend of that inner radius means.

        Args:
            inner_radius_mm: radius on the inner side of the bend, 0 or more [mm]
        Returns:
            fault below the member limit; caution below the member's recommendation or the bundle's 4 times
        Raises:
            OutOfRange: below 0
        """
        if inner_radius_mm < 0:
            raise OutOfRange("inner_radius_mm", inner_radius_mm, "0 mm or more", "measure on the inner side")
        if inner_radius_mm < self.never_below_mm:
            return BendVerdict.FAULT
        if inner_radius_mm < max(self.member_mm, self.bundle_tight_mm):
            return BendVerdict.CAUTION
        return BendVerdict.GOOD


def bend_limits(largest_member_mm: float, bundle_od_mm: float, polyimide: bool = False) -> BendLimits:
    """Return the least bend radii of a section.

    Args:
        largest_member_mm: outside diameter of the largest or most sensitive wire or cable in it, above 0 [mm]
        bundle_od_mm: outside diameter over the sheath, at least the member's [mm]
        polyimide: whether that member is polyimide insulated (never below 10, recommended 15 times)
    Raises:
        OutOfRange: an argument outside its range
    Source: member 10 times, never below 6 (NASA workmanship pages citing NASA-STD-8739.4); bundle 4 to 6
    times,
        common practice.
    """
    _above_zero("largest_member_mm", largest_member_mm)
    if bundle_od_mm < largest_member_mm:
        raise OutOfRange(
            "bundle_od_mm", bundle_od_mm, f"at least {largest_member_mm} mm", "check the bundle size"
        )
    never, wanted = (10.0, 15.0) if polyimide else (MEMBER_NEVER_BELOW_TIMES.value, MEMBER_TIMES.value)
    return BendLimits(
        wanted * largest_member_mm,
        never * largest_member_mm,
        BUNDLE_TIMES.value * bundle_od_mm,
        BUNDLE_TIGHT_TIMES.value * bundle_od_mm,
    )


def bend_length_mm(radius_mm: float, angle_deg: float) -> float:
    """Return the section length one bend uses up, along its centre line.

    Args:
        radius_mm: centre-line radius, above 0 [mm]
        angle_deg: change of direction, 0 to 360 [degrees]
    Raises:
        OutOfRange: an argument outside its range
    Source: plane geometry, radius times angle; exact.
    """
    _above_zero("radius_mm", radius_mm)
    _require_angle(angle_deg)
    return radius_mm * math.radians(angle_deg)


def extreme_wires_mm(bundle_od_mm: float, angle_deg: float) -> float:
    """Return how much longer the outermost wire of a straight-laid bend is than the innermost one.

    Args:
        bundle_od_mm: bundle diameter, above 0 [mm]
        angle_deg: change of direction, 0 to 360 [degrees]
    Raises:
        OutOfRange: an argument outside its range
    Source: plane geometry, angle times bundle diameter (1.57 diameters at 90 degrees). Taken over the whole
        diameter: an upper bound, wire centres lie one wire diameter closer.
    """
    _above_zero("bundle_od_mm", bundle_od_mm)
    _require_angle(angle_deg)
    return math.radians(angle_deg) * bundle_od_mm


def corner_cut_mm(radius_mm: float, angle_deg: float) -> float:
    """Return how much shorter a rounded corner is than the way over its tip.

    Args:
        radius_mm: centre-line radius, above 0 [mm]
        angle_deg: change of direction, 0 to below 180 [degrees]
    Raises:
        OutOfRange: an argument outside its range
    Source: plane geometry, r (2 tan(a / 2) - a); exact.
    """
    _above_zero("radius_mm", radius_mm)
    if not 0 <= angle_deg < 180:
        raise OutOfRange("angle_deg", angle_deg, "0 to below 180 degrees", "split a U-turn into two bends")
    return radius_mm * (2 * math.tan(math.radians(angle_deg) / 2) - math.radians(angle_deg))


def loop_sag_mm(span_mm: float, extra_mm: float) -> float:
    """Return how far a free loop hangs out of its span so that it holds some extra length.

    Args:
        span_mm: straight distance between the two clips, above 0 [mm]
        extra_mm: length in excess of the span, 0 to 0.15 of the span [mm]
    Raises:
        OutOfRange: an argument outside its range
    Source: shallow parabola, sqrt(3 S m / 8). Against the exact arc of the parabola the sag is low by no
    more than
        6 % at the end of the range, 3 % at a twentieth of the span.
    """
    _above_zero("span_mm", span_mm)
    if not 0 <= extra_mm <= 0.15 * span_mm:
        limit = f"0 to {0.15 * span_mm:.0f} mm for this span"
        raise OutOfRange("extra_mm", extra_mm, limit, "set the clips farther apart or lay a full loop")
    return math.sqrt(3 * span_mm * extra_mm / 8)


def loop_extra_mm(moves_mm: float, directions: int = 2) -> float:
    """Return the extra length of a free loop between engine and body.

    Args:
        moves_mm: measured movement of the engine at the clip in one direction from rest, 0 or more [mm]
        directions: 2 = twice the measured movement (common practice); 1 = movement already taken both ways
    Raises:
        OutOfRange: an argument outside its range
    Source: common practice, twice the movement measured by levering the engine.
    """
    if moves_mm < 0:
        raise OutOfRange("moves_mm", moves_mm, "0 mm or more", "measure from rest to the farthest position")
    if directions not in (1, 2):
        raise OutOfRange(
            "directions", directions, "1 or 2", "say whether both ways are already in the figure"
        )
    return moves_mm * directions


def _above_zero(name: str, value: float) -> None:
    if not value > 0:
        raise OutOfRange(name, value, "above 0 mm", "measure it again")


def _require_angle(angle_deg: float) -> None:
    if not 0 <= angle_deg <= 360:
        raise OutOfRange("angle_deg", angle_deg, "0 to 360 degrees", "give the change of direction")
