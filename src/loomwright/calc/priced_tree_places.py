"""Where a point of the car is, from distances by tape to points whose place is known."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from loomwright.errors import OutOfRange

Place = tuple[float, float, float]
LEAST_TAPES: Final = 4  # three leave two places, one on either side of the hooks
ROUNDS: Final = 60


@dataclass(frozen=True, slots=True)
class Fixed:
    """A point found from its tapes.

    Attributes:
        place: x, y, z [mm]
        off_mm: root of the mean square by which the tapes disagree with it [mm]
    """

    place: Place
    off_mm: float


def fix_point(hooks: Sequence[Place], tapes_mm: Sequence[float]) -> Fixed:
    """Return the point that tapes from known places meet in.

    Args:
        hooks: known places, four or more, not all in one plane [mm]
        tapes_mm: distance to each, above 0 [mm]
    Raises:
        OutOfRange: fewer than four tapes, a distance not above 0, or hooks all in one plane.
    Source: least squares by Gauss and Newton's steps, begun on both sides of the hooks' mean plane;
        exact where the tapes agree.
    """
    if len(hooks) != len(tapes_mm) or len(hooks) < LEAST_TAPES:
        raise OutOfRange("tapes", len(tapes_mm), "4 or more, one a hook", "measure from one point more")
    if min(tapes_mm) <= 0:
        raise OutOfRange("tapes_mm", min(tapes_mm), "above 0 mm", "measure it again")
    known, tapes = np.array(hooks, dtype=float), np.array(tapes_mm, dtype=float)
    middle = known.mean(axis=0)
    _, spread, axes = np.linalg.svd(known - middle)
    if spread[-1] < 0.02 * spread[0]:
        remedy = "measure from one more, off their plane"
        raise OutOfRange("hooks", len(hooks), "not all in one plane", remedy)
    found = [_met(known, tapes, middle + side * axes[-1] * tapes.mean()) for side in (1.0, -1.0)]
    return min(found, key=lambda one: (one.off_mm, one.place))


def _met(known: "np.ndarray[tuple[int, ...], np.dtype[np.float64]]", tapes: object, start: object) -> Fixed:
    here = np.array(start, dtype=float)
    far = np.array(tapes, dtype=float)
    for _ in range(ROUNDS):
        away = here - known
        now = np.maximum(np.linalg.norm(away, axis=1), 1e-9)
        step = np.linalg.lstsq(away / now[:, None], far - now, rcond=None)[0]
        here = here + step
        if float(np.linalg.norm(step)) < 1e-9:
            break
    off = np.linalg.norm(here - known, axis=1) - far
    x, y, z = (float(one) for one in here)
    return Fixed((x, y, z), math.sqrt(float(np.mean(off**2))))
