"""Which rules a level of build brings and which it leaves alone."""

import pytest

from checks.making import changed, codes
from checks.test_every_code import FIRES

MOTORSPORT = ("FEED-06", "SPLICE-09", "LAY-01", "TIE-06")
SHOPS = ("SLEEVE-06", "DROP-02", "WIRE-02", "FUSE-07", "DOUBT-03", "TIE-05", "SPARE-01")


def at(text, level):
    for known in ("small shop", "motorsport"):
        text = text.replace(f'level = "{known}"', f'level = "{level}"')
    return text


@pytest.mark.parametrize("code", MOTORSPORT)
def test_motorsport_alone(code):
    assert code in codes(at(FIRES[code], "motorsport"))
    assert code not in codes(at(FIRES[code], "small shop"))
    assert code not in codes(at(FIRES[code], "street"))


@pytest.mark.parametrize("code", [c for c in SHOPS if c in FIRES])
def test_habits_of_good_shops_are_not_told_of_street_looms(code):
    assert code in codes(at(FIRES[code], "small shop"))
    assert code not in codes(at(FIRES[code], "street"))


def test_one_colour_is_ordinary_in_motorsport():
    assert "COLOUR-01" in codes(FIRES["COLOUR-01"])
    assert "COLOUR-01" in codes(at(FIRES["COLOUR-01"], "street"))
    assert "COLOUR-01" not in codes(at(FIRES["COLOUR-01"], "motorsport"))


def test_a_clamp_among_the_ties_is_enough():
    text = FIRES["TIE-06"].replace(
        '{ at_mm = 190, to = "bracket" }', '{ at_mm = 190, to = "bracket", what = "clamp" }'
    )
    text = text.replace('{ at_mm = 70, to = "bracket" }', '{ at_mm = 70, to = "bracket", what = "P-clamp" }')
    assert "TIE-06" not in codes(text)


def test_a_concentric_lay_is_not_asked_for_twice():
    text = FIRES["LAY-01"]
    assert "LAY-01" not in codes(text.replace("[shop]\n", '[shop]\nlay = "concentric"\n', 1))


def test_names_that_are_only_near():
    assert "DEVICE-06" not in codes(changed(add='[spare.SPARE1]\na = "B1"\nb = "B2"\n'))
    assert "DEVICE-06" in codes(changed(add='[spare.B2]\na = "B1"\nb = "B2"\n'))
    assert "DEVICE-06" in codes(changed(add='[spare.W12]\na = "B1"\nb = "B2"\n'))
