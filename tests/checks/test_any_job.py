"""Checks never fail: whatever a half-filled or spoilt job looks like, they only have findings."""

import random
from time import process_time

import pytest
from hypothesis import HealthCheck, given, settings

from checks.making import BASE, worked
from invented import jobs
from loomwright.building.build import build
from loomwright.checks.catalogue import CATALOGUE
from loomwright.checks.run import CHECKS, run
from loomwright.checks.worked import Worked
from loomwright.routing.route import route
from loomwright.sizing.size import size_up

WORDS = ('"sensor 0 V"', '"engine ground"', '"switched feed"', '"x"', "0", "-5", "1e9", "true", '"airbag"')


def sound(rows):
    for one in rows:
        entry = CATALOGUE[one.code]
        assert one.severity in (entry.severity, *entry.also)
        assert "None" not in one.what_is + one.should + one.remedy


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs())
def test_any_invented_job(laid):
    job, looms = laid
    routed = route(job, looms)
    sized = size_up(job, routed)
    sound(run(Worked(job, routed, sized, build(job, routed, sized))))


def spoilt(seed):
    """The base job with lines lost, swapped, and values replaced."""
    rng = random.Random(seed)
    lines = BASE.split("\n")
    for _ in range(rng.randint(1, 25)):
        at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
        match rng.choice(("lost", "value", "swap")):
            case "lost":
                lines[at] = ""
            case "value" if "=" in lines[at]:
                lines[at] = lines[at].split("=")[0] + "= " + rng.choice(WORDS)
            case _:
                lines[at], lines[other] = lines[other], lines[at]
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(40))
def test_spoilt_jobs(seed):
    sound(run(*worked(spoilt(seed))))


def test_empty_job():
    rows = run(*worked("format = 1\n"))
    assert {"THROTTLE-01"} <= {one.code for one in rows}


def test_no_check_stands_twice():
    assert len(set(CHECKS)) == len(CHECKS)
    assert len({check.__name__ for check in CHECKS}) == len(CHECKS)


def test_checks_are_quick():
    """The whole of a 200-wire job takes some 8 ms on one core; ten times that is a mistake somewhere."""
    one = worked()[0]
    run(one)
    start = process_time()
    for _ in range(5):
        run(one)
    assert (process_time() - start) / 5 < 0.06
