"""Blade fuses and dead shorts."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.calc.fault_current import (
    adiabatic_k,
    final_temperature_c,
    lasting_overload,
    short_cleared,
    short_current_a,
    withstands_s,
)
from loomwright.calc.fuses import (
    blade_fuse,
    blade_fuses,
    cold_ohm,
    gates,
    guide_fuse,
    holds_for_s,
    interrupting_a,
    load_share_max,
    may_carry_a,
    melting_a2s,
    opens_within_s,
)
from loomwright.errors import OutOfRange
from loomwright.sources import Mark

EVERY_FUSE = [(fuse.kind, fuse.rating_a) for kind in ("C", "F", "E") for fuse in blade_fuses(kind)]


def _short(**other):
    given_ = {
        "volts": 13.8,
        "source_ohm": 0.02,
        "wire_ohm_20c": 0.16,
        "contact_ohm": 0.01,
        "area_mm2": 0.3826,
        "class_c": 150,
        "start_c": 110,
        "kind": "C",
        "rating_a": 10,
    }
    return short_cleared(**(given_ | other))


@pytest.mark.parametrize(("kind", "rating_a"), EVERY_FUSE)
def test_every_fuse_has_gates_in_order(kind, rating_a):
    printed = gates(kind, rating_a)
    slow = [gate.max_s for gate in printed if gate.max_s is not None]
    fast = [gate.min_s for gate in printed if gate.min_s is not None]
    assert slow == sorted(slow, reverse=True)
    assert fast == sorted(fast, reverse=True)
    assert all(gate.min_s < gate.max_s for gate in printed if gate.min_s and gate.max_s)
    assert may_carry_a(kind, rating_a).value == pytest.approx(1.35 * rating_a)


@settings(max_examples=200)
@given(st.sampled_from(EVERY_FUSE), st.floats(0, 1000), st.floats(0, 1000))
def test_more_current_never_opens_later(fuse, one, other):
    low, high = sorted((one, other))
    slow_low, slow_high = opens_within_s(*fuse, low), opens_within_s(*fuse, high)
    assert slow_low is None or slow_high <= slow_low
    assert holds_for_s(*fuse, high) <= holds_for_s(*fuse, low)


def test_a_point_read_stands_before_one_recalled():
    by_percent = {gate.percent: gate.source.mark for gate in gates("C", 10)}
    assert by_percent[160] is Mark.MAKER
    assert by_percent[350] is Mark.MEMORY
    assert {gate.source.mark for gate in gates("E", 40)} == {Mark.MAKER}
    assert {gate.source.mark for gate in gates("E", 60)} == {Mark.MEMORY}


def test_ratings_that_are_not_made_are_refused():
    assert blade_fuse("C", 7.5).colour == "brown"
    with pytest.raises(OutOfRange, match="medium blade"):
        blade_fuse("C", 12)
    with pytest.raises(OutOfRange, match="22 AWG"):
        guide_fuse(0.2)


def test_rules_and_parts():
    assert load_share_max().value == 0.75
    assert load_share_max("building").source.mark is Mark.MEMORY
    assert cold_ohm("E", 40).value == pytest.approx(0.0014)
    assert cold_ohm("C", 10) is None
    assert melting_a2s("C", 40).value == 3300
    assert interrupting_a("F").value == 1000


def test_well_known_k_of_copper():
    """IEC 60364-5-54: 115 for PVC (70 to 160), 143 for cross-linked PE (90 to 250); constants recalled."""
    assert adiabatic_k(70, 160) == pytest.approx(115, abs=0.5)
    assert adiabatic_k(90, 250) == pytest.approx(143, abs=0.5)
    assert final_temperature_c(80).value == 160
    assert final_temperature_c(150).value == 250


@given(st.floats(0.1, 50), st.floats(1, 2000))
def test_twice_the_current_a_quarter_of_the_time(area, amps):
    assert withstands_s(area, amps, 80, 250) == pytest.approx(4 * withstands_s(area, 2 * amps, 80, 250))


def test_short_leg_is_cleared_and_a_long_thin_one_is_not_proved():
    near = _short()
    assert near.ok
    assert near.fuse_can_break
    assert near.clears_in_s <= near.wire_withstands_s
    far = _short(wire_ohm_20c=0.5)
    assert not far.ok
    assert far.clears_in_s > far.wire_withstands_s


def test_weak_short_that_the_wire_carries_for_ever_does_no_harm():
    weak = _short(wire_ohm_20c=3.0)
    assert weak.clears_in_s is None
    assert not weak.ok
    assert _short(wire_ohm_20c=3.0, wire_limit_a=6.0).ok


def test_hot_wire_is_tried_too():
    """Cold the short is above 6 times the rating, hot below it: the slower gate stands."""
    found = _short(wire_ohm_20c=0.135, start_c=20)
    assert found.short_a > 60
    assert found.worst_a <= 60
    assert found.clears_in_s == 0.5


def test_fuse_that_cannot_break_the_short_is_told():
    assert not _short(source_ohm=0.004, contact_ohm=0.002, wire_ohm_20c=0.005, area_mm2=8.0).fuse_can_break


@settings(max_examples=200)
@given(st.floats(0.2, 10), st.floats(0.2, 10), st.floats(0.005, 1.0), st.sampled_from(EVERY_FUSE))
def test_a_thicker_wire_of_the_same_resistance_is_never_worse(one, other, ohms, fuse):
    thin, thick = sorted((one, other))
    kind, rating = fuse
    if _short(area_mm2=thin, wire_ohm_20c=ohms, kind=kind, rating_a=rating).ok:
        assert _short(area_mm2=thick, wire_ohm_20c=ohms, kind=kind, rating_a=rating).ok


def test_lasting_overload():
    assert lasting_overload("C", 10, 13.5).ok
    assert not lasting_overload("C", 10, 13.4).ok
    assert lasting_overload("C", 10, 7.0).within_boat_rule
    assert not lasting_overload("C", 10, 6.6).within_boat_rule


@pytest.mark.parametrize(
    "call",
    [
        lambda: short_current_a(12, 0),
        lambda: short_current_a(0, 1),
        lambda: adiabatic_k(160, 160),
        lambda: withstands_s(0, 10, 80, 250),
        lambda: final_temperature_c(300),
        lambda: lasting_overload("C", 10, 0),
        lambda: _short(contact_ohm=-0.1),
        lambda: _short(rating_a=11),
    ],
)
def test_outside_its_range_it_refuses(call):
    with pytest.raises(OutOfRange):
        call()


def test_beyond_the_last_gate_the_time_falls_as_the_square_of_the_current() -> None:
    last = gates("C", 10)[-1]
    assert last.max_s is not None
    at_a = last.percent / 10
    assert opens_within_s("C", 10, at_a) == last.max_s
    assert opens_within_s("C", 10, 2 * at_a) == pytest.approx(last.max_s / 4)
    assert opens_within_s("C", 10, at_a * 0.999) > last.max_s
