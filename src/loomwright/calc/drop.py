"""Volt drop along a wire and what may be lost."""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from loomwright.calc.tables import Row, row_of, rows, source_of, value
from loomwright.errors import OutOfRange
from loomwright.sources import Figure

Duty = Literal["continuous", "intermittent"]


@dataclass(frozen=True, slots=True)
class DropNotes:
    """What a good wire loses under load at most: a note, not a limit."""

    feed_v: Figure
    ground_v: Figure


def drop_v(amps: float, ohm_per_m: float, length_mm: float) -> float:
    """Return the volts lost along a wire; feed and return are two wires, each with its own drop.

    Args:
        amps: 0 or more [A]
        ohm_per_m: resistance at the wire's own temperature, above 0 [ohm/m]
        length_mm: length of copper, 0 or more [mm]; with the return wire where one length stands for both
    Raises:
        OutOfRange: an argument is outside.
    Source: Ohm's law; exact. FAA AC 43.13-1B Table 11-7 shows the same sum.
    """
    _at_least("amps", amps, 0.0)
    _above("ohm_per_m", ohm_per_m)
    _at_least("length_mm", length_mm, 0.0)
    return amps * ohm_per_m * length_mm / 1000


def max_length_mm(allowed_v: float, amps: float, ohm_per_m: float) -> float:
    """Return the longest copper (feed and return together) that keeps within a drop.

    Args:
        allowed_v: above 0 [V]
        amps: above 0 [A]
        ohm_per_m: resistance at the wire's own temperature, above 0 [ohm/m]
    Returns:
        [mm]
    Raises:
        OutOfRange: an argument is outside.
    Source: Ohm's law; exact. The lengths in FAA AC 43.13-1B Table 11-8 are chart readings, 1.7 % shorter.
    """
    _above("allowed_v", allowed_v)
    _above("amps", amps)
    _above("ohm_per_m", ohm_per_m)
    return allowed_v / (amps * ohm_per_m) * 1000


def hot_length_mm(length_at_20c_mm: float, temp_c: float) -> float:
    """Return the length that loses hot what the given length loses at 20 degrees C.

    Args:
        length_at_20c_mm: above 0 [mm]
        temp_c: conductor temperature, -60 to 260 [degrees C]
    Raises:
        OutOfRange: an argument is outside.
    Source: FAA AC 43.13-1B 11-66 d(4), L2 = 254.5 L1/(234.5 + T2); exact as given there.
    """
    _above("length_at_20c_mm", length_at_20c_mm)
    if not -60 <= temp_c <= 260:
        raise OutOfRange("temp_c", temp_c, "-60 to 260 degrees C", "check the conductor temperature")
    zero = value("copper", "zero_resistance_c")
    return (zero + 20.0) * length_at_20c_mm / (zero + temp_c)


@cache
def drop_limit_v(volts: float, duty: Duty = "continuous") -> Figure:
    """Return the most a load may lose between bus and its ground.

    Args:
        volts: system voltage; 11 to 15 counts as 14 V, 22 to 30 as 28 V
        duty: continuous or intermittent
    Returns:
        [V] with its source
    Raises:
        OutOfRange: no limit is published for the voltage.
    Source: FAA AC 43.13-1B Table 11-6 (continuous values also in Table 11-7; intermittent from memory).
    """
    if 11 <= volts <= 15:
        system = "14 V"
    elif 22 <= volts <= 30:
        system = "28 V"
    else:
        raise OutOfRange("volts", volts, "11 to 15 or 22 to 30 V", "enter the charging voltage of the car")
    return _figure(
        next(row for row in rows("drop_limits") if row["system"] == system and row["duty"] == duty)
    )


def drop_notes() -> DropNotes:
    """Return the volt drops met on good wiring: feed 0.2 V, ground 0.1 V. Source: common practice."""
    feed = row_of("drop_limits", "system", "feed, note")
    ground = row_of("drop_limits", "system", "ground, note")
    return DropNotes(_figure(feed), _figure(ground))


def structure_return_ohm() -> Figure:
    """Return the most a return through structure may measure [ohm]. Source: FAA technician handbook."""
    return _figure(row_of("drop_limits", "system", "structure return"))


def _figure(row: Row) -> Figure:
    return Figure(row.number("limit"), source_of(row))


def _at_least(name: str, number: float, low: float) -> None:
    if not number >= low:
        raise OutOfRange(name, number, f"{low:g} or more", "check the entry")


def _above(name: str, number: float) -> None:
    if not number > 0:
        raise OutOfRange(name, number, "above 0", "check the entry")
