"""Blade fuses: ratings, colours, how long they hold and by when they have opened; the fuse for a wire."""

from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from loomwright.calc.conductors import awg_area_mm2
from loomwright.calc.tables import Row, row_of, rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Figure, Source
from loomwright.units import MM_PER_INCH, awg_number

FuseKind = Literal["C", "F", "E"]
KIND_WORDS: Final = (("C", "medium blade"), ("F", "small blade"), ("E", "high-current blade"))


@dataclass(frozen=True, slots=True)
class BladeFuse:
    """One rating of a blade fuse and its colour."""

    kind: FuseKind
    rating_a: float
    colour: str
    source: Source


@dataclass(frozen=True, slots=True)
class Gate:
    """One printed point of the time-current table: at this share of the rating it holds at least and at most.

    Attributes:
        percent: current over rating [%]
        min_s: it holds at least so long; None where nothing is promised [s]
        max_s: it has opened by then; None where nothing is promised [s]
        source: where the point comes from
    """

    percent: float
    min_s: float | None
    max_s: float | None
    source: Source


@dataclass(frozen=True, slots=True)
class GuideFuse:
    """What the aircraft chart gives a wire; the chart may print no breaker."""

    awg: str
    fuse_a: float
    breaker_a: float | None
    source: Source


@cache
def blade_fuses(kind: FuseKind) -> tuple[BladeFuse, ...]:
    """Return the ratings of one kind with their colours, rising. Source: ISO 8820-3, from memory."""
    listed = [row for row in rows("blade_fuses") if row["kind"] == kind]
    return tuple(BladeFuse(kind, row.number("rating_a"), row["colour"], source_of(row)) for row in listed)


@cache
def blade_fuse(kind: FuseKind, rating_a: float) -> BladeFuse:
    """Return one blade fuse by kind and rating.

    Raises:
        OutOfRange: the kind is not made in this rating.
    Source: ISO 8820-3, from memory.
    """
    for fuse in blade_fuses(kind):
        if fuse.rating_a == rating_a:
            return fuse
    made = ", ".join(f"{fuse.rating_a:g}" for fuse in blade_fuses(kind))
    words = dict(KIND_WORDS).get(kind, "blade")
    raise OutOfRange(f"rating of a {words} fuse", rating_a, f"one of {made} A", "take a rating that is made")


@cache
def gates(kind: FuseKind, rating_a: float) -> tuple[Gate, ...]:
    """Return the printed points of one fuse's time-current table, rising; between them nothing is known.

    Args:
        kind: "C" medium, "F" small, "E" high current
        rating_a: a rating that is made [A]
    Returns:
        points read in data sheets where there are any for this rating, else from memory
    Raises:
        OutOfRange: the kind is not made in this rating.
    Source: data-sheet points of 10, 35-40 A type C and 40 A type E parts; ISO 8820-3 from memory; as printed.
    """
    blade_fuse(kind, rating_a)
    found: dict[float, Row] = {}
    for row in rows("fuse_gates"):
        if row["kind"] == kind and row.number("from_a") <= rating_a <= row.number("to_a"):
            percent = row.number("percent")
            if percent not in found or found[percent]["seen"] == "memory":
                found[percent] = row
    return tuple(
        Gate(percent, row.maybe("min_s"), row.maybe("max_s"), source_of(row))
        for percent, row in sorted(found.items())
    )


def opens_within_s(kind: FuseKind, rating_a: float, amps: float) -> float | None:
    """Return the time by which a fuse must have opened at a lasting current: the slow edge, to protect wire.

    Args:
        kind: "C" medium, "F" small, "E" high current
        rating_a: a rating that is made [A]
        amps: current, 0 or more [A]
    Returns:
        [s] of the highest gate at or below the current; None where nothing forces it to open; beyond the
        last gate the time falls as the square of the current
    Raises:
        OutOfRange: the kind is not made in this rating.
    Source: as `gates`; no reading between points. Beyond the last one ours: the I2t that melts a fuse doesn't
    rise with the current (the faster, the less heat is lost), so it is at most that of the last gate.
    """
    printed = [(g.percent * rating_a / 100, g.max_s) for g in gates(kind, rating_a) if g.max_s is not None]
    reached = [gate for gate in printed if gate[0] <= amps]
    if not reached:
        return None
    at_a, within_s = reached[-1]
    return within_s * (at_a / amps) ** 2 if len(reached) == len(printed) else within_s


