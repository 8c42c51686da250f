"""The body and cover of every splice, by the summed copper of its wires."""

import math
from collections.abc import Mapping

from loomwright.errors import OutOfRange
from loomwright.library.splices import SpliceSize, splice_sizes, splices_for
from loomwright.library.wires import WireSize
from loomwright.model.job import Job
from loomwright.routing.routed import Routed, Splice
from loomwright.sizing.sized import SpliceSizing


def splice_bodies(job: Job, routed: Routed, size: Mapping[str, WireSize]) -> tuple[SpliceSizing, ...]:
    """Return the smallest body that takes each splice; `fits` is False where none of the kind does."""
    return tuple(_body(job.shop.splice_kind, splice, size) for splice in routed.splices)


def _body(kind: str, splice: Splice, size: Mapping[str, WireSize]) -> SpliceSizing:
    wires = [size[w] for w in splice.wires]
    summed = math.fsum(w.area_mm2 for w in wires)
    try:
        taking = splices_for(kind, summed, len(wires))
    except OutOfRange:
        taking, kind = (), "open barrel"
    body = taking[0] if taking else _nearest(kind, summed)
    return SpliceSizing(
        splice=splice.name,
        kind=kind,
        size=body.label,
        sum_mm2=summed,
        window=(body.mm2_min, body.mm2_max),
        length_mm=body.length_mm,
        cover_mm=body.cover_length_mm,
        lump_mm=body.body_od_mm,
        fits=bool(taking),
        source=body.source,
    )


def _nearest(kind: str, summed_mm2: float) -> SpliceSize:
    """The size whose window lies nearest to the sum, to show by how much it is missed."""
    return min(splice_sizes(kind), key=lambda one: max(one.mm2_min - summed_mm2, summed_mm2 - one.mm2_max))
