"""What no bundle can be smaller than, and what a few discs need exactly."""

import math
from collections.abc import Sequence

from loomwright.calc.packing_pockets import beside


def oler_diameter(count: int, diameter: float) -> float:
    """Return a diameter below which `count` equal discs can't be enclosed by any arrangement.

    Args:
        count: number of discs, 1 or more
        diameter: diameter of each disc, above 0 [mm]
    Source: Oler 1961, Acta Math. 105, 19: points no closer than 1 in a convex set of area A and perimeter P
    number
        at most 2 A / sqrt(3) + P / 2 + 1; here a circle of radius rho holds the centres. Proved; exact for
        1, 2, 7.
    """
    if count == 1:
        return diameter
    area, edge = 2 * math.pi / math.sqrt(3), math.pi
    rho = (math.sqrt(edge * edge + 4 * area * (count - 1)) - edge) / (2 * area)
    return diameter * (1 + 2 * max(rho, 0.5))


def lower_bound(sizes: Sequence[float]) -> float:
    """Return a proved lower bound of the enclosing diameter; adding a disc never makes it smaller.

    The largest of: the two largest side by side; equal area; for every size, the discs at least that large
    taken as
    equal ones of that size (`oler_diameter`, and 1 + 2 / sqrt(3) for the three largest).

    Args:
        sizes: diameters, largest first [mm]
    Source: plane geometry; Oler 1961.
    """
    best = math.sqrt(math.fsum(one * one for one in sizes))
    if len(sizes) > 1:
        best = max(best, sizes[0] + sizes[1])
    if len(sizes) > 2:
        best = max(best, sizes[2] * (1 + 2 / math.sqrt(3)))
    for rank, size in enumerate(sizes, 1):
        if rank == len(sizes) or sizes[rank] < size:
            best = max(best, oler_diameter(rank, size))
    return best


def few(radii: Sequence[float]) -> tuple[float, tuple[tuple[float, float], ...]]:
    """Return enclosing radius and centres of one, two or three discs.

    Args:
        radii: radii, largest first, one to three of them [mm]
    Source: plane geometry; three discs by Descartes' circle theorem, or beside two that fill the diameter.
    Exact.
    """
    a = radii[0]
    if len(radii) == 1:
        return a, ((0.0, 0.0),)
    b = radii[1]
    pair = ((-b, 0.0), (a, 0.0))
    if len(radii) == 2:
        return a + b, pair
    c = radii[2]
    bends = (1 / a, 1 / b, 1 / c)
    root = math.sqrt(bends[0] * bends[1] + bends[1] * bends[2] + bends[2] * bends[0])
    outer = math.fsum(bends) - 2 * root
    room = beside(a, b)
    reach = a + b if c <= room else -1 / outer
    near, far = (reach - a, reach - b) if c > room else (b, a)
    if c <= room:
        return reach, (*pair, _corner(pair[0], pair[1], a + c, b + c))
    return reach, _about(near, far, reach - c, (a + b, b + c, c + a))


def _corner(
    p: tuple[float, float], q: tuple[float, float], from_p: float, from_q: float
) -> tuple[float, float]:
    """Return the point above the line p-q (along x) at the given distances."""
    width = q[0] - p[0]
    x = (width * width + from_p * from_p - from_q * from_q) / (2 * width)
    return p[0] + x, p[1] + math.sqrt(max(0.0, from_p * from_p - x * x))


def _about(
    a: float, b: float, c: float, sides: tuple[float, float, float]
) -> tuple[tuple[float, float], ...]:
    """Return three points at distances a, b, c from the middle with given mutual distances ab, bc, ca."""
    first = (a, 0.0)
    angle_b = _angle(a, b, sides[0])
    angle_c = _angle(a, c, sides[2])
    return (
        first,
        (b * math.cos(angle_b), b * math.sin(angle_b)),
        (c * math.cos(angle_c), -c * math.sin(angle_c)),
    )


def _angle(p: float, q: float, opposite: float) -> float:
    return math.acos(max(-1.0, min(1.0, (p * p + q * q - opposite * opposite) / (2 * p * q))))