def holds_for_s(kind: FuseKind, rating_a: float, amps: float) -> float:
    """Return the time a fuse holds at least: the fast edge, against opening without need (inrush).

    Args:
        kind: "C" medium, "F" small, "E" high current
        rating_a: a rating that is made [A]
        amps: current, 0 or more [A]
    Returns:
        [s] of the lowest gate at or above the current; 0 where nothing is promised
    Raises:
        OutOfRange: the kind is not made in this rating.
    Source: as `gates`; no reading between points.
    """
    above = [
        g.min_s for g in gates(kind, rating_a) if g.min_s is not None and g.percent * rating_a >= amps * 100
    ]
    return above[0] if above else 0.0


def may_carry_a(kind: FuseKind, rating_a: float) -> Figure:
    """Return the current below which nothing forces a fuse to open, however long [A]; source as `gates`."""
    first = next(gate for gate in gates(kind, rating_a) if gate.max_s is not None)
    return Figure(first.percent * rating_a / 100, first.source)


def load_share_max(rule: Literal["general", "building"] = "general") -> Figure:
    """Return the most of its rating a fuse should carry all the time, as a share of 1.

    Args:
        rule: "general" 75 % at 25 degrees C (fuse guide, read), "building" 80 % (building code, from memory)
    """
    row = row_of("fuse_rules", "rule", "load_share_max" if rule == "general" else "load_share_max_building")
    return Figure(row.number("value") / 100, source_of(row))


def cold_ohm(kind: FuseKind, rating_a: float) -> Figure | None:
    """Return the cold resistance of a fuse [ohm] where one is printed. Source: data sheets, second-hand."""
    part = _part(kind, f"{rating_a:g}", "cold_mohm")
    return Figure(part.number("value") / 1000, source_of(part)) if part else None


def melting_a2s(kind: FuseKind, rating_a: float) -> Figure | None:
    """Return the typical I2t of a fuse [A2 s] where a sheet prints it. Source: data sheets, second-hand."""
    part = _part(kind, f"{rating_a:g}", "i2t_a2s")
    return Figure(part.number("value"), source_of(part)) if part else None


def interrupting_a(kind: FuseKind) -> Figure:
    """Return the largest current a blade fuse can break at 32 V [A]; the small blade is taken as the medium.

    Source: data sheets, second-hand.
    """
    part = _part("C" if kind == "F" else kind, "all", "interrupting_a")
    if part is None:
        raise OutOfRange("kind of fuse", kind, "C, F or E", "name a blade fuse")
    return Figure(part.number("value"), source_of(part))


@cache
def guide_fuse(area_mm2: float) -> GuideFuse:
    """Return the fuse the aircraft chart gives a copper wire, by the largest listed gauge not above its area.

    Args:
        area_mm2: true copper area, 0.32 to 107 [mm2]
    Raises:
        OutOfRange: the wire is thinner than the chart's first row (22 AWG) or thicker than 4/0.
    Source: FAA AC 43.13-1B Table 11-3; as printed. A guide: exceeded alone it is a caution, not a fault.
    """
    if not 0.32 <= area_mm2 <= 107.5:
        raise OutOfRange(
            "area_mm2",
            area_mm2,
            "0.32 to 107.5 mm2",
            "the chart starts at 22 AWG; protect thinner wire by its heat limit",
        )
    row = [
        row for row in rows("ac4313_table_11_3") if awg_area_mm2(awg_number(row["awg"])) <= area_mm2 * 1.02
    ][-1]
    return GuideFuse(row["awg"], row.number("fuse_a"), row.maybe("breaker_a"), source_of(row))


def boat_rule_max_a(ampacity_a: float) -> Figure:
    """Return the largest fuse the boat rule allows a wire below 50 V [A].

    Args:
        ampacity_a: what the wire may carry, above 0 [A]
    Raises:
        OutOfRange: the current is not above 0.
    Source: 33 CFR 183.455, 150 % of the ampacity; exact.
    """
    if not ampacity_a > 0:
        raise OutOfRange("ampacity_a", ampacity_a, "above 0 A", "take it from heat_limit")
    row = row_of("fuse_rules", "rule", "rating_over_ampacity_max")
    return Figure(row.number("value") * ampacity_a, source_of(row))


def boat_rule_distance_mm(sheathed: bool) -> Figure:
    """Return how far from the source of power a fuse may sit [mm], sheathed all the way or not.

    Source: 33 CFR 183.455, 7 in, 40 in when sheathed; exact.
    """
    rule = "distance_from_source_sheathed_max" if sheathed else "distance_from_source_max"
    row = row_of("fuse_rules", "rule", rule)
    return Figure(row.number("value") * MM_PER_INCH, source_of(row))


def _part(kind: str, rating: str, what: str) -> Row | None:
    for row in rows("fuse_parts"):
        if (row["kind"], row["rating_a"], row["property"]) == (kind, rating, what):
            return row
    return None
