"""A change carried out on the old cut list gives exactly the new one, whatever job and edit."""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from invented import jobs
from loomwright.pack.change_parts import to_order
from loomwright.pack.view import View
from loomwright.planning.change import applied, change, cut_rows
from loomwright.planning.change_wires import Deed
from loomwright.records.issued_done import Done
from planning.editing import edited, kept, printed, state, ticked

quick = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), print_blob=False)


def two_states(data, laid):
    """A job before and after late edits; before or after may be the one with the edits in it."""
    job, trees = laid
    other_job, other_trees = data.draw(edited(job, trees))
    if data.draw(st.booleans()):
        job, trees, other_job, other_trees = other_job, other_trees, job, trees
    before = state(job, trees)
    return before, state(replace(other_job, kept=kept(before)), other_trees)


@quick
@given(jobs(broken=False), st.data())
def test_the_old_cut_list_becomes_the_new_one(laid, data):
    before, after = two_states(data, laid)
    done = data.draw(ticked(before))
    found = change(before, after, done)
    assert applied(cut_rows(before), found) == cut_rows(after)
    was, now = printed(before), printed(after)
    named = {row.label for one in found.wires for row in (one.was, one.now) if row is not None}
    assert {label: row for label, row in was.items() if label not in named} == {
        label: row for label, row in now.items() if label not in named
    }
    assert found.unchanged == len(was.keys() - named)


@quick
@given(jobs(broken=False), st.data())
def test_every_deed_is_what_it_says(laid, data):
    before, after = two_states(data, laid)
    done = data.draw(ticked(before))
    for one in change(before, after, done).wires:
        assert one.deed is not Deed.CUT_NEW or one.was is None
        assert (one.deed is Deed.REMOVE) == (one.now is None)
        if one.was is None or one.now is None:
            continue
        if one.deed is Deed.LENGTHEN:
            assert one.now.cut_mm > one.was.cut_mm
        elif one.deed is Deed.SHORTEN:
            assert one.now.cut_mm < one.was.cut_mm
        elif one.deed is Deed.RELAY:
            assert one.left or one.entered
        elif one.deed is Deed.MOVE:
            (old,), (new,) = one.was.ends - one.now.ends, one.now.ends - one.was.ends
            assert old.plug == new.plug
        elif one.deed is Deed.ON_PAPER:
            assert one.was.cut_mm == one.now.cut_mm
            assert one.was.ends == one.now.ends
            assert one.was.number == one.now.number
        if one.deed is not Deed.REPLACE:
            assert one.was.stuff == one.now.stuff
        assert one.is_cut == (one.was.label in done.cut)


@quick
@given(jobs(broken=False), st.data())
def test_the_same_state_is_no_change(laid, data):
    before = state(*laid)
    done = data.draw(ticked(before))
    again = change(before, before, done)
    assert again.nothing
    assert not again.stuck
    assert not again.unknown
    assert again.unchanged == len(before.routed.wires)
    assert to_order(View(before, ()), View(before, ()), again, done) == ()


@quick
@given(jobs(broken=False), st.data())
def test_what_an_edit_does_not_touch_does_not_move(laid, data):
    """A device more changes wires of its circuits; others may only grow thicker, or twist with one."""
    job, trees = laid
    added = data.draw(st.sampled_from([d.name for d in job.devices]))
    devices = tuple(d for d in job.devices if d.name != added)
    left = {p.circuit for d in devices for p in d.pins}
    before = state(
        replace(job, devices=devices, circuits=tuple(c for c in job.circuits if c.name in left)), trees
    )
    if any(f.code in ("SPLICE-01", "SPLICE-04") for f in before.routed.findings):  # may find room now
        return
    after = state(replace(job, kept=kept(before)), trees)
    touched = {p.circuit for p in job.device[added].pins} | {c.screen for c in job.cables}
    touched |= {n for c in job.cables if touched & set(c.circuits) for n in c.circuits}
    for one in change(before, after, Done()).wires:
        if one.row.circuit not in touched:
            assert one.deed is Deed.REPLACE or one.row.cable, one
            assert set(one.differs) <= {"family", "size", "cut_mm"}, one
