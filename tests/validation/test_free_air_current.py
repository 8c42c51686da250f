"""Wire alone in air: a maker's 30 K currents, a power-module appendix, one reading of FAA AC 43.13-1B.

Ours must never lie above a figure that was read, and not far below (a limit of zero would be safe, too).
"""

import pytest

from loomwright.calc.ampacity import heat_limit
from loomwright.calc.free_air import free_air
from validation.printed import printed, soft

ROWS = printed("free_air_points")


def _ours(row: dict[str, str]) -> float:
    return free_air(float(row["area_mm2"]), 200.0, 200.0 - float(row["rise_k"])).amps


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['from']} {row['awg']} {row['rise_k']}")
def test_never_above_and_at_most_a_tenth_below(row):
    share = _ours(row) / float(row["amps"])
    holds = 0.90 <= share <= 1.0 + 1e-9
    if row["seen"] == "seen":
        assert holds, share
    else:
        soft(holds, f"{row['awg']} AWG at {row['rise_k']} K: {share:.3f}")


def test_one_part_in_a_thousand_above_is_noticed():
    row = next(row for row in ROWS if row["awg"] == "22" and row["from"] == "maker")
    assert _ours(row) * 1.001 > float(row["amps"])


def test_a_wire_alone_in_heat_limit_is_this():
    assert heat_limit(0.3826, 150, 70, 1).amps == free_air(0.3826, 150, 70).amps
