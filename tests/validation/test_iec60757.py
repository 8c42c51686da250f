"""IEC 60757:1983, letter codes of colours (read in its GOST twin)."""

import pytest

from loomwright.calc.colours import colour, colour_letters, colours
from validation.printed import printed

ROWS = printed("iec60757")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["letters"])
def test_letters_as_printed(row):
    assert colour(row["colour"]).letters == row["letters"]
    assert colour(row["letters"]).name == row["colour"]


def test_none_more_and_none_less():
    assert [one.letters for one in colours()] == [row["letters"] for row in ROWS]


def test_letters_of_a_pair_stand_side_by_side():
    assert colour_letters("red/white") == "RDWH"
    assert colour_letters("green-and-yellow") == "GNYE"


def test_a_wrong_letter_is_noticed():
    assert colour("black").letters != next(row["letters"] for row in ROWS if row["colour"] == "blue")
