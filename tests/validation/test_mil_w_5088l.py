"""MIL-W-5088L bundle derating curves (digitised by a third party), with what other texts say beside them:
FAA AC 43.13-1B 11-68 example 2, and three families of full-load factors."""

from itertools import pairwise

import pytest

from loomwright.calc.ampacity import heat_limit
from loomwright.calc.derating import wires_factor
from validation.printed import agrees, printed, soft

ROWS = printed("mil_w_5088l")
LOADINGS = ["20", "40", "60", "80", "100"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["wires"])
def test_factor_as_printed(row):
    """Guards the copying and the look-up at every printed line."""
    for loading in LOADINGS:
        if row[loading]:
            found = wires_factor(int(row["wires"]), float(loading))
            assert agrees(found.factor, row[loading])
            assert not found.estimated


@pytest.mark.parametrize("row", ROWS[1:19], ids=lambda row: row["wires"])
def test_between_two_lines_lies_between(row):
    for low, high in pairwise(LOADINGS):
        middle = wires_factor(int(row["wires"]), (float(low) + float(high)) / 2).factor
        assert float(row[high]) < middle < float(row[low])


def test_faa_reads_the_same_off_its_own_chart():
    """Independent: example 2 of 11-68 reads 0.6 for 8 wires at 60 %."""
    for row in printed("ac4313_bundle_examples"):
        holds = agrees(wires_factor(int(row["wires"]), float(row["percent"])).factor, row["factor"])
        if row["seen"] == "seen":
            assert holds
        else:
            soft(holds, f"{row['wires']} wires at {row['percent']} %")


FAMILIES = printed("bundle_families")
SLOPES = [(20, -0.30), (40, -0.36), (60, -0.41), (80, -0.43), (100, -0.48)]


@pytest.mark.parametrize("row", FAMILIES, ids=lambda row: f"{row['family']} {row['count_from']}")
def test_estimate_beyond_the_curves_is_no_more_generous_than_any_other_family(row):
    """Full load, 20 wires and more: never above what three other rules allow."""
    for wires in range(max(20, int(row["count_from"])), int(row["count_to"]) + 1):
        found = wires_factor(wires, 100)
        assert found.factor <= float(row["factor"])
        assert found.estimated


@pytest.mark.parametrize(("loading", "slope"), SLOPES)
def test_curve_carried_on_keeps_its_slope(loading, slope):
    """A hidden answer: the slope from 10 to 14 wires, carried on, finds the curve's own 19th line."""
    ten, fourteen, nineteen = (wires_factor(n, loading).factor for n in (10, 14, 19))
    guess = ten * (fourteen / ten) ** (0.641854 / 0.336472)  # logarithms of 19/10 and 14/10
    assert abs(guess / nineteen - 1) < 0.03
    assert wires_factor(38, loading).factor / nineteen == pytest.approx(2**slope, rel=0.01)


def test_a_wrong_factor_is_noticed():
    row = ROWS[7]
    assert agrees(wires_factor(8, 60).factor, row["60"])
    assert not agrees(wires_factor(8, 60).factor * 1.001, row["60"])
    assert not agrees(wires_factor(9, 60).factor, row["60"])


def test_heat_limit_uses_the_factor():
    alone = heat_limit(0.6162, 150, 70, 1).amps
    assert heat_limit(0.6162, 150, 70, 8, 60).amps == pytest.approx(alone * 0.595)
