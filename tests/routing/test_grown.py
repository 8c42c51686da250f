"""A circuit that grows keeps its wires: what comes joins beside, at most one old wire is cut."""

from collections import Counter
from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from invented import circuit, device, job_of, tree
from loomwright.model.circuit import Cable, LoomPlace
from loomwright.model.job import Kept
from loomwright.model.shop import Shop
from loomwright.model.words import CableKind, CircuitKind, Join
from loomwright.routing import kept_from, route
from loomwright.routing.routed import EndKind

quick = settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck), print_blob=False)
POINTS = ("B0", "B1", "B2", "B3")


def shop(most):
    return replace(Shop(), splice_max_wires=replace(Shop().splice_max_wires, value=float(most)))


def loom(legs):
    """A trunk with four branch points, and a device at the end of every leg: (branch point, mm)."""
    trunk = [("D", "B0", 300), ("B0", "B1", 700), ("B1", "B2", 650), ("B1", "B3", 800)]
    rows = [(POINTS[at], f"S{i}", mm) for i, (at, mm) in enumerate(legs)]
    return (tree("engine", "D", *trunk, *rows, ends=[f"S{i}" for i in range(len(legs))]),)


def job(present, most=6, kept=None, **more):
    devices = [device(f"S{i}", ("1", "net"), ("2", "other" if i < 5 else f"own {i}")) for i in present]
    return job_of(devices, (circuit("net", **more),), shop=shop(most), kept=kept)


def sound(routed, present, most):
    """Every pin has one wire, all hang together without a ring, and no splice is overfull."""
    wires = routed.wires_of["net"]
    ends = Counter(e.name for w in wires for e in (w.a, w.b))
    kinds = {e.name: e.kind for w in wires for e in (w.a, w.b)}
    assert {n for n, k in kinds.items() if k is EndKind.PIN} == {f"S{i}:1" for i in present}
    assert all(n == 1 if kinds[name] is EndKind.PIN else 2 <= n <= most for name, n in ends.items())
    assert nx.is_tree(nx.Graph((w.a.name, w.b.name) for w in wires))


LEGS = st.lists(st.tuples(st.integers(0, 3), st.integers(150, 900)), min_size=4, max_size=16)


@quick
@given(LEGS, st.integers(3, 6), st.data())
def test_a_pin_more_cuts_one_old_wire_at_most(legs, most, data):
    trees = loom(legs)
    turn = data.draw(st.permutations(range(len(legs))))
    start = data.draw(st.integers(2, len(legs) - 1))
    before = route(job(sorted(turn[:start]), most), trees)
    kept = kept_from(before, Kept())
    for count in range(start + 1, len(legs) + 1):
        present = sorted(turn[:count])
        after = route(job(present, most, kept), trees)
        sound(after, present, most)
        was, now = {w.identity: w for w in before.wires_of["net"]}, after.wire
        gone = [i for i in was if i not in now]
        new = [w for w in after.wires_of["net"] if w.identity not in was]
        assert len(gone) <= 1
        assert len(new) <= 3
        assert len(new) == (3 if gone else 1)
        assert min(w.number for w in new) > max(kept.wire_numbers, key=lambda row: row[1])[1]
        if not {f.code for f in (*before.findings, *after.findings)} & {"SPLICE-01", "SPLICE-06"}:
            assert all(now[i] == w for i, w in was.items() if i in now)
        before, kept = after, kept_from(after, kept)
        again = route(job(present, most, kept), trees)
        assert [w.identity for w in again.wires] == [w.identity for w in after.wires]


@quick
@given(LEGS, st.integers(3, 6), st.data())
def test_pins_that_come_and_go_leave_the_others_alone(legs, most, data):
    trees = loom(legs)
    present = list(range(len(legs)))
    before = route(job(present, most), trees)
    kept = kept_from(before, Kept())
    for _ in range(4):
        left = data.draw(st.sets(st.sampled_from(range(len(legs))), min_size=2))
        after = route(job(sorted(left), most, kept), trees)
        sound(after, left, most)
        given_ = dict(kept.wire_numbers)
        known = set(given_.values())
        assert all(w.number == given_[w.identity] for w in after.wires if w.identity in given_)
        assert all(w.number not in known for w in after.wires if w.identity not in given_)
        kept = kept_from(after, kept)
        again = route(job(sorted(left), most, kept), trees)
        assert [w.identity for w in again.wires] == [w.identity for w in after.wires]


