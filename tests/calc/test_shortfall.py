"""Drawn measurements against the closed form of the normal distribution."""

import math
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomwright.calc.shortfall import BLOCK, Measurements, chance_above, drawn, worst_of
from loomwright.errors import OutOfRange


def itself(errors):
    return errors


TWO = Measurements((10.0, 4.0), ((1.0, 0.0), (1.0, -1.0)), (3.0, 6.0))


def test_a_give_or_take_holds_95_of_100():
    assert 1 - 2 * chance_above(10.0, 5.0) == pytest.approx(0.9545, abs=5e-5)  # normal table, 2 sigma


def test_drawn_errors_have_the_spread_that_is_computed():
    errors = drawn(TWO, itself, 40 * BLOCK)
    for way in (0, 1):
        assert errors[:, way].std() == pytest.approx(TWO.sigma_mm(way), rel=0.01)
        assert abs(errors[:, way].mean()) < 0.05
    assert TWO.sigma_mm(0) == pytest.approx(math.hypot(10, 3) / 2)


def test_what_is_common_is_common_to_all_ways():
    errors = drawn(Measurements((), ((), ()), (8.0, 4.0)), itself, BLOCK)
    assert np.allclose(errors[:, 0], 2 * errors[:, 1])


@given(st.floats(1, 40), st.floats(0, 40), st.floats(0, 60))
def test_the_share_that_is_short_is_the_chance(give, common, slack):
    told = Measurements((give,), ((1.0,),), (common,))
    over = drawn(told, itself, 5 * BLOCK, seed=3)[:, 0] > slack
    chance = chance_above(slack, told.sigma_mm(0))
    assert over.mean() == pytest.approx(chance, abs=5 * math.sqrt(chance * (1 - chance) / over.size) + 1e-4)


def test_a_wrong_chance_is_noticed():
    told = Measurements((10.0,), ((1.0,),), (0.0,))
    over = drawn(told, itself, 5 * BLOCK, seed=3)[:, 0] > 5.0
    wrong = chance_above(5.0, 1.1 * told.sigma_mm(0))
    assert abs(over.mean() - wrong) > 5 * math.sqrt(wrong * (1 - wrong) / over.size)


def test_the_worst_of_a_group_is_its_worst_way():
    errors = np.array([[1.0, 5.0, 2.0], [9.0, 0.0, 0.0]])
    assert worst_of([(0, 1), (2,)], [0.0, 2.0, 1.0], errors).tolist() == [[3.0, 1.0], [9.0, -1.0]]


def test_who_draws_does_not_matter():
    here = drawn(TWO, itself, 3 * BLOCK, seed=5)
    with ThreadPoolExecutor(2) as pool:
        assert np.array_equal(drawn(TWO, itself, 3 * BLOCK, 5, pool), here)
    assert not np.array_equal(drawn(TWO, itself, 3 * BLOCK, 6), here)


def test_bad_figures_are_refused():
    with pytest.raises(OutOfRange):
        Measurements((-1.0,), ((1.0,),), (0.0,))
    with pytest.raises(OutOfRange):
        drawn(TWO, itself, 0)
