"""Angles the builder fixed on the board: they stand exactly, what hangs on a section turns with it."""

import math

import pytest

from building.making import job, random_tree, section, tree
from building.test_board import drawn, length
from loomwright.model.rope import BoardAngle


def fixed(*angles):
    return tuple(BoardAngle("engine", name, deg, "", ("board", name)) for name, deg in angles)


def direction(some, name):
    (x1, y1), (x2, y2) = next(s.line for s in some.sections if s.section.endswith(f"/{name}"))[-2:]
    return math.degrees(math.atan2(y2 - y1, x2 - x1)) % 360.0


@pytest.mark.parametrize("seed", range(30))
def test_a_fixed_section_lies_as_fixed_and_all_lengths_stay_true(seed):
    some = random_tree(seed, co_runs=seed % 2 == 0)
    name = some.sections[seed % len(some.sections)].name
    before = drawn(some)
    after = drawn(some, job(board_angles=fixed((name, 37.0))))
    assert direction(after, name) == pytest.approx(37.0)
    for one in after.sections:
        assert length(one.line) == pytest.approx(one.length_mm)
    assert after.angles == before.angles  # so that taking the angle away gives the former board


def test_what_hangs_on_it_turns_with_it():
    some = tree(
        section("D", "B1", 300), section("B1", "B2", 200), section("B2", "X", 100), section("B1", "Y", 90)
    )
    before = drawn(some)
    after = drawn(some, job(board_angles=fixed(("B1-B2", 60.0))))
    by = 60.0 - direction(before, "B1-B2")
    assert direction(after, "B2-X") == pytest.approx((direction(before, "B2-X") + by) % 360.0)
    assert direction(after, "B1-Y") == pytest.approx(direction(before, "B1-Y"))


def test_a_crossing_is_counted_and_the_wrong_hand_told():
    some = tree(
        section("D", "B1", 300),
        section("B1", "B2", 300),
        section("B1", "Y", 900),
        section("B2", "X", 400),
        exits=[("B1", "Y", "left", "outward")],
    )
    across = drawn(some, job(board_angles=fixed(("B2-X", 90.0), ("B1-Y", 30.0))))
    assert across.crossings == 1
    assert across.against_hand == ()
    assert drawn(some, job(board_angles=fixed(("B1-Y", 300.0)))).against_hand == ("B1-Y",)


@pytest.mark.parametrize("seed", range(10))
def test_others_give_way_and_what_is_fixed_stays(seed):
    """Whatever angle is fixed: it stands, what leads to it lies as before, every length is true."""
    some = random_tree(seed, co_runs=seed % 3 == 0)
    name = some.sections[(seed * 7) % len(some.sections)].name
    plain = drawn(some)
    for deg in (20.0, 160.0, 250.0):
        after = drawn(some, job(board_angles=fixed((name, deg))))
        assert direction(after, name) == pytest.approx(deg)
        into = some.into.get(some.by_name[name].inner)
        while into is not None:
            assert direction(after, into.name) == pytest.approx(direction(plain, into.name))
            into = some.into.get(into.inner)
        for one in after.sections:
            assert length(one.line) == pytest.approx(one.length_mm)


def test_a_section_in_the_way_of_a_fixed_one_gives_way():
    some = tree(
        section("D", "B1", 300),
        section("B1", "B2", 200),
        section("B2", "B3", 600),
        section("B1", "Y", 900),
        section("B2", "X", 300),
    )
    plain = drawn(some)
    turned = direction(plain, "B1-Y")
    after = drawn(some, job(board_angles=fixed(("B2-X", turned + (100.0 if turned < 180.0 else -100.0)))))
    assert direction(after, "B2-X") == pytest.approx((turned + (100.0 if turned < 180.0 else -100.0)) % 360.0)
    assert after.crossings == 0
    assert direction(after, "B1-Y") != pytest.approx(turned)
