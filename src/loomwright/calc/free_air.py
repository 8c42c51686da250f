"""What one wire alone in still air carries, by area and temperature rise."""

import math
from bisect import bisect_right
from dataclasses import dataclass
from functools import cache
from typing import Final

from loomwright.calc.tables import Row, rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Mark, Source

AREA_MIN_MM2: Final = 0.06
AREA_MAX_MM2: Final = 107.0
CLASS_MIN_C: Final = 60.0
CLASS_MAX_C: Final = 260.0
AMBIENT_MIN_C: Final = -40.0
RISE_REFERENCE_K: Final = 30.0
BOAT_AMBIENT_C: Final = 30.0

Line = tuple[tuple[float, ...], tuple[float, ...]]  # rising x, y


@dataclass(frozen=True, slots=True)
class FreeAir:
    """Free-air current of one wire.

    Attributes:
        amps: the lowest of three limits [A]
        basis: which of them decided
        source: where that one comes from
    """

    amps: float
    basis: str
    source: Source


@dataclass(frozen=True, slots=True)
class _Curves:
    """Everything read once: logarithms of area against logarithms of current."""

    k: float
    p: float
    n: float
    n_low: float
    printed_30k: Line
    boat: tuple[tuple[float, Line], ...]
    printed_source: Source
    fit_source: Source
    boat_source: Source


def along(line: Line, x: float) -> float:
    """Return y on a line of straight pieces.

    Args:
        line: rising x and their y, two points or more
        x: a value between the first and the last x
    Returns:
        y; outside the end points the end value, so callers ask only inside or mean exactly that
    Source: straight-line interpolation; exact.
    """
    xs, ys = line
    at = bisect_right(xs, x)
    if at == 0:
        return ys[0]
    if at == len(xs):
        return ys[-1]
    share = (x - xs[at - 1]) / (xs[at] - xs[at - 1])
    return ys[at - 1] + share * (ys[at] - ys[at - 1])


def rise_ratio(rise_k: float) -> float:
    """Return current at a temperature rise over current at 30 K rise, for a wire in air.

    Args:
        rise_k: conductor above ambient, above 0 [K]
    Source: ours. (rise/30)^0.487 from 30 K up, the exponent of the free-air curve of FAA AC 43.13-1B
    (12 AWG pair, from memory); (rise/30)^0.625 below, free convection only, which is the cautious side.
    """
    curves = _curves()
    return float((rise_k / RISE_REFERENCE_K) ** (curves.n if rise_k >= RISE_REFERENCE_K else curves.n_low))


def free_air(area_mm2: float, class_c: float, ambient_c: float) -> FreeAir:
    """Return the current that brings one wire alone in still air to its insulation class.

    The lowest of: our fit, the makers' printed currents (30 K rise and two ambients) carried to this
    rise, and for classes up to 125 degrees C the boat rule's Table 5.

    Args:
        area_mm2: true copper area, 0.06 to 107 [mm2]
        class_c: insulation class, 60 to 260 [degrees C]
        ambient_c: air round the wire, -40 to below the class [degrees C]
    Raises:
        OutOfRange: an argument is outside.
    Source: maker's technical page (30 K currents, 30-12 AWG), power-module appendix (6-2 AWG),
    33 CFR 183.425 Table 5 (classes to 125 degrees C; its 200 degrees C column is flat and stays below what
    FAA AC 43.13-1B reads at a smaller rise, so it is not used), own fit. Between printed rows straight
    in logarithms. Never above any printed figure it was compared with.
    """
    check_free_air_range(area_mm2, class_c, ambient_c)
    curves = _curves()
    rise = class_c - ambient_c
    ratio = rise_ratio(rise)
    log_area = math.log(area_mm2)
    fit_30k = curves.k * area_mm2**curves.p * (RISE_REFERENCE_K / 100) ** curves.n
    amps, basis, source = fit_30k * ratio, "own fit", curves.fit_source
    printed = math.exp(_printed_30k(log_area, curves)) * ratio
    if printed < amps:
        amps, basis, source = printed, "makers' currents scaled by rise", curves.printed_source
    boat = _boat_cap(log_area, class_c, ambient_c, curves)
    if boat < amps:
        amps, basis, source = boat, "boat rule Table 5 scaled by rise", curves.boat_source
    return FreeAir(amps, basis, source)


