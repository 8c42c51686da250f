"""The current a wire may carry for ever before its insulation is too hot."""

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

from loomwright.calc.derating import LAST_LINE, LOADINGS, altitude_factor, wires_factor
from loomwright.calc.free_air import Line, along, free_air, rise_ratio
from loomwright.calc.tables import rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Mark, Source

BIG_BUNDLE: Final = 33  # wires; from here FAA AC 43.13-1B Table 11-9 holds
TABLE_AMBIENT_C: Final = 70.0
TABLE_CLASSES_C: Final = (105.0, 150.0, 200.0)
TABLE_LARGEST_AWG: Final = "10"  # the last row for 33 and more wires


@dataclass(frozen=True, slots=True)
class HeatLimit:
    """What heat allows one wire of a bundle.

    Attributes:
        amps: the limit [A]
        free_air_a: what the same wire carries alone [A]
        bundle_factor: amps over free_air_a
        basis: in words, how the limit came about
        source: where the deciding figures come from
        estimated: no published figure covers the case; it is our own careful estimate
    """

    amps: float
    free_air_a: float
    bundle_factor: float
    basis: str
    source: Source
    estimated: bool


def heat_limit(
    area_mm2: float,
    class_c: float,
    ambient_c: float,
    wires: int,
    loading_percent: float = 20.0,
    *,
    single_limit_a: float = math.inf,
    altitude_m: float = 0.0,
) -> HeatLimit:
    """Return the lasting current that brings a wire of a bundle to its insulation class.

    More area never gives less; more wires, a higher loading or hotter air never give more.

    Args:
        area_mm2: true copper area, 0.06 to 107 [mm2]
        class_c: insulation class, 60 to 260 [degrees C]
        ambient_c: air round the bundle, -40 to below the class [degrees C]
        wires: all wires of the bundle, 1 or more
        loading_percent: used share of the whole bundle's capacity, 0 to 100; EFI bundles are mostly 20
        single_limit_a: free-air current from the wire's own sheet, above 0 [A]; only ever lowers
        altitude_m: height above the sea, 0 to 18,288 [m]
    Returns:
        limit with basis, source and whether it is an estimate
    Raises:
        OutOfRange: an argument is outside.
    Source: free air as in `free_air`; to 19 wires (20 at 20 %) MIL-W-5088L curves; from 33 wires at up
    to 20 % FAA AC 43.13-1B Table 11-9 as printed (70 degrees C, 60,000 ft), scaled by rise; between the
    two a straight line, and everywhere else the curves' slope carried on: own estimates, marked so.
    """
    if not single_limit_a > 0:
        raise OutOfRange(
            "single_limit_a", single_limit_a, "above 0 A", "leave it out if the sheet gives none"
        )
    alone = free_air(area_mm2, class_c, ambient_c)
    free_a = min(alone.amps * altitude_factor(altitude_m), single_limit_a)
    basis, source = alone.basis, alone.source
    if free_a == single_limit_a:
        basis, source = "the wire's own sheet", Source(Mark.MAKER, "free-air current of the wire's own sheet")
    if wires == 1:
        return HeatLimit(free_a, free_a, 1.0, f"one wire alone: {basis}", source, False)
    factor = wires_factor(wires, loading_percent)
    if wires <= LAST_LINE and not factor.estimated:
        words = f"{basis}, x {factor.factor:.3f} for {wires} wires at {loading_percent:g} %"
        return HeatLimit(
            free_a * factor.factor, free_a, factor.factor, words, _joined(source, factor.source), False
        )
    lightly = _lightly_loaded(free_a, area_mm2, class_c - ambient_c, wires)
    if loading_percent <= LOADINGS[0]:
        return lightly
    amps = min(lightly.amps, free_a * factor.factor)
    words = f"{basis}, own estimate for {wires} wires at {loading_percent:g} %"
    return HeatLimit(amps, free_a, amps / free_a, words, factor.source, True)


