"""Everything that has a size, in the one order it can be worked out in."""

import math
from collections.abc import Mapping
from typing import Final

from loomwright.calc.rope import rope_for
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.routing.routed import Routed, section_key
from loomwright.sizing.branch_covers import branch_covers, grommets
from loomwright.sizing.bundles import bundles
from loomwright.sizing.conductors import conductors
from loomwright.sizing.coverings import section_coverings
from loomwright.sizing.lengths import wire_lengths
from loomwright.sizing.sized import RopeBuy, Sized, SleevePiece
from loomwright.sizing.splice_bodies import splice_bodies

ROPE_OVER_MM: Final = 100.0  # ours: rope is bought with this much over
USUAL_ROPES: Final = ((1, 4.0), (3, 7.0), (8, 11.0), (math.inf, 15.0))
"""Common practice: 4 mm to one device, 6-8 a branch, 10-12 a bank, 14-16 the trunk; ends beyond, ours."""


def size_up(job: Job, routed: Routed) -> Sized:
    """Return lengths, conductors, bundles and coverings of a routed job."""
    rows, rounds = conductors(job, routed)
    size = {row.wire: row.size for row in rows}
    found = bundles(job, routed, size)
    by_section = {bundle.section: bundle for bundle in found}
    bodies = splice_bodies(job, routed, size)
    pieces = section_coverings(job, routed, by_section, {body.splice: body for body in bodies})
    by_piece = {piece.section: piece for piece in pieces}
    return Sized(
        lengths=wire_lengths(job, routed, {name: one.od_nom_mm for name, one in size.items()}),
        conductors=rows,
        bundles=found,
        sleeves=pieces,
        branch_covers=branch_covers(job, routed, by_piece),
        grommets=grommets(job, routed, by_piece),
        ropes=_ropes(routed, by_piece),
        splices=bodies,
        rounds=rounds,
        findings=(),
    )


def _ropes(routed: Routed, pieces: Mapping[str, SleevePiece]) -> tuple[RopeBuy, ...]:
    """Rope for every section; where no wires are known yet its thickness goes by the ends beyond it."""
    found = []
    for tree in routed.trees:
        beyond = _ends_beyond(tree)
        for section in tree.sections:
            key = section_key(tree.loom, section.name)
            od = pieces[key].finished_mm if key in pieces else _usual_rope_mm(beyond[section.outer])
            found.append(RopeBuy(key, rope_for(od).diameter_mm, section.length_mm + ROPE_OVER_MM))
    return tuple(found)


def _ends_beyond(tree: Tree) -> dict[str, int]:
    beyond: dict[str, int] = {}
    for section in reversed(tree.sections):
        beyond.setdefault(section.outer, 1)
        beyond[section.inner] = beyond.get(section.inner, 0) + beyond[section.outer]
    return beyond


def _usual_rope_mm(ends: int) -> float:
    return next(mm for most, mm in USUAL_ROPES if ends <= most)
