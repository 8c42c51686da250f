"""How thick a hand-laid bundle gets, with its bracket and where the figure comes from."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.calc.packing import Packing, pack
from loomwright.errors import OutOfRange
from loomwright.sources import PRACTICE, Figure, Mark, Source

SHOP_FACTOR: Final = Figure(1.2, PRACTICE)
LOW_FACTOR: Final = Figure(1.15, PRACTICE)
HIGH_FACTOR: Final = Figure(1.25, PRACTICE)
LOOSE_FACTOR: Final = Figure(1.45, PRACTICE)
RULE_FROM: Final = 8  # wires; fewer are taken as packed
FILM_TAPE_MM: Final = Figure(0.06, Source(Mark.MEMORY, "polyimide film tape 0.05 to 0.07 mm"))


@dataclass(frozen=True, slots=True)
class BundleSize:
    """Diameter of a bundle without tape and sheath.

    Attributes:
        packed_min_mm: tightest packing found; the hand can't do better
        lower_bound_mm: proved: no arrangement is smaller
        as_laid_mm: what to expect of a hand-laid bundle
        low_mm: lower end of its bracket
        high_mm: upper end of its bracket
        factor: as_laid_mm over the root of the sum of squared diameters
        source: what decided `as_laid_mm`
    """

    packed_min_mm: float
    lower_bound_mm: float
    as_laid_mm: float
    low_mm: float
    high_mm: float
    factor: float
    source: Source


def root_square_mm(diameters_mm: Sequence[float]) -> float:
    """Return the root of the sum of squared diameters: the diameter of equal area [mm]."""
    return math.sqrt(math.fsum(one * one for one in diameters_mm))


def rule_mm(diameters_mm: Sequence[float], factor: float = SHOP_FACTOR.value) -> float:
    """Return the shop rule's bundle diameter, factor * sqrt(sum of d^2).

    Args:
        diameters_mm: one per wire or cable, each above 0 [mm]
        factor: 1.1 to 1.45; 1.2 usual, 1.15 to 1.25 hand-made and round, up to 1.45 loose
    Raises:
        OutOfRange: the factor is outside its range
    Source: common practice. It can lie below the possible minimum: for few wires, and for 9 and 10 equal
    ones.
    """
    if not 1.1 <= factor <= LOOSE_FACTOR.value:
        raise OutOfRange("bundle factor", factor, "1.1 to 1.45", "measure a finished bundle of your own")
    return factor * root_square_mm(diameters_mm)


def bundle_size(
    diameters_mm: Sequence[float], factor: float = SHOP_FACTOR.value, packing: Packing | None = None
) -> BundleSize:
    """Return how thick a hand-laid bundle of these wires gets.

    Eight and more: the shop rule, but never below the tightest packing found. Fewer: as packed.

    Args:
        diameters_mm: one per wire or cable, each above 0 [mm]; at least one
        factor: the shop's factor, 1.1 to 1.45
        packing: a packing of these diameters, where one is at hand (a refined one only narrows the bracket)
    Raises:
        OutOfRange: no wire, a diameter or the factor outside its range
    Source: common practice (factor, and its range 1.15 to 1.25); packing ours. Never smaller for a wire
    more, as
        long as the rule decides; see docs/accuracy.md.
    """
    tight = packing if packing is not None else pack(diameters_mm)
    least, root = tight.diameter_mm, root_square_mm(diameters_mm)
    ruled = rule_mm(diameters_mm, factor)
    spread_low, spread_high = LOW_FACTOR.value / SHOP_FACTOR.value, HIGH_FACTOR.value / SHOP_FACTOR.value
    if len(diameters_mm) < RULE_FROM:
        text = "as packed; the shop rule holds from 8 wires"
        high = least if len(diameters_mm) == 1 else least * spread_high
        return BundleSize(
            least, tight.lower_bound_mm, least, least, high, least / root, Source(Mark.OURS, text)
        )
    if ruled < least:
        source = Source(
            Mark.OURS, f"as packed; the rule {factor:g} * sqrt(sum d^2) lies below the least possible"
        )
    else:
        source = Source(Mark.PRACTICE, f"{factor:g} * sqrt(sum d^2)")
    laid = max(ruled, least)
    low, high = max(least, ruled * spread_low), laid * spread_high
    return BundleSize(least, tight.lower_bound_mm, laid, low, high, laid / root, source)


def taped_mm(bundle_mm: float, tape_mm: float, layers: int) -> float:
    """Return the diameter over tape.

    Args:
        bundle_mm: diameter below it, above 0 [mm]
        tape_mm: thickness of the tape, 0 to 2 [mm]
        layers: layers lying on each other, 0 or more; half overlapped once round counts 2
    Raises:
        OutOfRange: an argument outside its range
    Source: plane geometry; exact for a tape that does not stretch.
    """
    _above_zero("bundle_mm", bundle_mm)
    if not 0 <= tape_mm <= 2:
        raise OutOfRange("tape_mm", tape_mm, "0 to 2 mm", "enter the thickness of one layer")
    if layers < 0:
        raise OutOfRange("layers", layers, "0 or more", "count the layers on one side")
    return bundle_mm + 2 * tape_mm * layers


def finished_mm(bundle_mm: float, wall_mm: float) -> float:
    """Return the outside diameter over a sleeve.

    Args:
        bundle_mm: diameter the sleeve grips, above 0 [mm]
        wall_mm: its wall as it sits there, 0 or more [mm]; for shrink sleeve see
        `sleeve_fit.recovered_wall_mm`
    Raises:
        OutOfRange: an argument outside its range
    Source: plane geometry; exact.
    """
    _above_zero("bundle_mm", bundle_mm)
    if wall_mm < 0:
        raise OutOfRange("wall_mm", wall_mm, "0 mm or more", "enter the wall's thickness")
    return bundle_mm + 2 * wall_mm


def _above_zero(name: str, value: float) -> None:
    if not value > 0:
        raise OutOfRange(name, value, "above 0 mm", "size the bundle first")
