import math

import pytest

from loomwright.calc.layup import (
    exit_turn_deg,
    helix_take_up,
    layer,
    layer_take_up,
    pair_take_up,
    twisted_take_up,
)
from loomwright.errors import OutOfRange

TABLE = {
    8: (3.4, 4.8, 5.5),
    10: (2.2, 3.1, 3.6),
    12: (1.5, 2.2, 2.5),
    16: (0.9, 1.2, 1.4),
}  # percent, common practice


@pytest.mark.parametrize("times", TABLE)
def test_take_up_by_layer(times: int) -> None:
    for number, percent in enumerate(TABLE[times], 1):
        od = 2 * number + 1.0
        assert abs(100 * layer_take_up(od, 1.0, times * od) - percent) <= 0.05 + 1e-9


@pytest.mark.parametrize(
    ("times", "around_one", "around_seven_of_nineteen"), [(8, 5.8, 17.8), (12, 5.9, 18.3)]
)
def test_wires_per_layer(times: int, around_one: float, around_seven_of_nineteen: float) -> None:
    assert abs(layer(1.0, 1.0, times * 3.0).fits - around_one) <= 0.05
    assert abs(layer(5.0, 1.0, times * 7.0).fits - around_seven_of_nineteen) <= 0.05


@pytest.mark.parametrize(("pitch", "percent"), [(40, 0.4), (25, 0.9), (15, 2.6)])
def test_pair_of_22_awg(pitch: float, percent: float) -> None:
    assert abs(100 * pair_take_up(1.09, pitch) - percent) <= 0.05


def test_six_round_one_ride_up_and_then_fit() -> None:
    found = layer(1.0, 1.0, 24.0)
    assert found.wires == 6
    assert found.ride_up_mm > 0
    assert layer(1.0 + 2 * found.ride_up_mm, 1.0, 24.0).fits == pytest.approx(6.0, abs=1e-9)


def test_core_a_little_larger_cures_it() -> None:
    assert layer(1.09, 1.0, 24.0).ride_up_mm == 0.0


def test_beyond_a_quarter_wire_one_fewer() -> None:
    found = layer(1.0, 1.2, 30.0)
    assert found.fits < 6 - 0.25
    assert found.wires == math.floor(found.fits + 0.25)


def test_no_helix_no_take_up() -> None:
    assert helix_take_up(0.0, 30.0) == 0.0
    assert helix_take_up(30.0 / math.pi, 30.0) == pytest.approx(math.sqrt(2) - 1)


def test_pair_is_two_twisted() -> None:
    assert twisted_take_up(2, 1.3, 30.0) == pytest.approx(pair_take_up(1.3, 30.0))


def test_exit_turns_with_the_helix() -> None:
    assert exit_turn_deg(75.0, 60.0) == pytest.approx(90.0)


def test_refuses() -> None:
    for call in (
        lambda: helix_take_up(-1, 30),
        lambda: helix_take_up(1, 0),
        lambda: layer(0, 1, 30),
        lambda: layer(1, 1, 3),
        lambda: pair_take_up(0, 30),
        lambda: twisted_take_up(6, 1, 30),
        lambda: exit_turn_deg(-1, 30),
        lambda: layer_take_up(0.5, 1, 30),
    ):
        with pytest.raises(OutOfRange):
            call()
