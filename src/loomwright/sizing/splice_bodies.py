"""The body and cover of every splice: by the summed copper of its wires, and by which side each enters."""

import math
from collections.abc import Iterator, Mapping
from typing import Final

from loomwright.calc.sleeve_fit import SleeveBore, sleeve_fit
from loomwright.errors import OutOfRange
from loomwright.library.coverings import SleeveSize, sleeve
from loomwright.library.splices import SpliceSize, splice_sizes, splices_for
from loomwright.library.wires import WireSize
from loomwright.model.job import Job
from loomwright.routing.routed import Routed, Splice, Wire
from loomwright.sizing.bundles import laid
from loomwright.sizing.sized import SpliceCover, SpliceSizing

COVERS: Final = ("glue-lined 3:1", "glue-lined 4:1")  # the first that passes the body and grips; ours


def splice_bodies(job: Job, routed: Routed, size: Mapping[str, WireSize]) -> tuple[SpliceSizing, ...]:
    """Return the smallest body that takes each splice; `fits` is False where none of the kind does."""
    return tuple(_body(job, routed, splice, size) for splice in routed.splices)


def _body(job: Job, routed: Routed, splice: Splice, size: Mapping[str, WireSize]) -> SpliceSizing:
    kind = job.shop.splice_kind
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
        cover=_cover(job, routed, splice, body, size),
    )


def _nearest(kind: str, summed_mm2: float) -> SpliceSize:
    """The size whose window lies nearest to the sum, to show by how much it is missed."""
    return min(splice_sizes(kind), key=lambda one: max(one.mm2_min - summed_mm2, summed_mm2 - one.mm2_max))


def sides(splice: Splice, wires: Mapping[str, Wire]) -> tuple[tuple[Wire, ...], tuple[Wire, ...]]:
    """Return the wires that reach a splice from its section's inner end, and those from the outer, by number.

    Args:
        wires: wires by identity; one whose way beside the splice has no length counts as from the outer end
    """
    inner: list[Wire] = []
    outer: list[Wire] = []
    for wire in sorted((wires[i] for i in splice.wires), key=lambda w: w.number):
        for mm in _beside(splice, wire):
            (inner if mm < splice.place.mm else outer).append(wire)
    return tuple(inner), tuple(outer)


def _beside(splice: Splice, wire: Wire) -> Iterator[float]:
    """Where a wire comes from in the splice's own section, for each of its ends in the splice [mm]."""
    if wire.a.name == splice.name:
        yield wire.way[0].to_mm if wire.way else splice.place.mm
    if wire.b.name == splice.name:
        yield wire.way[-1].from_mm if wire.way else splice.place.mm


def _cover(
    job: Job, routed: Routed, splice: Splice, body: SpliceSize, size: Mapping[str, WireSize]
) -> SpliceCover:
    """The cover: it waits on all wires of the side with fewer, passes the body and grips the thinner side."""
    inner, outer = sides(splice, routed.wire)
    both = [side for side in (inner, outer) if side]
    mm = [_bundle_mm(job, side, size) for side in both]
    waits = min(zip(both, mm, strict=True), key=lambda one: (len(one[0]), one[1]))
    over, onto = max(body.body_od_mm, *mm), min(mm)
    kind, found = _smallest(over, onto, body.cover_length_mm)
    words = (
        "" if found else f"no size goes over {over:.1f} mm and grips {onto:.1f} mm: build the thin side up"
    )
    return SpliceCover(
        type=kind if found else COVERS[0],
        size=found.label if found else "",
        over_mm=over,
        onto_mm=onto,
        waits_on=_labels(waits[0]),
        inner=_labels(inner),
        outer=_labels(outer),
        words=words,
        source=found.source if found else sleeve(COVERS[0]).source,
    )


def _labels(wires: tuple[Wire, ...]) -> tuple[str, ...]:
    return tuple(w.label for w in wires)


def _bundle_mm(job: Job, side: tuple[Wire, ...], size: Mapping[str, WireSize]) -> float:
    return laid(
        tuple(sorted(size[w.identity].od_nom_mm for w in side)), job.shop.bundle_factor.value
    ).as_laid_mm


def _smallest(over_mm: float, onto_mm: float, length_mm: float) -> tuple[str, SleeveSize | None]:
    for kind in COVERS:
        for one in sleeve(kind).sizes:
            bore = SleeveBore(one.label, one.expanded_id_mm, one.recovered_id_mm, one.wall_mm)
            found = sleeve_fit(bore, over_mm, length_mm, over_mm, onto_mm)
            if found.slides and found.passes and found.grips:
                return kind, one
    return "", None
