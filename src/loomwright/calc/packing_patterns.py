"""Regular patterns of points: hexagonal, scattered, ringed."""

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

HEX_CENTRES: Final = (
    (0.0, 0.0), (0.5, 0.0), (0.5, 0.2887), (0.25, 0.0), (0.25, 0.15), (0.12, 0.07), (0.4, 0.15), (0.33, 0.1),
)  # fmt: skip
SPREAD: Final = (
    0.7548776662466927,
    0.5698402909980532,
)  # reciprocals of the plastic number and of its square
GOLDEN: Final = 0.6180339887498949


def hexagonal(count: int, centre: tuple[float, float]) -> Array:
    """Return the `count` points of a hexagonal pattern nearest to `centre`, scaled into the unit circle."""
    reach = math.isqrt(count) + 4
    i, j = np.meshgrid(np.arange(-reach, reach + 1), np.arange(-reach, reach + 1))
    x = (i + 0.5 * j - centre[0]).ravel()
    y = (j * (math.sqrt(3) / 2) - centre[1]).ravel()
    far = x * x + y * y
    near = np.lexsort((np.round(np.arctan2(y, x), 6), np.round(far, 6)))[:count]
    return np.stack([x[near], y[near]], axis=1) / (math.sqrt(far[near[-1]]) + 1e-9)


def scattered(count: int, turn: int) -> Array:
    """Return `count` points spread evenly over the unit circle, sorted from the middle outward.

    Source: additive recurrence on the plastic number (M. Roberts, low-discrepancy R2 sequence); no random
    numbers.
    """
    k = np.arange(1, count + 1)
    u = (k * SPREAD[0] + turn * GOLDEN) % 1.0
    v = (k * SPREAD[1] + turn * turn * GOLDEN * GOLDEN) % 1.0
    far, angle = np.sqrt(np.sort(u)), 2 * math.pi * v[np.argsort(u)]
    return np.stack([far * np.cos(angle), far * np.sin(angle)], axis=1)


def ringed(count: int, in_outer: int, phase: float) -> Array:
    """Return points on concentric rings, `in_outer` of them on the outer one, sorted from the middle
    outward.
    """
    rings: list[tuple[float, int]] = []
    ring, left, take = 1.0, count, in_outer
    step = 1.9 * math.sin(math.pi / in_outer)  # nearly one diameter between rings
    while left > 0:
        take = min(left, take)
        if ring < 0.45 * step or left == 1:
            ring, take = (0.0, 1) if left == 1 else (0.5 * step, left)
        rings.append((ring, take))
        left -= take
        ring -= step
        take = (
            max(1, int(2 * math.pi * ring / (2 * math.sin(math.pi / in_outer)) + 0.1)) if ring > 0 else left
        )
    points: list[tuple[float, float]] = []
    for number, (far, many) in reversed(list(enumerate(rings))):
        for k in range(many):
            angle = 2 * math.pi * k / many + phase * number
            points.append((far * math.cos(angle), far * math.sin(angle)))
    return np.array(points)
