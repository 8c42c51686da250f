"""Does a wire fit a contact and its seal: three windows."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from loomwright.errors import OutOfRange


class Fit(StrEnum):
    """How a wire sits in one window."""

    TOO_THIN = "too thin"
    OK = "ok"
    TOO_THICK = "too thick"
    UNKNOWN = "unknown"  # the contact's sheet gives no window


@dataclass(frozen=True, slots=True)
class Window:
    """What a contact, its insulation grip or its seal takes: from and to, in mm2 or mm."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ContactFit:
    """How a wire sits in the three windows of a contact.

    Attributes:
        area: copper area in the conductor crimp
        grip: insulation diameter in the insulation grip
        seal: insulation diameter in the seal
        build_up_mm: what to add to the diameter behind the seal so that it seals, 0 if nothing [mm]
    """

    area: Fit
    grip: Fit
    seal: Fit
    build_up_mm: float

    @property
    def ok(self) -> bool:
        """True when no known window is missed."""
        return not {self.area, self.grip, self.seal} & {Fit.TOO_THIN, Fit.TOO_THICK}


HALF_PRINTED_MM: Final = 0.005
"""Half the last digit to which insulation and windows are printed [mm]."""


def window_fit(low: float, high: float, window: Window | None, half_printed: float = 0.0) -> Fit:
    """Return how a size known between two limits sits in a window; both limits must be inside.

    Args:
        low: smallest it can be, above 0
        high: largest it can be, at least low
        window: what is taken, or None when the sheet gives none
        half_printed: half the last digit to which sizes and window are printed, 0 or more
    Raises:
        OutOfRange: a limit is not above 0 or they are the wrong way round.
    Source: comparison; exact. A size sticking out on both sides counts as too thick.
    """
    if not 0 < low <= high:
        raise OutOfRange(
            "smallest size", low, f"above 0 and at most the largest, {high:g}", "check the wire's sheet"
        )
    if window is None:
        return Fit.UNKNOWN
    if not 0 <= window.low <= window.high:
        raise OutOfRange(
            "window", f"{window.low:g} to {window.high:g}", "rising", "check the contact's sheet"
        )
    within = half_printed + 1e-9
    if high > window.high + within:
        return Fit.TOO_THICK
    return Fit.TOO_THIN if low < window.low - within else Fit.OK


def contact_fit(
    area_mm2: float,
    od_min_mm: float,
    od_max_mm: float,
    *,
    area: Window | None = None,
    grip: Window | None = None,
    seal: Window | None = None,
) -> ContactFit:
    """Return how one wire fits a contact, its insulation grip and its seal.

    Args:
        area_mm2: true copper area, above 0 [mm2]
        od_min_mm: smallest outside diameter on the sheet, above 0 [mm]
        od_max_mm: largest, at least od_min_mm [mm]
        area: conductor crimp [mm2]
        grip: insulation grip [mm]
        seal: seal bore's range [mm]
    Raises:
        OutOfRange: an argument is outside.
    Source: comparison with the contact's sheet, diameters as printed (to half of 0.01 mm); exact. Build-up
    behind the seal with lined sleeve is common practice.
    """
    sealed = window_fit(od_min_mm, od_max_mm, seal, HALF_PRINTED_MM)
    gripped = window_fit(od_min_mm, od_max_mm, grip, HALF_PRINTED_MM)
    build_up = seal.low - od_min_mm if seal and od_min_mm < seal.low - HALF_PRINTED_MM else 0.0
    return ContactFit(window_fit(area_mm2, area_mm2, area), gripped, sealed, build_up)
