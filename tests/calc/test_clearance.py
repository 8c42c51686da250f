import pytest

from loomwright.calc.clearance import (
    Rule,
    clearance,
    clearances,
    clips_at_bend,
    hazards,
    hole_edge_least,
    memory_only,
    support,
    supports,
)
from loomwright.calc.rope import rope_for
from loomwright.calc.tables import rows_without_source
from loomwright.errors import OutOfRange
from loomwright.sources import Mark


@pytest.mark.parametrize("table", ["clearances", "supports", "overlaps", "covering_limits"])
def test_every_row_says_where_it_comes_from(table: str) -> None:
    assert list(rows_without_source(table)) == []


def test_printed_figures() -> None:
    assert clearance("hot part", "unshielded").least_mm == 200  # body builder manual
    assert clearance("fuel line", "rigid clamps close by").least_mm == 2 * 25.4  # AC 43.13-1B p. 11-44
    assert hole_edge_least().least_mm == pytest.approx(0.375 * 25.4)  # AC 43.13-1B 11-115
    assert clearance("moving part", "pedal, seat, steering, through their travel").most_mm == 40
    assert support("straight, vehicle").most_mm == 300
    assert support("between joints and branch points").least_mm == 20


def test_never_has_no_distance() -> None:
    for kind in hazards():
        for row in clearances(kind):
            assert (row.least_mm == 0) == (row.rule is Rule.NEVER)
            assert row.most_mm >= row.least_mm


def test_marks() -> None:
    assert memory_only("ignition lead")
    assert not memory_only("fuel line")
    assert clearance("hot part", "directly above").source.mark is Mark.PRACTICE
    assert all(one.least_mm is not None or one.most_mm is not None for one in supports())


def test_clips() -> None:
    assert [clips_at_bend(angle) for angle in (0, 30, 45, 60, 90)] == [0, 1, 1, 2, 2]


def test_rope() -> None:
    assert rope_for(9.0).diameter_mm == 10.0  # as near as 8, the thicker one
    assert rope_for(11.0).within
    assert not rope_for(40.0).within


def test_refuses() -> None:
    for call in (
        lambda: clearances("splash"),
        lambda: clearance("hot part", "nowhere"),
        lambda: support("nowhere"),
        lambda: clips_at_bend(120),
        lambda: rope_for(0),
        lambda: rope_for(5, []),
    ):
        with pytest.raises(OutOfRange):
            call()
