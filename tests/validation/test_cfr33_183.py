"""33 CFR 183.425 Table 5 (allowable amps at 30 degrees C) and 33 CFR 183.455 (overcurrent protection)."""

import pytest

from loomwright.calc.conductors import awg_area_mm2
from loomwright.calc.fault_current import lasting_overload
from loomwright.calc.free_air import free_air
from loomwright.calc.fuses import boat_rule_distance_mm, boat_rule_max_a
from loomwright.units import awg_number
from validation.printed import agrees, printed

ROWS = printed("cfr33_183_table5")
AREAS = {row["awg"]: float(row["area_mm2"]) for row in printed("ac4313_table_11_9")}
CLASSES = ["60", "75", "80", "90", "105", "125"]


@pytest.mark.parametrize("row", [r for r in ROWS if r["awg"] in AREAS], ids=lambda row: row["awg"])
@pytest.mark.parametrize("class_c", CLASSES)
def test_never_above_the_table(row, class_c):
    """18 to 10 AWG, classes to 125: ours stays at or below the print, and above three quarters of it."""
    found = free_air(AREAS[row["awg"]], float(class_c), 30.0).amps
    printed_a = float(row[f"{class_c}c"])
    assert found <= printed_a + 1e-9
    assert found >= 0.75 * printed_a


@pytest.mark.parametrize("row", ROWS[5:], ids=lambda row: row["awg"])
@pytest.mark.parametrize("class_c", CLASSES)
def test_cables_stay_below_the_table(row, class_c):
    area = min(awg_area_mm2(awg_number(row["awg"])), 107.0)
    assert free_air(area, float(class_c), 30.0).amps <= float(row[f"{class_c}c"])


def test_column_of_200_degrees_is_flat_and_not_used():
    """14 AWG: the FAA reads 47 A at 150 K rise; this column gives 45 A at 170 K. Ours follows the FAA."""
    row = next(row for row in ROWS if row["awg"] == "14")
    assert float(row["200c"]) < 47 < free_air(AREAS["14"], 200.0, 30.0).amps * 1.02


def test_rating_at_most_one_and_a_half_times_the_ampacity():
    assert agrees(boat_rule_max_a(20.0).value, "30")
    assert lasting_overload("C", 30, 20.0).within_boat_rule
    assert not lasting_overload("C", 30, 19.9).within_boat_rule


def test_distance_from_the_source():
    assert boat_rule_distance_mm(sheathed=False).value == pytest.approx(7 * 25.4)
    assert boat_rule_distance_mm(sheathed=True).value == pytest.approx(40 * 25.4)


def test_one_part_in_a_thousand_is_noticed():
    found = free_air(AREAS["18"], 105.0, 30.0).amps  # here the table itself decides: 20 A
    assert found <= 20 + 1e-9
    assert found * 1.001 > 20
