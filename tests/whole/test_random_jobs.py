"""Any small job, written as a file and worked out whole: it never fails, and what has to hold holds.

Together with the jobs of tests/routing some 2,000 random jobs; a failing one is named by its seed.
"""

from dataclasses import replace

import pytest

from loomwright.findings import Severity
from loomwright.job import WorkedJob, work_out_read
from loomwright.jobfile.kept import kept_text
from loomwright.jobfile.read import job_of_text
from whole.invariants import all_hold
from whole.made_jobs import made_job, with_another_device

BATCH = 50


def worked_out(text: str, kept_words: str = "") -> WorkedJob:
    return work_out_read(job_of_text(text, kept_words))


def seeds(batch: int) -> range:
    return range(batch * BATCH, (batch + 1) * BATCH)


@pytest.mark.parametrize("batch", range(26))
def test_any_job_is_worked_out_and_holds(batch: int) -> None:
    for seed in seeds(batch):
        made = made_job(seed)
        done = worked_out(made.text)
        try:
            all_hold(made, done)
        except AssertionError as broken:
            raise AssertionError(f"seed {seed}: {broken}") from broken


@pytest.mark.parametrize("batch", range(100, 104))
def test_the_same_job_gives_the_same_again(batch: int) -> None:
    for seed in seeds(batch):
        text = made_job(seed).text
        one, two = worked_out(text), worked_out(text)
        assert one.worked == two.worked, f"seed {seed}"
        assert one.findings == two.findings, f"seed {seed}"
        assert kept_text(one.kept) == kept_text(two.kept), f"seed {seed}"


@pytest.mark.parametrize("batch", range(110, 114))
def test_what_is_kept_stays(batch: int) -> None:
    """Worked out again with what was kept, a job is what it was: keeping costs nothing."""
    for seed in seeds(batch):
        text = made_job(seed).text
        before = worked_out(text)
        after = worked_out(text, kept_text(before.kept))
        assert after.worked.routed.wires == before.worked.routed.wires, f"seed {seed}"
        places, kept_places = ({s.name: s.place for s in d.worked.routed.splices} for d in (before, after))
        assert kept_places == places, f"seed {seed}"
        assert replace(after.worked.sized, rounds=0) == replace(before.worked.sized, rounds=0), f"seed {seed}"
        assert after.kept == before.kept, f"seed {seed}"


@pytest.mark.parametrize("batch", range(120, 126))
def test_another_device_leaves_what_was_kept(batch: int) -> None:
    for seed in seeds(batch):
        made = made_job(seed)
        before = worked_out(made.text)
        after = worked_out(with_another_device(made, seed), kept_text(before.kept))
        try:
            others_stay(before, after)
        except AssertionError as broken:
            raise AssertionError(f"seed {seed}: {broken}") from broken


def others_stay(before: WorkedJob, after: WorkedJob) -> None:
    old, new = before.worked.routed, after.worked.routed
    assert not [f for f in after.findings if f.code.startswith("FILE") and f.severity is Severity.FAULT]
    assert {p.id for p in after.worked.job.pins} > {p.id for p in before.worked.job.pins}
    for identity, wire in old.wire.items():
        if identity in new.wire:
            same = new.wire[identity]
            assert (same.number, same.colour) == (wire.number, wire.colour), identity
            assert same.way == wire.way or wire.circuit in ("0V", "feed 0"), identity
            was, now = (done.worked.sized.conductor[identity].size for done in (before, after))
            assert now.area_mm2 >= was.area_mm2, identity
        else:
            assert wire.circuit in ("0V", "feed 0"), f"{identity} is gone"
    fresh = [w.number for w in new.wires if w.identity not in old.wire]
    assert not {w.number for w in old.wires} & set(fresh), "a number was used again"
    was = {s.identity: s for s in old.splices}
    for splice in new.splices:
        if splice.identity in was:
            one = was[splice.identity]
            assert (splice.name, splice.place) == (one.name, one.place), splice.identity
        else:
            assert splice.name not in {s.name for s in old.splices}, "a splice's name was used again"
