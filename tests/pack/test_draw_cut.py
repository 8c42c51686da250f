"""Cuts through bundles: every wire once, circles that touch but don't overlap, inside the circle drawn."""

import math

import pytest

from loomwright.pack.draw_cut import cut_drawing, thickest
from loomwright.pack.marks import Circle, flat
from pack.draw_jobs import JOBS, outside, overlapping, texts, worked


@pytest.mark.parametrize("name", JOBS)
def test_every_wire_of_the_thickest_bundles_is_in_its_cut(name):
    done = worked(name)
    for loom, section in thickest(done, 3):
        drawing = cut_drawing(done, loom, section)
        numbers = {text.text for text in texts(drawing)}
        wires = [w for w in done.routed.in_section[f"{loom}/{section}"] if not w.screen]
        assert {w.label for w in wires} <= numbers
        assert overlapping(drawing) == []
        assert outside(drawing) == []


def test_circles_lie_inside_and_do_not_overlap():
    done = worked("hillclimb")
    loom, section = thickest(done, 1)[0]
    circles = [m for m in flat(cut_drawing(done, loom, section).marks) if isinstance(m, Circle)]
    hand, tight, *wires = circles
    assert tight.radius_mm <= hand.radius_mm
    for n, one in enumerate(wires):
        assert math.dist(one.centre, tight.centre) + one.radius_mm <= tight.radius_mm + 1e-6
        for other in wires[n + 1 :]:
            assert math.dist(one.centre, other.centre) >= one.radius_mm + other.radius_mm - 1e-5


def test_scale_is_as_said():
    done = worked("hillclimb")
    loom, section = thickest(done, 1)[0]
    drawing = cut_drawing(done, loom, section)
    hand = next(m for m in flat(drawing.marks) if isinstance(m, Circle))
    scale = 2 * hand.radius_mm / done.sized.bundle[f"{loom}/{section}"].as_laid_mm
    assert any(f"drawn {scale:.1f} times full size" in text.text for text in texts(drawing))


def test_a_section_without_wires_has_no_cut():
    assert cut_drawing(worked("small"), "engine", "no such section") is None
