"""What a loom weighs: copper, insulation and cable jackets, coverings."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.checks.worked import Worked
from loomwright.library.wires import COPPER_G_PER_CM3, cables
from loomwright.planning.price_reels import Reel, reels
from loomwright.sources import MEMORY, Figure, Mark, Source

SLEEVE_G_PER_CM3: Final = Figure(1.3, MEMORY)
"""Density of coverings, filled polyolefin and elastomer alike."""
MASS_SOURCE: Final = Source(
    Mark.OURS, "wire by its table or by volume, coverings as rings of 1.3 g/cm3; no contacts, covers, splices"
)


@dataclass(frozen=True, slots=True)
class Mass:
    """Mass of a loom [g].

    Attributes:
        copper_g: conductors alone, strands as laid
        wire_g: wires and cables whole
        sheath_g: coverings of sections
    """

    copper_g: float
    wire_g: float
    sheath_g: float
    source: Source

    @property
    def total_g(self) -> float:
        """Wire and coverings; contacts, plugs, splices and covers are not weighed [g]."""
        return self.wire_g + self.sheath_g


def mass(worked: Worked) -> Mass:
    """Return what a worked-out loom weighs, by cut lengths."""
    weighed = [_reel(one) for one in reels(worked, worked.routed.wires)]
    return Mass(
        math.fsum(copper for copper, _ in weighed),
        math.fsum(whole for _, whole in weighed),
        math.fsum(_sheaths(worked)),
        MASS_SOURCE,
    )


def _reel(reel: Reel) -> tuple[float, float]:
    """Copper and whole mass of what is cut from a reel [g]."""
    metres, size = reel.length_mm / 1000, reel.size
    copper = size.area_mm2 * COPPER_G_PER_CM3 * metres  # mm2 x g/cm3 = g/m
    if not reel.is_cable:
        return copper, max(copper, size.mass_g_per_m * metres)
    stock = cables().get(reel.cable)
    if stock is not None:
        copper = stock.cores * stock.core_area_mm2 * COPPER_G_PER_CM3 * metres
        return copper, max(copper, stock.mass_g_per_m * metres)
    cores = sum(not one.screen for one in reel.wires) / reel.pieces
    return cores * copper, cores * max(copper, size.mass_g_per_m * metres)


def _sheaths(worked: Worked) -> Iterator[float]:
    for one in worked.sized.sleeves:
        ring_mm2 = math.pi * one.wall_mm * max(0.0, one.finished_mm - one.wall_mm)
        yield ring_mm2 * SLEEVE_G_PER_CM3.value * one.section_mm / 1000
