"""From circuits and trees to wires with their ways: the order of work of routing."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from loomwright.findings import Finding
from loomwright.model.circuit import LoomPlace
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.routing import findings as say
from loomwright.routing.cables import bus_order, spares, with_cables
from loomwright.routing.draft import Draft, DraftEnd, SpliceDraft, WireDraft, together
from loomwright.routing.field import Field, lay_out, not_on_a_rope
from loomwright.routing.joins import drafted
from loomwright.routing.naming import colour_of, natural, numbers_for, splice_names_for
from loomwright.routing.places import Placed, placed
from loomwright.routing.routed import EndKind, Routed, Splice, Step, Wire, WireEnd
from loomwright.routing.screens import screens
from loomwright.routing.ways import Spot, shortened

LEAST_WIRE_MM: Final = 50.0  # left between a lead's joint and the wire's other end [ours]


def route(job: Job, trees: tuple[Tree, ...]) -> Routed:
    """Return the electrical loom laid into its trees.

    Args:
        job: devices, circuits, cables, spares and what was kept
        trees: one tree for every loom
    Returns:
        wires with their ways, splices with their places, commons, joins and what is to be told
    """
    field = lay_out(job, trees)
    draft = _draft(field)
    names = splice_names_for((s.identity for s in draft.splices), job.kept.splice_names)
    rows, told = placed(field, draft.splices, names)
    wires, leads = _wires(field, draft.wires, {r.draft.identity: r for r in rows}, names)
    commoned = frozenset(pin for c in draft.commons for pin in c.pins)
    off = not_on_a_rope(field, commoned)
    crossings = tuple(x for circuit in field.crossings.values() for x in circuit)
    findings = (*field.findings, *off, *draft.findings, *told, *leads)
    return Routed(
        trees, wires, _splices(rows, draft.wires, names), draft.commons, draft.joins, findings, crossings
    )


def _draft(field: Field) -> Draft:
    """Return everything before places and numbers."""
    names = dict.fromkeys((*(c.name for c in field.job.circuits), *field.pins_of))
    live = [name for name in names if name in field.pins_of]
    screen_of = {cable.screen for cable in field.job.cables if cable.screen}
    plain = [name for name in live if name not in screen_of]
    joined = together(drafted(field, field.circuit(n), bus_order(field, n)) for n in plain)
    cores = with_cables(field, joined.wires)
    screened = screens(field, cores)
    whole = together((replace(joined, wires=cores), screened, spares(field)))
    return replace(whole, findings=(*whole.findings, *_unused_places(field, whole.splices)))


def _unused_places(field: Field, splices: Iterable[SpliceDraft]) -> list[Finding]:
    """Return what is to be told of places the builder named and no splice takes."""
    used = {s.circuit for s in splices if s.fixed is not None}
    circuits = (c for c in field.job.circuits if c.splice_at is not None and c.name not in used)
    return [say.stated_place_unknown(c, c.splice_at) for c in circuits if c.splice_at is not None]


def _splices(rows: Sequence[Placed], wires: Iterable[WireDraft], names: dict[str, str]) -> tuple[Splice, ...]:
    of: dict[str, list[str]] = {}
    for wire in wires:
        for end in (wire.a, wire.b):
            if isinstance(end, SpliceDraft):
                of.setdefault(end.identity, []).append(wire.identity)
    return tuple(
        Splice(
            r.draft.identity,
            names[r.draft.identity],
            r.draft.circuit,
            r.draft.loom,
            r.place,
            tuple(of.get(r.draft.identity, ())),
            r.near,
            r.behind_plug,
            r.chosen,
            r.better,
        )
        for r in rows
    )


def _wires(
    field: Field, drafts: Sequence[WireDraft], at: dict[str, Placed], names: dict[str, str]
) -> tuple[tuple[Wire, ...], list[Finding]]:
    """Return the wires with way, number and colour, by loom and circuit in the order of the job."""
    turn = {name: i for i, name in enumerate(dict.fromkeys((*field.job.circuit, *field.pins_of)))}
    looms = {name: i for i, name in enumerate(field.looms)}

    def order(draft: WireDraft) -> tuple[int, int, int, tuple[tuple[int, int, str], ...]]:
        own = len(turn) if draft.spare else turn.get(draft.circuit, len(turn))
        return looms[draft.loom], own, int(draft.screen), natural(draft.identity)

    drafts = sorted(drafts, key=order)
    numbers = numbers_for((d.identity for d in drafts), field.job.kept.wire_numbers)
    colours = _colours(field, drafts)
    found, told = [], []
    for draft in drafts:
        a, b, way, notes = _way(field, draft, at, names)
        told.extend(notes)
        identity = draft.identity
        found.append(
            Wire(
                identity,
                numbers[identity],
                draft.circuit,
                draft.kind,
                draft.loom,
                a,
                b,
                colours[identity],
                way,
                draft.cable,
                draft.screen,
                draft.spare,
            )
        )
    return tuple(found), told


def _colours(field: Field, drafts: Iterable[WireDraft]) -> dict[str, str]:
    """Return the colour of every wire: the builder's, the one kept, else its circuit's; a screen is bare."""
    kept, shelf = dict(field.job.kept.colours), field.job.shop.colours
    found = {}
    for draft in drafts:
        given = "" if draft.spare else field.circuit(draft.circuit).colour
        chosen = given or kept.get(draft.identity) or colour_of(draft.circuit, draft.kind, shelf)
        found[draft.identity] = "" if draft.screen else chosen
    return found


def _way(
    field: Field, draft: WireDraft, at: dict[str, Placed], names: dict[str, str]
) -> tuple[WireEnd, WireEnd, tuple[Step, ...], list[Finding]]:
    """Return both ends of a wire and its way, leads that come with plugs taken off."""
    a, b = (_end(field, draft.loom, end, at, names) for end in (draft.a, draft.b))
    spots: list[Spot] = [end.place or end.point for end in (a, b)]
    way = field.ways[draft.loom].steps(spots[0], spots[1])
    whole = sum(step.mm for step in way)
    told: list[Finding] = []
    ends = [a, b]
    leads = [_lead_mm(end) for end in (draft.a, draft.b)]
    room = max(0.0, whole - LEAST_WIRE_MM)
    for i, (own, lead) in enumerate(zip((draft.a, draft.b), leads, strict=True)):
        if lead <= 0 or isinstance(own, SpliceDraft):
            continue
        other = leads[1 - i]
        cut = min(lead, room * lead / (lead + other))
        if lead + other > room:
            connector = field.job.connector[own.end]
            told.append(say.lead_longer_than_way(connector, own.name, lead, whole))
        else:
            cut = lead
        start = way if i == 0 else _turned(way)
        left, place = shortened(start, cut)
        way = left if i == 0 else _turned(left)
        ends[i] = WireEnd(EndKind.JOINT, own.name, own.point, place)
    return ends[0], ends[1], way, told


def _lead_mm(end: DraftEnd) -> float:
    return 0.0 if isinstance(end, SpliceDraft) or end.kind is not EndKind.JOINT else end.lead_mm


def _turned(way: tuple[Step, ...]) -> tuple[Step, ...]:
    return tuple(Step(s.section, s.to_mm, s.from_mm) for s in reversed(way))


def _end(field: Field, loom: str, end: DraftEnd, at: dict[str, Placed], names: dict[str, str]) -> WireEnd:
    if isinstance(end, SpliceDraft):
        place: LoomPlace = at[end.identity].place
        outer = field.ways[loom].tree.by_name[place.section].outer
        return WireEnd(EndKind.SPLICE, names[end.identity], outer, place)
    return WireEnd(end.kind, end.name, end.point)
