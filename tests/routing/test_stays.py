"""What was given once stays as it was when something is added."""

from collections import Counter
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from invented import device, job_of, jobs, tree
from loomwright.model.circuit import LoomPlace
from loomwright.model.job import Job, Kept
from loomwright.model.words import CircuitKind, Join, Side
from loomwright.routing import kept_from, route

quick = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), print_blob=False)


def without(job: Job, name: str) -> Job:
    """The job before a device was thought of, and the circuits only it has."""
    devices = tuple(d for d in job.devices if d.name != name)
    left = {p.circuit for d in devices for p in d.pins}
    return replace(job, devices=devices, circuits=tuple(c for c in job.circuits if c.name in left))


@quick
@given(jobs(), st.data())
def test_a_device_more_changes_no_other_number_colour_name_or_place(laid, data):
    job, trees = laid
    added = data.draw(st.sampled_from([d.name for d in job.devices]))
    first = route(without(job, added), trees)
    kept = kept_from(first, Kept())
    second = route(replace(job, kept=kept), trees)
    before, now = first.wire, second.wire
    for identity in before.keys() & now.keys():
        assert (before[identity].number, before[identity].colour) == (
            now[identity].number,
            now[identity].colour,
        )
    new = [w.number for i, w in now.items() if i not in before]
    assert sorted(new) == list(range(len(before) + 1, len(before) + len(new) + 1))
    splices = {s.identity: s for s in first.splices}
    for s in second.splices:
        if s.identity in splices:
            assert s.name == splices[s.identity].name
            if s.chosen == "kept":
                assert s.place == splices[s.identity].place
    if any(f.code in ("SPLICE-01", "SPLICE-04") for f in first.findings):  # may find better room now
        return
    touched = {p.circuit for p in job.device[added].pins}
    touched |= {c.screen for c in job.cables} | {
        n for c in job.cables if touched & set(c.circuits) for n in c.circuits
    }
    for name in {w.circuit for w in first.wires} - touched:
        assert first.wires_of[name] == second.wires_of[name]
        assert [s.place for s in first.splices if s.circuit == name] == [
            s.place for s in second.splices if s.circuit == name
        ]


@quick
@given(jobs())
def test_the_same_job_again_changes_nothing(laid):
    job, trees = laid
    first = route(job, trees)
    kept = kept_from(first, Kept())
    second = route(replace(job, kept=kept), trees)
    no_room = {f.subject for f in first.findings if f.code == "SPLICE-01"}
    if not no_room:
        assert second.wires == first.wires
        assert {s.chosen for s in second.splices} <= {"kept"}
    assert kept_from(second, kept).wire_numbers == kept.wire_numbers


@quick
@given(jobs())
def test_the_order_of_devices_decides_no_colour(laid):
    job, trees = laid
    turned = replace(job, devices=job.devices[::-1])
    colours = {w.circuit: w.colour for w in route(job, trees).wires if not w.screen}
    assert colours == {w.circuit: w.colour for w in route(turned, trees).wires if not w.screen}


def four_injectors(*more):
    """ECU at the datum, a trunk of 600 to B1, one more of 200 to B2, two injectors at each."""
    rows = [
        device(f"INJ{i}", ("1", "feed", CircuitKind.FEED, Side.TAKES), ("2", f"inj {i}"))
        for i in (1, 2, 3, 4)
    ]
    ecu = device(
        "ECU", ("1", "feed", CircuitKind.FEED, Side.GIVES), *((f"{i}1", f"inj {i}") for i in (1, 2, 3, 4))
    )
    legs = [("B1", "INJ1", 90), ("B1", "INJ2", 95), ("B2", "INJ3", 90), ("B2", "INJ4", 95)]
    shape = tree(
        "engine",
        "ECU",
        ("ECU", "B1", 600),
        ("B1", "B2", 200),
        *legs,
        *[m[1] for m in more],
        ends=["ECU", "INJ1", "INJ2", "INJ3", "INJ4", *[m[1][1] for m in more]],
    )
    return job_of([ecu, *rows, *[m[0] for m in more]]), (shape,)


