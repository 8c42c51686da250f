"""How thick every section's bundle is: packed, as the hand lays it, or as measured."""

from collections.abc import Mapping
from functools import lru_cache

from loomwright.calc.bundle import BundleSize, bundle_size
from loomwright.library.wires import WireSize
from loomwright.model.job import Job
from loomwright.model.tree import Section
from loomwright.model.words import CableKind
from loomwright.routing.routed import Routed, Wire, section_key
from loomwright.sizing.choices import stock_of
from loomwright.sizing.sized import Bundle
from loomwright.sources import BUILDER

TRIO_IN_CIRCLE = 1 + 2 / 3**0.5  # three touching circles in one; plane geometry, exact


@lru_cache(maxsize=16384)
def laid(items: tuple[float, ...], factor: float) -> BundleSize:
    """Return the size of a bundle of these diameters (sorted), remembered."""
    return bundle_size(items, factor)


def bundles(job: Job, routed: Routed, size: Mapping[str, WireSize]) -> tuple[Bundle, ...]:
    """Return the bundle of every section that holds a wire, in tree order."""
    cable_od = {c.name: _cable_od(job, c.name, c.kind, routed, size) for c in job.cables}
    found = []
    for tree in routed.trees:
        for section in tree.sections:
            wires = routed.in_section.get(section_key(tree.loom, section.name), ())
            if wires:
                found.append(_bundle(job, section, wires, size, cable_od))
    return tuple(found)


def items_of(
    wires: tuple[Wire, ...], size: Mapping[str, WireSize], cable_od: Mapping[str, float]
) -> tuple[float, ...]:
    """Return the diameters that lie in a section: every cable counts once, sorted [mm]."""
    single = [size[w.identity].od_nom_mm for w in wires if not cable_od.get(w.cable)]
    cables = {w.cable for w in wires if cable_od.get(w.cable)}
    return tuple(sorted([*single, *(cable_od[name] for name in cables)]))


def _cable_od(job: Job, name: str, kind: CableKind, routed: Routed, size: Mapping[str, WireSize]) -> float:
    stock = stock_of(job, name)
    if stock is not None:
        return stock.od_max_mm
    cores = [size[w.identity].od_nom_mm for w in routed.wires if w.cable == name and not w.screen]
    if not cores:
        return 0.0
    return max(cores) * (TRIO_IN_CIRCLE if kind is CableKind.TRIO else 2.0)


def _bundle(
    job: Job,
    section: Section,
    wires: tuple[Wire, ...],
    size: Mapping[str, WireSize],
    cable_od: Mapping[str, float],
) -> Bundle:
    items = items_of(wires, size, cable_od)
    found = laid(items, job.shop.bundle_factor.value)
    measured = section.passes.measured_od_mm if section.passes else None
    return Bundle(
        section=section_key(section.loom, section.name),
        items=items,
        wires=sum(1 for w in wires if not w.screen),
        packed_min_mm=found.packed_min_mm,
        lower_bound_mm=found.lower_bound_mm,
        as_laid_mm=found.as_laid_mm if measured is None else measured,
        low_mm=found.low_mm if measured is None else measured,
        high_mm=found.high_mm if measured is None else measured,
        measured=measured is not None,
        source=found.source if measured is None else BUILDER,
    )