def conductor_temperature_c(amps: float, limit_a: float, class_c: float, ambient_c: float) -> float:
    """Return how hot a conductor gets at a load, for its resistance; the estimate is on the hot side.

    Args:
        amps: load, 0 or more [A]
        limit_a: its heat limit in the same bundle and air, above 0 [A]
        class_c: insulation class [degrees C]
        ambient_c: air round the bundle, below the class [degrees C]
    Returns:
        [degrees C]; at the limit the class; above the limit the rise grows as the square of the current
    Raises:
        OutOfRange: an argument is outside.
    Source: FAA AC 43.13-1B 11-66 d(6), T2 = T1 + (TR - T1) sqrt(I2/Imax) (formula from memory, inputs and
    example read); above the limit ours.
    """
    if not amps >= 0:
        raise OutOfRange("amps", amps, "0 A or more", "check the load")
    if not limit_a > 0:
        raise OutOfRange("limit_a", limit_a, "above 0 A", "take it from heat_limit")
    if not ambient_c < class_c:
        raise OutOfRange(
            "ambient_c", ambient_c, f"below the class of {class_c:g} degrees C", "take wire of a higher class"
        )
    share = amps / limit_a
    return ambient_c + (class_c - ambient_c) * (math.sqrt(share) if share <= 1 else share**2)


def _lightly_loaded(free_a: float, area_mm2: float, rise_k: float, wires: int) -> HeatLimit:
    """Return the limit past 20 wires at no more than 20 % loading."""
    printed_a, inside, source = _table_11_9(area_mm2, rise_k)
    big_a = min(printed_a, free_a * wires_factor(BIG_BUNDLE, LOADINGS[0]).factor)
    if wires >= BIG_BUNDLE:
        held = big_a == printed_a
        if not held:
            words = f"own estimate for {wires} wires: the 20 % curve carried on"
            return HeatLimit(
                big_a, free_a, big_a / free_a, words, wires_factor(wires, LOADINGS[0]).source, True
            )
        words = "FAA Table 11-9 (33 wires and more, up to 20 % loaded), scaled by rise"
        return HeatLimit(big_a, free_a, big_a / free_a, words, source, not inside)
    last_a = free_a * wires_factor(LAST_LINE, LOADINGS[0]).factor
    share = (wires - LAST_LINE) / (BIG_BUNDLE - LAST_LINE)
    amps = last_a + share * (big_a - last_a)
    words = f"own estimate for {wires} wires: between the curve's end at 20 and FAA Table 11-9 at 33"
    return HeatLimit(amps, free_a, amps / free_a, words, _between(), True)


def _table_11_9(area_mm2: float, rise_k: float) -> tuple[float, bool, Source]:
    """Return Table 11-9 at an area and rise, whether that is inside its rows and columns, and the source.

    Between rows and columns straight in logarithms; outside the columns scaled by rise, outside the rows by
    what free air does there (our estimates).
    """
    lines, sources = _table_lines()
    log_area, first, last = math.log(area_mm2), lines[0][0][0], lines[0][0][-1]
    rises = tuple(class_c - TABLE_AMBIENT_C for class_c in TABLE_CLASSES_C)
    logs = tuple(along(line, log_area) for line in lines)
    within = min(max(rise_k, rises[0]), rises[-1])
    amps = math.exp(along((tuple(math.log(r) for r in rises), logs), math.log(within)))
    amps *= rise_ratio(rise_k) / rise_ratio(within)
    edge = min(max(log_area, first), last)
    if edge != log_area:
        amps *= _free_shape(area_mm2) / _free_shape(math.exp(edge))
    inside = edge == log_area and within == rise_k
    return amps, inside, sources[0 if inside else 1]


def _free_shape(area_mm2: float) -> float:
    """Return how free-air current grows with area, at a class and air where no boat rule enters."""
    return free_air(area_mm2, 200.0, 70.0).amps


@cache
def _table_lines() -> tuple[tuple[Line, ...], tuple[Source, Source]]:
    printed = rows("ac4313_table_11_9")
    end = next(i for i, row in enumerate(printed) if row["awg"] == TABLE_LARGEST_AWG) + 1
    areas = tuple(math.log(row.number("area_mm2")) for row in printed[:end])
    columns = (f"amps_{class_c:g}c" for class_c in TABLE_CLASSES_C)
    lines = tuple((areas, tuple(math.log(row.number(column)) for row in printed[:end])) for column in columns)
    document = source_of(printed[0])
    text = document.text.rsplit(", row", 1)[0]
    scaled = Source(document.mark, f"{text}, scaled by rise")
    return lines, (scaled, Source(Mark.OURS, f"scaled beyond the rows and columns of {text}"))


@cache
def _between() -> Source:
    return Source(
        Mark.OURS, "line from the MIL-W-5088L curve (20 wires) to FAA AC 43.13-1B Table 11-9 (33 wires)"
    )


@cache
def _joined(first: Source, second: Source) -> Source:
    return Source(first.mark, f"{first.text}; {second.text}")
