"""The order in which a loom's sections come on to the board."""

import pytest
from hypothesis import HealthCheck, given, settings

from invented import jobs
from loomwright.building.lay_order import furthest_first, strands
from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.routing.route import route


def keeps_the_order(tree, wires):
    """Every section with a wire once; what is laid later hangs on what lies, unless nothing of it touches."""
    found = strands(tree, wires)
    names = [name for one in found for name in one.sections]
    assert sorted(names) == sorted({s.section for w in wires for s in w.way})
    lying = set()
    for one in found:
        assert set(one.joins) == lying & set(one.points)
        for a, name, b in zip(one.points, one.sections, one.points[1:], strict=False):
            section = tree.by_name[name]
            assert {a, b} == {section.inner, section.outer}
        if one.joins:
            assert one.points[0] in one.joins
        lying.update(one.points)
    order = [w.identity for w in furthest_first(wires)]
    turns = [order.index(one.first.identity) for one in found]
    assert turns == sorted(turns)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs())
def test_sections_of_any_job_join_what_lies_already(laid):
    job, trees = laid
    routed = route(job, trees)
    for tree in routed.trees:
        keeps_the_order(tree, [w for w in routed.wires if w.loom == tree.loom])


@pytest.mark.parametrize("name", ["six", "hillclimb"])
def test_sections_of_a_demo_join_what_lies_already(name):
    routed = work_out(demo_folder(name)).worked.routed
    for tree in routed.trees:
        keeps_the_order(tree, [w for w in routed.wires if w.loom == tree.loom])


def test_the_first_strand_is_the_longest_wire_s_way():
    routed = work_out(demo_folder("six")).worked.routed
    tree = routed.trees[0]
    wires = [w for w in routed.wires if w.loom == tree.loom]
    first = strands(tree, wires)[0]
    longest = max(wires, key=lambda w: (w.path_mm, -w.number))
    assert first.first is longest
    assert set(first.sections) == {s.section for s in longest.way}
    assert first.joins == ()
