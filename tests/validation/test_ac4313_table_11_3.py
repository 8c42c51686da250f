"""FAA AC 43.13-1B, p. 11-15, Table 11-3: fuse and breaker by copper gauge."""

import pytest

from loomwright.calc.conductors import awg_area_mm2
from loomwright.calc.fuses import guide_fuse
from loomwright.units import awg_number
from validation.printed import printed

ROWS = printed("ac4313_table_11_3")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["awg"])
def test_fuse_and_breaker_as_printed(row):
    found = guide_fuse(awg_area_mm2(awg_number(row["awg"])))
    assert found.awg == row["awg"]
    assert found.fuse_a == float(row["fuse_a"])
    assert found.breaker_a == (float(row["breaker_a"]) if row["breaker_a"] else None)


METRIC = [(0.35, "22"), (0.5, "22"), (0.6162, "20"), (1.0, "18"), (2.5, "14")]


@pytest.mark.parametrize(("area_mm2", "awg"), METRIC)
def test_a_metric_wire_takes_the_gauge_below(area_mm2, awg):
    assert guide_fuse(area_mm2).awg == awg


def test_a_wrong_row_is_noticed():
    assert guide_fuse(awg_area_mm2(18)).fuse_a != float(ROWS[0]["fuse_a"])
