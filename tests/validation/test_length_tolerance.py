"""QC/T 29106-92, 4.2.5 Table 1: length tolerance of trunk and branch; IPC/WHMA-A-620 as recalled."""

import pytest

from loomwright.calc.length_tolerance import RECALLED, plus_tolerance_mm
from loomwright.errors import OutOfRange
from loomwright.model.shop import Shop
from loomwright.sources import Mark
from validation.printed import agrees, printed


@pytest.mark.parametrize("row", printed("length_tolerance"), ids=lambda row: row["length_mm"])
def test_as_printed(row):
    assert agrees(plus_tolerance_mm(float(row["length_mm"])).value, row["plus_mm"])


def test_one_millimetre_more_is_noticed():
    assert not agrees(plus_tolerance_mm(500).value + 1, "25")


@pytest.mark.parametrize("length_mm", [50, 300, 301, 1500, 2999, 7500, 12000])
def test_the_recalled_rule_never_allows_less_and_says_that_it_is_recalled(length_mm):
    recalled = plus_tolerance_mm(length_mm, RECALLED)
    assert recalled.source.mark is Mark.MEMORY
    assert recalled.value >= plus_tolerance_mm(length_mm).value


def test_rounding_up_to_the_shop_s_step_stays_inside_the_tightest_band():
    assert Shop().cut_step_mm.value <= plus_tolerance_mm(1).value


@pytest.mark.parametrize("length_mm", [0, -5, 2e6])
def test_refuses_what_is_no_length(length_mm):
    with pytest.raises(OutOfRange):
        plus_tolerance_mm(length_mm)