@quick
@given(LEGS, st.integers(3, 6), st.data())
def test_a_pin_less_takes_its_own_wire_only(legs, most, data):
    """Its splice stays, with two wires as a joint."""
    trees = loom(legs)
    before = route(job(range(len(legs)), most), trees)
    gone_pin = data.draw(st.integers(0, len(legs) - 1))
    present = [i for i in range(len(legs)) if i != gone_pin]
    after = route(job(present, most, kept_from(before, Kept())), trees)
    was, now = {w.identity for w in before.wires_of["net"]}, {w.identity for w in after.wires_of["net"]}
    assert len(was - now) == 1
    assert now < was


def six_and(*more, most=6, **choices):
    """Six pins whose splice is full, then more of them: before and after."""
    legs = [(0, 200), (0, 260), (1, 200), (2, 200), (3, 300), (3, 350), *more]
    trees = loom(legs)
    before = route(job(range(6), most), trees)
    kept = kept_from(before, Kept())
    return before, route(job(range(len(legs)), most, kept, **choices), trees), trees, legs


def test_a_seventh_wire_at_a_full_splice_gets_a_splice_beside():
    before, after, *_ = six_and((3, 320))
    (old,) = before.splices[:1]
    splices = [s for s in after.splices if s.circuit == "net"]
    assert [s.identity for s in splices] == ["net|engine|1", "net|engine|1.2"]
    assert (splices[0].name, splices[0].place, splices[0].chosen) == (old.name, old.place, "kept")
    gone = {w.identity for w in before.wires} - {w.identity for w in after.wires}
    assert gone == {
        "net | S4:1 | splice engine 1"
    }  # lies on the newcomer's way, and is the shortest that does
    assert sorted(i for i in splices[1].wires) == [
        "net | S4:1 | splice engine 1.2",
        "net | S6:1 | splice engine 1.2",
        "net | splice engine 1 | splice engine 1.2",
    ]
    told = [f for f in after.findings if f.code.startswith("SPLICE")]
    assert [f.code for f in told] in ([], ["SPLICE-10"])


def test_several_newcomers_share_the_one_cut():
    before, after, *_ = six_and((3, 320), (2, 200), (0, 200))
    was, now = {w.identity for w in before.wires_of["net"]}, {w.identity for w in after.wires_of["net"]}
    assert (len(was - now), len(now - was)) == (1, 3 + 2)


def test_an_eighth_wire_joins_the_splice_with_room():
    _, after, _, legs = six_and((3, 320))
    trees = loom([*legs, (2, 240)])
    kept = kept_from(after, Kept())
    third = route(job(range(8), 6, kept), trees)
    was, now = {w.identity for w in after.wires}, {w.identity for w in third.wires}
    assert was < now
    assert [i for i in now - was if i.startswith("net")] == ["net | S7:1 | splice engine 1.2"]


def test_a_grouping_that_would_be_better_is_told():
    """Three near and three far fill a splice; two near and two far after them share one, and half go far."""
    trees = loom([*[(0, 200)] * 3, *[(3, 300)] * 3, *[(0, 200)] * 2, *[(3, 300)] * 2])
    kept = kept_from(route(job(range(6)), trees), Kept())
    after, anew = route(job(range(10), kept=kept), trees), route(job(range(10)), trees)
    (told,) = [f for f in after.findings if f.code == "SPLICE-10" and f.subject == "net in engine"]
    more, less = (sum(w.path_mm for w in r.wires_of["net"]) for r in (after, anew))
    said = float(told.what_is.split("about ")[1].split(" mm")[0])
    assert said == pytest.approx(more - less, rel=0.25)  # splices are taken at branch points there
    assert "SPLICE-10" not in {f.code for f in anew.findings}


