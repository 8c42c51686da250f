"""Cards of branch points: the clock agrees with the exits' own, every exit is named."""

import math

import pytest

from loomwright.building.compass import AXES
from loomwright.building.exits import leavings
from loomwright.pack.draw_branch import WIDE_MM, axis_words, branch_drawing, looks
from loomwright.pack.marks import Circle, Polygon, flat
from pack.draw_jobs import JOBS, outside, overlapping, texts, words, worked


def cards(name):
    done = worked(name)
    return [(done, t, p, branch_drawing(done, t.loom, p)) for t in done.routed.trees for p in t.out_of]


@pytest.mark.parametrize("name", JOBS)
def test_every_exit_is_named_with_clock_and_lean_or_said_to_be_missing(name):
    for done, tree, point, drawing in cards(name):
        shown = words(drawing)
        leaving = leavings(done.job, tree)
        for s in tree.out_of[point]:
            assert s.outer in shown or "exit not noted" in shown
            if leaving[s.name].clock:
                assert f"{leaving[s.name].clock} o'clock" in shown
            if leaving[s.name].words:
                assert leaving[s.name].lean in shown


@pytest.mark.parametrize("name", JOBS)
def test_words_keep_clear_and_nothing_is_cut_off(name):
    for _, _, _, drawing in cards(name):
        assert drawing.width_mm == WIDE_MM
        assert overlapping(drawing) == []
        assert outside(drawing) == []


@pytest.mark.parametrize("name", JOBS)
def test_arrows_point_at_their_hour(name):
    seen = 0
    for done, tree, point, drawing in cards(name):
        dials = [m for m in flat(drawing.marks) if isinstance(m, Circle) and m.radius_mm > 10]
        tips = [m.points[0] for m in flat(drawing.marks) if isinstance(m, Polygon) and m.fill == "#000000"]
        wanted = sorted(
            how.clock for s in tree.out_of[point] if (how := leavings(done.job, tree)[s.name]).clock
        )
        hours = []
        for x, y in tips:
            a, b = min((d.centre for d in dials), key=lambda c: math.dist(c, (x, y)))
            hours.append(round(math.degrees(math.atan2(x - a, y - b)) / 30.0 - 1e-9) % 12 or 12)
        assert len(hours) == len(wanted)
        assert all(
            min(abs(h - w) % 12, 12 - abs(h - w) % 12) <= 1
            for h, w in zip(sorted(hours), wanted, strict=True)
        )
        seen += len(hours)
    assert seen


def test_the_axes_on_the_dial_are_those_one_sees():
    done = worked("small")
    shown = {text.text for text in texts(branch_drawing(done, "engine", "B1"))}
    assert {"12 up", "6 down", "3", "right", "9", "left"} <= shown
    assert "looking outward along bulkhead-B1: towards the car's front" in shown


def test_looking_back_the_hands_change():
    done = worked("six")
    tree = done.routed.trees[0]
    look = looks(done.job, tree)
    assert look["bulkhead-ECU.A"] == AXES["back"]
    assert look["bulkhead-B1"] == AXES["front"]
    drawing = branch_drawing(done, "engine", "bulkhead")
    assert "towards the car's back" in words(drawing)
    assert "towards the car's front" in words(drawing)


def test_directions_in_words():
    assert axis_words((0.0, 0.0, 1.0)) == "up"
    half = math.sqrt(0.5)
    assert axis_words((half, 0.0, half)) == "front up"
