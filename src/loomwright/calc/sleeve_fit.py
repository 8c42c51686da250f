"""Shrink sleeves: whether one passes and grips, how thick its wall gets, and how long to cut it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

from loomwright.errors import OutOfRange
from loomwright.sources import MEMORY, OURS, PRACTICE, Figure

PULL_IN_PUSHED: Final = Figure(0.95, OURS)  # bundle over expanded bore, up to PULL_IN_PUSHED_MM
PULL_IN_SHORT: Final = Figure(0.85, MEMORY)  # at PULL_IN_SHORT_MM
PULL_IN_LONG: Final = Figure(0.75, MEMORY)  # from PULL_IN_LONG_MM
PULL_IN_PUSHED_MM: Final = Figure(150.0, OURS)  # a hand's grip before and behind: pushed on, not pulled
PULL_IN_SHORT_MM: Final = Figure(500.0, MEMORY)
PULL_IN_LONG_MM: Final = Figure(1000.0, MEMORY)
GRIP: Final = Figure(1.1, PRACTICE)  # bundle at least this times the recovered bore
CUT_OVER: Final = Figure(0.05, PRACTICE)


@dataclass(frozen=True, slots=True)
class SleeveBore:
    """One size of shrink sleeve in plain numbers.

    Attributes:
        label: size as printed
        expanded_mm: bore as bought, at least
        recovered_mm: bore after free recovery, at most
        wall_mm: wall after free recovery
    """

    label: str
    expanded_mm: float
    recovered_mm: float
    wall_mm: float

    def __post_init__(self) -> None:
        if not 0 < self.recovered_mm < self.expanded_mm:
            limit = f"above 0 and below the expanded bore, {self.expanded_mm} mm"
            raise OutOfRange(
                f"recovered bore of {self.label}", self.recovered_mm, limit, "check the data sheet"
            )
        if not self.wall_mm > 0:
            raise OutOfRange(f"wall of {self.label}", self.wall_mm, "above 0 mm", "check the data sheet")


@dataclass(frozen=True, slots=True)
class SleeveFit:
    """How one size of sleeve fits a section.

    Attributes:
        bore: the size
        slides: it slides over the bundle for the whole length
        passes: it goes over the biggest thing on its way
        grips: it recovers tightly on the thinnest bundle under it
        wall_mm: wall where it sits on the bundle
        finished_mm: outside diameter there
    """

    bore: SleeveBore
    slides: bool
    passes: bool
    grips: bool
    wall_mm: float
    finished_mm: float

    @property
    def fits(self) -> bool:
        """Whether it slides, passes and grips."""
        return self.slides and self.passes and self.grips


def pull_in_share(length_mm: float) -> float:
    """Return the largest bundle a sleeve can be slid over, as a share of its expanded bore.

    Args:
        length_mm: length of the sleeve, above 0 [mm]
    Returns:
        0.95 up to 150 mm, 0.85 at 500 mm, 0.75 from 1000 mm on, straight lines between
    Raises:
        OutOfRange: the length is not above 0
    Source: 0.85 for about half a metre and 0.75 for a metre and more from memory, straight lay; talc or a
        pull cord helps. What holds a sleeve back is friction along its length, so that a piece short enough
        to be pushed on from hand to hand takes more: 0.95, and the lines between, are ours.
    """
    _above_zero("length_mm", length_mm)
    lengths = [one.value for one in (PULL_IN_PUSHED_MM, PULL_IN_SHORT_MM, PULL_IN_LONG_MM)]
    shares = [one.value for one in (PULL_IN_PUSHED, PULL_IN_SHORT, PULL_IN_LONG)]
    for (from_mm, high), (to_mm, low) in pairwise(zip(lengths, shares, strict=True)):
        if length_mm <= to_mm:
            return high - (high - low) * max(0.0, length_mm - from_mm) / (to_mm - from_mm)
    return shares[-1]


def recovered_wall_mm(recovered_mm: float, wall_mm: float, bundle_mm: float) -> float:
    """Return the wall of a sleeve that is held open by the bundle.

    Args:
        recovered_mm: bore after free recovery, above 0 [mm]
        wall_mm: wall after free recovery, above 0 [mm]
        bundle_mm: diameter it sits on, at least the recovered bore [mm]
    Raises:
        OutOfRange: an argument outside its range; below the recovered bore the sleeve does not touch
    Source: same cross-section, pi (D + t) t = pi (d_rec + w) w; length taken as unchanged. Exact under that.
    """
    _above_zero("recovered_mm", recovered_mm)
    _above_zero("wall_mm", wall_mm)
    if bundle_mm < recovered_mm:
        raise OutOfRange(
            "bundle_mm", bundle_mm, f"at least the recovered bore, {recovered_mm} mm", "take a smaller sleeve"
        )
    return (math.sqrt(bundle_mm**2 + 4 * (recovered_mm + wall_mm) * wall_mm) - bundle_mm) / 2


@lru_cache(maxsize=8192)
def sleeve_fit(
    bore: SleeveBore,
    bundle_mm: float,
    length_mm: float,
    passes_mm: float = 0.0,
    thinnest_mm: float | None = None,
) -> SleeveFit:
    """Return how a sleeve fits a section.

    Args:
        bore: the size
        bundle_mm: thickest bundle under it, above 0 [mm]
        length_mm: length of the sleeve, above 0 [mm]
        passes_mm: biggest thing it has to go over on its way, a plug or a finished branch; 0 = none [mm]
        thinnest_mm: thinnest bundle it has to grip, None = `bundle_mm` [mm]
    Raises:
        OutOfRange: an argument outside its range
    Source: larger than the biggest diameter it must pass and tight after shrinking, NASA-STD-8739.4 9.8.1 (as
        cited in the trade); 85 and 75 % from memory; grip from 1.1 times the recovered bore, ours from the
        same.
    """
    thin = bundle_mm if thinnest_mm is None else thinnest_mm
    _above_zero("bundle_mm", bundle_mm)
    _above_zero("thinnest_mm", thin)
    if thin > bundle_mm:
        raise OutOfRange("thinnest_mm", thin, f"at most the thickest bundle, {bundle_mm} mm", "swap the two")
    if passes_mm < 0:
        raise OutOfRange("passes_mm", passes_mm, "0 mm or more", "measure the plug's widest place")
    slides = bundle_mm <= pull_in_share(length_mm) * bore.expanded_mm
    grips = thin >= GRIP.value * bore.recovered_mm
    held = max(bundle_mm, bore.recovered_mm)
    wall = recovered_wall_mm(bore.recovered_mm, bore.wall_mm, held)
    return SleeveFit(bore, slides, passes_mm < bore.expanded_mm, grips, wall, held + 2 * wall)


@dataclass(frozen=True, slots=True)
class SleeveChoice:
    """The size chosen, and how every size of the list fits.

    Attributes:
        chosen: the size to use; None = none of the list slides, passes and shrinks on to the bundle
        lightly: it shrinks on to the bundle with less than 1.1 times its recovered bore to hold on to
        tried: every size, by expanded bore
    """

    chosen: SleeveFit | None
    lightly: bool
    tried: tuple[SleeveFit, ...]


def choose_sleeve(
    bores: Sequence[SleeveBore],
    bundle_mm: float,
    length_mm: float,
    passes_mm: float = 0.0,
    thinnest_mm: float | None = None,
) -> SleeveChoice:
    """Return the largest size of a list that fits: it recovers most and keeps the thickest wall.

    Where a bundle falls between two sizes, too thick to slide into the one and below 1.1 times the recovered
    bore of the other, the smallest that still shrinks on to it is taken, and `lightly` says so.

    Args:
        bores: sizes that can be had
        bundle_mm, length_mm, passes_mm, thinnest_mm: see `sleeve_fit`
    Raises:
        OutOfRange: an argument outside its range
    Source: common practice, largest that still recovers tightly; the recovered bore of a list is the largest
        it may have, so that a bundle above it is touched all round; taking such a size is ours.
    """
    by_bore = sorted(bores, key=lambda one: (one.expanded_mm, one.recovered_mm, one.label))
    tried = tuple(sleeve_fit(one, bundle_mm, length_mm, passes_mm, thinnest_mm) for one in by_bore)
    fitting = [one for one in tried if one.fits]
    if fitting:
        return SleeveChoice(fitting[-1], False, tried)
    thin = bundle_mm if thinnest_mm is None else thinnest_mm
    touching = [one for one in tried if one.slides and one.passes and thin >= one.bore.recovered_mm]
    return SleeveChoice(touching[0] if touching else None, bool(touching), tried)


def window_mm(bore: SleeveBore) -> tuple[float, float]:
    """Return the bundles a size suits: 1.1 times the recovered to 0.85 times the expanded bore [mm].

    Source: common practice and memory, as in `sleeve_fit`, for pieces up to 500 mm.
    """
    return GRIP.value * bore.recovered_mm, PULL_IN_SHORT.value * bore.expanded_mm


def cut_length_mm(finished_mm: float, over: float = CUT_OVER.value) -> float:
    """Return the length to cut a sleeve to.

    Args:
        finished_mm: length it has to cover after recovery, overlaps included, above 0 [mm]
        over: what is added against shortening, as a share, 0 to 0.15
    Raises:
        OutOfRange: an argument outside its range
    Source: 5 % common practice; ordinary polyolefin 5 to 7 %, some 5 to 15 %.
    """
    _above_zero("finished_mm", finished_mm)
    if not 0 <= over <= 0.15:
        raise OutOfRange("over", over, "0 to 0.15", "take the change of length from the sleeve's sheet")
    return finished_mm * (1 + over)


def _above_zero(name: str, value: float) -> None:
    if not value > 0:
        raise OutOfRange(name, value, "above 0 mm", "enter what was measured or computed")
