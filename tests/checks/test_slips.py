"""A circuit misspelled on one cavity: the finding asks for the one that was meant."""

import pytest

from loomwright.demos import demo_folder
from loomwright.job import work_out_read
from loomwright.jobfile.read import job_of_text

TEXT = (demo_folder("six") / "job.toml").read_text("utf-8")


def remedies(was: str, now: str) -> list[str]:
    text = TEXT.replace(f'= "{was}"', f'= "{now}"', 1)
    assert text != TEXT
    found = work_out_read(job_of_text(text)).findings
    return [one.remedy for one in found if one.code in ("PIN-04", "PIN-05")]


@pytest.mark.parametrize("slip", ["Manifold pressure", "manifold presure"])
def test_the_circuit_meant_is_asked_for(slip: str) -> None:
    asked = [one for one in remedies("manifold pressure", slip) if "Did you mean" in one]
    assert asked


def test_another_number_is_no_slip() -> None:
    assert not [one for one in remedies("inj 1", "inj 2") if 'Did you mean "inj' in one]
