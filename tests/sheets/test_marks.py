"""Marks: boxes, text widths, moving."""

import math

import pytest
from fontTools.ttLib import TTFont

from loomwright.pack import lettering
from loomwright.pack.marks import (
    Arc,
    Box,
    Circle,
    Group,
    Line,
    Text,
    bounds,
    extent,
    flat,
    placed,
    reach_mm,
)
from sheets.sample_drawings import board, every_mark


@pytest.mark.parametrize("name", [lettering.PLAIN, lettering.BOLD, lettering.STAND_IN])
def test_faces_are_read_as_the_font_library_reads_them(name):
    ours, theirs = lettering.face(name), TTFont(lettering.FONT_FOLDER / f"{name}.ttf")
    cmap, order = theirs.getBestCmap(), theirs.getGlyphOrder()
    plane_0 = {code: glyph for code, glyph in cmap.items() if code < 0xFFFF}
    assert {code: order[glyph] for code, glyph in ours.glyphs.items()} == plane_0
    scale = 1000 / theirs["head"].unitsPerEm
    assert ours.advances == tuple(theirs["hmtx"][glyph][0] * scale for glyph in order)


def test_the_signs_of_the_trade_are_there():
    assert lettering.unprintable(("Ω mm² ± Ø ✓ → ☐ ° µ × ≤ ≥ é ß č Ж λ",)) == ()
    assert lettering.unprintable(("漢",)) == ("漢",)
    assert lettering.clean("a\tb\x00漢") == "a b □"


def test_an_arc_reaches_as_far_as_its_quarters():
    assert bounds(Arc((0, 0), 10, -45, 90)).right == pytest.approx(10)
    assert bounds(Arc((0, 0), 10, 170, 20)).left == pytest.approx(-10)
    assert bounds(Arc((0, 0), 10, 10, 60)).left == pytest.approx(10 * math.cos(math.radians(70)))


def test_boxes_of_text_follow_its_anchor_and_turn():
    plain = bounds(Text((0, 0), "HHHH", 10))
    assert plain.left == 0
    middle = bounds(Text((0, 0), "HHHH", 10, "middle", "middle"))
    assert middle.left == pytest.approx(-plain.right / 2)
    upright = bounds(Text((0, 0), "HHHH", 10, angle_deg=90))
    assert upright.top == pytest.approx(plain.right)


def test_moved_and_scaled_marks_have_moved_and_scaled_boxes():
    for mark in every_mark().marks:
        box, moved = bounds(mark), bounds(placed(mark, 5, -3, 2.0))
        for edge, shift in (("left", 5), ("right", 5), ("bottom", -3), ("top", -3)):
            assert getattr(moved, edge) == pytest.approx(2 * getattr(box, edge) + shift)


def test_groups_come_apart_in_order():
    a, b, c = Line((0, 0), (1, 0)), Circle((0, 0), 1), Line((0, 0), (0, 1))
    assert list(flat((a, Group("g", (b, Group("h", (c,))))))) == [a, b, c]
    assert extent((Group("g", ()), a)) == Box(0, 0, 1, 0)


def test_a_wide_line_reaches_past_its_middle():
    assert max(map(reach_mm, board().marks)) == 4
