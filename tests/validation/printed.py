"""Figures as published, kept in tests/authorities, and how to compare with them.

A kernel agrees with a printed figure when it differs by no more than half of the last printed digit.
A figure recalled from memory never gates: `soft` only warns.
"""

import csv
import warnings
from decimal import Decimal
from pathlib import Path

AUTHORITIES = Path(__file__).parent.parent / "authorities"


def printed(table: str) -> list[dict[str, str]]:
    """Rows of one table as text, so that the printed digits stay known; lines with # name the source."""
    with (AUTHORITIES / f"{table}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def agrees(value: float, text: str) -> bool:
    exponent = Decimal(text).as_tuple().exponent
    assert isinstance(exponent, int)
    return abs(Decimal(repr(value)) - Decimal(text)) <= Decimal(1).scaleb(exponent) / 2


def within(value: float, text: str, share: float) -> bool:
    """Within a share of the printed figure; the reason stands beside the call."""
    return abs(value - float(text)) <= share * abs(float(text))


def soft(holds: bool, what: str) -> None:
    """A comparison with something recalled: told, never a gate."""
    if not holds:
        warnings.warn(f"recalled figure not met: {what}", stacklevel=2)
