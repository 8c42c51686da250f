"""One row per wire: load, limits, fuse, what governs; never a bare "this gauge carries x A"."""

from collections.abc import Mapping

from loomwright.model.job import Job
from loomwright.routing.routed import Routed, Wire
from loomwright.sizing.choices import Choice, choices
from loomwright.sizing.drops import Ways
from loomwright.sizing.fits import fits_of
from loomwright.sizing.growth import Grown, grow, limit_v
from loomwright.sizing.loads import Load, Loads
from loomwright.sizing.nets import nets_of
from loomwright.sizing.shorts import guide_fuse_a, short_of
from loomwright.sizing.sized import Conductor
from loomwright.sources import Mark, Source


def conductors(job: Job, routed: Routed) -> tuple[tuple[Conductor, ...], int]:
    """Return every wire's conductor, in the order of the wires, and the number of rounds it took."""
    nets = nets_of(job, routed)
    loads = Loads(job, nets)
    carried = loads.in_wires()
    ways = Ways(job, nets)
    on_amps = {pin.id: loads.at_pin(pin).on_a for pin in job.pins}
    allowed = choices(job, routed.wires)
    grown = grow(job, routed, allowed, carried, ways, on_amps)
    ohms = {w.identity: grown.size[w.identity].ohm_per_m_20c_max * w.path_mm / 1000 for w in routed.wires}
    rows = (
        _row(job, w, allowed[w.identity], carried.get(w.identity, Load()), grown, ways, ohms)
        for w in routed.wires
    )
    return tuple(rows), grown.rounds


def _row(
    job: Job, wire: Wire, choice: Choice, load: Load, grown: Grown, ways: Ways, ohms: Mapping[str, float]
) -> Conductor:
    name = wire.identity
    size, place = grown.size[name], grown.hottest.get(name)
    limit = place.limit if place is not None else None
    limit_a = limit.amps if limit is not None else 0.0
    path = grown.worst_path.get(name)
    far = _far_end(wire, ways)
    fuse = ways.protection(wire.circuit, far)
    before = [w for w in ways.up(wire.circuit, far) if w != name]
    short = short_of(
        job, fuse, size, ohms[name], sum(ohms[w] for w in before), grown.conductor_c[name], limit_a
    )
    governs, source = _governs(
        choice, grown, name, limit.source if limit else None, place.section if place else ""
    )
    return Conductor(
        wire=name,
        size=size,
        load_a=load.heating_a,
        peak_a=load.peak_a,
        heat_limit_a=limit_a,
        hottest=place.section if place else "",
        bundle_wires=place.wires if place else 1,
        loading_percent=place.loading_percent if place else 0.0,
        air_c=place.air_c if place else 20.0,
        conductor_c=grown.conductor_c[name],
        own_drop_v=grown.own_drop_v[name],
        drop_v=path.drop_v if path is not None else grown.own_drop_v[name],
        drop_limit_v=limit_v(job, path.pin) if path is not None else job.shop.drop_limit_v.value,
        fuse=fuse.name if fuse is not None else "",
        fuse_a=fuse.amps if fuse is not None else None,
        min_mm2=choice.min_mm2,
        least=choice.floor,
        least_source=choice.source,
        governs=governs,
        source=source,
        reason=choice.reason,
        estimated=limit.estimated if limit is not None else False,
        guide_fuse_a=guide_fuse_a(size.area_mm2),
        short_a=short.short_a,
        clears_s=short.clears_s,
        stands_s=short.stands_s,
        short_ok=short.ok,
        can_overload=limit is not None and load.heating_a > limit_a * 1.001,
        fits=fits_of(job, wire, size),
        known_load=load.known,
    )


def _far_end(wire: Wire, ways: Ways) -> str:
    """The end of a wire that lies further from its circuit's source."""
    at_a, at_b = (len(ways.in_circuit(wire.circuit, end.name)) for end in (wire.a, wire.b))
    return wire.a.name if at_a > at_b else wire.b.name


def _governs(
    choice: Choice, grown: Grown, name: str, heat: Source | None, section: str
) -> tuple[str, Source]:
    if choice.fixed:
        return choice.decides
    match grown.why.get(name):
        case "heat":
            return f"heat in {section.split('/', 1)[-1]}", heat or Source(Mark.OURS)
        case "drop":
            return "drop", Source(Mark.OURS, "Ohm's law, maker's largest resistance, hot")
        case None:
            return choice.decides
        case kept:
            return kept, Source(Mark.OURS)
