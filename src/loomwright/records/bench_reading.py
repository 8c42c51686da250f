"""Readings as a meter shows or types them, the limits they are held against, and the judgement."""

import math
import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from loomwright.records.bench import YES

Judgement = Literal["good", "out", ""]
OVERLOAD: Final = re.compile(r"[+-]?\s*(o\.?l\.?|ovl?d?|overload|inf(inity)?|open|> ?range)", re.I)
SCPI_INFINITY: Final = 9.9e37  # what an instrument sends for overload; SCPI-1999 7.2.1.4, from memory
NUMBER: Final = re.compile(
    r"([+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([nuµmkKMG]?)\s*(ohms?|Ω|V|A|N|Hz|°?C)?\s*(?:DC|AC)?"
)
MILLIMETRES: Final = re.compile(r"([+-]?(?:\d+[.,]?\d*|[.,]\d+))\s*(?:mm)?")
TIMES: Final = MappingProxyType(
    {"n": 1e-9, "u": 1e-6, "µ": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9}
)
UNITS: Final = MappingProxyType(
    {
        "ohm": ("ohm", 1.0),
        "mOhm": ("ohm", 1e-3),
        "kOhm": ("ohm", 1e3),
        "MOhm": ("ohm", 1e6),
        "V": ("v", 1.0),
        "mV": ("v", 1e-3),
        "A": ("a", 1.0),
        "N": ("n", 1.0),
        "mm": ("mm", 1.0),
        "min": ("min", 1.0),
        "°C": ("c", 1.0),
    }
)
UNIT: Final = "|".join(UNITS)
LIMITS: Final = (
    re.compile(rf"(?P<low>[-\d.e+]+) to (?P<high>[-\d.e+]+) (?P<unit>{UNIT})"),
    re.compile(rf"at most (?P<high>[-\d.e+]+) (?P<unit>{UNIT})"),
    re.compile(rf"at least (?P<low>[-\d.e+]+) (?P<unit>{UNIT})"),
)


@dataclass(frozen=True, slots=True)
class Limits:
    """What a reading has to lie between, both ends included; None = open on that side.

    Attributes:
        unit: one of `UNITS`; a bare number is taken to be in it
    """

    low: float | None
    high: float | None
    unit: str


def limits_text(limits: Limits) -> str:
    """Return limits in words a record can hold: "0.1 to 0.4 ohm", "at least 1 MOhm"."""
    low, high = (None if x is None else f"{x:.6g}" for x in (limits.low, limits.high))
    if low is not None and high is not None:
        return f"{low} to {high} {limits.unit}"
    return f"at most {high} {limits.unit}" if high is not None else f"at least {low} {limits.unit}"


def limits_of(text: str) -> Limits | None:
    """Return the limits such words say; None where they say none."""
    for form in LIMITS:
        found = form.fullmatch(text)
        if found:
            parts = found.groupdict()
            try:
                low, high = (float(parts[k]) if parts.get(k) else None for k in ("low", "high"))
            except ValueError:
                return None
            return Limits(low, high, parts["unit"])
    return None


def reading_of(text: str, unit: str) -> float | None:
    """Return what a text typed by hand or by a meter says, in a unit; infinite = overload, the meter's open.

    Args:
        text: "0,12", "1.2k", "+1.204E-01", "35 mOhm", "OL"; a comma is a decimal point
        unit: one of `UNITS`, for a bare number and for the answer

    Returns:
        None where it is no number, or one of another unit.
    """
    text = text.strip()
    if OVERLOAD.fullmatch(text):
        return math.inf
    base, size = UNITS[unit]
    if base in ("mm", "min"):
        plain = MILLIMETRES.fullmatch(text)
        return float(plain[1].replace(",", ".")) if plain else None
    found = NUMBER.fullmatch(text.replace("Ohm", "ohm").replace("OHM", "ohm"))
    if not found:
        return None
    value = float(found[1].replace(",", "."))
    told = (found[3] or "").removesuffix("s").replace("Ω", "ohm").removeprefix("°").lower()
    if told and told != base:
        return None
    if abs(value) >= SCPI_INFINITY:
        return math.inf
    if not told and not found[2]:
        return value
    return value * TIMES[found[2]] / size


def judged(value: str, limits: str) -> Judgement:
    """Return whether a reading keeps its limits: "good", "out", or "" where nobody can tell from them.

    Args:
        value: as typed or sent by the meter; "yes" and "no" where limits is "yes"
        limits: words of `limits_text`, "yes" for what a lamp or beeper tells, "" = by eye
    """
    if limits == YES:
        return "good" if value == YES else "out"
    found = limits_of(limits)
    if found is None:
        return ""
    reading = reading_of(value, found.unit)
    if reading is None:
        return ""
    low = -math.inf if found.low is None else found.low
    high = math.inf if found.high is None else found.high
    if math.isinf(reading) and found.high is not None:
        return "out"
    return "good" if low <= reading <= high else "out"
