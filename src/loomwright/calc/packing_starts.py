"""Where a search for a tight bundle starts from: rings, hexagonal patterns and evenly scattered discs."""

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


def first_guess_mm(radii: Array) -> float:
    """Return a first guess of the enclosing radius, only to start from."""
    area = float(np.square(radii).sum())
    return max(math.sqrt(area / 0.80), float(radii[0] + radii[1]))


def starts(radii: Array, many: int) -> Array:
    """Return start positions, shape (starts, discs, 2), in mm about the middle.

    Args:
        radii: radii of the discs, largest first [mm]
        many: how many starts, at least 1
    """
    count = len(radii)
    equal = radii[0] - radii[-1] < 1e-9 * radii[0]
    reach = first_guess_mm(radii) - float(radii.mean())
    plans = _equal_plans(count, many) if equal else [scattered(count, turn) for turn in range(1, many + 1)]
    if not equal and many > 2:
        plans[0], plans[1] = hexagonal(count, HEX_CENTRES[0]), hexagonal(count, HEX_CENTRES[2])
    placed = [plan if equal else _assigned(plan, turn) for turn, plan in enumerate(plans)]
    return np.array(placed) * reach


def _equal_plans(count: int, many: int) -> list[Array]:
    """Return start patterns for equal discs: hexagonal, ringed and scattered ones in turn."""
    guess = 1 + math.sqrt(count / 0.87)
    full = max(3, int(math.pi / math.asin(min(1.0, 1 / max(1.0, guess - 1)))))
    kinds: list[Array] = []
    for turn in range(many):
        kind, k = turn % 3, turn // 3
        if kind == 0 and k < len(HEX_CENTRES):
            kinds.append(hexagonal(count, HEX_CENTRES[k]))
        elif kind == 1 and 0 < full + 1 - k % 4 <= count:
            kinds.append(ringed(count, max(3, full + 1 - k % 4), 0.3 * k))
        else:
            kinds.append(scattered(count, turn))
    return kinds


def _assigned(plan: Array, turn: int) -> Array:
    """Return the plan's places in the order the discs, largest first, take them."""
    count = len(plan)
    far = np.argsort(np.square(plan).sum(axis=1), kind="stable")
    if turn % 4 == 1:
        order = far  # largest in the middle
    elif turn % 4 == 3:
        order = far[::-1]  # largest outside
    else:
        order = np.argsort((np.arange(1, count + 1) * GOLDEN * (turn + 1)) % 1.0, kind="stable")
    return plan[order]
