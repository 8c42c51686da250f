import csv
import math
from itertools import pairwise
from pathlib import Path

import pytest

from loomwright.calc.sleeve_fit import (
    SleeveBore,
    choose_sleeve,
    cut_length_mm,
    pull_in_share,
    recovered_wall_mm,
    sleeve_fit,
    window_mm,
)
from loomwright.calc.sleeve_other import (
    braid_range_mm,
    choose_tube,
    contacts_need_mm,
    glue_over_leg_mm,
    grommet_bore_mm,
    hole_needs_mm,
    overlap,
    overlaps,
    stiff_length_mm,
    tube_fill,
    tube_takes_mm,
)
from loomwright.errors import OutOfRange
from loomwright.sources import Mark

# nominal, expanded, recovered, wall, window low, high, OD on 1.5 x recovered; the trade's table, from memory
TABLE = [
    ("1/8", 3.2, 1.6, 0.76, 1.8, 2.7, 3.6),
    ("3/16", 4.8, 2.4, 0.84, 2.6, 4.1, 4.9),
    ("1/4", 6.4, 3.2, 0.89, 3.5, 5.4, 6.1),
    ("3/8", 9.5, 4.8, 1.02, 5.3, 8.1, 8.7),
    ("1/2", 12.7, 6.4, 1.22, 7.0, 10.8, 11.4),
    ("3/4", 19.0, 9.5, 1.45, 10.5, 16.1, 16.3),
    ("1", 25.4, 12.7, 1.78, 14.0, 21.6, 21.6),
    ("1-1/2", 38.1, 19.0, 2.41, 20.9, 32.4, 31.9),
]
BORES = [SleeveBore(*row[:4]) for row in TABLE]
CONDUIT = Path(__file__).parent.parent / "authorities" / "packing_conduit_table_2.csv"


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row[0])
def test_trade_table(row: tuple[str, float, float, float, float, float, float]) -> None:
    bore = SleeveBore(*row[:4])
    low, high = window_mm(bore)
    assert (low, high) == (pytest.approx(row[4], abs=0.06), pytest.approx(row[5], abs=0.06))
    assert sleeve_fit(bore, 1.5 * row[2], 300).finished_mm == pytest.approx(row[6], abs=0.06)


def test_wall_keeps_its_section() -> None:
    wall = recovered_wall_mm(6.4, 1.22, 9.0)
    assert (9.0 + wall) * wall == pytest.approx((6.4 + 1.22) * 1.22)
    assert recovered_wall_mm(6.4, 1.22, 6.4) == pytest.approx(1.22)


def test_largest_that_still_grips() -> None:
    choice = choose_sleeve(BORES, 7.5, 400)
    assert choice.chosen is not None
    assert choice.chosen.bore.label == "1/2"
    assert [one.bore.label for one in choice.tried if one.fits] == ["3/8", "1/2"]


def test_long_piece_needs_more_room() -> None:
    assert sleeve_fit(BORES[3], 7.5, 500).slides
    assert not sleeve_fit(BORES[3], 7.5, 1000).slides
    assert (pull_in_share(500), pull_in_share(1000), pull_in_share(3000)) == pytest.approx((0.85, 0.75, 0.75))


def test_a_short_piece_is_pushed_on() -> None:
    assert pull_in_share(1) == pull_in_share(150) == 0.95
    shares = [pull_in_share(mm) for mm in range(10, 2000, 10)]
    assert shares == sorted(shares, reverse=True)
    assert max(a - b for a, b in pairwise(shares)) < 0.01  # no step: a millimetre more never costs a size


def test_between_two_sizes_the_one_that_touches() -> None:
    """0.75 of 6.4 mm is below 1.1 times 4.8 mm: on a long section a 5 mm bundle falls between the two."""
    choice = choose_sleeve(BORES, 5.0, 1200)
    assert choice.lightly
    assert choice.chosen is not None
    assert choice.chosen.bore.label == "3/8"
    assert not choice.chosen.grips
    assert not choose_sleeve(BORES, 5.3, 1200).lightly


def test_plug_on_the_way() -> None:
    assert choose_sleeve(BORES, 7.5, 400, passes_mm=13.0).chosen is None
    assert not sleeve_fit(BORES[4], 7.5, 400, passes_mm=12.7).passes


def test_thin_end_has_to_be_gripped() -> None:
    assert not sleeve_fit(BORES[4], 8.0, 300, thinnest_mm=6.9).grips


def test_cut_length() -> None:
    assert cut_length_mm(200) == pytest.approx(210)


def test_glue_over_leg() -> None:
    assert glue_over_leg_mm(8.0) == (20.0, 25.0)
    assert glue_over_leg_mm(20.0) == (30.0, 40.0)


@pytest.mark.parametrize(
    "row", list(csv.DictReader(CONDUIT.read_text().splitlines()[1:])), ids=lambda row: row["size"]
)
def test_conduit_at_half_fill(row: dict[str, str]) -> None:
    """Table II of the conduit catalogue, as printed, lies 0 to 4.2 % below half the bore's area: the safe
    side.
    """
    over = tube_takes_mm(float(row["id_mm"]), 0.5) / float(row["bundle_at_50_percent_mm"])
    assert 0.995 <= over <= 1.045


def test_tube() -> None:
    assert choose_tube([13.0, 7.5, 10.0], 8.0) == 10.0
    assert choose_tube([4.5], 8.0) is None
    assert tube_fill(7.0, 10.0) == pytest.approx(0.49)


def test_others() -> None:
    assert braid_range_mm(10) == (6.0, 18.0)
    assert grommet_bore_mm(12.0) == (10.5, 11.5)
    assert hole_needs_mm(30, 40) == 53.0
    assert contacts_need_mm(10) == pytest.approx(13.0)
    assert stiff_length_mm([20, 20], 30) == 90.0
    assert overlap("boot lip, small").least_mm == 15
    assert all(one.source.mark is Mark.MEMORY and one.least_mm <= one.good_mm for one in overlaps())


def test_refuses() -> None:
    for call in (
        lambda: SleeveBore("x", 5, 6, 1),
        lambda: SleeveBore("x", 6, 5, 0),
        lambda: recovered_wall_mm(6, 1, 5),
        lambda: pull_in_share(0),
        lambda: cut_length_mm(100, 0.2),
        lambda: sleeve_fit(BORES[0], 2, 100, passes_mm=-1),
        lambda: sleeve_fit(BORES[0], 2, 100, thinnest_mm=3),
        lambda: tube_takes_mm(10, 0.9),
        lambda: overlap("nowhere"),
        lambda: grommet_bore_mm(1),
        lambda: hole_needs_mm(1, 1, -1),
        lambda: stiff_length_mm([-1]),
        lambda: tube_fill(math.nan, 10),
    ):
        with pytest.raises(OutOfRange):
            call()
