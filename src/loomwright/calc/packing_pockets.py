"""When two large discs side by side span the circle and all others find room beside them: the least
possible.
"""

import math
from collections.abc import Iterator, Sequence
from typing import Final

POCKETS_BELOW: Final = 13  # discs; in larger sets two discs seldom span the circle
Disc = tuple[float, float, float]  # x, y, radius


def beside(a: float, b: float) -> float:
    """Return the radius of the largest disc beside two touching ones that span a circle.

    Args:
        a, b: radii of the two, above 0 [mm]
    Source: Descartes' circle theorem, 1 / (1/a + 1/b - 1/(a + b)); exact.
    """
    return 1 / (1 / a + 1 / b - 1 / (a + b))


def pocketed(radii: Sequence[float]) -> tuple[tuple[float, float], ...] | None:
    """Return centres in a circle of radius a + b, the least possible; None = not all of them found room.

    Largest first, each disc goes into the corner (touching two others, or one and the circle) nearest the
    wall.

    Args:
        radii: radii, largest first, three or more [mm]
    Source: plane geometry. A packing found meets the bound "two largest side by side", so it is an optimum;
    not
        finding one proves nothing.
    """
    a, b = radii[0], radii[1]
    if len(radii) >= POCKETS_BELOW or radii[2] > beside(a, b):
        return None
    reach = a + b
    placed: list[Disc] = [(-b, 0.0, a), (a, 0.0, b)]
    for radius in radii[2:]:
        free = [(-math.hypot(x, y), y, x) for x, y in _corners(placed, radius, reach)]
        if not free:
            return None
        _, y, x = min(free)
        placed.append((x, y, radius))
    return tuple((x, y) for x, y, _ in placed)


def _corners(placed: Sequence[Disc], radius: float, reach: float) -> Iterator[tuple[float, float]]:
    """Yield every free place that touches two placed discs, or one and the circle."""
    walls: list[Disc] = [(0.0, 0.0, reach - radius), *((x, y, r + radius) for x, y, r in placed)]
    slack = 1e-12 * reach
    for k, one in enumerate(walls):
        for other in walls[:k]:
            for x, y in _crossings(one, other):
                inside = math.hypot(x, y) <= reach - radius + slack
                if inside and all(math.hypot(x - u, y - v) >= r + radius - slack for u, v, r in placed):
                    yield x, y


def _crossings(one: Disc, other: Disc) -> Iterator[tuple[float, float]]:
    """Yield where two circles cross."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    apart = math.hypot(dx, dy)
    if not abs(one[2] - other[2]) <= apart <= one[2] + other[2] or apart == 0:
        return
    along = (apart * apart + one[2] ** 2 - other[2] ** 2) / (2 * apart)
    off = math.sqrt(max(0.0, one[2] ** 2 - along * along))
    for side in (off, -off):
        yield one[0] + (along * dx - side * dy) / apart, one[1] + (along * dy + side * dx) / apart
