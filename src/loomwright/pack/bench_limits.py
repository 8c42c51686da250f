"""What a sheet says a reading should be, as limits a page can judge by."""

import re
from typing import Final

from loomwright.records.bench_reading import UNIT, Limits, limits_text

NUMBER: Final = r"(-?\d+(?:\.\d+)?)"
BUS_SHARE: Final = 0.05  # a bus resistor may be off by this share of its value; ours
FORMS: Final = (
    (re.compile(rf"{NUMBER} to {NUMBER} ({UNIT})\b"), "between"),
    (re.compile(rf"(?:open, )?(?:over|above) {NUMBER} ({UNIT})\b"), "low"),
    (re.compile(rf"below {NUMBER} ({UNIT})\b"), "high"),
    (re.compile(rf"{NUMBER} ({UNIT}) or less\b"), "high"),
    (re.compile(rf"within {NUMBER} (V)\b(?! under)"), "about zero"),
    (re.compile(rf"{NUMBER} ({UNIT}): \d+ terminator"), "about"),
)


def limits_in(words: str) -> str:
    """Return the limits that words on a sheet say, in words of `limits_text`; "" where a person has to judge.

    Args:
        words: "4.95 to 5.05 V", "open, over 1 MOhm", "below 1 ohm [ours]", "clicks, and no other does"
    """
    for form, kind in FORMS:
        found = form.match(words)
        if found:
            *numbers, unit = found.groups()
            return limits_text(_limits(kind, [float(n) for n in numbers], unit))
    return ""


def _limits(kind: str, numbers: list[float], unit: str) -> Limits:
    first = numbers[0]
    match kind:
        case "between":
            return Limits(first, numbers[1], unit)
        case "low":
            return Limits(first, None, unit)
        case "high":
            return Limits(None, first, unit)
        case "about":
            return Limits(first * (1 - BUS_SHARE), first * (1 + BUS_SHARE), unit)
        case _:
            return Limits(-first, first, unit)
