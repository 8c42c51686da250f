"""What holds for every worked-out job, told from its cavities and its measured lengths alone."""

import itertools
import math
from collections import defaultdict

import networkx as nx

from loomwright.job import WorkedJob
from loomwright.routing.routed import EndKind, Routed, Wire, WireEnd, section_key
from whole.made_jobs import Made

UNDER = 0.02 * 1.0001  # a size of the family may be 2 % below its floor: 0.35 mm2 is sold as 0.344


def all_hold(made: Made, done: WorkedJob) -> None:
    """Assert every one of them."""
    circuits_are_joined_as_the_cavities_say(made, done.worked.routed)
    no_pin_is_lost(made, done)
    ways_are_as_long_as_what_was_measured(made, done.worked.routed)
    every_wire_is_long_enough(made, done)
    every_wire_has_a_size(done)
    bundles_hold_their_wires(done)
    every_finding_is_whole(done)


def circuits_are_joined_as_the_cavities_say(made: Made, routed: Routed) -> None:
    graph = nx.Graph()
    graph.add_nodes_from(made.circuit_of)
    for wire in routed.wires:
        graph.add_edge(_node(wire, wire.a), _node(wire, wire.b))
    for common in routed.commons:
        nx.add_path(graph, common.pins)
    for one, other in itertools.combinations(made.circuit_of, 2):
        if {one.split(":")[0], other.split(":")[0]} == {"XE", "XD"} and one[3:] == other[3:]:
            graph.add_edge(one, other)
    parts = defaultdict(list)
    for component in nx.connected_components(graph):
        names = {made.circuit_of[node] for node in component if node in made.circuit_of}
        assert len(names) <= 1, f"{sorted(names)} are joined"
        for name in names:
            parts[name].append(component & made.circuit_of.keys())
    said = {f.subject for f in routed.findings if f.code == "JOIN-01"}
    for name, components in parts.items():
        on_rope = [part for part in components if any(_end(pin) in made.loom_of for pin in part)]
        assert len(on_rope) <= 1 or name in said, f"{name} falls apart: {on_rope}"


def _node(wire: Wire, end: WireEnd) -> str:
    loose = end.kind in (EndKind.SEALED, EndKind.DRAIN_CUT)
    return f"{wire.identity} {end.name}" if loose else end.name


def _end(pin: str) -> str:
    return pin.rsplit(":", 1)[0]


def no_pin_is_lost(made: Made, done: WorkedJob) -> None:
    """A pin on the rope whose circuit has another pin in the same loom has a wire or is told of."""
    job, routed = done.worked.job, done.worked.routed
    assert {pin.id: pin.circuit for pin in job.pins} == made.circuit_of
    held = {pin for common in routed.commons for pin in common.pins} | set(routed.at_pin)
    said = {f.subject for f in routed.findings}
    together = defaultdict(list)
    for pin, circuit in made.circuit_of.items():
        if _end(pin) in made.loom_of:
            together[circuit, made.loom_of[_end(pin)]].append(pin)
    for (circuit, loom), pins in together.items():
        lost = [pin for pin in pins if pin not in held | said]
        assert len(pins) == 1 or circuit in said or not lost, f"{lost} of {circuit} in {loom} are lost"


def ways_are_as_long_as_what_was_measured(made: Made, routed: Routed) -> None:
    for loom, edges in made.edges.items():
        lengths = {f"{a}-{b}": mm for a, b, mm in edges}
        graph = nx.Graph()
        for a, b, mm in edges:
            graph.add_edge(a, b, mm=mm)
        assert {s.name: s.length_mm for s in routed.tree[loom].sections} == lengths
        for wire in (w for w in routed.wires if w.loom == loom):
            short = _shortest(graph, lengths, wire)
            assert math.isclose(wire.path_mm, short, abs_tol=1e-6), f"{wire.identity}: {wire.path_mm} {short}"


