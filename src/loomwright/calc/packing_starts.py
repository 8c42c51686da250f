"""Where a search for a tight bundle starts from: rings, shells, hexagonal patterns and scattered discs."""

import math

import numpy as np
from numpy.typing import NDArray

from loomwright.calc.packing_patterns import GOLDEN, HEX_CENTRES, hexagonal, ringed, scattered
from loomwright.calc.packing_shells import shells

Array = NDArray[np.float64]


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
    reach = first_guess_mm(radii) - float(radii.mean())
    if radii[0] - radii[-1] < 1e-9 * radii[0]:
        return np.array(_equal_plans(count, many)) * reach
    plans = np.array(_mixed_plans(count, many - 1)).reshape(-1, count, 2)
    return np.concatenate([shells(radii)[None], plans * reach])


def _equal_plans(count: int, many: int) -> list[Array]:
    """Return start patterns for equal discs: hexagonal, ringed and scattered ones in turn."""
    wall = math.sqrt(count / 1.15)  # radius of the outer ring's circle, in disc radii; a guess
    full = max(3, int(math.pi / math.asin(min(1.0, 1 / max(1.0, wall)))))
    outer = [min(count, max(3, full + more)) for more in (0, 1, -1, 2)]
    kinds: list[Array] = []
    for turn in range(many):
        kind, k = turn % 3, turn // 3
        if kind == 0 and k < len(HEX_CENTRES):
            kinds.append(hexagonal(count, HEX_CENTRES[k]))
        elif kind == 1:
            kinds.append(ringed(count, outer[k % 4], 0.3 * k))
        else:
            kinds.append(scattered(count, turn))
    return kinds


def _mixed_plans(count: int, many: int) -> list[Array]:
    """Return start patterns for discs of several sizes, largest first: hexagonal, then scattered."""
    kinds = [_assigned(hexagonal(count, HEX_CENTRES[0]), 1), _assigned(hexagonal(count, HEX_CENTRES[2]), 2)][
        :many
    ]
    return kinds + [_assigned(scattered(count, turn), turn) for turn in range(3, many + 1)]


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
