"""The glue-lined piece over every branch point, and the grommet with all that has to pass its hole."""

import math
from collections.abc import Mapping

from loomwright.calc.sleeve_fit import SleeveBore, sleeve_fit
from loomwright.calc.sleeve_other import contacts_need_mm, glue_over_leg_mm, grommet_bore_mm, hole_needs_mm
from loomwright.errors import OutOfRange
from loomwright.library.coverings import SleeveSize, cover, sleeve
from loomwright.library.coverings import grommets as stock_grommets
from loomwright.model.job import Job, Loom
from loomwright.model.tree import Tree
from loomwright.routing.routed import Routed, section_key
from loomwright.sizing.sized import BranchCover, Grommet, SleevePiece
from loomwright.sources import OURS, PRACTICE, Source

STEP_MM = 5.0  # ours: pieces are cut to this step
TAPE = "self-fusing silicone tape"  # it bonds to itself and stands the bay's heat
TAPE_WIDE_MM = 25.0


def branch_covers(job: Job, routed: Routed, sleeves: Mapping[str, SleevePiece]) -> tuple[BranchCover, ...]:
    """Return the piece over every branch point where sections with wires meet, in tree order."""
    found = []
    for tree in routed.trees:
        for point in tree.branch_points:
            legs = _legs(tree, point, sleeves)
            if len(legs) > 1:
                found.append(_cover(job, tree.loom, point, legs, point in tree.into))
    return tuple(found)


def _legs(tree: Tree, point: str, sleeves: Mapping[str, SleevePiece]) -> tuple[SleevePiece, ...]:
    """The sections that meet at a point, the one from the datum first."""
    before = (tree.into[point],) if point in tree.into else ()
    keys = (section_key(tree.loom, s.name) for s in (*before, *tree.out_of.get(point, ())))
    return tuple(sleeves[key] for key in keys if key in sleeves)


def _cover(job: Job, loom: str, point: str, legs: tuple[SleevePiece, ...], has_root: bool) -> BranchCover:
    overlaps = tuple((leg.section, _overlap(job, leg.finished_mm)) for leg in legs)
    together = math.sqrt(math.fsum(leg.finished_mm**2 for leg in (legs[1:] if has_root else legs)))
    sides = (legs[0].finished_mm, together) if has_root else (together, together)
    over, smallest = max(sides), min(sides)
    cut = overlaps[0][1] + max(mm for _, mm in overlaps[1:])
    try:
        kind = sleeve(job.shop.branch_cover)
    except OutOfRange as no:
        return BranchCover(
            loom, point, job.shop.branch_cover, "", overlaps, over, smallest, cut, False, str(no), OURS
        )
    length = math.ceil(cut * (1 + kind.shortens_pct / 100) / STEP_MM - 1e-9) * STEP_MM
    size = next((s for s in kind.sizes if _fits(s, over, smallest, cut)), None)
    if size is None and any(leg.what != "sleeve" for leg in legs):
        return _taped(loom, point, overlaps, over, smallest, cut)
    words = "" if size else f"no size goes over {over:.1f} mm and shrinks on to {smallest:.1f} mm"
    label, source = (size.label, size.source) if size else ("", kind.source)
    return BranchCover(
        loom, point, kind.name, label, overlaps, over, smallest, length, size is not None, words, source
    )


def _taped(
    loom: str, point: str, overlaps: tuple[tuple[str, float], ...], over: float, smallest: float, cut: float
) -> BranchCover:
    """The binding of a point where bare, braided, taped or split-tube legs meet and no glue-lined size fits.

    The tape goes half lapped from the end of one overlap to the other, round the thick side all along [ours].
    """
    kind = cover(TAPE)
    size = kind.sizes[0]
    turns = cut / (TAPE_WIDE_MM / 2)
    mm = math.ceil(turns * math.pi * over / STEP_MM - 1e-9) * STEP_MM
    words = "bound with tape: legs without shrink sleeve meet here, and no glue-lined size goes on and grips"
    return BranchCover(
        loom, point, kind.name, size.label, overlaps, over, smallest, mm, True, words, OURS, taped=True
    )


def _overlap(job: Job, leg_mm: float) -> float:
    return max(glue_over_leg_mm(leg_mm)[0], job.shop.branch_overlap_mm.value)


def _fits(size: SleeveSize, over_mm: float, smallest_mm: float, length_mm: float) -> bool:
    bore = SleeveBore(size.label, size.expanded_id_mm, size.recovered_id_mm, size.wall_mm)
    found = sleeve_fit(bore, over_mm, length_mm, over_mm, smallest_mm)
    return found.passes and found.grips  # it moves by its own length only, so it need not slide easily


def grommets(job: Job, routed: Routed, sleeves: Mapping[str, SleevePiece]) -> tuple[Grommet, ...]:
    """Return the grommet of every loom whose datum is a hole."""
    return tuple(
        _grommet(job, loom, routed.tree[loom.name], sleeves)
        for loom in job.looms
        if loom.hole_mm is not None and loom.name in routed.tree
    )


def _grommet(job: Job, loom: Loom, tree: Tree, sleeves: Mapping[str, SleevePiece]) -> Grommet:
    hole = loom.hole_mm or 0.0
    at_hole = [
        sleeves[k]
        for s in tree.out_of.get(tree.datum, ())
        if (k := section_key(tree.loom, s.name)) in sleeves
    ]
    od = max((piece.finished_mm for piece in at_hole), default=0.0)
    bundle = max((piece.bundle_mm for piece in at_hole), default=0.0)
    needs, name, source = _biggest(job, tree, bundle)
    try:
        inside = sum(grommet_bore_mm(od)) / 2
    except OutOfRange:
        inside = od
    suits = [
        g.label
        for g in stock_grommets()
        if g.min_bundle_mm <= od <= g.max_bundle_mm and g.panel_hole_mm <= hole
    ]
    words = (
        f"grommet {suits[0]}"
        if suits
        else "no grommet in the library suits hole and bundle; take one cut to size"
    )
    return Grommet(loom.name, hole, od, inside, words, max(needs, od), name, max(needs, od) <= hole, source)


def _biggest(job: Job, tree: Tree, bundle_mm: float) -> tuple[float, str, Source]:
    """The biggest thing that must go through the hole: a housing fitted before, else bare contacts."""
    found = [(contacts_need_mm(bundle_mm) if bundle_mm > 0 else 0.0, "bare contacts, staggered")]
    for end in tree.ends:
        connector = job.connector.get(end)
        if connector is None or connector.through_bulkhead != "before":
            continue
        if connector.width_mm and connector.height_mm:
            found.append((hole_needs_mm(connector.width_mm, connector.height_mm), f"housing of {end}"))
    return (*max(found), PRACTICE)
