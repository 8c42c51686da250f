"""Soft discs under pressure: many starts at once, pressed together until they hardly overlap."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Soft = NDArray[np.float32]


def press(centres: Array, radii: Array, reach: Array, steps: int, pressure: float) -> tuple[Array, Array]:
    """Press soft discs together; a search step, not a result: discs may still overlap a little.

    Minimises 1/2 (sum of squared overlaps) + pressure * (enclosing radius), all starts side by side, by
    gradient steps of Barzilai-Borwein length, in single precision.

    Args:
        centres: shape (starts, discs, 2); lengths scaled so that radii are about 1
        radii: shape (discs,)
        reach: enclosing radius of each start, shape (starts,)
        steps: number of gradient steps, 1 or more
        pressure: about 0.01 to 1; less leaves less overlap
    Returns:
        centres and enclosing radii
    Source: Barzilai and Borwein 1988, IMA J. Numer. Anal. 8, 141, both step lengths in turn.
    """
    many, count, _ = centres.shape
    soft = radii.astype(np.float32)
    force = _Force(soft, many, np.float32(pressure))
    at = np.concatenate([centres.reshape(many, -1), reach[:, None]], axis=1).astype(np.float32)
    slope = force(at)
    length = np.full((many, 1), 0.15, np.float32)
    for turn in range(steps):
        before, slope_before = at, slope
        at = at - length * slope
        slope = force(at)
        moved, bent = at - before, slope - slope_before
        along = np.einsum("ki,ki->k", moved, bent)
        if turn % 2:
            over, under = np.einsum("ki,ki->k", moved, moved), along
        else:
            over, under = along, np.einsum("ki,ki->k", bent, bent)
        good = under > 1e-12
        length = np.where(good, np.minimum(np.maximum(over / np.where(good, under, 1), 0.02), 2.0), 0.3)[
            :, None
        ]
    done = at.astype(np.float64)
    return done[:, :-1].reshape(many, count, 2), done[:, -1]


class _Force:
    """Gradient of the soft energy; keeps its work arrays between calls."""

    __slots__ = ("_inner", "_left", "_none", "_pressure", "_radii", "_right", "_scale", "_shape", "_weight")

    def __init__(self, radii: Soft, many: int, pressure: np.float32) -> None:
        count = len(radii)
        self._shape, self._radii, self._pressure = (many, count, 2), radii, pressure
        self._scale = 1 / np.square(radii[:, None] + radii)
        np.fill_diagonal(self._scale, 0)
        self._none = np.ones((count, count), np.float32)
        np.fill_diagonal(self._none, 0)
        self._left = np.ones((many, count, 4), np.float32)
        self._right = np.full((many, 4, count), -1, np.float32)
        self._inner = np.ones((many, count, 3), np.float32)
        self._weight = np.empty((many, count, count), np.float32)

    def __call__(self, at: Soft) -> Soft:
        """Return the gradient at `at`, shape (starts, 2 * discs + 1), the last entry for the enclosing
        radius.
        """
        centre, reach = at[:, :-1].reshape(self._shape), at[:, -1:]
        square = np.square(centre).sum(axis=2)
        self._left[..., :2], self._left[..., 3] = centre, square
        self._right[:, :2], self._right[:, 2] = 2 * centre.transpose(0, 2, 1), -square
        self._inner[..., :2] = centre
        weight = np.matmul(self._left, self._right, out=self._weight)  # minus the squared distances
        weight *= self._scale
        weight += self._none
        np.maximum(weight, 0, out=weight)
        pushed = np.matmul(weight, self._inner)
        far = np.sqrt(square) + np.float32(1e-9)
        outside = np.maximum(far + self._radii - reach, 0)
        slope = np.empty_like(at)
        pull = pushed[..., :2] - pushed[..., 2:] * centre + centre * (outside / far)[..., None]
        slope[:, :-1] = pull.reshape(len(at), -1)
        slope[:, -1] = self._pressure - outside.sum(axis=1)
        return slope
