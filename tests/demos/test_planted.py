"""Twenty-one faults planted in a copy of the hill-climb job: each is found, and nothing else."""

import tomllib
from typing import Any

import pytest

from loomwright.demos import demo_folder
from loomwright.findings import Finding
from loomwright.job import work_out

PLANTED: list[dict[str, Any]] = tomllib.loads(
    (demo_folder("hillclimb-faults") / "planted.toml").read_text("utf-8")
)["planted"]


@pytest.fixture(scope="module")
def clean() -> dict[str, Finding]:
    return {f.key: f for f in work_out(demo_folder("hillclimb")).findings}


@pytest.fixture(scope="module")
def faulty() -> dict[str, Finding]:
    return {f.key: f for f in work_out(demo_folder("hillclimb-faults")).findings}


def key(one: dict[str, Any]) -> str:
    return f"{one['code']} {one['subject']}"


def test_twenty_one_are_planted() -> None:
    assert len(PLANTED) == 21
    assert len({key(one) for one in PLANTED}) == 21
    assert len({one["code"] for one in PLANTED}) == 21


@pytest.mark.parametrize("one", PLANTED, ids=key)
def test_each_is_found_and_was_not_there_before(
    one: dict[str, Any], clean: dict[str, Finding], faulty: dict[str, Finding]
) -> None:
    assert key(one) in faulty, one["did"]
    assert key(one) not in clean


@pytest.mark.parametrize("one", PLANTED, ids=key)
def test_each_is_told_with_what_to_do(one: dict[str, Any], faulty: dict[str, Finding]) -> None:
    found = faulty[key(one)]
    assert found.what_is.endswith(".")
    assert found.should.endswith(".")
    assert found.remedy.endswith((".", "?"))


def test_nothing_else_is_new(clean: dict[str, Finding], faulty: dict[str, Finding]) -> None:
    expected = {key(one) for one in PLANTED}
    new = set(faulty) - set(clean) - expected
    assert new == set(), [f"{k}: {faulty[k].what_is}" for k in sorted(new)]
    assert expected <= set(faulty)


@pytest.mark.parametrize("one", [one for one in PLANTED if "also" in one], ids=key)
def test_what_follows_stands_in_its_words(one: dict[str, Any], faulty: dict[str, Finding]) -> None:
    assert all(f"({code})" in faulty[key(one)].what_is for code in one["also"])
