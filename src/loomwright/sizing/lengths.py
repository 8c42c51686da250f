"""How long every wire is cut: a sum whose every term can be read."""

import math
from collections.abc import Iterator
from typing import Final

from loomwright.calc.layup import pair_take_up
from loomwright.model.job import Job
from loomwright.model.tree import Section
from loomwright.model.words import CableKind, Supplied
from loomwright.routing.routed import EndKind, Routed, Step, Wire, WireEnd
from loomwright.sizing.sized import Term, WireLength
from loomwright.sizing.ways import way_doubt_mm

STIFF_FAMILIES: Final = ("controller", "box", "mating half")


def wire_lengths(job: Job, routed: Routed, od_mm: dict[str, float]) -> tuple[WireLength, ...]:
    """Return the cut length of every wire.

    Args:
        od_mm: outside diameter of every wire by identity [mm], for the twist's take-up
    """
    return tuple(_length(job, routed, wire, od_mm[wire.identity]) for wire in routed.wires)


def _length(job: Job, routed: Routed, wire: Wire, od_mm: float) -> WireLength:
    sections = routed.tree[wire.loom].by_name
    terms = [Term(_step_words(step, sections[step.section]), step.mm) for step in wire.way]
    terms += [t for t in (_take_up(job, wire, sections, od_mm),) if t.mm > 0]
    trims = []
    for end in (wire.a, wire.b):
        allowance, trim = _at_end(job, end)
        terms += [t for t in (allowance, trim) if t.mm]
        trims.append(trim.mm)
    exact = math.fsum(term.mm for term in terms)
    step_mm = job.shop.cut_step_mm.value
    return WireLength(
        wire=wire.identity,
        terms=tuple(terms),
        path_mm=wire.path_mm,
        exact_mm=exact,
        cut_mm=math.ceil(exact / step_mm - 1e-9) * step_mm,
        doubt_mm=way_doubt_mm(sections[step.section] for step in wire.way),
        trim_a_mm=trims[0],
        trim_b_mm=trims[1],
    )


def _step_words(step: Step, section: Section) -> str:
    whole = abs(step.mm - section.length_mm) < 1e-9
    return section.name if whole else f"{section.name}, {step.mm:.0f} of {section.length_mm:.0f}"


def _take_up(job: Job, wire: Wire, sections: dict[str, Section], od_mm: float) -> Term:
    shop = job.shop
    total = 0.0
    for step in wire.way:
        passes = sections[step.section].passes
        lay = (passes.lay if passes and passes.lay else "") or shop.lay
        figure = shop.take_up_concentric if lay == "concentric" else shop.take_up_straight
        total += step.mm * figure.value
    words = "take-up of the lay"
    cable = next((c for c in job.cables if c.name == wire.cable), None)
    if cable is not None and not cable.stock and cable.kind in (CableKind.PAIR, CableKind.TRIO):
        pitch_mm = cable.pitch_mm or shop.pair_pitch_mm.value
        total += wire.path_mm * pair_take_up(od_mm, pitch_mm)
        words = "take-up of lay and twist"
    return Term(words, total)


def beyond_mm(job: Job, end: WireEnd) -> float:
    """Return how much of a wire as cut lies beyond its way at one end: allowance and trim [mm]."""
    return sum(term.mm for term in _at_end(job, end))


def _at_end(job: Job, end: WireEnd) -> tuple[Term, Term]:
    """The allowance beyond the tree's end, and the trim left there."""
    shop = job.shop
    where = end.name
    match end.kind:
        case EndKind.SPLICE:
            return Term(f"into splice {where}", shop.splice_end_mm.value), Term("", 0.0)
        case EndKind.DRAIN_CUT:
            return Term("", 0.0), Term("", 0.0)
        case EndKind.JOINT:
            return (
                Term(f"into the joint of {where}", shop.splice_end_mm.value),
                Term(f"trim at {where}", shop.trim_mm.value),
            )
        case EndKind.STUD:
            trim = 0.0 if is_fixed(job, where.rsplit(":", 1)[0]) else shop.trim_mm.value
            return Term(f"ring at {where}", shop.stud_end_mm.value), Term(f"trim at {where}", trim)
        case EndKind.SEALED:
            return Term(f"sealed end at {where}", shop.service_mm.value), Term("", 0.0)
        case EndKind.PIN:
            return _at_contact(job, where)


def _at_contact(job: Job, pin_id: str) -> tuple[Term, Term]:
    end = pin_id.rsplit(":", 1)[0]
    connector, shop = job.connector[end], job.shop
    fixed = is_fixed(job, end)
    usual = shop.fixed_end_mm.value if fixed else shop.service_mm.value
    allowance = usual if connector.allowance_mm is None else connector.allowance_mm
    trim = 0.0 if fixed else shop.trim_mm.value
    return Term(f"to the contact of {pin_id}", allowance), Term(f"trim at {end}", trim)


def is_fixed(job: Job, end: str) -> bool:
    """Return whether an end is fixed first and gets no trim.

    The builder's word counts; else controllers, boxes and mated halves are fixed.
    """
    connector = job.connector[end]
    if connector.fixed is not None:
        return connector.fixed
    if connector.supplied is not Supplied.PLUG:
        return False
    return bool(connector.mates) or job.device[connector.device].family in STIFF_FAMILIES


def trimmed_ends(job: Job, routed: Routed) -> Iterator[str]:
    """Yield the rope ends that are trimmed at fit."""
    return (
        end for tree in routed.trees for end in tree.ends if end in job.connector and not is_fixed(job, end)
    )
