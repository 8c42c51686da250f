"""Packings laid out directly, for sections with more wires than a search can handle in time."""

import math

import numpy as np
from numpy.typing import NDArray

from loomwright.calc.packing_patterns import HEX_CENTRES, hexagonal

Array = NDArray[np.float64]


def equal_pattern(count: int, radius: float) -> Array:
    """Return centres of equal discs in the tightest of a few hexagonal patterns; time grows with `count`.

    Args:
        count: number of discs, 2 or more
        radius: radius of each disc, above 0 [mm]
    Source: hexagonal lattice; a valid packing, not the tightest.
    """
    tried = [hexagonal(count, centre) for centre in HEX_CENTRES]
    reach = [_unit_reach(plan) for plan in tried]
    best = reach.index(min(reach))
    return tried[best] * (2 * radius * reach[best])


def _unit_reach(plan: Array) -> float:
    """Return the farthest centre in lattice steps: the smallest distance between points is one step."""
    near = np.hypot(*(plan - plan[0]).T)
    return 1 / float(near[1:].min())


def shells(radii: Array) -> Array:
    """Return centres of discs laid in closed shells, largest in the middle; time grows with their number.

    Every disc of a shell touches the circle round the shell before it, neighbours touch each other.

    Args:
        radii: radii, largest first [mm]
    Source: plane geometry; a valid packing for any radii, about 15 % wider than the root of the sum of
    squares.
    """
    sizes: list[float] = radii.tolist()
    centres: list[tuple[float, float]] = [(0.0, 0.0)]
    inner, first = sizes[0], 1
    while first < len(sizes):
        angles, last = _one_shell(sizes, first, inner)
        spare = (2 * math.pi - angles[-1]) / (last - first)
        for k in range(first, last):
            angle, far = angles[k - first] + spare * (k - first), inner + sizes[k]
            centres.append((far * math.cos(angle), far * math.sin(angle)))
        inner, first = inner + 2 * sizes[first], last
    return np.array(centres)


def _one_shell(sizes: list[float], first: int, inner: float) -> tuple[list[float], int]:
    """Return the angles at which discs from `first` on touch side by side, closed at the end, and the next
    disc.
    """
    angles, at, k = [0.0], 0.0, first
    while k + 1 < len(sizes):
        step = _turn(inner, sizes[k], sizes[k + 1])
        if at + step + _turn(inner, sizes[k + 1], sizes[first]) > 2 * math.pi:
            break
        at += step
        angles.append(at)
        k += 1
    closing = _turn(inner, sizes[k], sizes[first]) if k > first else 0.0
    return [*angles, at + closing], k + 1


def _turn(inner: float, one: float, other: float) -> float:
    """Return the angle between two touching discs that both sit on the circle of radius `inner`."""
    a, b, c = inner + one, inner + other, one + other
    return math.acos(max(-1.0, min(1.0, (a * a + b * b - c * c) / (2 * a * b))))
