"""The smallest circle round the wires of a section, taken as discs: the tightest bundle that can exist.

Search, not proof: `Packing.diameter_mm` is reached by the centres given with it, `Packing.lower_bound_mm`
is proved.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from loomwright.calc.packing_bounds import few, lower_bound
from loomwright.calc.packing_relax import press
from loomwright.calc.packing_shells import equal_pattern, shells
from loomwright.calc.packing_squeeze import exact_reach, spread_out, squeeze
from loomwright.calc.packing_starts import first_guess_mm, starts
from loomwright.errors import OutOfRange

Array = NDArray[np.float64]
SEARCHED_UP_TO: Final = 130  # discs; above this a packing is laid out directly
REFINED_UP_TO: Final = 130


@dataclass(frozen=True, slots=True)
class Packing:
    """Discs in a circle about (0, 0); `centres_mm[k]` and `radii_mm[k]` belong to the k-th diameter given.

    Attributes:
        diameter_mm: diameter of the enclosing circle, reached by the centres given
        centres_mm: centre of each disc
        radii_mm: radius of each disc
        lower_bound_mm: no arrangement of these discs has a smaller enclosing diameter; proved
        refined: whether the slower search was used
    """

    diameter_mm: float
    centres_mm: tuple[tuple[float, float], ...]
    radii_mm: tuple[float, ...]
    lower_bound_mm: float
    refined: bool


def pack(diameters_mm: Sequence[float], refine: bool = False) -> Packing:
    """Return a tight packing of discs in a circle; the order of the discs has no influence on its diameter.

    Args:
        diameters_mm: one diameter per wire or cable, each above 0 and at most 1000 [mm]; at least one
        refine: search longer (at most about 2 s) for a tighter packing; never wider than the quick one
    Returns:
        enclosing diameter, centres, and a proved lower bound
    Raises:
        OutOfRange: no disc, or a diameter that is not above 0 and at most 1000 mm
    Source: own search; `packing_starts`, `packing_relax`, `packing_squeeze`. Exact for one to three discs.
    Pairs of
        discs overlap by no more than 1e-9 of a diameter (rounding).
    """
    _require_sizes(diameters_mm)
    order = sorted(range(len(diameters_mm)), key=lambda k: (-diameters_mm[k], k))
    sizes = [float(diameters_mm[k]) for k in order]
    radii = np.array(sizes) / 2
    reach, centres = _search(radii, refine)
    placed: list[tuple[float, float]] = [(0.0, 0.0)] * len(order)
    for rank, k in enumerate(order):
        placed[k] = (float(centres[rank, 0]), float(centres[rank, 1]))
    bound = min(lower_bound(sizes), 2 * reach)
    return Packing(2 * reach, tuple(placed), tuple(float(one) / 2 for one in diameters_mm), bound, refine)


def _require_sizes(diameters_mm: Sequence[float]) -> None:
    if not diameters_mm:
        raise OutOfRange(
            "number of wires", 0, "1 or more", "a section without wires has no bundle; leave it out"
        )
    for one in diameters_mm:
        if not 0 < one <= 1000:
            raise OutOfRange(
                "diameters_mm", one, "above 0 and at most 1000 mm", "check the wire's outside diameter"
            )


def _search(radii: Array, refine: bool) -> tuple[float, Array]:
    """Return enclosing radius and centres for radii sorted largest first."""
    if len(radii) <= 3:
        reach, centres = few(radii.tolist())
        return reach, np.array(centres)
    scale = math.sqrt(float(np.square(radii).mean()))
    unit = radii / scale
    found = _laid_out(unit)
    if len(radii) <= SEARCHED_UP_TO:
        found.append(_quick(unit))
    if refine and len(radii) <= REFINED_UP_TO:
        from loomwright.calc.packing_refine import refined

        found.append(refined(unit, found[-1]))
    tried = np.array(found)
    reach = exact_reach(tried, unit)
    best = int(np.argmin(reach))
    return float(reach[best]) * scale, spread_out(tried[best : best + 1], unit)[0] * scale


def _laid_out(radii: Array) -> list[Array]:
    """Return packings that need no search."""
    if radii[0] == radii[-1]:
        return [equal_pattern(len(radii), float(radii[0]))]
    return [shells(radii)]


def _quick(radii: Array) -> Array:
    """Return the best centres of a short search from many starts: about 2 to 5 ms."""
    count = len(radii)
    many = max(2, min(20, 20000 // (count * count)))
    centres = starts(radii, many)
    reach = np.full(many, first_guess_mm(radii))
    for steps, pressure, keep in ((22, 0.5, 6 if count < 35 else 4), (26, 0.1, 3 if count < 26 else 2)):
        centres, reach = press(centres, radii, reach, steps, pressure)
        best = np.argsort(reach, kind="stable")[: keep if count < 60 else 1]
        centres, reach = centres[best], reach[best]
    centres = np.concatenate([centres, squeeze(centres, radii, 10 if count < 60 else 7)])
    return centres[int(np.argmin(exact_reach(centres, radii)))]
