import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.calc.bundle import bundle_size, finished_mm, root_square_mm, rule_mm, taped_mm
from loomwright.calc.packing import pack
from loomwright.errors import OutOfRange
from loomwright.sources import Mark

TABLE_22_AWG = {
    8: 3.7,
    12: 4.5,
    20: 5.8,
    30: 7.2,
    45: 8.8,
    60: 10.1,
    80: 11.7,
    110: 13.7,
}  # ETFE, common practice


@pytest.mark.parametrize("count", TABLE_22_AWG)
def test_quick_table_of_the_trade(count: int) -> None:
    assert rule_mm([1.09] * count) == pytest.approx(TABLE_22_AWG[count], abs=0.06)


def test_few_wires_as_packed() -> None:
    found = bundle_size([2.0, 2.0])
    assert found.as_laid_mm == found.packed_min_mm == pytest.approx(4.0)
    assert found.source.mark is Mark.OURS


def test_rule_from_eight() -> None:
    found = bundle_size([1.09] * 20)
    assert found.as_laid_mm == pytest.approx(1.2 * 1.09 * math.sqrt(20))
    assert found.source.mark is Mark.PRACTICE
    assert found.low_mm == pytest.approx(1.15 * 1.09 * math.sqrt(20))
    assert found.high_mm == pytest.approx(1.25 * 1.09 * math.sqrt(20))


def test_never_below_the_tightest_packing() -> None:
    found = bundle_size([1.0] * 9)
    assert rule_mm([1.0] * 9) < found.as_laid_mm == found.packed_min_mm
    assert "below the least possible" in found.source.text


@given(st.lists(st.floats(0.8, 5.0), min_size=1, max_size=20))
@settings(max_examples=20, deadline=None, derandomize=True)
def test_bracket_holds(sizes: list[float]) -> None:
    found = bundle_size(sizes)
    assert found.lower_bound_mm <= found.packed_min_mm * (1 + 1e-12)
    assert found.packed_min_mm <= found.low_mm <= found.as_laid_mm <= found.high_mm
    assert found.factor == pytest.approx(found.as_laid_mm / root_square_mm(sizes))


@given(
    st.lists(st.sampled_from([1.09, 1.31, 1.6, 2.1]), min_size=11, max_size=30),
    st.sampled_from([1.09, 1.6, 2.1]),
)
@settings(max_examples=20, deadline=None, derandomize=True)
def test_one_more_wire_never_shrinks_a_bundle_by_rule(sizes: list[float], extra: float) -> None:
    before, after = bundle_size(sizes), bundle_size([*sizes, extra])
    if before.source.mark is Mark.PRACTICE:
        assert after.as_laid_mm >= before.as_laid_mm


def test_takes_a_packing_at_hand() -> None:
    sizes = [1.09] * 9
    assert bundle_size(sizes, packing=pack(sizes)) == bundle_size(sizes)


def test_tape_and_sheath() -> None:
    assert taped_mm(10.0, 0.1, 2) == pytest.approx(10.4)
    assert finished_mm(10.0, 0.9) == pytest.approx(11.8)


def test_refuses() -> None:
    for call in (
        lambda: bundle_size([]),
        lambda: rule_mm([1.0], 1.0),
        lambda: rule_mm([1.0], 1.5),
        lambda: taped_mm(0, 0.1, 1),
        lambda: taped_mm(5, 3, 1),
        lambda: taped_mm(5, 0.1, -1),
        lambda: finished_mm(5, -0.1),
    ):
        with pytest.raises(OutOfRange):
            call()
