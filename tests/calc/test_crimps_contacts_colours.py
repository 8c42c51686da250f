"""Crimps, contact windows and colours."""

import pytest

from loomwright.calc.colours import colour, colour_letters
from loomwright.calc.contacts import Fit, Window, contact_fit, window_fit
from loomwright.calc.crimps import (
    crimp_ohm_max,
    insulation_gap,
    mated_pair_ohm,
    pull_minima_awg,
    pull_minima_mm2,
    seat_pull_max_n,
    strand_damage,
)
from loomwright.errors import OutOfRange
from loomwright.sources import Mark


def test_both_metric_rules_are_shown():
    rules = {pull.rule: (pull.size, pull.min_n) for pull in pull_minima_mm2(0.5)}
    assert rules == {"IEC 60352-2": ("0.5 mm2", 60.0), "QC/T 29106": ("0.5 mm2", 70.0)}


def test_an_unlisted_size_takes_the_listed_one_below():
    assert {pull.rule: pull.size for pull in pull_minima_mm2(0.6)} == {
        "IEC 60352-2": "0.5 mm2",
        "QC/T 29106": "0.5 mm2",
    }
    assert [pull.rule for pull in pull_minima_mm2(0.1)] == ["IEC 60352-2"]
    assert [pull.rule for pull in pull_minima_mm2(16.0)] == ["QC/T 29106"]


def test_military_level_is_never_below_commercial():
    for awg in (26, 24, 22, 20, 18, 16, 14, 12, 10):
        commercial, military = pull_minima_awg(awg)
        assert military.min_n > commercial.min_n


def test_strands_and_gap():
    assert (strand_damage(22).max_nicked, strand_damage(22).max_broken) == (2, 0)
    assert strand_damage(11).max_nicked == 4
    assert (insulation_gap(20).min_mm, insulation_gap(20).max_mm) == (0.25, 0.75)
    assert insulation_gap(18).max_mm == 1.25
    assert seat_pull_max_n(35.6).value == pytest.approx(28.48)
    assert crimp_ohm_max().value == pytest.approx(0.0006)
    assert [figure.source.mark for figure in mated_pair_ohm()] == [Mark.OURS, Mark.OURS]


def test_light_wire_is_too_thin_for_a_standard_seal():
    """22 AWG light ETFE, 1.09 +-0.05 mm, in a seal for 1.35 to 3.05 mm (both recalled)."""
    found = contact_fit(0.3826, 1.04, 1.14, area=Window(0.2, 0.6), seal=Window(1.35, 3.05))
    assert (found.area, found.grip, found.seal) == (Fit.OK, Fit.UNKNOWN, Fit.TOO_THIN)
    assert found.build_up_mm == pytest.approx(0.31)
    assert not found.ok


@pytest.mark.parametrize(
    ("low", "high", "fit"),
    [(1.0, 2.0, Fit.OK), (0.9, 1.5, Fit.TOO_THIN), (1.5, 2.1, Fit.TOO_THICK), (0.9, 2.1, Fit.TOO_THICK)],
)
def test_both_ends_must_sit_in_the_window(low, high, fit):
    assert window_fit(low, high, Window(1.0, 2.0)) is fit


def test_fitting_wire_needs_no_build_up():
    found = contact_fit(0.5, 1.4, 1.6, area=Window(0.5, 0.75), grip=Window(1.2, 1.9), seal=Window(1.2, 1.9))
    assert found.ok
    assert found.build_up_mm == 0


def test_colours_in_any_spelling():
    assert colour("Grey") == colour("gray") == colour("gy")
    assert colour_letters("BK-YE") == "BKYE"
    assert colour_letters("brown with red") == "BNRD"
    assert colour_letters("green/yellow") == "GNYE"


@pytest.mark.parametrize(
    "call",
    [
        lambda: pull_minima_awg(30),
        lambda: pull_minima_mm2(0.01),
        lambda: pull_minima_mm2(70),
        lambda: strand_damage(26),
        lambda: strand_damage(9),
        lambda: seat_pull_max_n(0),
        lambda: window_fit(2.0, 1.0, Window(1, 2)),
        lambda: window_fit(1.0, 1.0, Window(2, 1)),
        lambda: colour("puce"),
        lambda: colour_letters(""),
    ],
)
def test_outside_its_range_it_refuses(call):
    with pytest.raises(OutOfRange):
        call()
