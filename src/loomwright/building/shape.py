"""Flat shapes of parts of a loom, and whether two of them keep clear of each other.

A shape stands in the frame of one point: origin at the point, x along the direction of travel away from the datum,
y to the left. Each row is a straight piece of loom with its half thickness and how far along the loom its nearer
end is from the point; pieces close along the loom may come closer on the board.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Row = tuple[float, float, float, float]

MARGIN_MM: Final = 8.0  # between the outsides of two thick bundles; ours
GAP_SHARE: Final = 0.25  # two pieces parted by 100 mm of loom may come as close as 25 mm; sine of 15 degrees, rounded
LEAST_MM: Final = 0.5  # two pieces that share no point are never closer than this


@dataclass(frozen=True)
class Shape:
    """Pieces of loom in one frame.

    Attributes:
        rows: x1, y1, x2, y2 of every piece [mm]
        half: half thickness of every piece [mm]
        gap: distance along the loom from the frame's point to the piece [mm]; 0 = it starts at the point
    """

    rows: Floats
    half: Floats
    gap: Floats

    @cached_property
    def points(self) -> Floats:
        """All corners, one a row."""
        return self.rows.reshape(-1, 2)

    @cached_property
    def boxes(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Left, right, bottom, top of every piece."""
        x1, y1, x2, y2 = self.rows.T
        return np.minimum(x1, x2), np.maximum(x1, x2), np.minimum(y1, y2), np.maximum(y1, y2)

    def turned(self, angle_deg: float) -> "Shape":
        """Return the shape turned about the point, anticlockwise."""
        c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        return Shape((self.points @ np.array([[c, s], [-s, c]])).reshape(-1, 4), self.half, self.gap)

    def moved(self, x_mm: float, y_mm: float) -> "Shape":
        """Return the shape moved."""
        return Shape(self.rows + np.array([x_mm, y_mm, x_mm, y_mm]), self.half, self.gap)

    def joined(self, other: "Shape") -> "Shape":
        """Return both shapes as one."""
        return Shape(
            np.concatenate((self.rows, other.rows)),
            np.concatenate((self.half, other.half)),
            np.concatenate((self.gap, other.gap)),
        )


def shape(*pieces: tuple[Row, float, float]) -> Shape:
    """Return a shape of pieces, each given as its row, half thickness and gap."""
    rows, half, gap = zip(*pieces, strict=True)
    return Shape(np.array(rows, dtype=float), np.array(half, dtype=float), np.array(gap, dtype=float))


def collide(a: Shape, b: Shape, clear_mm: float, exempt: Floats | None = None) -> bool:
    """Return True if a piece of `b` comes too near a piece of `a`, or crosses it.

    Pieces that both start at the frame's point don't count: their angles keep them apart.

    Args:
        a, b: shapes in the same frame
        clear_mm: clearance between centre lines, above 0 [mm]
        exempt: for every piece of `a` above 0 where the first piece of `b` may touch it
    """
    ax1, ax2, ay1, ay2 = a.boxes
    bx1, bx2, by1, by2 = (side[:, None] for side in b.boxes)
    reach = max(clear_mm, float(a.half.max() + b.half.max()) + MARGIN_MM)
    near = (ax1 - reach < bx2) & (bx1 < ax2 + reach) & (ay1 - reach < by2) & (by1 < ay2 + reach)
    for j, i in zip(*(found.tolist() for found in np.nonzero(near)), strict=True):
        gap = float(a.gap[i] + b.gap[j])
        if gap == 0.0 or (exempt is not None and j == 0 and exempt[i]):
            continue
        wanted = max(clear_mm, float(a.half[i] + b.half[j]) + MARGIN_MM)
        wanted = max(LEAST_MM, min(wanted, GAP_SHARE * gap))
        if nearer(a.rows[i].tolist(), b.rows[j].tolist(), wanted):
            return True
    return False


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
