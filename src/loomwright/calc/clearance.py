"""How far a loom keeps from what could hurt it, and how often it is held: published rows, each with its
source.
"""

from dataclasses import dataclass
from enum import StrEnum

from loomwright.calc.tables import Row, rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Mark, Source


class Rule(StrEnum):
    """What a row asks for."""

    CLEAR = "clear"  # keep at least so far away
    NEVER = "never"  # not at any distance


@dataclass(frozen=True, slots=True)
class Clearance:
    """One published or customary distance.

    Attributes:
        hazard: kind of hazard
        case: when the row applies
        rule: keep clear, or never
        least_mm: distance to keep, lower figure [mm]; 0 for a "never" row
        most_mm: upper figure where the text gives a range, else the same [mm]
        unless: what else the row says
        source: document, place and mark
    """

    hazard: str
    case: str
    rule: Rule
    least_mm: float
    most_mm: float
    unless: str
    source: Source


@dataclass(frozen=True, slots=True)
class Support:
    """One published or customary spacing of supports, branch points or joints; None = the text gives no
    such end.
    """

    what: str
    least_mm: float | None
    most_mm: float | None
    note: str
    source: Source


def hazards() -> tuple[str, ...]:
    """Return the kinds of hazard the table knows, in its order."""
    return tuple(dict.fromkeys(row["hazard"] for row in rows("clearances")))


def clearances(hazard: str) -> tuple[Clearance, ...]:
    """Return every row for a kind of hazard, in the table's order.

    Args:
        hazard: as in `hazards()`, "hot part", "fuel line", ...
    Returns:
        the rows; texts differ, and all of them stand
    Raises:
        OutOfRange: the table has no such kind; some hazards (splash, coolant hose) have no published distance
    Source: table `clearances`; each row its own.
    """
    found = tuple(_clearance(row) for row in rows("clearances") if row["hazard"] == hazard)
    if not found:
        raise OutOfRange(
            "hazard", hazard, f"one of: {', '.join(hazards())}", "no distance is known for it; judge by eye"
        )
    return found


def clearance(hazard: str, case: str) -> Clearance:
    """Return the row for one case of a hazard.

    Args:
        hazard, case: as in `clearances`
    Raises:
        OutOfRange: the table has no such row; the message lists the cases
    Source: table `clearances`.
    """
    choice = clearances(hazard)
    for one in choice:
        if one.case == case:
            return one
    raise OutOfRange(
        f"case of {hazard}", case, f"one of: {'; '.join(one.case for one in choice)}", "take a listed one"
    )


def supports() -> tuple[Support, ...]:
    """Return all rows on spacing, in the table's order."""
    return tuple(_support(row) for row in rows("supports"))


def support(what: str) -> Support:
    """Return one row on spacing.

    Args:
        what: as in table `supports`: "straight, vehicle", "from a connector", ...
    Raises:
        OutOfRange: the table has no such row; the message lists them
    Source: table `supports`.
    """
    for one in supports():
        if one.what == what:
            return one
    known = "; ".join(one.what for one in supports())
    raise OutOfRange("support spacing", what, f"one of: {known}", "take a listed one")


def clips_at_bend(angle_deg: float) -> int:
    """Return how many clips hold a bend.

    Args:
        angle_deg: change of direction, 0 to 90 [degrees]; up to 45 counts as obtuse
    Returns:
        0 without a bend, 1 at an obtuse corner, 2 towards a right-angled one
    Raises:
        OutOfRange: sharper than a right angle, which the texts say to avoid
    Source: two routing texts (forum summary, connector maker's article): obtuse 1, right angle 2, acute
    avoid;
        the border at 45 degrees is ours.
    """
    if not 0 <= angle_deg <= 90:
        raise OutOfRange(
            "angle_deg", angle_deg, "0 to 90 degrees", "avoid the acute corner, lead the loom round it"
        )
    return 0 if angle_deg == 0 else 1 if angle_deg <= 45 else 2


def hole_edge_least() -> Clearance:
    """Return the least distance of a clamped bundle from the edge of a hole without grommet."""
    return clearance("panel hole", "without grommet")


def memory_only(hazard: str) -> bool:
    """Return whether every distance for a hazard rests on memory or practice, and has to be shown so."""
    weak = (Mark.MEMORY, Mark.PRACTICE, Mark.OURS)
    return all(one.source.mark in weak for one in clearances(hazard))


def _clearance(row: Row) -> Clearance:
    least = row.maybe("least_mm") or 0.0
    return Clearance(
        row["hazard"],
        row["case"],
        Rule(row["rule"]),
        least,
        row.maybe("most_mm") or least,
        row["unless"],
        source_of(row),
    )


def _support(row: Row) -> Support:
    return Support(row["what"], row.maybe("least_mm"), row.maybe("most_mm"), row["note"], source_of(row))