def _shortest(graph: nx.Graph, lengths: dict[str, float], wire: Wire) -> float:
    """The way between both ends over the measured sections; a spot inside a section is reached from both."""
    (spots_a, spots_b), inside = (_spots(end, lengths) for end in (wire.a, wire.b)), []
    if wire.a.place and wire.b.place and wire.a.place.section == wire.b.place.section:
        inside = [abs(wire.a.place.mm - wire.b.place.mm)]
    over = [
        mm + nx.shortest_path_length(graph, a, b, weight="mm") + more
        for (a, mm), (b, more) in itertools.product(spots_a, spots_b)
    ]
    return min((*inside, *over))


def _spots(end: WireEnd, lengths: dict[str, float]) -> list[tuple[str, float]]:
    if end.place is None:
        return [(end.point, 0.0)]
    inner, outer = end.place.section.split("-")
    assert 0 <= end.place.mm <= lengths[end.place.section]
    return [(inner, end.place.mm), (outer, lengths[end.place.section] - end.place.mm)]


def every_wire_is_long_enough(made: Made, done: WorkedJob) -> None:
    lengths = done.worked.sized.length
    step = done.worked.job.shop.cut_step_mm.value
    assert set(lengths) == set(done.worked.routed.wire)
    for wire in done.worked.routed.wires:
        row = lengths[wire.identity]
        assert math.isclose(sum(term.mm for term in row.terms), row.exact_mm, abs_tol=1e-6)
        assert row.exact_mm >= row.path_mm
        assert row.exact_mm - 1e-6 <= row.cut_mm < row.exact_mm + step
        assert all(term.mm > 0 and term.words for term in row.terms)
        assert math.isfinite(row.doubt_mm)
        assert row.doubt_mm >= 0


def every_wire_has_a_size(done: WorkedJob) -> None:
    rows = done.worked.sized.conductor
    assert set(rows) == set(done.worked.routed.wire)
    for row in rows.values():
        thin = row.size.area_mm2 < row.min_mm2 * (1 - UNDER)
        assert not thin or "WIRE-01" in _codes(done), f"{row.wire} is below its minimum, and nobody says so"
        fixed = row.governs == "builder" or row.governs.startswith("core of")
        said = row.can_overload or row.conductor_c > row.size.class_c
        assert fixed or not said or "HEAT-01" in _codes(done) or "HEAT-03" in _codes(done), row.wire
        assert math.isfinite(row.drop_v)
        assert row.drop_v >= row.own_drop_v - 1e-9 >= -1e-9


def _codes(done: WorkedJob) -> set[str]:
    return {f.code for f in done.findings}


def bundles_hold_their_wires(done: WorkedJob) -> None:
    routed, sized = done.worked.routed, done.worked.sized
    assert set(sized.bundle) == set(routed.in_section)
    for key, bundle in sized.bundle.items():
        wires = routed.in_section[key]
        single = [sized.conductor[w.identity].size.od_nom_mm for w in wires if not w.cable]
        assert len(bundle.items) == len(single) + len({w.cable for w in wires if w.cable})
        copper = math.sqrt(sum(od * od for od in single))  # what lies side by side can't lie on less
        widest = sum(sorted(single)[-2:])
        assert bundle.packed_min_mm >= max(copper, widest) - 1e-6
        assert bundle.packed_min_mm >= bundle.lower_bound_mm - 1e-6
        assert bundle.low_mm <= bundle.as_laid_mm <= bundle.high_mm
        assert bundle.measured or bundle.as_laid_mm >= bundle.packed_min_mm - 1e-9
        piece = sized.sleeve[key]
        assert piece.finished_mm >= bundle.as_laid_mm
        assert not piece.size or piece.fits
    for loom, tree in routed.tree.items():
        assert {section_key(loom, s.name) for s in tree.sections} >= {
            k for k in sized.bundle if k.startswith(f"{loom}/")
        }


def every_finding_is_whole(done: WorkedJob) -> None:
    for one in done.findings:
        assert all((one.code, one.place.words, one.what_is, one.should, one.remedy)), one
        assert not {"nan", "inf"} & set(one.what_is.split()), one
