"""Heat limit: more wire, more current; more company or heat, less; its ranges, its honesty, its speed."""

import time
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.calc.ampacity import conductor_temperature_c, heat_limit
from loomwright.calc.derating import altitude_factor, wires_factor
from loomwright.errors import OutOfRange
from loomwright.sources import Mark

AREA = st.floats(0.06, 107.0)
CLASS = st.floats(60.0, 260.0)
AIR = st.floats(0.0, 0.99)  # share of the way from -40 degrees C to the class
WIRES = st.integers(1, 150)
LOADING = st.floats(0.0, 100.0)
SLACK = 1 + 1e-9


def _air(class_c: float, share: float) -> float:
    return -40 + share * (class_c + 40)


@settings(max_examples=300, deadline=None)
@given(AREA, AREA, CLASS, AIR, WIRES, LOADING)
def test_more_area_never_less(one, other, class_c, share, wires, loading):
    less, more = sorted((one, other))
    air = _air(class_c, share)
    assert (
        heat_limit(less, class_c, air, wires, loading).amps
        <= heat_limit(more, class_c, air, wires, loading).amps * SLACK
    )


@settings(max_examples=300, deadline=None)
@given(AREA, CLASS, AIR, WIRES, WIRES, LOADING)
def test_more_wires_never_more(area, class_c, share, one, other, loading):
    few, many = sorted((one, other))
    air = _air(class_c, share)
    assert (
        heat_limit(area, class_c, air, many, loading).amps
        <= heat_limit(area, class_c, air, few, loading).amps * SLACK
    )


@settings(max_examples=300, deadline=None)
@given(AREA, CLASS, AIR, AIR, WIRES, LOADING)
def test_hotter_air_never_more(area, class_c, one, other, wires, loading):
    cool, hot = (_air(class_c, share) for share in sorted((one, other)))
    assert (
        heat_limit(area, class_c, hot, wires, loading).amps
        <= heat_limit(area, class_c, cool, wires, loading).amps * SLACK
    )


@settings(max_examples=300, deadline=None)
@given(AREA, CLASS, AIR, WIRES, LOADING, LOADING)
def test_higher_loading_never_more(area, class_c, share, wires, one, other):
    light, heavy = sorted((one, other))
    air = _air(class_c, share)
    assert (
        heat_limit(area, class_c, air, wires, heavy).amps
        <= heat_limit(area, class_c, air, wires, light).amps * SLACK
    )


@settings(max_examples=200, deadline=None)
@given(AREA, CLASS, AIR, WIRES, LOADING, st.floats(0.1, 500.0), st.floats(0.0, 18288.0))
def test_own_sheet_and_height_only_lower(area, class_c, share, wires, loading, sheet_a, height_m):
    air = _air(class_c, share)
    plain = heat_limit(area, class_c, air, wires, loading)
    lower = heat_limit(area, class_c, air, wires, loading, single_limit_a=sheet_a, altitude_m=height_m)
    assert 0 < lower.amps <= plain.amps * SLACK
    assert lower.amps <= sheet_a * SLACK
    assert lower.bundle_factor == pytest.approx(lower.amps / lower.free_air_a)


@pytest.mark.parametrize(
    ("wires", "loading", "class_c", "ambient_c", "estimated"),
    [
        (1, 100, 125, 110, False),
        (19, 100, 125, 110, False),
        (20, 20, 125, 80, False),
        (20, 40, 125, 80, True),
        (21, 20, 125, 80, True),
        (32, 10, 125, 80, True),
        (33, 20, 125, 80, False),
        (33, 20, 125, 110, True),  # 15 K lies left of the table's first column, 35 K
        (60, 60, 125, 80, True),
    ],
)
def test_estimates_say_so(wires, loading, class_c, ambient_c, estimated):
    limit = heat_limit(0.5, class_c, ambient_c, wires, loading)
    assert limit.estimated is estimated
    if estimated:
        assert limit.source.mark is Mark.OURS


def test_bundle_does_not_fall_off_a_step_at_33_wires():
    amps = [heat_limit(0.3826, 150, 70, n, 20).amps for n in range(15, 40)]
    assert max(before / after for before, after in pairwise(amps)) < 1.05


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ((0.03, 150, 70, 5, 20), "area_mm2"),
        ((120.0, 150, 70, 5, 20), "area_mm2"),
        ((0.5, 40, 20, 5, 20), "class_c"),
        ((0.5, 125, 125, 5, 20), "ambient_c"),
        ((0.5, 125, -60, 5, 20), "ambient_c"),
        ((0.5, 125, 80, 0, 20), "wires"),
        ((0.5, 125, 80, 5, 120), "loading_percent"),
        ((0.5, 125, 80, 5, float("nan")), "loading_percent"),
    ],
)
def test_outside_its_range_it_refuses(arguments, name):
    with pytest.raises(OutOfRange, match=name):
        heat_limit(*arguments)


def test_own_sheet_and_height_are_checked():
    with pytest.raises(OutOfRange, match="single_limit_a"):
        heat_limit(0.5, 125, 80, 5, 20, single_limit_a=0)
    with pytest.raises(OutOfRange, match="altitude_m"):
        altitude_factor(20_000)
    with pytest.raises(OutOfRange, match="wires"):
        wires_factor(0, 20)


@given(st.floats(0, 1), st.floats(0, 1))
def test_conductor_gets_hotter_with_load_up_to_its_class(one, other):
    low, high = sorted((one, other))
    cool = conductor_temperature_c(low * 8, 8, 150, 70)
    hot = conductor_temperature_c(high * 8, 8, 150, 70)
    assert 70 <= cool <= hot <= 150


def test_conductor_temperature_ends():
    assert conductor_temperature_c(0, 8, 150, 70) == 70
    assert conductor_temperature_c(8, 8, 150, 70) == 150
    assert conductor_temperature_c(16, 8, 150, 70) == 70 + 4 * 80
    for wrong in ((-1, 8, 150, 70), (1, 0, 150, 70), (1, 8, 70, 70)):
        with pytest.raises(OutOfRange):
            conductor_temperature_c(*wrong)


def test_fast_enough_for_a_loom_of_thousands():
    heat_limit(0.5, 125, 80, 40, 20)
    start = time.process_time()
    for n in range(4000):
        heat_limit(0.3 + n % 50 * 0.1, 150, 60 + n % 40, 1 + n % 110, n % 100)
    assert time.process_time() - start < 1.0  # measured: about 0.03 s