def check_free_air_range(area_mm2: float, class_c: float, ambient_c: float) -> None:
    """Raise OutOfRange unless area, class and ambient lie where `free_air` holds; limits in its docstring."""
    if not AREA_MIN_MM2 <= area_mm2 <= AREA_MAX_MM2:
        limit = f"{AREA_MIN_MM2} to {AREA_MAX_MM2:g} mm2"
        raise OutOfRange(
            "area_mm2", area_mm2, limit, "heat figures run from 30 AWG to 4/0; check the wire's size"
        )
    if not CLASS_MIN_C <= class_c <= CLASS_MAX_C:
        limit = f"{CLASS_MIN_C:g} to {CLASS_MAX_C:g} degrees C"
        raise OutOfRange("class_c", class_c, limit, "take the class from the wire's sheet")
    if not AMBIENT_MIN_C <= ambient_c < class_c:
        limit = f"{AMBIENT_MIN_C:g} to below the insulation class of {class_c:g} degrees C"
        raise OutOfRange(
            "ambient_c", ambient_c, limit, "take wire of a higher class or move it to cooler air"
        )


def _printed_30k(log_area: float, curves: _Curves) -> float:
    """Return the logarithm of the makers' current at 30 K; past the largest row with our fit's exponent."""
    past = log_area - curves.printed_30k[0][-1]
    return along(curves.printed_30k, log_area) + max(0.0, past) * curves.p


def _boat_cap(log_area: float, class_c: float, ambient_c: float, curves: _Curves) -> float:
    """Return Table 5 for the class, carried from 30 degrees C to the ambient; cooler air earns nothing."""
    columns = curves.boat
    if class_c > columns[-1][0]:
        return math.inf
    high = next(i for i, (class_of, _) in enumerate(columns) if class_c <= class_of)
    top_class, top = columns[high]
    amps = math.exp(along(top, log_area))
    if top_class > class_c:
        low_class, low = columns[high - 1]
        share = (class_c - low_class) / (top_class - low_class)
        amps = (1 - share) * math.exp(along(low, log_area)) + share * amps
    if ambient_c <= BOAT_AMBIENT_C:
        return amps
    return amps * rise_ratio(class_c - ambient_c) / rise_ratio(class_c - BOAT_AMBIENT_C)


@cache
def _curves() -> _Curves:
    fit = {row["quantity"]: row.number("value") for row in rows("free_air_fit")}
    printed = rows("free_air_current")
    return _Curves(
        fit["k"],
        fit["p"],
        fit["n"],
        fit["n_below_30k"],
        _lowest_at_30k(printed, fit["n"]),
        tuple((float(c), _boat_line(c)) for c in ("60", "75", "80", "90", "105", "125")),
        Source(Mark.OURS, f"scaled by rise from {_document(printed[0])} and {_document(printed[-1])}"),
        Source(Mark.OURS, "own fit to four free-air points of FAA AC 43.13-1B"),
        Source(Mark.OURS, "scaled by rise from 33 CFR 183.425 Table 5"),
    )


def _lowest_at_30k(printed: tuple[Row, ...], exponent: float) -> Line:
    """Return printed currents brought to 30 K rise; of several for one size the lowest."""
    lowest: dict[float, float] = {}
    for row in printed:
        amps = row.number("amps") * (RISE_REFERENCE_K / row.number("rise_k")) ** exponent
        area = row.number("area_mm2")
        lowest[area] = min(amps, lowest.get(area, amps))
    return tuple(math.log(a) for a in sorted(lowest)), tuple(math.log(lowest[a]) for a in sorted(lowest))


def _boat_line(column: str) -> Line:
    """Return one column of Table 5 against the areas of Table 11-9, which are on the large side."""
    areas = {row["awg"]: row.number("area_mm2") for row in rows("ac4313_table_11_9")}
    listed = [row for row in rows("cfr33_183_table5") if row["awg"] in areas]
    amps = tuple(math.log(row.number(f"amps_{column}c")) for row in listed)
    return tuple(math.log(areas[row["awg"]]) for row in listed), amps


def _document(row: Row) -> str:
    return source_of(row).text.rsplit(",", 1)[0]
