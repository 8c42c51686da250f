"""Flat shapes of parts of a loom, and whether two of them keep clear of each other.

A shape stands in the frame of one point: origin at the point, x along the direction of travel away from the
    datum, y to the left. Each row is a straight piece of loom with its half thickness and how far along the
    loom its nearer end is from the point; pieces close along the loom may come closer on the board.
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
GAP_SHARE: Final = 0.25  # parted by 100 mm of loom, 25 mm apart on the board; sine of 15 degrees, rounded
TOUCH_MM: Final = 1e-6
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

    def without(self, first: int) -> "Shape":
        """Return the shape without its first pieces."""
        return Shape(self.rows[first:], self.half[first:], self.gap[first:]) if first else self


def collide(a: Shape, b: Shape, at: tuple[float, float], clear_mm: float) -> bool:
    """Return True if a piece of `b`, hung on `a` at a point, comes too near a piece of `a`, or crosses it.

    Pieces that both end at that point don't count: their angles keep them apart.

    Args:
        a, b: shapes in the same frame; both gaps count from the point
        at: the point [mm]
        clear_mm: clearance between centre lines, above 0 [mm]
    """
    ax1, ax2, ay1, ay2 = a.boxes
    bx1, bx2, by1, by2 = (side[:, None] for side in b.boxes)
    reach = max(clear_mm, float(a.half.max() + b.half.max()) + MARGIN_MM)
    near = (ax1 - reach < bx2) & (bx1 < ax2 + reach) & (ay1 - reach < by2) & (by1 < ay2 + reach)
    for j, i in zip(*(found.tolist() for found in np.nonzero(near)), strict=True):
        one, two = a.rows[i].tolist(), b.rows[j].tolist()
        if _ends_at(one, at) and _ends_at(two, at):
            continue
        wanted = max(clear_mm, float(a.half[i] + b.half[j]) + MARGIN_MM)
        wanted = max(LEAST_MM, min(wanted, GAP_SHARE * float(a.gap[i] + b.gap[j])))
        if nearer(one, two, wanted):
            return True
    return False


def _ends_at(row: list[float], at: tuple[float, float]) -> bool:
    x, y = at
    return (abs(row[0] - x) + abs(row[1] - y) < TOUCH_MM) or (abs(row[2] - x) + abs(row[3] - y) < TOUCH_MM)


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
