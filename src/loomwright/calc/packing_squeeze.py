"""From nearly fitting discs to a tight, exact packing: interior-point steps, then exact de-overlap."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
APART: Final = 1e9  # stands for "no pair" on the diagonal
FALLEN: Final = 1e-9  # two centres nearer than this count as this far apart
CLOSE_ENOUGH: Final = 1e-8  # share of the enclosing radius at which squeezing ends
TO_EDGE: Final = 0.95  # share of the way to the nearest limit a step may go


def exact_reach(centres: Array, radii: Array) -> Array:
    """Return the enclosing radius each start needs once its centres are spread until no pair overlaps.

    Args:
        centres: shape (starts, discs, 2) [mm]
        radii: shape (discs,) [mm]
    Source: similarity; exact to rounding.
    """
    needs: Array = _spread(centres, radii)[:, None] * np.hypot(centres[..., 0], centres[..., 1]) + radii
    widest: Array = np.nan_to_num(needs.max(axis=1), nan=np.inf)
    return widest


def spread_out(centres: Array, radii: Array) -> Array:
    """Return the centres scaled about the middle until the tightest pair just touches."""
    scaled: Array = centres * _spread(centres, radii)[:, None, None]
    return scaled


def _spread(centres: Array, radii: Array) -> Array:
    far = np.maximum(np.hypot(*_apart(centres)), FALLEN)
    _no_diagonal(far)
    ratio: Array = ((radii[:, None] + radii) / far).max(axis=(1, 2))
    return ratio


def _apart(centres: Array) -> tuple[Array, Array]:
    x, y = centres[..., 0], centres[..., 1]
    return x[:, :, None] - x[:, None], y[:, :, None] - y[:, None]


def _no_diagonal(far: Array) -> None:
    index = np.arange(far.shape[1])
    far[:, index, index] = APART


def squeeze(centres: Array, radii: Array, steps: int, gap: float = 0.02) -> Array:
    """Squeeze every start towards its nearest tight packing.

    Minimises the enclosing radius subject to "no pair overlaps, none sticks out", by primal-dual interior-
    point
    steps with the exact gaps of every step (the curvature of the gaps is left out, so each step is a linear
    programme's). The result still has to go through `spread_out`.

    Args:
        centres: shape (starts, discs, 2); lengths scaled so that radii are about 1
        radii: shape (discs,)
        steps: number of Newton steps
        gap: expected share by which the start is larger than its tight packing
    Returns:
        centres
    Source: primal-dual path following, Nocedal and Wright, Numerical Optimization 2nd ed., algorithm 19.1.
    """
    state = _Squeeze(centres.copy(), radii, gap)
    for _ in range(steps):
        if not state.step():
            break
    return state.centres


class _Squeeze:
    """Centres, enclosing radii, slacks and contact forces of a batch of packings."""

    def __init__(self, centres: Array, radii: Array, gap: float) -> None:
        self.centres, self.radii = centres, radii
        self.touch = radii[:, None] + radii
        many, count, _ = centres.shape
        self.matrix, self.right = (
            np.zeros((many, 2 * count + 1, 2 * count + 1)),
            np.empty((many, 2 * count + 1)),
        )
        self.reach = (np.hypot(centres[..., 0], centres[..., 1]) + radii).max(axis=1) * (1 + gap / 2)
        self.path = gap * self.reach / (2 * count)
        self.end = CLOSE_ENOUGH * self.reach / (2 * count)
        self.measure()
        self.slack = np.maximum(self.pair_gap, 0.01 * self.touch)
        self.edge_slack = np.maximum(self.edge_gap, 0.01 * radii)
        self.push = self.path[:, None, None] / self.slack
        self.edge_push = self.path[:, None] / self.edge_slack

    def measure(self) -> None:
        """Take gaps and directions at the present centres."""
        dx, dy = _apart(self.centres)
        far = np.maximum(np.sqrt(dx * dx + dy * dy), FALLEN)
        _no_diagonal(far)
        self.pair_gap, self.ux, self.uy = far - self.touch, dx / far, dy / far
        x, y = self.centres[..., 0], self.centres[..., 1]
        out = np.sqrt(x * x + y * y) + 1e-12
        self.edge_gap, self.ex, self.ey = self.reach[:, None] - self.radii - out, x / out, y / out

    def step(self) -> bool:
        """Take one Newton step; False = there is nothing more to gain in double precision."""
        stiff, edge_stiff = self.push / self.slack, self.edge_push / self.edge_slack
        wish = self.path[:, None, None] / self.slack
        edge_wish = self.path[:, None] / self.edge_slack
        miss, edge_miss = self.pair_gap - self.slack, self.edge_gap - self.edge_slack
        self._fill(stiff, edge_stiff)
        self._fill_right(wish - stiff * miss, edge_wish - edge_stiff * edge_miss)
        try:
            move = np.linalg.solve(self.matrix, self.right[..., None])[..., 0]
        except np.linalg.LinAlgError:  # forces of one contact outweigh all others: as tight as it gets
            return False
        count = len(self.radii)
        mx, my, grow = move[:, :count], move[:, count:-1], move[:, -1]
        opens = miss + self.ux * (mx[:, :, None] - mx[:, None]) + self.uy * (my[:, :, None] - my[:, None])
        edge_opens = edge_miss + grow[:, None] - self.ex * mx - self.ey * my
        harder = wish - self.push - stiff * opens
        edge_harder = edge_wish - self.edge_push - edge_stiff * edge_opens
        go = _share(opens / self.slack, edge_opens / self.edge_slack)
        press = _share(harder / self.push, edge_harder / self.edge_push)
        self.centres[..., 0] += go[:, None] * mx
        self.centres[..., 1] += go[:, None] * my
        self.reach += go * grow
        self.push += press[:, None, None] * harder
        self.edge_push += press[:, None] * edge_harder
        self.measure()
        self.slack = np.maximum(self.slack + go[:, None, None] * opens, self.pair_gap)
        self.edge_slack = np.maximum(self.edge_slack + go[:, None] * edge_opens, self.edge_gap)
        least = np.minimum(go, press)
        self.path *= np.where(least > 0.7, 0.25, np.where(least > 0.3, 0.6, 1.0))
        np.maximum(self.path, self.end, out=self.path)
        return bool((self.path > self.end).any())

    def _fill(self, stiff: Array, edge_stiff: Array) -> None:
        """Fill the matrix: contact directions weighted by stiffness, x block, y block, enclosing radius."""
        count, matrix = len(self.radii), self.matrix
        index = np.arange(count)
        across = stiff * self.ux
        ex, ey = edge_stiff * self.ex, edge_stiff * self.ey
        for row, column, pairs, edges, least in (
            (0, 0, across * self.ux, ex * self.ex, 1e-6),
            (0, count, across * self.uy, ex * self.ey, 0.0),
            (count, count, stiff * self.uy * self.uy, ey * self.ey, 1e-6),
        ):
            block = matrix[:, row : row + count, column : column + count]
            np.negative(pairs, out=block)
            block[:, index, index] = pairs.sum(axis=2) + edges + least
        matrix[:, count:-1, :count] = matrix[:, :count, count:-1]
        matrix[:, :count, -1] = matrix[:, -1, :count] = -ex
        matrix[:, count:-1, -1] = matrix[:, -1, count:-1] = -ey
        matrix[:, -1, -1] = edge_stiff.sum(axis=1)

    def _fill_right(self, pairs: Array, edges: Array) -> None:
        """Fill the right-hand side from the forces wished for at pairs and edge."""
        count = len(self.radii)
        self.right[:, :count] = np.einsum("kij,kij->ki", pairs, self.ux) - edges * self.ex
        self.right[:, count:-1] = np.einsum("kij,kij->ki", pairs, self.uy) - edges * self.ey
        self.right[:, -1] = edges.sum(axis=1) - 1


def _share(pairs: Array, edges: Array) -> Array:
    """Return the share of a step that keeps slacks (or forces) above zero."""
    worst = np.maximum(-pairs.min(axis=(1, 2)), -edges.min(axis=1))
    share: Array = np.minimum(1.0, TO_EDGE / np.maximum(worst, 1e-9))
    return share