def grounds(*names):
    """Grounds that cross a plug one by one to a stud; each in the cavity of its own number."""
    ground = CircuitKind.POWER_GROUND
    loads = [device(f"G{n}", ("1", "gnd", ground, Side.TAKES)) for n in names]
    cavities = [(str(n), "gnd", ground) for n in names]
    halves = [device("XM", *cavities, plug={"mates": "XF"}), device("XF", *cavities)]
    stud = device("ST", ("stud", "gnd", ground, Side.GIVES), family="ground", stud_rings=9)
    bay = tree("bay", "D", *(("D", f"G{n}", 100) for n in (1, 2, 3)), ("D", "XM", 300))
    return job_of([*loads, *halves, stud]), (bay, tree("body", "XF", ("XF", "ST", 500)))


def test_a_ground_more_leaves_the_others_in_their_cavities():
    job, trees = grounds(2, 3)
    first = route(job, trees)
    more, _ = grounds(1, 2, 3)
    second = route(replace(more, kept=kept_from(first, Kept())), trees)
    assert [second.wire[w.identity].number for w in first.wires] == [w.number for w in first.wires]
    assert len(second.wires) == len(first.wires) + 2


def test_numbers_once_given_are_never_given_again():
    job, trees = four_injectors((device("FAN", ("1", "fan"), ("2", "fan")), ("B1", "FAN", 300)))
    first = route(job, trees)
    gone = first.wires_of["fan"][0].number
    kept = kept_from(first, Kept())
    bare, shape = four_injectors((device("PUMP", ("1", "pump"), ("2", "pump")), ("B1", "PUMP", 300)))
    second = route(replace(bare, kept=kept), shape)
    assert gone not in {w.number for w in second.wires}
    assert second.wires_of["pump"][0].number == max(w.number for w in first.wires) + 1


def test_a_kept_place_stays_and_a_better_one_is_told():
    job, trees = four_injectors()
    first = route(job, trees)
    (splice,) = first.splices
    far = replace(kept_from(first, Kept()), splice_places=((splice.identity, LoomPlace("ECU-B1", 100.0)),))
    second = route(replace(job, kept=far), trees)
    (stays,) = second.splices
    assert (stays.place, stays.chosen) == (LoomPlace("ECU-B1", 100.0), "kept")
    assert stays.better == splice.place
    assert [f.code for f in second.findings] == ["SPLICE-05"]


def test_a_kept_place_that_breaks_a_rule_now_is_given_up():
    job, trees = four_injectors()
    identity = route(job, trees).splices[0].identity
    kept = Kept(splice_places=((identity, LoomPlace("ECU-B1", 590.0)),))
    second = route(replace(job, kept=kept), trees)
    assert second.splices[0].chosen == "computed"
    assert [f.code for f in second.findings] == ["SPLICE-06"]


@quick
@given(jobs(broken=False), st.data())
def test_a_device_more_cuts_one_old_wire_of_a_circuit_at_most(laid, data):
    """In each loom, where it brings one pin of the circuit and the circuit is spliced as it was before."""
    job, trees = laid
    plain = [d.name for d in job.devices if not any(c.mates for c in d.connectors)]
    if not plain:
        return
    added = data.draw(st.sampled_from(plain))
    first = route(without(job, added), trees)
    second = route(replace(job, kept=kept_from(first, Kept())), trees)
    came = Counter(p.circuit for p in job.device[added].pins)
    screens = {c.screen for c in job.cables}
    spliced = [{(j.circuit, j.loom) for j in r.joins if j.join is Join.SPLICE} for r in (first, second)]
    for circuit, loom in sorted(spliced[0] & spliced[1]):
        if circuit in screens or came[circuit] != 1:
            continue
        was, now = (
            {w.identity for w in r.wires if (w.circuit, w.loom) == (circuit, loom)} for r in (first, second)
        )
        assert len(was - now) <= 1
        assert len(now - was) <= 3
