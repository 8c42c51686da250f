"""Splice places and bus lines against trying everything, which small jobs allow."""

from itertools import pairwise, permutations

import networkx as nx
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from invented import circuit, device, job_of, tree
from loomwright.model.words import CircuitKind
from loomwright.routing import route
from loomwright.routing.bus import shortest_line
from loomwright.routing.field import lay_out
from loomwright.routing.naming import colour_of, natural, numbers_for, splice_names_for

quick = settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
SHELF = ("BK", "RD", "WH", "YE", "GN", "BU", "BN", "OG", "VT", "GY", "PK")


@st.composite
def small_trees(draw, most=8):
    points, rows = ["D"], []
    for k in range(draw(st.integers(3, most))):
        inner = draw(st.sampled_from(points))
        points.append(f"P{k}")
        rows.append((inner, points[-1], draw(st.integers(100, 500))))
    return tree("engine", "D", *rows)


def gaps(shape):
    graph = nx.Graph()
    for s in shape.sections:
        graph.add_edge(s.inner, s.outer, weight=s.length_mm)
    return dict(nx.all_pairs_dijkstra_path_length(graph))


@quick
@given(small_trees())
def test_a_splice_sits_where_no_allowed_place_needs_less_wire(shape):
    names = shape.ends[:6]
    if len(names) < 3:
        return
    routed = route(job_of([device(n, ("1", "x")) for n in names]), (shape,))
    gap = gaps(shape)

    def copper(section, mm):
        both = ((gap[section.inner][n] + mm, gap[section.outer][n] + section.length_mm - mm) for n in names)
        return sum(min(pair) for pair in both)

    allowed = [
        copper(s, mm)
        for s in shape.sections
        for mm in range(35, int(s.length_mm) + 1)
        if mm <= s.length_mm - (80 if s.outer in shape.ends else 35)
    ]
    used = sum(w.path_mm for w in routed.wires)
    if allowed:
        assert used <= min(allowed) + 1e-6


@quick
@given(small_trees(), st.data())
def test_a_bus_takes_the_shortest_line(shape, data):
    points = sorted(shape.from_datum_mm)
    names = data.draw(st.lists(st.sampled_from(points), min_size=2, max_size=6, unique=True))
    field = lay_out(job_of([device(n, ("1", "can", CircuitKind.BUS)) for n in names]), (shape,))
    nodes = [field.terminal[f"{n}:1"] for n in names]
    gap = gaps(shape)

    def length(row):
        return sum(gap[a][b] for a, b in pairwise(row))

    line = [n.point for n in shortest_line(nodes, [], field.ways["engine"])]
    assert sorted(line) == sorted(names)
    assert length(line) <= min(map(length, permutations(names))) + 1e-6


def test_the_line_starts_where_the_bus_leaves_the_loom():
    shape = tree(
        "engine", "D", ("D", "B", 300), ("B", "X", 100), ("B", "C", 300), ("C", "E", 100), ("C", "F", 200)
    )
    field = lay_out(job_of([device(n, ("1", "can")) for n in ("X", "D", "E", "F")]), (shape,))
    nodes = [field.terminal[f"{n}:1"] for n in ("X", "D", "E", "F")]
    line = shortest_line(nodes, nodes[:1], field.ways["engine"])
    assert [n.point for n in line] == ["X", "D", "E", "F"]


@given(
    st.lists(st.sampled_from(["a", "b", "c", "d"]), unique=True),
    st.dictionaries(st.sampled_from("abcz"), st.integers(1, 99)),
)
def test_a_number_is_kept_or_new(identities, kept):
    found = numbers_for(identities, kept.items())
    assert {i: n for i, n in found.items() if i in kept} == {i: kept[i] for i in identities if i in kept}
    new = [n for i, n in found.items() if i not in kept]
    assert new == list(range(max(kept.values(), default=0) + 1, max(kept.values(), default=0) + 1 + len(new)))


def test_a_splice_name_once_given_is_not_given_again():
    assert splice_names_for(["x", "y"], [("x", "SP2"), ("gone", "SP7")]) == {"x": "SP2", "y": "SP8"}


def test_ends_are_sorted_as_people_count():
    assert sorted(["INJ10:1", "INJ2:10", "INJ2:9"], key=natural) == ["INJ2:9", "INJ2:10", "INJ10:1"]


def test_colours_follow_the_kind_where_the_shelf_has_them():
    assert colour_of("gnd", CircuitKind.POWER_GROUND, SHELF) == "BK"
    assert colour_of("feed", CircuitKind.FEED, SHELF) == "RD"
    assert colour_of("inj 1", CircuitKind.DRIVE, SHELF) not in ("BK", "RD", "BN", "OG")
    assert colour_of("gnd", CircuitKind.POWER_GROUND, ("WH",)) == "WH"
    assert colour_of("gnd", CircuitKind.POWER_GROUND, ()) == ""


def test_a_builders_colour_is_worn():
    job = job_of([device(n, ("1", "x")) for n in "AB"], [circuit("x", colour="PK")])
    (wire,) = route(job, (tree("engine", "D", ("D", "A", 100), ("D", "B", 100)),)).wires
    assert wire.colour == "PK"
