"""The smallest circle round the wires of a section, taken as discs: the tightest bundle that can exist.

Search, not proof: `Packing.diameter_mm` is reached by the centres given with it, `Packing.lower_bound_mm`
is proved.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from loomwright.calc.packing_bounds import few, lower_bound
from loomwright.calc.packing_pockets import pocketed
from loomwright.calc.packing_refine import refined
from loomwright.calc.packing_relax import press
from loomwright.calc.packing_shells import equal_pattern, shells
from loomwright.calc.packing_squeeze import exact_reach, spread_out, squeeze
from loomwright.calc.packing_starts import first_guess_mm, starts
from loomwright.errors import OutOfRange

Array = NDArray[np.float64]
SEARCHED_UP_TO: Final = 250  # discs; above this a packing is laid out directly
REFINED_UP_TO: Final = 130  # discs
STEPS: Final = (
    (13, 18),
    (30, 10),
    (60, 9),
    (100, 7),
    (131, 4),
)  # below so many discs, so many steps of squeezing; then none
LAID_OUT_FROM: Final = 60  # equal discs; fewer are always searched better
KEEP_FEW: Final = 6  # starts squeezed for few discs, where it costs little
PRESSURE: Final = 0.05  # a disc; more discs press on the same share of wall
FALLEN_IN: Final = 1.15  # a start that must spread by so much has discs fallen into each other


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
        refine: search about a second longer for a tighter packing, up to 130 discs; never wider than the
        quick one
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


def pack_with_one_more(
    diameters_mm: Sequence[float], extra_mm: float, refine: bool = False
) -> tuple[Packing, Packing]:
    """Return packings without and with one more disc, the second never narrower than the first.

    Two searches on their own can't promise that. Here the second packing less its last disc stands in for
    the first
    one wherever it is narrower.

    Args:
        diameters_mm: diameters of the discs, see `pack` [mm]
        extra_mm: diameter of the one more [mm]
        refine: see `pack`
    Raises:
        OutOfRange: see `pack`
    Source: a packing less one disc is a packing; exact.
    """
    after = pack((*diameters_mm, extra_mm), refine)
    before = pack(diameters_mm, refine)
    if after.diameter_mm < before.diameter_mm:
        bound = min(before.lower_bound_mm, after.diameter_mm)
        before = Packing(after.diameter_mm, after.centres_mm[:-1], after.radii_mm[:-1], bound, refine)
    return before, after


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
    spanning = pocketed(radii.tolist())
    if spanning is not None:
        tight = np.array([spanning])
        return float(exact_reach(tight, radii)[0]), np.array(spread_out(tight, radii)[0])
    scale = math.sqrt(float(np.square(radii).mean()))
    unit: Array = radii / scale
    found = _laid_out(unit)
    if len(radii) <= SEARCHED_UP_TO:
        found.append(_quick(unit))
    if refine and len(radii) <= REFINED_UP_TO:
        found.append(refined(unit, found[-1]))
    tried = np.array(found)
    needs = exact_reach(tried, unit)
    best = int(np.argmin(needs))
    placed: Array = spread_out(tried[best : best + 1], unit)[0] * scale
    return float(needs[best]) * scale, placed


def _laid_out(radii: Array) -> list[Array]:
    """Return packings that need no search, where they may be of use."""
    if radii[0] > radii[-1]:
        return [shells(radii)]
    return [equal_pattern(len(radii), float(radii[0]))] if len(radii) > LAID_OUT_FROM else []


def _quick(radii: Array) -> Array:
    """Return the best centres of a short search from many starts: about 2 to 5 ms up to 60 discs."""
    count = len(radii)
    many = max(2, min(20, 15000 // (count * count)))
    pressure = max(0.5, PRESSURE * count)
    centres, reach = starts(radii, many), np.full(many, first_guess_mm(radii))
    centres, reach = press(centres, radii, reach, 20, pressure)
    near = np.argsort(reach, kind="stable")[: 6 if count < 35 else 3]
    centres, reach = press(centres[near], radii, reach[near], 24, pressure / 5)
    if count >= 60:
        centres, reach = press(centres, radii, reach, 20, pressure / 25)
    apart = exact_reach(centres, radii)
    reach = np.where(apart > FALLEN_IN * reach, apart, reach)
    few_best = _tightest(reach, KEEP_FEW if count < 13 else 3 if count < 22 else 2 if count < 60 else 1)
    steps = next((many for below, many in STEPS if count < below), 0)
    centres = np.concatenate([centres[few_best], squeeze(centres[few_best], radii, steps)])
    tightest: Array = centres[int(np.argmin(exact_reach(centres, radii)))]
    return tightest


def _tightest(reach: Array, many: int) -> list[int]:
    """Return the starts with the least enclosing radii, one only of those that are as good as equal."""
    order = [int(k) for k in np.argsort(reach, kind="stable")]
    distinct = [k for before, k in pairwise(order) if reach[k] > reach[before] * (1 + 1e-4)]
    return [order[0], *distinct][:many]
