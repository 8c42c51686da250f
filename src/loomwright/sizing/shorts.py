"""Does the fuse protect the wire: dead short at its far end, guide chart."""

from dataclasses import dataclass
from typing import Final

from loomwright.calc.fault_current import short_cleared
from loomwright.calc.fuses import FuseKind, cold_ohm, guide_fuse
from loomwright.errors import OutOfRange
from loomwright.library.wires import WireSize
from loomwright.model.circuit import Protection
from loomwright.model.job import Job
from loomwright.sources import OURS, Source

BLADES: Final[tuple[tuple[str, FuseKind], ...]] = (
    ("mini fuse", "F"),
    ("blade fuse", "C"),
    ("maxi fuse", "E"),
)


@dataclass(frozen=True, slots=True)
class Short:
    """A dead short at a wire's far end; None where nothing can be said of this kind of protection."""

    short_a: float | None
    clears_s: float | None
    stands_s: float | None
    ok: bool | None
    source: Source


NOT_SAID: Final = Short(None, None, None, None, OURS)


def short_of(
    job: Job,
    fuse: Protection | None,
    size: WireSize,
    own_ohm: float,
    before_ohm: float,
    start_c: float,
    limit_a: float,
) -> Short:
    """Return what a dead short at the far end of a wire does.

    Args:
        fuse: what protects it; None = nothing
        own_ohm: the wire at 20 degrees C [ohm]
        before_ohm: wires between the source and this wire [ohm]
        start_c: conductor before the short [degrees C]
        limit_a: what the wire carries for ever [A]
    """
    kind = dict(BLADES).get(fuse.kind) if fuse is not None else None
    if fuse is None or kind is None or own_ohm <= 0:
        return NOT_SAID
    try:
        in_fuse = cold_ohm(kind, fuse.amps)
        found = short_cleared(
            volts=job.supply.volts,
            source_ohm=job.supply.ohm + before_ohm,
            wire_ohm_20c=own_ohm,
            contact_ohm=(in_fuse.value if in_fuse is not None else 0.0) + job.shop.contact_ohm.value,
            area_mm2=size.area_mm2,
            class_c=size.class_c,
            start_c=min(start_c, size.class_c),
            kind=kind,
            rating_a=fuse.amps,
            wire_limit_a=limit_a,
        )
    except OutOfRange:
        return NOT_SAID
    return Short(found.short_a, found.clears_in_s, found.wire_withstands_s, found.ok, found.source)


def guide_fuse_a(area_mm2: float) -> float | None:
    """Return the guide chart's fuse for a wire [A], None outside it. Source: AC 43.13-1B Table 11-3."""
    try:
        return guide_fuse(area_mm2).fuse_a
    except OutOfRange:
        return None
