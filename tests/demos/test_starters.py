"""Starters: commented, sound as files, waiting for their rope."""

import pytest

from loomwright.errors import OutOfRange
from loomwright.findings import Severity
from loomwright.job import work_out_read
from loomwright.jobfile.read import job_of_text
from loomwright.starters import names, starter_text

LEFT_TO_DO = ("ROPE-", "JOIN-", "FACE-", "THROTTLE-", "TAP-", "CONTACT-", "DEVICE-", "LOOM-", "PIN-")


def test_the_three_starters() -> None:
    assert names() == ("four-cylinder", "v8", "bare")


@pytest.mark.parametrize("name", names())
def test_reads_without_a_fault_of_the_file(name: str) -> None:
    read = job_of_text(starter_text(name))
    assert [f"{f.place.words}: {f.what_is}" for f in read.findings] == []


@pytest.mark.parametrize("name", names())
def test_teaches_by_comments(name: str) -> None:
    lines = starter_text(name).splitlines()
    assert len([line for line in lines if "#" in line]) >= 25
    assert len(max(lines, key=len)) <= 130


@pytest.mark.parametrize("name", names())
def test_faults_are_only_what_is_left_to_do(name: str) -> None:
    done = work_out_read(job_of_text(starter_text(name)))
    faults = {f.code for f in done.findings if f.severity is Severity.FAULT}
    assert [code for code in sorted(faults) if not code.startswith(LEFT_TO_DO)] == []
    assert any(code.startswith("THROTTLE-") for code in faults), "the throttle has to be asked"


def test_every_plug_of_a_starter_asks_for_its_rope() -> None:
    done = work_out_read(job_of_text(starter_text("four-cylinder")))
    asked = {f.place.words for f in done.findings if f.code == "ROPE-03"}
    assert {"INJ1", "ECU.A", "ECU.B", "BAT"} <= asked


def test_unknown_starter_is_refused() -> None:
    with pytest.raises(OutOfRange, match="bare"):
        starter_text("bear")
