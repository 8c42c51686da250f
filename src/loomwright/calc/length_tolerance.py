"""How much longer than its figure a finished length may be; shorter is never allowed."""

from typing import Final

from loomwright.calc.tables import rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Figure

READ: Final = "QC/T 29106"
RECALLED: Final = "IPC/WHMA-A-620"


def plus_tolerance_mm(length_mm: float, rule: str = READ) -> Figure:
    """Return by how much a length may come out longer; the tolerance downwards is nothing.

    Args:
        length_mm: stated length, above 0 [mm]
        rule: "QC/T 29106" (read) or "IPC/WHMA-A-620" (from memory)
    Returns:
        [mm] with its source
    Raises:
        OutOfRange: the length is not above 0 or over a kilometre, or there is no such rule.
    Source: QC/T 29106-92 4.2.5 Table 1; IPC/WHMA-A-620 from memory. A limit belongs to the band below.
    """
    listed = [row for row in rows("length_tolerance") if row["rule"] == rule]
    if not listed:
        raise OutOfRange("rule", rule, f"{READ} or {RECALLED}", "name one of them")
    for row in listed:
        if row.number("over_mm") < length_mm <= row.number("up_to_mm"):
            share = row.maybe("plus_share")
            plus = row.number("plus_mm") if share is None else share * length_mm
            return Figure(plus, source_of(row))
    raise OutOfRange("length_mm", length_mm, "above 0 and up to a kilometre", "check the length")