def test_two_wires_left_stay_a_joint_unless_the_builder_wants_one_wire():
    legs = [(0, 200), (1, 200), (2, 200)]
    trees = loom(legs)
    kept = kept_from(route(job(range(3)), trees), Kept())
    joint = route(job(range(2), kept=kept), trees)
    assert [j.join for j in joint.joins if j.circuit == "net"] == [Join.SPLICE]
    assert len(joint.wires_of["net"]) == 2
    assert "net in engine" in [f.subject for f in joint.findings if f.code == "SPLICE-10"]
    straight = route(job(range(2), kept=kept, join=Join.DIRECT), trees)
    assert [w.identity for w in straight.wires_of["net"]] == ["net | S0:1 | S1:1"]
    assert "net in engine" not in [f.subject for f in straight.findings]


def test_a_splice_that_may_take_fewer_now_gives_up_the_latest():
    legs = [(0, 200), (0, 260), (1, 200), (2, 200), (3, 300), (3, 350)]
    trees = loom(legs)
    before = route(job(range(6), 6), trees)
    after = route(job(range(6), 4, kept_from(before, Kept())), trees)
    sound(after, range(6), 4)
    was, now = {w.identity for w in before.wires_of["net"]}, {w.identity for w in after.wires_of["net"]}
    assert len(was & now) == 3


@pytest.mark.parametrize("kind", [CircuitKind.SIGNAL, CircuitKind.FEED])
def test_the_builders_place_still_goes_to_the_first_splice(kind):
    place = LoomPlace("B0-B1", 300.0)
    _, after, *_ = six_and((3, 320), kind=kind, splice_at=place)
    assert [s.place for s in after.splices if s.identity == "net|engine|1"] == [place]


def bus(present, legs, kept=None):
    """A twisted pair of bus wires through every node there is."""
    pair = Cable("can", CableKind.PAIR, ("can h", "can l"), ())
    nodes = [
        device(f"S{i}", ("1", "can h", CircuitKind.BUS), ("2", "can l", CircuitKind.BUS)) for i in present
    ]
    circuits = [circuit("can h", CircuitKind.BUS), circuit("can l", CircuitKind.BUS)]
    return route(job_of(nodes, circuits, [pair], kept=kept), loom(legs))


def in_words(routed, name):
    return sorted(
        w.identity.replace(":1", "").replace(":2", "").replace(name, "") for w in routed.wires_of[name]
    )


@quick
@given(st.lists(st.tuples(st.integers(0, 3), st.integers(150, 900)), min_size=4, max_size=9), st.data())
def test_a_node_more_cuts_one_wire_of_each_bus_conductor(legs, data):
    turn = data.draw(st.permutations(range(len(legs))))
    before = bus(sorted(turn[:3]), legs)
    kept = kept_from(before, Kept())
    for count in range(4, len(legs) + 1):
        after = bus(sorted(turn[:count]), legs, kept)
        for name in ("can h", "can l"):
            was, now = ({w.identity for w in r.wires_of[name]} for r in (before, after))
            assert (len(was - now), len(now - was)) in ((1, 3), (0, 1))
            assert nx.is_tree(nx.Graph((w.a.name, w.b.name) for w in after.wires_of[name]))
        assert in_words(after, "can h") == in_words(after, "can l")
        assert {w.cable for w in after.wires} == {"can"}
        before, kept = after, kept_from(after, kept)
        again = bus(sorted(turn[:count]), legs, kept)
        assert {w.identity for w in again.wires} == {w.identity for w in after.wires}


def test_an_end_node_less_leaves_a_joint():
    legs = [(0, 200), (1, 200), (2, 200), (3, 300)]
    kept = kept_from(bus(range(4), legs), Kept())
    before = {i for i, _ in kept.wire_numbers}
    after = bus(range(3), legs, kept)
    assert {w.identity for w in after.wires} < before
    assert len(after.wires) == len(before) - 2
