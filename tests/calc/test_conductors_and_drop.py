"""Conductors and volt drop: ranges and simple sums."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomwright.calc.conductors import (
    awg_area_mm2,
    max_ohm_per_m_awg,
    max_ohm_per_m_iec60228,
    max_ohm_per_m_iso6722,
    nearest_awg,
    ohm_per_m,
    resistance_factor,
    strand_area_mm2,
)
from loomwright.calc.drop import (
    drop_limit_v,
    drop_notes,
    drop_v,
    hot_length_mm,
    max_length_mm,
    structure_return_ohm,
)
from loomwright.errors import OutOfRange
from loomwright.sources import Mark


def test_recalled_metric_limits_lie_between_copper_and_the_read_standard():
    """ISO 6722 is recalled; a road-vehicle wire may not be worse than the class 5 cable of the same size."""
    for mm2 in (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0):
        recalled = max_ohm_per_m_iso6722(mm2)
        assert recalled.source.mark is Mark.MEMORY
        assert ohm_per_m(mm2) < recalled.value <= max_ohm_per_m_iec60228(mm2).value


def test_largest_resistance_by_gauge_lies_above_pure_copper():
    for awg in (24, 22, 20, 18, 16, 14, 12, 10):
        assert (
            max_ohm_per_m_awg(awg).value > ohm_per_m(awg_area_mm2(awg)) * 0.94
        )  # 19 strands hold more copper


@pytest.mark.parametrize(
    "call",
    [
        lambda: awg_area_mm2(41),
        lambda: nearest_awg(0.0),
        lambda: strand_area_mm2(0, 0.2),
        lambda: ohm_per_m(0.0),
        lambda: resistance_factor(300.0),
        lambda: max_ohm_per_m_iec60228(0.6),
        lambda: max_ohm_per_m_iec60228(0.34, 2),
        lambda: max_ohm_per_m_iso6722(0.6),
        lambda: max_ohm_per_m_awg(23),
        lambda: drop_v(-1, 0.05, 100),
        lambda: drop_v(1, 0.0, 100),
        lambda: drop_v(1, 0.05, float("nan")),
        lambda: max_length_mm(0.5, 0.0, 0.05),
        lambda: hot_length_mm(100, 400),
        lambda: drop_limit_v(48),
    ],
)
def test_outside_its_range_it_refuses(call):
    with pytest.raises(OutOfRange):
        call()


@given(st.floats(0.01, 100), st.floats(1e-4, 1.0), st.floats(0.05, 5.0))
def test_longest_wire_loses_just_what_is_allowed(amps, ohms, allowed):
    assert drop_v(amps, ohms, max_length_mm(allowed, amps, ohms)) == pytest.approx(allowed)


@given(st.floats(-40, 250))
def test_hot_length_and_hot_resistance_are_one_thing(temp_c):
    assert hot_length_mm(1000, temp_c) * resistance_factor(temp_c) == pytest.approx(1000)


def test_notes_are_common_practice_and_limits_are_marked():
    assert (drop_notes().feed_v.value, drop_notes().ground_v.value) == (0.2, 0.1)
    assert drop_notes().feed_v.source.mark is Mark.PRACTICE
    assert drop_limit_v(14.0).source.mark is Mark.STANDARD
    assert drop_limit_v(14.0, "intermittent").source.mark is Mark.MEMORY
    assert structure_return_ohm().value == 0.005
