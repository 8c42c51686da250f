"""Straight pieces on a plane: how far they are apart, whether they cross, how much they are in the way."""

from typing import Final

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Rough = npt.NDArray[np.float32]  # for figures that need no better, of which there are many

MARGIN_MM: Final = 8.0  # between the outsides of two thick bundles; ours
GAP_SHARE: Final = 0.25  # parted by 100 mm of loom, 25 mm apart on the board; sine of 15 degrees, rounded
LEAST_MM: Final = 0.5  # two pieces that share no point are never closer than this
PARALLEL: Final = 1e-9  # sine of the angle from which two pieces are parallel
CROSSING: Final = 10.0  # what a crossing counts against one clearance missed; ours


def nearer(a: list[float], b: list[float], mm: float) -> bool:
    """Return True if two straight pieces come nearer than `mm` to each other or cross."""
    if crosses(a, b):
        return True
    square = mm * mm
    return (
        _square_to(a[0], a[1], b) < square
        or _square_to(a[2], a[3], b) < square
        or _square_to(b[0], b[1], a) < square
        or _square_to(b[2], b[3], a) < square
    )


def crosses(a: list[float], b: list[float]) -> bool:
    """Return True if two straight pieces cross each other inside both."""
    ux, uy, vx, vy = a[2] - a[0], a[3] - a[1], b[2] - b[0], b[3] - b[1]
    wx, wy = b[0] - a[0], b[1] - a[1]
    one = ux * wy - uy * wx
    two = ux * (wy + vy) - uy * (wx + vx)
    if one * two > 0:
        return False
    three = vx * wy - vy * wx
    four = vx * (wy - uy) - vy * (wx - ux)
    return three * four <= 0 and (one != two)


def _square_to(x: float, y: float, row: list[float]) -> float:
    x1, y1, x2, y2 = row
    ux, uy = x2 - x1, y2 - y1
    size = ux * ux + uy * uy
    t = ((x - x1) * ux + (y - y1) * uy) / size if size else 0.0
    t = 0.0 if t < 0.0 else 1.0 if t > 1.0 else t
    dx, dy = x - x1 - t * ux, y - y1 - t * uy
    return dx * dx + dy * dy


def trouble(rows: Floats, others: Floats, wanted: Rough) -> Floats:
    """Return for every way of laying some pieces how much they get in the way of others.

    Every pair counts by the share of the wanted distance that is missing, up to 1, and CROSSING more where
    the two cross.

    Args:
        rows: x1, y1, x2, y2 of the pieces, way by way [mm]; shape (ways, pieces, 4)
        others: the same for what stands [mm]; shape (others, 4)
        wanted: how far they should be apart [mm]; shape (pieces, others); below 0 = they may touch
    """
    found = np.zeros(len(rows))
    if not others.size or not rows.size:
        return found
    low_x, high_x = np.minimum(rows[..., 0], rows[..., 2]), np.maximum(rows[..., 0], rows[..., 2])
    low_y, high_y = np.minimum(rows[..., 1], rows[..., 3]), np.maximum(rows[..., 1], rows[..., 3])
    x1, x2 = np.minimum(others[:, 0], others[:, 2]), np.maximum(others[:, 0], others[:, 2])
    y1, y2 = np.minimum(others[:, 1], others[:, 3]), np.maximum(others[:, 1], others[:, 3])
    near = (low_x[..., None] - x2 < wanted) & (x1 - high_x[..., None] < wanted)
    near &= (low_y[..., None] - y2 < wanted) & (y1 - high_y[..., None] < wanted)
    way, one, two = np.nonzero(near & (wanted > 0.0))
    if not len(way):
        return found
    a, b, least = rows[way, one], others[two], wanted[one, two].astype(np.float64)
    cross, apart = pairs(a, b)
    amount = np.maximum(0.0, 1.0 - apart / least) + CROSSING * cross
    return np.asarray(np.bincount(way, weights=amount, minlength=len(rows)), dtype=np.float64)


def troubles(rows: Floats, wanted: Rough) -> Floats:
    """Return for each of some pieces how much it gets in the way of the others, counted as in `trouble`.

    Args:
        rows: x1, y1, x2, y2 of the pieces [mm]
        wanted: how far every two should be apart [mm]; below 0 = they may touch
    """
    low_x, high_x = np.minimum(rows[:, 0], rows[:, 2]), np.maximum(rows[:, 0], rows[:, 2])
    low_y, high_y = np.minimum(rows[:, 1], rows[:, 3]), np.maximum(rows[:, 1], rows[:, 3])
    near = (low_x[:, None] - high_x < wanted) & (low_x - high_x[:, None] < wanted)
    near &= (low_y[:, None] - high_y < wanted) & (low_y - high_y[:, None] < wanted)
    one, two = np.nonzero(np.triu(near & (wanted > 0.0), 1))
    cross, apart = pairs(rows[one], rows[two])
    amount = np.maximum(0.0, 1.0 - apart / wanted[one, two].astype(np.float64)) + CROSSING * cross
    count = len(rows)
    both = np.bincount(one, amount, count) + np.bincount(two, amount, count)
    return np.asarray(both, dtype=np.float64)


def pairs(a: Floats, b: Floats) -> tuple[npt.NDArray[np.bool_], Floats]:
    """Return for every pair of straight pieces whether they cross, and how far they are apart [mm].

    Parallel pieces don't cross; where they lie on each other they are 0 mm apart.

    Args:
        a, b: x1, y1, x2, y2 of the pieces, pair by pair [mm]
    Source: plane geometry; exact.
    """
    ax, ay, bx, by = a[:, 0], a[:, 1], b[:, 0], b[:, 1]
    ux, uy, vx, vy = a[:, 2] - ax, a[:, 3] - ay, b[:, 2] - bx, b[:, 3] - by
    wx, wy = bx - ax, by - ay
    one, two = ux * wy - uy * wx, ux * (wy + vy) - uy * (wx + vx)
    three, four = vx * wy - vy * wx, vx * (wy - uy) - vy * (wx - ux)
    size = np.maximum(np.hypot(ux, uy) * np.hypot(vx, vy), 1e-12)
    cross = (one * two <= 0.0) & (three * four <= 0.0) & (np.abs(two - one) > PARALLEL * size)
    x = np.concatenate((wx, wx + vx, -wx, ux - wx))
    y = np.concatenate((wy, wy + vy, -wy, uy - wy))
    along_x, along_y = np.concatenate((ux, ux, vx, vx)), np.concatenate((uy, uy, vy, vy))
    size = np.maximum(along_x * along_x + along_y * along_y, 1e-12)
    share = np.minimum(1.0, np.maximum(0.0, (x * along_x + y * along_y) / size))
    x -= share * along_x
    y -= share * along_y
    square = (x * x + y * y).reshape(4, -1).min(axis=0)
    return cross, np.where(cross, 0.0, np.sqrt(square))
