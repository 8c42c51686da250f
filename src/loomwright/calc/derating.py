"""What is left of a wire's free-air current in a bundle and at height."""

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

from loomwright.calc.free_air import Line, along
from loomwright.calc.tables import row_of, rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Mark, Source
from loomwright.units import MM_PER_FOOT

LOADINGS: Final = (20.0, 40.0, 60.0, 80.0, 100.0)
LAST_FULL_LINE: Final = 19  # wires; the last line with all five curves
LAST_LINE: Final = 20  # wires; 20 % curve only
SLOPE_FROM: Final = 10  # wires; start of the stretch whose slope is carried on


@dataclass(frozen=True, slots=True)
class WiresFactor:
    """Factor on the free-air current for the number of wires; `estimated` where no figure is printed."""

    factor: float
    estimated: bool
    source: Source


def wires_factor(wires: int, loading_percent: float) -> WiresFactor:
    """Return the factor for so many wires in one bundle at a loading.

    Args:
        wires: all wires of the bundle, 1 or more
        loading_percent: used share of the whole bundle's capacity, 0 to 100; below 20 the 20 % curve stands
    Returns:
        1 for one wire, less for more
    Raises:
        OutOfRange: an argument is outside.
    Source: MIL-W-5088L bundle derating curves, digitised (1-19 wires, 20 at 20 %), straight between printed
    lines. Beyond them our own estimate: the slope of each curve from 10 to 19 wires carried on in logarithms.
    """
    if wires < 1:
        raise OutOfRange("wires", wires, "1 or more", "count every wire of the bundle")
    if not 0 <= loading_percent <= 100:
        raise OutOfRange("loading_percent", loading_percent, "0 to 100 %", "take the bundle's used share")
    loading = max(loading_percent, LOADINGS[0])
    factor = along((LOADINGS, _at_wires(wires)), loading)
    printed = wires <= LAST_FULL_LINE or (wires == LAST_LINE and loading == LOADINGS[0])
    return WiresFactor(factor, not printed, _sources()[0 if printed else 1])


def altitude_factor(altitude_m: float) -> float:
    """Return the factor for thin air.

    Args:
        altitude_m: height above the sea, 0 to 18,288 [m]
    Raises:
        OutOfRange: the height is outside.
    Source: FAA AC 43.13-1B examples at 20,000 and 60,000 ft (from memory, the lower of two that disagree),
    straight between.
    """
    heights, factors = _altitudes()
    if not 0 <= altitude_m <= heights[-1]:
        raise OutOfRange(
            "altitude_m", altitude_m, f"0 to {heights[-1]:g} m", "enter the height of the highest road"
        )
    return along((heights, factors), altitude_m)


@cache
def _at_wires(wires: int) -> tuple[float, ...]:
    """Return the five factors for so many wires."""
    lines = _lines()
    if wires <= LAST_FULL_LINE:
        return lines[wires - 1]
    last, start = lines[LAST_FULL_LINE - 1], lines[SLOPE_FROM - 1]
    more = math.log(wires / LAST_FULL_LINE) / math.log(LAST_FULL_LINE / SLOPE_FROM)
    carried = [end * (end / begin) ** more for begin, end in zip(start, last, strict=True)]
    if wires == LAST_LINE:
        carried[0] = row_of("mil_w_5088l_wires", "wires", str(LAST_LINE)).number("load20")
    return tuple(carried)


@cache
def _lines() -> tuple[tuple[float, ...], ...]:
    printed = rows("mil_w_5088l_wires")[:LAST_FULL_LINE]
    return tuple(tuple(row.number(f"load{percent:g}") for percent in LOADINGS) for row in printed)


@cache
def _altitudes() -> Line:
    printed = rows("altitude")
    heights = tuple(row.number("altitude_ft") * MM_PER_FOOT / 1000 for row in printed)
    return heights, tuple(row.number("factor") for row in printed)


@cache
def _sources() -> tuple[Source, Source]:
    printed = source_of(rows("mil_w_5088l_wires")[0])
    text = printed.text.rsplit(",", 1)[0]
    return Source(printed.mark, text), Source(Mark.OURS, f"own estimate: slope of {text} carried on")
