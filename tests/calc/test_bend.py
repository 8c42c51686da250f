import math

import pytest

from loomwright.calc.bend import (
    BendVerdict,
    bend_length_mm,
    bend_limits,
    corner_cut_mm,
    extreme_wires_mm,
    loop_extra_mm,
    loop_sag_mm,
)
from loomwright.errors import OutOfRange


def parabola_mm(span: float, sag: float) -> float:
    k = 4 * sag / span
    return span / 2 * (math.hypot(1, k) + math.asinh(k) / k)


def test_verdicts_go_by_member_first() -> None:
    limits = bend_limits(2.0, 10.0)
    assert limits.verdict(11.9) is BendVerdict.FAULT
    assert limits.verdict(39.0) is BendVerdict.CAUTION
    assert limits.verdict(40.0) is BendVerdict.GOOD
    assert bend_limits(2.0, 10.0, polyimide=True).never_below_mm == 20.0


def test_lengths() -> None:
    assert bend_length_mm(10, 90) == pytest.approx(15.708, abs=5e-4)
    assert extreme_wires_mm(10, 90) == pytest.approx(16, abs=0.5)  # the trade says 16 mm for a 10 mm bundle
    assert corner_cut_mm(50, 90) == pytest.approx(100 - 50 * math.pi / 2)


def test_loop_of_the_trade() -> None:
    assert loop_sag_mm(200, 20) == pytest.approx(39, abs=0.5)


@pytest.mark.parametrize(("share", "off"), [(0.05, 0.03), (0.15, 0.06)])
def test_sag_is_low_by_no_more_than_said(share: float, off: float) -> None:
    span, extra = 200.0, 200.0 * share
    low, high = 0.0, 200.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if parabola_mm(span, middle) < span + extra else (low, middle)
    assert 0 <= 1 - loop_sag_mm(span, extra) / high <= off


def test_twice_the_movement() -> None:
    assert loop_extra_mm(24) == 48


def test_refuses() -> None:
    for call in (
        lambda: bend_limits(0, 1),
        lambda: bend_limits(3, 2),
        lambda: bend_limits(2, 10).verdict(-1),
        lambda: bend_length_mm(10, 400),
        lambda: corner_cut_mm(10, 180),
        lambda: loop_sag_mm(200, 31),
        lambda: loop_extra_mm(-1),
        lambda: loop_extra_mm(1, 3),
        lambda: extreme_wires_mm(0, 90),
    ):
        with pytest.raises(OutOfRange):
            call()
