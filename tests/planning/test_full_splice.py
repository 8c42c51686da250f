"""A sensor more on the hillclimb job, at circuits whose splices are full: it must not recut the loom."""

import pytest

from loomwright.planning.change import Change
from loomwright.planning.change_wires import Deed
from planning.test_late_changes import changed, issued, told

FLUIDS, INTAKE = "fluids", "intake"
AT_ECU = 'cavity."5" = { circuit = "sensor 0 V", group = "cabin" }\n'
GONE = 'cavity."17" = "fuel content"\n\n[device.X3C]'


def plenum(supply: str, ground: str) -> Change:
    """Add a sensor at B4 whose signal crosses the bulkhead; its groups are told."""
    device = f"""
[device.PLP]
is = "exhaust pressure sensor"
area = "block"
settled = true
face = "one row 3"
face_checked = true
cavity."1" = {{ circuit = "sensor 5 V", group = "{supply}" }}
cavity."2" = {{ circuit = "sensor 0 V", group = "{ground}" }}
cavity."3" = "plenum pressure"

[section."B4-PLP"]
loom = "engine"
mm = 310
"""
    halves = 'cavity."18" = "plenum pressure"\n'
    cabin = 'cavity."17" = "fuel content"\n\n[device.X4E]'
    swaps = [
        (AT_ECU, AT_ECU + 'cavity."34" = "plenum pressure"\n'),
        (GONE, GONE.replace("\n\n", "\n" + halves + "\n")),
        (cabin, cabin.replace("\n\n", "\n" + halves + "\n")),
    ]
    return told("hillclimb", changed("hillclimb", *swaps, add=device))


def shared(found: Change, circuit: str) -> tuple[int, int]:
    """Return how many wires of a circuit are cut new and removed; nothing else may happen to one."""
    rows = [x for x in found.wires if (x.now or x.was).circuit == circuit]
    assert {x.deed for x in rows} <= {Deed.CUT_NEW, Deed.REMOVE}
    return sum(x.deed is Deed.CUT_NEW for x in rows), sum(x.deed is Deed.REMOVE for x in rows)


def test_the_groups_of_the_fluids_are_full() -> None:
    count = {s.identity: len(s.wires) for s in issued("hillclimb").worked.routed.splices}
    assert count["sensor 5 V|engine|fluids"] == 6
    assert count["sensor 0 V|engine|fluids"] == count["sensor 0 V|engine|fluids.2"] == 6


@pytest.mark.parametrize(
    ("supply", "ground", "five_volts", "zero_volts"),
    [
        (INTAKE, INTAKE, (1, 0), (1, 0)),
        (FLUIDS, INTAKE, (3, 1), (1, 0)),
        (FLUIDS, FLUIDS, (3, 1), (3, 1)),
    ],
)
def test_a_sensor_more_cuts_one_wire_of_a_full_circuit(
    supply: str, ground: str, five_volts: tuple[int, int], zero_volts: tuple[int, int]
) -> None:
    found = plenum(supply, ground)
    assert shared(found, "sensor 5 V") == five_volts
    assert shared(found, "sensor 0 V") == zero_volts
    assert shared(found, "plenum pressure") == (2, 0)
    assert len(found.wires) == sum((*five_volts, *zero_volts, 2))
    assert found.unchanged == 214 - five_volts[1] - zero_volts[1]
