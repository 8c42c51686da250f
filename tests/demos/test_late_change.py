"""One device added late to the V8: every number, colour, splice and label that was there stays."""

from collections.abc import Callable

import pytest

from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out, work_out_read
from loomwright.jobfile.kept import kept_text
from loomwright.jobfile.read import job_of_text

DEVICE = """
[device.EBP]
is = "exhaust pressure sensor"
area = "engine"
settled = true
face = "one row 3"
face_checked = true
cavity."1" = { circuit = "sensor 5 V", group = "fluids" }
cavity."2" = { circuit = "sensor 0 V", group = "air" }
cavity."3" = "exhaust pressure"

[section."V1-EBP"]
mm = 310
"""
AT_ECU = 'cavity."32" = "fuel level"\n'


@pytest.fixture(scope="module")
def before() -> WorkedJob:
    return work_out(demo_folder("v8"))


@pytest.fixture(scope="module")
def after(before: WorkedJob) -> WorkedJob:
    text = before.read.document.text
    assert text.count(AT_ECU) == 1
    text = text.replace(AT_ECU, AT_ECU + 'cavity."50" = "exhaust pressure"\n')
    first = text.index("[device.FLX]")
    return work_out_read(job_of_text(text[:first] + DEVICE + "\n" + text[first:], kept_text(before.kept)))


def numbers(done: WorkedJob) -> dict[str, object]:
    return {w.identity: w.number for w in done.worked.routed.wires}


def colours(done: WorkedJob) -> dict[str, object]:
    return {w.identity: w.colour for w in done.worked.routed.wires}


def splices(done: WorkedJob) -> dict[str, object]:
    return {s.identity: (s.name, s.place) for s in done.worked.routed.splices}


def labels(done: WorkedJob) -> dict[str, object]:
    wire = {w.label: w.identity for w in done.worked.routed.wires}
    return {f"{x.kind} {wire.get(x.of, x.of)} {x.place}": x.text for x in done.worked.built.labels}


def sizes(done: WorkedJob) -> dict[str, object]:
    return {row.wire: row.size.label for row in done.worked.sized.conductors}


def test_the_device_is_wired(before: WorkedJob, after: WorkedJob) -> None:
    new = set(numbers(after)) - set(numbers(before))
    assert len([w for w in new if "EBP:" in w]) == 3
    assert not after.faults


@pytest.mark.parametrize("what", [numbers, colours, splices, labels, sizes], ids=lambda f: f.__name__)
def test_what_was_there_stays(
    before: WorkedJob, after: WorkedJob, what: Callable[[WorkedJob], dict[str, object]]
) -> None:
    was, now = what(before), what(after)
    assert was
    assert [name for name in was if name not in now] == []
    assert {name: (was[name], now[name]) for name in was if now[name] != was[name]} == {}


def test_new_numbers_follow_the_old_ones(before: WorkedJob, after: WorkedJob) -> None:
    was = numbers(before)
    highest = max(int(str(n)) for n in was.values())
    assert all(int(str(n)) > highest for w, n in numbers(after).items() if w not in was)


def test_without_what_is_kept_numbers_do_move(before: WorkedJob, after: WorkedJob) -> None:
    """The test above can fail: read anew without kept.toml, numbers behind the new device move."""
    anew = work_out_read(job_of_text(after.read.document.text))
    was, now = numbers(before), numbers(anew)
    assert any(now[name] != was[name] for name in was if name in now)
