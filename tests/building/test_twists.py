"""Which wires of a pair are twisted together, over which stretch, and where the twist ends."""

from functools import cache

import pytest

from loomwright.building.twists import ends_words, is_twisted, twists
from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out
from loomwright.routing.routed import EndKind


@cache
def done(name: str) -> WorkedJob:
    return work_out(demo_folder(name))


def every_twist(name):
    worked = done(name).worked
    job, routed, sized = worked.job, worked.routed, worked.sized
    for cable in filter(is_twisted, job.cables):
        for tree in routed.trees:
            yield cable, tree, twists(job, routed, sized, cable, tree.loom)


@pytest.mark.parametrize("name", ["hillclimb", "v8"])
def test_every_wire_of_a_pair_is_on_one_line(name):
    routed = done(name).worked.routed
    for cable, tree, found in every_twist(name):
        told = sorted(w.label for t in found for w in t.wires)
        own = sorted(w.label for w in routed.wires if w.cable == cable.name and w.loom == tree.loom)
        assert told == own


@pytest.mark.parametrize("name", ["hillclimb", "v8"])
def test_twist_and_single_ends_make_up_each_wire_s_whole_way(name):
    count = 0
    for _, _, found in every_twist(name):
        for one in (t for t in found if t.mm):
            count += 1
            for wire in one.wires:
                single = sum(loose.mm for loose in one.loose if loose.wire is wire)
                assert one.mm + single == pytest.approx(wire.path_mm), one.words
            sections = [{s.section for s in w.way} for w in one.wires]
            assert set.intersection(*sections), one.words
            assert one.turns == round(one.mm / one.pitch_mm)
    assert count > 5


@pytest.mark.parametrize("name", ["hillclimb", "v8"])
def test_a_twist_has_one_wire_of_each_circuit(name):
    for cable, _, found in every_twist(name):
        for one in (t for t in found if t.mm):
            assert tuple(w.circuit for w in one.wires) == cable.circuits


@pytest.mark.parametrize("name", ["hillclimb", "v8"])
def test_a_twist_leaves_room_for_the_cover_of_a_splice(name):
    sized = done(name).worked.sized
    ends = 0
    for _, _, found in every_twist(name):
        for one in (t for t in found if t.mm):
            single = {(x.wire.label, x.end.name): x.mm for x in one.loose}
            for wire, *both in zip(one.wires, one.starts, one.stops, strict=True):
                for end in both:
                    if end.kind is EndKind.SPLICE:
                        body = sized.splice[end.name]
                        waits = wire.label in body.cover.waits_on
                        assert single[wire.label, end.name] >= body.cover_mm * (1.5 if waits else 0.5)
                        ends += 1
    assert ends > 10


def test_the_long_stretch_of_the_demo_s_bus_is_told_from_splice_to_splice():
    found = {t.names: t for _, _, some in every_twist("hillclimb") for t in some}
    trunk = found["W192 with W201"]
    assert (ends_words(trunk.starts), ends_words(trunk.stops)) == ("SP17, SP21", "SP18, SP22")
    # from the wires' ways: both run C1-C2 from 70 mm, C2-C3 whole and C3-C4 up to 80 mm
    worked = done("hillclimb").worked
    section = worked.routed.tree["cabin"].by_name
    shared = section["C1-C2"].length_mm - 70 + section["C2-C3"].length_mm + 80
    cover = worked.sized.splice["SP21"].cover_mm * 1.5 + worked.sized.splice["SP18"].cover_mm * 0.5
    assert trunk.mm == pytest.approx(shared - cover)
