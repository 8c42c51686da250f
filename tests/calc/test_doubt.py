import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.calc.doubt import Doubt, between, reading, rope_offset_mm, running_total, stretch_mm, total
from loomwright.errors import OutOfRange

GIVES = st.lists(st.tuples(st.floats(0, 50), st.floats(0, 20)), min_size=1, max_size=8)


def test_own_in_square_common_straight() -> None:
    both = Doubt(3, 1).add(Doubt(4, 2))
    assert (both.own_mm, both.common_mm, both.total_mm) == (5.0, 3.0, 8.0)


def test_blank_is_ten() -> None:
    assert reading(None) == Doubt(10.0, 0.0)
    assert reading(0.0) == Doubt(0.0, 0.0)


def test_difference_has_both_readings() -> None:
    assert between(None, None).own_mm == pytest.approx(14.142, abs=1e-3)
    assert between(0.0, 5.0) == Doubt(5.0, 0.0)


def test_a_run_counts_only_its_ends() -> None:
    assert running_total(3.0, 4.0, 2.0).total_mm == 7.0


@given(GIVES)
@settings(max_examples=40, deadline=None, derandomize=True)
def test_total_is_adding_one_by_one(gives: list[tuple[float, float]]) -> None:
    doubts = [Doubt(*one) for one in gives]
    step = Doubt()
    for one in doubts:
        step = step.add(one)
    assert total(doubts).own_mm == pytest.approx(step.own_mm)
    assert total(doubts).common_mm == pytest.approx(step.common_mm)
    assert total(doubts).total_mm <= math.fsum(one.total_mm for one in doubts) + 1e-9


def test_nothing_measured_nothing_doubted() -> None:
    assert total(()) == Doubt()


def test_rope() -> None:
    assert stretch_mm(3000) == 30.0
    assert rope_offset_mm(8, 12, 90) == pytest.approx(math.pi)


def test_refuses() -> None:
    for call in (
        lambda: Doubt(-1),
        lambda: Doubt(0, math.nan),
        lambda: stretch_mm(-1),
        lambda: rope_offset_mm(0, 1, 90),
    ):
        with pytest.raises(OutOfRange):
            call()
