"""What a meter should show: ohms between two points of a network, millivolts along it under load."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.errors import OutOfRange

OPEN_OHM: Final = math.inf  # no way between the two points


@dataclass(frozen=True, slots=True)
class Resistor:
    """A resistance between two named points, above 0 [ohm]."""

    a: str
    b: str
    ohm: float


def parallel_ohm(ohms: Iterable[float]) -> float:
    """Return the resistance of resistances side by side.

    Args:
        ohms: each above 0 [ohm]; infinite = open
    Returns:
        [ohm]; infinite where there is none
    Raises:
        OutOfRange: one of them is not above 0.
    Source: Ohm's and Kirchhoff's laws, 1/R = sum of 1/Ri; exact.
    """
    sum_s = math.fsum(1 / _above("ohm", one) for one in ohms)
    return 1 / sum_s if sum_s > 0 else OPEN_OHM


def two_point_ohm(resistors: Sequence[Resistor], a: str, b: str) -> float:
    """Return what a meter shows between two points of a network of resistances.

    Args:
        resistors: the network; a point that none of them names hangs in the air
        a, b: the points the probes are on
    Returns:
        [ohm]; 0 where both are one point, infinite where no way leads from one to the other
    Raises:
        OutOfRange: a resistance is not above 0.
    Source: nodal analysis, G u = i with 1 A in at `a` and `b` held at 0 V; exact but for rounding.
    """
    for one in resistors:
        _above("ohm", one.ohm)
    if a == b:
        return 0.0
    near = _reached(resistors, a)
    if b not in near:
        return OPEN_OHM
    import numpy as np

    index = {name: n for n, name in enumerate(name for name in near if name != b)}
    matrix = np.zeros((len(index), len(index)))
    for one in resistors:
        if one.a not in near or one.a == one.b:
            continue
        ends = [index[name] for name in (one.a, one.b) if name != b]
        for end in ends:
            matrix[end, end] += 1 / one.ohm
        if len(ends) == 2:
            matrix[ends[0], ends[1]] -= 1 / one.ohm
            matrix[ends[1], ends[0]] -= 1 / one.ohm
    current = np.zeros(len(index))
    current[index[a]] = 1.0
    return float(np.linalg.solve(matrix, current)[index[a]])


def millivolts(ohm: float, amps: float) -> float:
    """Return what is lost along a resistance under load.

    Args:
        ohm: 0 or more [ohm]
        amps: 0 or more [A]
    Returns:
        [mV]
    Raises:
        OutOfRange: an argument is below 0.
    Source: Ohm's law; exact.
    """
    for name, number in (("ohm", ohm), ("amps", amps)):
        if not number >= 0:
            raise OutOfRange(name, number, "0 or more", "check the entry")
    return 1000 * ohm * amps


def lamp_amps(watts: float, volts: float) -> float:
    """Return what a lamp draws at the volts it is rated for; the cold lamp draws several times that at first.

    Args:
        watts: rating, above 0 [W]
        volts: what it is rated at, above 0 [V]
    Returns:
        [A]
    Raises:
        OutOfRange: an argument is not above 0.
    Source: P = U I; exact at the rating only.
    """
    return _above("watts", watts) / _above("volts", volts)


def _reached(resistors: Sequence[Resistor], start: str) -> dict[str, None]:
    """All points that hang together with one, in a fixed order."""
    beside: dict[str, list[str]] = {}
    for one in resistors:
        beside.setdefault(one.a, []).append(one.b)
        beside.setdefault(one.b, []).append(one.a)
    found = {start: None}
    waiting = [start]
    for here in waiting:
        for name in beside.get(here, ()):
            if name not in found:
                found[name] = None
                waiting.append(name)
    return found


def _above(name: str, number: float) -> float:
    if not number > 0:
        raise OutOfRange(name, number, "above 0", "check the entry")
    return number
