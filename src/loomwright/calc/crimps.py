"""Crimps: what a pull test must hold, strand damage, insulation gap, resistance."""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from loomwright.calc.tables import Row, row_of, rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Figure, Source
from loomwright.units import awg_label, awg_number

Level = Literal["commercial", "military"]


@dataclass(frozen=True, slots=True)
class Pull:
    """The least force a crimped wire must hold.

    Attributes:
        size: the listed size it is printed for, "22 AWG" or "0.5 mm2"
        rule: "commercial", "military", "IEC 60352-2" or "QC/T 29106"
        min_n: least force [N]
        source: where it is printed
    """

    size: str
    rule: str
    min_n: float
    source: Source


@dataclass(frozen=True, slots=True)
class StrandDamage:
    """How many strands of a conductor may be nicked or broken."""

    strands: str
    max_nicked: int
    max_broken: int
    source: Source


@dataclass(frozen=True, slots=True)
class Gap:
    """Bare wire to be seen between insulation and contact barrel."""

    min_mm: float
    max_mm: float
    source: Source


@cache
def pull_minima_awg(awg: int) -> tuple[Pull, ...]:
    """Return the least pull forces printed for an American gauge, commercial level first.

    Args:
        awg: -1 (2/0) to 28, as listed
    Raises:
        OutOfRange: no level lists the gauge.
    Source: two terminal makers' tables (commercial level of UL 486A, military level of AS7928); as printed.
    """
    label = awg_label(awg)
    found = [row for row in rows("crimp_pull_awg") if row["awg"] == label]
    if not found:
        listed = ", ".join(dict.fromkeys(row["awg"] for row in rows("crimp_pull_awg")))
        raise OutOfRange("AWG size", label, f"one of {listed}", "take the next thinner listed size")
    return tuple(Pull(f"{label} AWG", row["level"], row.number("min_n"), source_of(row)) for row in found)


@cache
def pull_minima_mm2(area_mm2: float) -> tuple[Pull, ...]:
    """Return the least pull forces for a metric size by both rules, each at its next listed size below.

    Args:
        area_mm2: size as printed on the reel, 0.05 to 35 [mm2]; the strands add up to a little less
    Returns:
        IEC 60352-2 (conductor crimp) and QC/T 29106 (pulled with the insulation grip): they differ by up to
        a third, so show both; a rule whose table ends below the size is left out
    Raises:
        OutOfRange: no rule lists such a size.
    Source: IEC 60352-2 Table 1, from memory; QC/T 29106-2014 4.4.6 Table 2, second-hand copy; as printed.
    """
    found = []
    for rule in ("IEC 60352-2", "QC/T 29106"):
        listed = sorted((row for row in rows("crimp_pull_mm2") if row["rule"] == rule), key=_area)
        below = [row for row in listed if _area(row) <= area_mm2 * 1.0001]
        if below and area_mm2 <= _area(listed[-1]) * 1.0001:
            row = below[-1]
            found.append(Pull(f"{row['area_mm2']} mm2", rule, row.number("min_n"), source_of(row)))
    if not found:
        raise OutOfRange("area_mm2", area_mm2, "0.05 to 35 mm2", "ask the contact's maker for the pull force")
    return tuple(found)


@cache
def strand_damage(awg: int) -> StrandDamage:
    """Return how many nicked and broken strands are allowed after stripping.

    Args:
        awg: -3 (4/0) to 24, as listed
    Raises:
        OutOfRange: the table has no row for the gauge.
    Source: FAA AC 43.13-1B Table 11-13; as printed, for the listed strand counts.
    """
    for row in rows("strand_damage"):
        if awg_number(row["to_awg"]) <= awg <= awg_number(row["from_awg"]):
            counts = int(row["max_nicked"]), int(row["max_broken"])
            return StrandDamage(row["strands"], *counts, source_of(row))
    raise OutOfRange("AWG size", awg_label(awg), "24 to 10, 8 to 4, 2 to 4/0", "allow no damage at all")


def insulation_gap(awg: int) -> Gap:
    """Return the gap between insulation and barrel of a machined contact.

    Args:
        awg: AWG number of the wire
    Source: NASA-STD-8739.4, 0.25 to 0.75 mm (20 AWG and thinner) or 1.25 mm (18 and thicker); as printed.
    """
    low = row_of("crimp_rules", "rule", "insulation_gap_min")
    high = row_of(
        "crimp_rules", "rule", "insulation_gap_max_small" if awg >= 20 else "insulation_gap_max_large"
    )
    return Gap(low.number("value"), high.number("value"), source_of(high))


def seat_pull_max_n(pull_min_n: float) -> Figure:
    """Return the most force to try the seat of a contact in its cavity with [N].

    Args:
        pull_min_n: the crimp's own least pull, above 0 [N]
    Raises:
        OutOfRange: the force is not above 0.
    Source: NASA-STD-8739.4 Table 13-1 note, 80 % of the crimp minimum; exact.
    """
    if not pull_min_n > 0:
        raise OutOfRange("pull_min_n", pull_min_n, "above 0 N", "take it from the pull table")
    row = row_of("crimp_rules", "rule", "seat_pull_share_max")
    return Figure(row.number("value") * pull_min_n, source_of(row))


def crimp_ohm_max() -> Figure:
    """Return the most a good crimp measures [ohm]. Source: a loom maker's house standard, 0.5 to 6 mm2."""
    return _milliohm("crimp_mohm_max")


def mated_pair_ohm() -> tuple[Figure, Figure]:
    """Return what to allow for a mated pair with its two crimps, low and high [ohm]. Source: ours."""
    return _milliohm("mated_pair_mohm_low"), _milliohm("mated_pair_mohm_high")


def _milliohm(rule: str) -> Figure:
    row = row_of("crimp_rules", "rule", rule)
    return Figure(row.number("value") / 1000, source_of(row))


def _area(row: Row) -> float:
    return row.number("area_mm2")
