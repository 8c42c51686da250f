"""Copper conductors: area, resistance and mass, by gauge or by square millimetre."""

import math
from functools import cache
from typing import Literal

from loomwright.calc.tables import Row, row_of, rows, source_of, value
from loomwright.errors import OutOfRange
from loomwright.sources import Figure
from loomwright.units import MM_PER_FOOT, awg_label, mm_from_inches

Plating = Literal["plain", "tinned"]


def awg_diameter_mm(awg: int) -> float:
    """Return the diameter of a solid round wire of one American gauge.

    Args:
        awg: -3 (4/0) to 40
    Returns:
        diameter [mm]
    Raises:
        OutOfRange: the gauge is outside -3 to 40.
    Source: ASTM B258 (formula from memory), d = 0.005 in * 92^((36 - n)/39); exact by definition,
    proved against printed diameters of 33 sizes.
    """
    if not -3 <= awg <= 40:
        raise OutOfRange("AWG number", awg, "-3 (4/0) to 40", "give the area in mm2 instead")
    smallest, largest = value("awg_geometry", "d36"), value("awg_geometry", "d4/0")
    return mm_from_inches(smallest * (largest / smallest) ** ((36 - awg) / value("awg_geometry", "steps")))


def awg_area_mm2(awg: int) -> float:
    """Return the area of a solid round wire of one American gauge [mm2]; limits, source as the diameter."""
    return math.pi / 4 * awg_diameter_mm(awg) ** 2


def nearest_awg(area_mm2: float) -> int:
    """Return the American gauge whose solid area is nearest in ratio: a label to show, not a size to use.

    Args:
        area_mm2: 0.005 to 110 [mm2]
    Raises:
        OutOfRange: the area is outside.
    Source: ASTM B258 geometry turned round; exact.
    """
    _within("area_mm2", area_mm2, 0.005, 110.0, "mm2")
    ratio = value("awg_geometry", "d4/0") / value("awg_geometry", "d36")
    diameter = mm_from_inches(value("awg_geometry", "d36"))
    thicker = math.sqrt(area_mm2 * 4 / math.pi) / diameter
    steps = value("awg_geometry", "steps") * math.log(thicker) / math.log(ratio)
    return max(-3, min(40, round(36 - steps)))


def strand_area_mm2(strands: int, strand_diameter_mm: float) -> float:
    """Return the copper area of a stranded conductor.

    Args:
        strands: 1 or more
        strand_diameter_mm: above 0 [mm]
    Raises:
        OutOfRange: an argument is outside.
    Source: plane geometry; exact (the extra length from stranding is not area).
    """
    _within("strands", strands, 1, 10_000, "")
    _within("strand_diameter_mm", strand_diameter_mm, 0.01, 12.0, "mm")
    return strands * math.pi / 4 * strand_diameter_mm**2


def ohm_per_m(area_mm2: float) -> float:
    """Return the resistance of plain annealed copper of this true area at 20 degrees C.

    Args:
        area_mm2: 0.005 to 150 [mm2]
    Returns:
        [ohm/m]; bought wire is up to 30 % above it, so take the printed maximum where there is one
    Raises:
        OutOfRange: the area is outside.
    Source: 1/58 ohm mm2/m (IEC 60028, from memory).
    """
    _within("area_mm2", area_mm2, 0.005, 150.0, "mm2")
    return value("copper", "resistivity_20") / 1000 / area_mm2


def resistance_factor(temp_c: float) -> float:
    """Return resistance at a temperature over resistance at 20 degrees C, copper.

    Args:
        temp_c: conductor temperature, -60 to 260 [degrees C]
    Raises:
        OutOfRange: the temperature is outside.
    Source: FAA AC 43.13-1B 11-66 d(4), (234.5 + T)/254.5, which is 0.393 %/K; within 0.6 % of the
    factors printed with IEC 60228, which use 0.4 %/K.
    """
    _within("temp_c", temp_c, -60.0, 260.0, "degrees C")
    zero = value("copper", "zero_resistance_c")
    return (zero + temp_c) / (zero + 20.0)


def max_ohm_per_m_iec60228(
    area_mm2: float, strand_class: Literal[2, 5] = 5, plating: Plating = "plain"
) -> Figure:
    """Return the largest resistance IEC 60228 allows at 20 degrees C.

    Args:
        area_mm2: a listed size, 0.05 to 50 [mm2]
        strand_class: 2 (stranded) or 5 (flexible)
        plating: plain or tinned strands
    Returns:
        [ohm/m] with its source
    Raises:
        OutOfRange: the size is not listed for this class.
    Source: IEC 60228 as published by cable makers; as printed.
    """
    row = _listed("iec60228_resistance", area_mm2)
    printed = row.maybe(f"class{strand_class}_{plating}_mohm_per_m")
    if printed is None:
        limit = f"a size listed for class {strand_class}"
        raise OutOfRange("area_mm2", area_mm2, limit, "take class 5 or the maker's sheet")
    return Figure(printed / 1000, source_of(row))


def max_ohm_per_m_iso6722(area_mm2: float) -> Figure:
    """Return the largest resistance ISO 6722-1 allows for plain copper at 20 degrees C.

    Args:
        area_mm2: a listed size, 0.13 to 50 [mm2]
    Returns:
        [ohm/m], marked from memory
    Raises:
        OutOfRange: the size is not listed.
    Source: ISO 6722-1 resistance table, from memory.
    """
    row = _listed("iso6722_resistance", area_mm2)
    return Figure(row.number("max_mohm_per_m") / 1000, source_of(row))


def max_ohm_per_m_awg(awg: int) -> Figure:
    """Return the largest resistance of a tinned 19- or 37-strand wire of one gauge at 20 degrees C.

    Args:
        awg: -3 (4/0) to 24, as listed
    Returns:
        [ohm/m]; 24 AWG reads 8 % above what two makers print
    Raises:
        OutOfRange: the gauge is not listed.
    Source: FAA AC 43.13-1B Table 11-9; as printed in ohm per 1,000 ft.
    """
    row = row_of("ac4313_table_11_9", "awg", awg_label(awg))
    return Figure(row.number("max_ohm_per_kft") / MM_PER_FOOT, source_of(row))


def copper_g_per_m(area_mm2: float) -> float:
    """Return the mass of the bare copper.

    Args:
        area_mm2: 0.005 to 150 [mm2]
    Returns:
        [g/m]; stranding adds 1 to 3 %
    Raises:
        OutOfRange: the area is outside.
    Source: density 8.89 g/cm3 behind the open copper wire table; within 0.3 % of it.
    """
    _within("area_mm2", area_mm2, 0.005, 150.0, "mm2")
    return area_mm2 * value("copper", "density")


@cache
def _listed(table: str, area_mm2: float) -> Row:
    for row in rows(table):
        if math.isclose(row.number("area_mm2"), area_mm2, rel_tol=1e-9):
            return row
    sizes = ", ".join(row["area_mm2"] for row in rows(table))
    raise OutOfRange("area_mm2", area_mm2, f"one of {sizes} mm2", "take a listed size or the maker's sheet")


def _within(name: str, number: float, low: float, high: float, unit: str) -> None:
    if not low <= number <= high:
        raise OutOfRange(name, number, f"{low:g} to {high:g} {unit}".strip(), "check the entry and its unit")
