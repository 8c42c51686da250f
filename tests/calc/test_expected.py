"""Ohms of networks against sums by hand and against networkx; millivolts and lamps by Ohm's law."""

import math

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.calc.expected import (
    OPEN_OHM,
    Resistor,
    lamp_amps,
    millivolts,
    parallel_ohm,
    two_point_ohm,
)
from loomwright.errors import OutOfRange


@pytest.mark.parametrize(
    ("ohms", "together"),
    [
        ((12.0,), 12.0),
        ((12.0, 12.0, 12.0, 12.0), 3.0),
        ((3.0, 6.0), 2.0),
        ((1.0, math.inf), 1.0),
        ((), OPEN_OHM),
        ((math.inf, math.inf), OPEN_OHM),
    ],
)
def test_resistances_side_by_side_by_hand(ohms, together):
    assert parallel_ohm(ohms) == pytest.approx(together, rel=1e-12)


def test_a_bridge_by_hand():
    """Balanced bridge of 1, 2, 1, 2 ohm: the arm across carries nothing; (1+2)(1+2)/6 = 1.5 ohm."""
    arms = (("a", "c", 1.0), ("c", "b", 2.0), ("a", "d", 1.0), ("d", "b", 2.0), ("c", "d", 7.0))
    net = [Resistor(*arm) for arm in arms]
    assert two_point_ohm(net, "a", "b") == pytest.approx(1.5, rel=1e-12)


def test_open_closed_and_what_hangs_in_the_air():
    net = [Resistor("a", "b", 2.0), Resistor("b", "loose end", 5.0), Resistor("x", "y", 1.0)]
    assert two_point_ohm(net, "a", "b") == pytest.approx(2.0)
    assert two_point_ohm(net, "a", "x") == OPEN_OHM
    assert two_point_ohm(net, "a", "nowhere") == OPEN_OHM
    assert two_point_ohm(net, "a", "a") == 0.0


def test_two_wires_side_by_side_and_one_bent_back_on_itself():
    net = [Resistor("a", "b", 3.0), Resistor("a", "b", 6.0), Resistor("a", "a", 1.0)]
    assert two_point_ohm(net, "a", "b") == pytest.approx(parallel_ohm((3.0, 6.0)))


@st.composite
def networks(draw):
    points = draw(st.integers(2, 8))
    ohm = st.floats(0.001, 1000.0)
    joined = [(str(n), str(draw(st.integers(0, n - 1))), draw(ohm)) for n in range(1, points)]
    more = draw(st.lists(st.tuples(st.integers(0, points - 1), st.integers(0, points - 1), ohm), max_size=8))
    return [Resistor(*one) for one in joined] + [Resistor(str(a), str(b), o) for a, b, o in more if a != b]


@settings(max_examples=60, deadline=None)
@given(networks())
def test_networks_agree_with_networkx(net):
    graph = networkx.MultiGraph()
    for one in net:
        graph.add_edge(one.a, one.b, weight=one.ohm)
    wanted = networkx.resistance_distance(graph, "0", "1", weight="weight", invert_weight=True)
    assert two_point_ohm(net, "0", "1") == pytest.approx(wanted, rel=1e-6)


def test_one_part_in_a_thousand_is_noticed():
    net = [Resistor("a", "b", 3.0), Resistor("a", "b", 6.0)]
    assert two_point_ohm(net, "a", "b") != pytest.approx(2.0 * 1.001, rel=1e-4)


def test_millivolts_and_the_lamp():
    assert millivolts(0.013, 5.0) == pytest.approx(65.0)
    assert millivolts(0.0, 5.0) == 0.0
    assert lamp_amps(21.0, 12.0) == pytest.approx(1.75)


@pytest.mark.parametrize(
    "call",
    [
        lambda: parallel_ohm([0.0]),
        lambda: parallel_ohm([math.nan]),
        lambda: two_point_ohm([Resistor("a", "b", -1.0)], "a", "b"),
        lambda: millivolts(-0.1, 5.0),
        lambda: millivolts(math.nan, 5.0),
        lambda: lamp_amps(0.0, 12.0),
        lambda: lamp_amps(21.0, 0.0),
    ],
)
def test_what_is_no_resistance_is_refused(call):
    with pytest.raises(OutOfRange):
        call()
