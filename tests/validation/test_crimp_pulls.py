"""Crimp pull minima: two makers' tensile tables by AWG, QC/T 29106-2014 Table 2 and IEC 60352-2 by mm2."""

import pytest

from loomwright.calc.crimps import pull_minima_awg, pull_minima_mm2
from loomwright.units import awg_number
from validation.printed import agrees, printed, soft

N_PER_LBF = 4.4482216
AWG = printed("crimp_pull_awg")
METRIC = printed("crimp_pull_mm2")


def _awg_min_n(row: dict[str, str]) -> float:
    return next(pull.min_n for pull in pull_minima_awg(awg_number(row["awg"])) if pull.rule == row["level"])


@pytest.mark.parametrize("row", AWG, ids=lambda row: f"{row['awg']} {row['level']}")
def test_newtons_as_printed(row):
    holds = agrees(_awg_min_n(row), row["min_n"])
    if row["seen"] == "seen":
        assert holds
    else:
        soft(holds, f"{row['awg']} {row['level']}")


@pytest.mark.parametrize("row", AWG, ids=lambda row: f"{row['awg']} {row['level']}")
def test_newtons_are_the_printed_pounds(row):
    """The tables print both; 2/0 commercial has a misprint in one of them (1235 N, 300 lbf = 1334 N)."""
    share = _awg_min_n(row) / (float(row["min_lbf"]) * N_PER_LBF)
    if row["awg"] == "2/0" and row["level"] == "commercial":
        assert share == pytest.approx(0.925, abs=0.001)
    else:
        assert share == pytest.approx(1.0, abs=0.005)


@pytest.mark.parametrize("row", METRIC, ids=lambda row: f"{row['rule']} {row['area_mm2']}")
def test_metric_as_printed(row):
    found = [pull.min_n for pull in pull_minima_mm2(float(row["area_mm2"])) if pull.rule == row["rule"]]
    holds = len(found) == 1 and agrees(found[0], row["min_n"])
    if row["seen"] == "seen":
        assert holds
    else:
        soft(holds, f"{row['rule']} {row['area_mm2']}")


def test_a_wrong_value_is_noticed():
    assert agrees(pull_minima_awg(22)[0].min_n, "35.6")
    assert not agrees(pull_minima_awg(22)[0].min_n * 1.002, "35.6")
    assert not agrees(pull_minima_awg(20)[0].min_n, "35.6")
