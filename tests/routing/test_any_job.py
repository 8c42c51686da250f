"""What holds for the wires of any job."""

import itertools
from collections import Counter, defaultdict

import networkx as nx
import pytest
from hypothesis import HealthCheck, given, settings

from invented import jobs
from loomwright.model.words import CircuitKind, Join
from loomwright.routing import route
from loomwright.routing.routed import EndKind

GROUNDS = (CircuitKind.POWER_GROUND, CircuitKind.CHASSIS)
quick = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def joined_pins(job, routed):
    """Everything joined through wires, splices, commons, mating pairs and the metal between studs."""
    graph = nx.Graph()
    graph.add_nodes_from(p.id for p in job.pins)
    for w in routed.wires:
        ends = [
            f"cut {w.identity} {e.name}" if e.kind in (EndKind.SEALED, EndKind.DRAIN_CUT) else e.name
            for e in (w.a, w.b)
        ]
        graph.add_edge(*ends)
    for c in routed.commons:
        nx.add_path(graph, c.pins)
    for c in (c for d in job.devices for c in d.connectors if c.mates):
        for p in c.pins:
            for q in job.connector[c.mates].pins:
                if (p.cavity, p.circuit) == (q.cavity, q.circuit):
                    graph.add_edge(p.id, q.id)
    for circuit in job.circuits:
        if circuit.kind in GROUNDS:
            nx.add_path(
                graph, [p.id for p in job.pins_of[circuit.name] if job.device[p.device].family == "stud"]
            )
    return graph


@quick
@given(jobs())
def test_every_circuit_is_joined_exactly_as_its_cavities_say(laid):
    job, trees = laid
    routed = route(job, trees)
    graph = joined_pins(job, routed)
    circuit_of = {p.id: p.circuit for p in job.pins}
    parts = defaultdict(list)
    for component in nx.connected_components(graph):
        names = {circuit_of[n] for n in component if n in circuit_of}
        assert len(names) <= 1, f"{names} are joined"
        for name in names:
            parts[name].append(component)
    on_rope = {p for t in trees for p in t.from_datum_mm}
    broken = {f.subject for f in routed.findings if f.code == "JOIN-01"}
    for name, components in parts.items():
        pins = [p for p in job.pins_of[name] if p.end in on_rope]
        if name not in broken and len(pins) == len(job.pins_of[name]):
            assert len(components) == 1, f"{name} falls apart"


@quick
@given(jobs(broken=False))
def test_a_sound_job_has_no_fault_of_joining(laid):
    job, trees = laid
    codes = {f.code for f in route(job, trees).findings}
    assert not codes & {"JOIN-01", "JOIN-02", "JOIN-03", "JOIN-04"}


@quick
@given(jobs())
def test_a_pin_holds_one_wire_and_only_a_stud_more(laid):
    job, trees = laid
    routed = route(job, trees)
    ends = Counter(e.name for w in routed.wires for e in (w.a, w.b) if e.kind in (EndKind.PIN, EndKind.JOINT))
    assert not [name for name, n in ends.items() if n > 1]
    studs = {e.name for w in routed.wires for e in (w.a, w.b) if e.kind is EndKind.STUD}
    family = {p.id: job.device[p.device].family for p in job.pins}
    assert all(family[s] == "stud" for s in studs)


def loom_graph(tree, splices, joints):
    """A loom as a graph whose edges are cut at every splice and joint."""
    graph = nx.Graph()
    graph.add_node(tree.datum)
    cuts = defaultdict(list)
    for key, place in (*splices, *joints):
        cuts[place.section].append((place.mm, key))
    for s in tree.sections:
        row = [(0.0, s.inner), *sorted(cuts[s.name], key=lambda c: (c[0], str(c[1]))), (s.length_mm, s.outer)]
        for (mm, a), (more, b) in itertools.pairwise(row):
            graph.add_edge(a, b, weight=more - mm)
    return graph


@quick
@given(jobs())
def test_ways_are_as_long_as_the_tree_says(laid):
    job, trees = laid
    routed = route(job, trees)
    for tree in trees:
        wires = [w for w in routed.wires if w.loom == tree.loom]
        splices = [(("splice", s.name), s.place) for s in routed.splices if s.loom == tree.loom]
        joints = [
            ((w.identity, e.name), e.place)
            for w in wires
            for e in (w.a, w.b)
            if e.kind is EndKind.JOINT and e.place
        ]
        graph = loom_graph(tree, splices, joints)
        for w in wires:
            a, b = (
                ("splice", e.name)
                if e.kind is EndKind.SPLICE
                else (w.identity, e.name)
                if e.place
                else e.point
                for e in (w.a, w.b)
            )
            assert w.path_mm == pytest.approx(nx.shortest_path_length(graph, a, b, weight="weight"), abs=1e-6)
            for one, two in zip(w.way, w.way[1:], strict=False):
                s, t = tree.by_name[one.section], tree.by_name[two.section]
                at = s.outer if one.to_mm else s.inner
                assert at == (t.outer if two.from_mm else t.inner)


@quick
@given(jobs())
def test_splices_hold_few_wires_and_keep_their_distance(laid):
    job, trees = laid
    routed = route(job, trees)
    most, gap = job.shop.splice_max_wires.value, job.shop.splice_stagger_mm.value
    no_room = {f.subject for f in routed.findings if f.code == "SPLICE-01"}
    at = defaultdict(list)
    for s in routed.splices:
        assert (2 if s.circuit == "screen" else 3) <= len(s.wires) <= most
        assert len(set(s.wires)) == len(s.wires)
        assert set(s.wires) <= set(routed.wire)
        if s.name not in no_room:
            at[s.loom, s.place.section].append(s.place.mm)
    by_loom = {t.loom: t for t in trees}
    for (loom, name), places in at.items():
        places.sort()
        assert all(b - a >= gap for a, b in itertools.pairwise(places))
        section = by_loom[loom].by_name[name]
        clear = [80 if p in by_loom[loom].ends else 20 + 15 for p in (section.inner, section.outer)]
        assert places[0] >= clear[0]
        assert places[-1] <= section.length_mm - clear[1]
        for tie in section.passes.ties if section.passes else ():
            assert all(abs(mm - tie.at_mm) >= 20 for mm in places)
        for bend in section.passes.bends if section.passes else ():
            assert all(abs(mm - bend.at_mm) >= 40 for mm in places)


@quick
@given(jobs())
def test_names_and_numbers_are_given_once(laid):
    job, trees = laid
    routed = route(job, trees)
    assert len({w.identity for w in routed.wires}) == len(routed.wires)
    assert sorted(w.number for w in routed.wires) == list(range(1, len(routed.wires) + 1))
    assert len({s.name for s in routed.splices}) == len(routed.splices)
    assert route(job, trees) == routed


@quick
@given(jobs(broken=False))
def test_a_bus_is_a_line(laid):
    job, trees = laid
    routed = route(job, trees)
    for row in (j for j in routed.joins if j.join is Join.BUS_IN_LINE):
        graph = nx.Graph()
        for w in routed.wires_of[row.circuit]:
            if w.loom == row.loom and not w.screen:
                graph.add_edge(w.a.name, w.b.name)
        assert nx.is_tree(graph)
        # without its stubs a line of splices: every splice has one stub, or is beside the last node
        splices = [n for n in graph if graph.degree(n) > 1]
        assert all(graph.degree(n) == 3 for n in splices)
        inner = graph.subgraph(splices)
        assert nx.is_connected(inner)
        assert max(dict(inner.degree).values()) <= 2
