"""Data-sheet time-current points of blade fuses, second-hand: 10 A and 35 to 40 A type C, 40 A type E."""

import math

import pytest

from loomwright.calc.fuses import holds_for_s, opens_within_s
from validation.printed import printed

ROWS = printed("blade_fuse_points")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['kind']}{row['rating_a']} {row['percent']}")
def test_window_at_the_printed_point(row):
    kind, rating = row["kind"], float(row["rating_a"])
    amps = rating * float(row["percent"]) / 100
    assert opens_within_s(kind, rating, amps) == float(row["max_s"])
    if row["min_s"]:
        assert holds_for_s(kind, rating, amps) == float(row["min_s"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['kind']}{row['rating_a']} {row['percent']}")
def test_just_off_the_point_the_weaker_gate_stands(row):
    kind, rating = row["kind"], float(row["rating_a"])
    amps = rating * float(row["percent"]) / 100
    below = opens_within_s(kind, rating, amps * 0.999)
    assert (math.inf if below is None else below) > float(row["max_s"])
    if row["min_s"]:
        assert holds_for_s(kind, rating, amps * 1.001) < float(row["min_s"])
