"""Clock words in car axes. The convention is common practice; the mirror across the datum is geometry."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomwright.jobfile.exit_words import AXES, LEANS, exit_words
from loomwright.mockup.exits import axes_at, direction
from loomwright.mockup.trees import trees

from .making import job

HAND = [
    ("front", {12: "up", 3: "right", 6: "down", 9: "left"}),
    ("back", {12: "up", 3: "left", 6: "down", 9: "right"}),
    ("left", {12: "up", 3: "front", 6: "down", 9: "back"}),
    ("right", {12: "up", 3: "back", 6: "down", 9: "front"}),
    ("up", {12: "front", 3: "left", 6: "back", 9: "right"}),
    ("down", {12: "front", 3: "right", 6: "back", 9: "left"}),
]


@pytest.mark.parametrize(("outward", "hours"), HAND)
def test_the_quarters_of_the_clock(outward, hours):
    """12 = up, or front where the way is vertical: looking down one sees the car as on a map."""
    assert {hour: axes_at(hour, (outward,)) for hour in hours} == {
        hour: (axis,) for hour, axis in hours.items()
    }


def test_the_same_hour_is_on_opposite_sides_across_the_datum():
    assert axes_at(3, ("front",)) == ("right",)
    assert axes_at(3, ("back",)) == ("left",)


def test_between_the_quarters_two_axes():
    assert axes_at(1, ("front",)) == axes_at(2, ("front",)) == ("up", "right")
    assert axes_at(10, ("front",)) == ("up", "left")


@given(st.integers(1, 12), st.sampled_from([(a,) for a in AXES] + [("front", "up"), ("left", "front")]))
def test_no_hour_points_along_the_way_and_the_opposite_hour_points_away(hour, outward):
    there, back = direction(axes_at(hour, outward)), direction(axes_at((hour + 5) % 12 + 1, outward))
    along = sum(a * b for a, b in zip(there, direction(outward), strict=True))
    assert abs(along) < 0.72
    assert sum(a * b for a, b in zip(there, back, strict=True)) < -0.4


def test_the_way_outward_follows_the_noted_exits():
    rope = '[rope.t]\nfrom = "D"\nreads = [["B1", 100], ["B2", 200], ["X", 300]]\n[section."B2-Y"]\nmm = 90\n'
    more = '[exit.D]\nB1 = "front"\n[exit.B1]\nB2 = "back, square"\n[exit.B2]\nX = "3 o\'clock"\nY = "up"\n'
    (tree,), findings = trees(job(rope, "X Y", more))
    assert findings == ()
    assert {(e.point, e.to): (e.axes, e.lean) for e in tree.exits} == {
        ("D", "B1"): (("front",), "outward"),
        ("B1", "B2"): (("back",), "square"),
        ("B2", "X"): (("left",), "outward"),
        ("B2", "Y"): (("up",), "outward"),
    }


def test_from_the_cabin_the_way_is_back():
    rope = '[rope.t]\nfrom = "D"\nreads = [["X", 100]]\n[exit.D]\nX = "9 o\'clock"\n'
    (tree,), _ = trees(job(rope, "X"))
    assert tree.exits[0].axes == ("left",)
    cabin = job("", "X", '[area.c]\nair_c = 30\nside = "cabin"\n' + rope.replace("[rope", "[rope"))
    from dataclasses import replace

    cabin = replace(cabin, looms=(replace(cabin.looms[0], area="c"),))
    (tree,), _ = trees(cabin)
    assert tree.exits[0].axes == ("right",)


GOOD = [
    ("left up, outward", (("left", "up"), "outward")),
    ("Front", (("front",), "outward")),
    ("3 o'clock", (("3 o'clock",), "outward")),
    ("12 o’clock, square", (("12 o'clock",), "square")),
    ("left-down, back", (("left", "down"), "back")),
]


@pytest.mark.parametrize(("text", "words"), GOOD)
def test_exit_words(text, words):
    assert exit_words(text) == words


@pytest.mark.parametrize(
    "text", ["", "leftish", "up down", "left left", "up, sideways", "13 o'clock", "up left front"]
)
def test_words_that_say_nothing(text):
    assert exit_words(text) is None


@given(st.sampled_from(AXES), st.sampled_from(LEANS))
def test_every_axis_and_lean_reads(axis, lean):
    assert exit_words(f"{axis}, {lean}") == ((axis,), lean)


BOTH_SIDES = """format = 1
[job]
title = "invented"
[area.bay]
side = "bay"
air_c = 80
[area.cabin]
side = "cabin"
air_c = 40
[loom.engine]
datum = "hole"
area = "bay"
hole_mm = 45
[device.P]
area = "bay"
cavity."1" = "a"
[device.Q]
area = "cabin"
cavity."1" = "a"
[section."hole-P"]
loom = "engine"
mm = 300
[section."hole-Q"]
loom = "engine"
mm = 200
[exit.hole]
P = "3 o'clock"
Q = "3 o'clock"
"""


def test_three_o_clock_is_the_car_s_right_in_the_bay_and_its_left_in_the_cabin() -> None:
    from loomwright.jobfile.read import job_of_text
    from loomwright.mockup.trees import trees

    tree = trees(job_of_text(BOTH_SIDES).job)[0][0]
    assert {one.to: one.axes for one in tree.exits} == {"P": ("right",), "Q": ("left",)}
