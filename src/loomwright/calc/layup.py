"""Lay-up: how much longer a wire is than its section, and how many wires fit in a layer."""

import math
from dataclasses import dataclass
from typing import Final

from loomwright.errors import OutOfRange
from loomwright.sources import PRACTICE, Figure

STRAIGHT_TAKE_UP: Final = Figure(0.005, PRACTICE)
CONCENTRIC_TAKE_UP: Final = Figure(0.04, PRACTICE)
RIDE_UP_ALLOWED_WIRES: Final = Figure(
    0.25, PRACTICE
)  # a shortfall up to this rides up, more is one wire fewer


def helix_take_up(mean_diameter_mm: float, lay_length_mm: float) -> float:
    """Return the extra length of a wire on a helix, as a share of the section's length.

    Args:
        mean_diameter_mm: diameter of the circle the wire's centre runs on, 0 or more [mm]
        lay_length_mm: length of section for one turn, above 0 [mm]
    Returns:
        share: 0.03 means 3 % longer
    Raises:
        OutOfRange: an argument outside its range
    Source: unrolled helix, sqrt(1 + (pi Dm / L)^2) - 1; exact.
    """
    if mean_diameter_mm < 0:
        raise OutOfRange(
            "mean_diameter_mm", mean_diameter_mm, "0 mm or more", "take layer diameter less one wire"
        )
    _above_zero("lay_length_mm", lay_length_mm, "enter the length of one turn")
    return math.hypot(1.0, math.pi * mean_diameter_mm / lay_length_mm) - 1.0


def layer_take_up(layer_od_mm: float, wire_od_mm: float, lay_length_mm: float) -> float:
    """Return the take-up of the wires of a layer, as a share.

    Args:
        layer_od_mm: outside diameter over the layer, at least one wire [mm]
        wire_od_mm: outside diameter of its wires, above 0 [mm]
        lay_length_mm: above 0 [mm]
    Raises:
        OutOfRange: an argument outside its range
    Source: `helix_take_up` with Dm = OD - d; exact for round wires lying on the layer below.
    """
    _above_zero("wire_od_mm", wire_od_mm, "enter the wire's outside diameter")
    if layer_od_mm < wire_od_mm:
        raise OutOfRange("layer_od_mm", layer_od_mm, f"at least one wire, {wire_od_mm} mm", "check the layer")
    return helix_take_up(layer_od_mm - wire_od_mm, lay_length_mm)


def pair_take_up(wire_od_mm: float, pitch_mm: float) -> float:
    """Return the extra length of each wire of a twisted pair, as a share of the pair's length.

    Args:
        wire_od_mm: outside diameter of one wire, above 0 [mm]
        pitch_mm: length of one full turn, above 0 [mm]
    Raises:
        OutOfRange: an argument outside its range
    Source: `helix_take_up`; the two centres run on a circle of one wire diameter. Exact for touching round
    wires.
    """
    _above_zero("wire_od_mm", wire_od_mm, "enter the wire's outside diameter")
    return helix_take_up(wire_od_mm, pitch_mm)


def twisted_take_up(wires: int, wire_od_mm: float, pitch_mm: float) -> float:
    """Return the take-up of each of two to five equal wires twisted together without a core, as a share.

    Args:
        wires: 2 to 5
        wire_od_mm: above 0 [mm]
        pitch_mm: above 0 [mm]
    Raises:
        OutOfRange: an argument outside its range
    Source: centres on a circle of diameter d / sin(pi / n), then `helix_take_up`; obliquity left out (low
    by less
        than 1 part in 20 of the take-up at a pitch of 12 wire diameters or more).
    """
    if not 2 <= wires <= 5:
        raise OutOfRange("wires twisted together", wires, "2 to 5", "lay six and more round a core")
    _above_zero("wire_od_mm", wire_od_mm, "enter the wire's outside diameter")
    return helix_take_up(wire_od_mm / math.sin(math.pi / wires), pitch_mm)


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer of equal wires round a core.

    Attributes:
        fits: how many fit, before rounding
        wires: how many to plan
        ride_up_mm: how far the wires stand off the core so that all of `wires` find room; 0 = they lie on it
        take_up: extra length of its wires, as a share
        od_mm: outside diameter over the layer, ride-up included
    """

    fits: float
    wires: int
    ride_up_mm: float
    take_up: float
    od_mm: float


def layer(core_mm: float, wire_od_mm: float, lay_length_mm: float) -> Layer:
    """Return how many wires lie in one layer round a core.

    Args:
        core_mm: diameter over what lies inside, above 0 [mm]
        wire_od_mm: outside diameter of the layer's wires, above 0 [mm]
        lay_length_mm: length of one turn, above pi times the wire diameter [mm]
    Raises:
        OutOfRange: an argument outside its range
    Source: n = pi / asin(d k / (Dc + d)), k = sqrt(1 + (pi (Dc + d) / L)^2), the oblique cut taken as a
    circle of
        d k; a shortfall up to a quarter wire is planned as ride-up (common practice). The ride-up solves
        the same
        equation for the diameter, with the lay length kept.
    """
    _above_zero("core_mm", core_mm, "a layer needs something to lie on")
    _above_zero("wire_od_mm", wire_od_mm, "enter the wire's outside diameter")
    least = math.pi * wire_od_mm
    if lay_length_mm <= least:
        raise OutOfRange(
            "lay_length_mm", lay_length_mm, f"above {least:.1f} mm", "take 8 to 16 layer diameters"
        )
    on = core_mm + wire_od_mm
    fits = _fits(on, wire_od_mm, lay_length_mm)
    wires = max(1, math.floor(fits + RIDE_UP_ALLOWED_WIRES.value + 1e-9))
    need = _circle_for(wires, wire_od_mm, lay_length_mm) if wires > 2 else on
    if need is None:
        wires, need = math.floor(fits), on
    on = max(on, need)
    take_up = helix_take_up(on, lay_length_mm)
    return Layer(fits, wires, max(0.0, on - core_mm - wire_od_mm) / 2, take_up, on + wire_od_mm)


def _fits(on_mm: float, wire_od_mm: float, lay_length_mm: float) -> float:
    """Return how many oblique cuts of a wire find room on a circle, unrounded."""
    wide = wire_od_mm * math.hypot(1.0, math.pi * on_mm / lay_length_mm) / on_mm
    return math.pi / math.asin(min(1.0, wide))


def _circle_for(wires: int, wire_od_mm: float, lay_length_mm: float) -> float | None:
    """Return the diameter of the circle on which so many wires just find room; None = at no diameter."""
    under = math.sin(math.pi / wires) ** 2 - (math.pi * wire_od_mm / lay_length_mm) ** 2
    return wire_od_mm / math.sqrt(under) if under > 0 else None


def exit_turn_deg(along_mm: float, lay_length_mm: float) -> float:
    """Return how far a helix has turned after a length, 0 to below 360 degrees.

    Args:
        along_mm: length along the section, 0 or more [mm]
        lay_length_mm: above 0 [mm]
    Raises:
        OutOfRange: an argument outside its range
    Source: proportion; exact.
    """
    if along_mm < 0:
        raise OutOfRange("along_mm", along_mm, "0 mm or more", "measure from the inner end")
    _above_zero("lay_length_mm", lay_length_mm, "enter the length of one turn")
    return 360.0 * math.fmod(along_mm, lay_length_mm) / lay_length_mm


def _above_zero(name: str, value: float, remedy: str) -> None:
    if not value > 0:
        raise OutOfRange(name, value, "above 0 mm", remedy)
