"""The forming board: true lengths, hands, everything named, words that can be read."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from loomwright.building.exits import leavings
from loomwright.pack.draw_board import board_drawing, outline_of
from loomwright.pack.draw_place import Label, Room, Words, around, block, overlap, readable, square
from loomwright.pack.marks import Box, Group, Line, Polygon, Polyline, Text, flat
from loomwright.pack.pages import PackHead
from pack.draw_jobs import JOBS, outside, overlapping, texts, words, worked

HEAD = PackHead("Invented car", "B", "0123456789")


def drawings(name, stamp=""):
    done = worked(name)
    return [(done, one, board_drawing(done, one, stamp, HEAD)) for one in done.built.boards]


def centre_lines(drawing):
    return [
        mark for mark in flat(drawing.marks) if isinstance(mark, Polyline) and mark.layer == "centre line"
    ]


def length(points):
    return sum(math.dist(a, b) for a, b in pairwise(points))


@pytest.mark.parametrize("name", JOBS)
def test_every_centre_line_is_as_long_as_its_section(name):
    for done, one, drawing in drawings(name):
        sections = done.routed.tree[one.loom].sections
        found = sorted(length(line.points) for line in centre_lines(drawing))
        assert found == pytest.approx(sorted(s.length_mm for s in sections), abs=1e-6)
        assert found != pytest.approx(sorted(s.length_mm * 1.001 for s in sections), abs=1e-6)


def test_the_drawings_corner_is_the_boards_corner():
    for _, one, drawing in drawings("small"):
        starts = {line.points[0] for line in centre_lines(drawing)}
        assert {(p.x_mm, p.y_mm) for p in one.points if p.name in ("bulkhead", "B1", "B2")} == starts


@pytest.mark.parametrize("name", ["small", "six"])
def test_what_leaves_at_3_or_9_oclock_is_drawn_right_or_left_of_the_way_outward(name):
    seen = 0
    for done, one, drawing in drawings(name):
        tree = done.routed.tree[one.loom]
        leaving = leavings(done.job, tree)
        lines = {(line.points[0], line.points[-1]): line.points for line in centre_lines(drawing)}
        at = {p.name: (p.x_mm, p.y_mm) for p in one.points}
        for s in tree.sections:
            into = tree.into.get(s.inner)
            if into is None or leaving[s.name].clock not in (3, 9):
                continue
            a, b = lines[at[into.inner], at[into.outer]][-2:]
            c = lines[at[s.inner], at[s.outer]][1]
            left = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
            if abs(left) < 1e-6:
                continue  # the way that goes straight on has no hand
            assert (left > 0) == (leaving[s.name].clock == 9), s.name
            seen += 1
    assert seen


@pytest.mark.parametrize("name", JOBS)
def test_all_ends_points_sections_and_splices_are_named(name):
    for done, one, drawing in drawings(name):
        shown = {text.text for text in texts(drawing)}
        assert {p.name for p in one.points} <= shown
        assert {s.name for s in done.routed.splices if s.loom == one.loom} <= shown
        for s in done.routed.tree[one.loom].sections:
            assert f"{s.name}   {s.length_mm:.0f} mm" in shown


@pytest.mark.parametrize("name", JOBS)
def test_no_words_over_other_words_and_none_cut_off(name):
    for _, _, drawing in drawings(name, "NOT FOR BUILD"):
        assert overlapping(drawing) == []
        assert outside(drawing) == []


def test_words_over_words_would_be_noticed():
    drawing = drawings("small")[0][2]
    at = next(text for text in texts(drawing) if text.text == "B1")
    marks = (*drawing.marks, Text(at.at, "over it", 5.0, at.side))
    found = overlapping(replace(drawing, marks=marks))
    assert ("B1", "over it") in found or ("over it", "B1") in found


@pytest.mark.parametrize("name", JOBS)
def test_letters_are_large_enough_for_arms_length(name):
    for done, one, drawing in drawings(name):
        assert min(text.height_mm for text in texts(drawing)) >= 3.5
        names = {p.name for p in one.points} | {s.name for s in done.routed.splices}
        assert min(text.height_mm for text in texts(drawing) if text.text in names) >= 5.0


def test_trim_zones_are_hatched_and_as_long_as_the_trim():
    for _, one, drawing in drawings("small"):
        zones = [m for m in flat(drawing.marks) if isinstance(m, Polygon) and m.layer == "trim" and m.hatch]
        lengths = sorted(math.dist(zone.points[0], zone.points[1]) for zone in zones)
        assert lengths == pytest.approx(sorted(s.trim_mm for s in one.sections if s.trim_mm), abs=1e-9)


def test_outlines_are_of_true_width():
    for _, one, drawing in drawings("small"):
        groups = {m.name: m.marks[0] for m in drawing.marks if isinstance(m, Group)}
        for section in one.sections:
            points = groups[f"section:{section.section.split('/')[1]}"].points
            assert math.dist(points[0], points[-1]) == pytest.approx(section.finished_mm)


def test_an_outline_keeps_its_width_round_a_kink():
    points = outline_of(((0.0, 0.0), (100.0, 0.0), (100.0 + 60.0, 80.0)), 5.0)
    left, right = points[:3], points[:2:-1]
    a, b = left[1], left[2]
    off = abs((b[0] - a[0]) * (80.0 - a[1]) - (b[1] - a[1]) * (160.0 - a[0])) / math.dist(a, b)
    assert off == pytest.approx(5.0)
    assert math.dist(left[0], right[0]) == pytest.approx(10.0)


def test_two_bars_of_100_mm_and_the_words_that_tell_how_it_is_seen():
    for _, _, drawing in drawings("small"):
        bars = [m for m in flat(drawing.marks) if isinstance(m, Line) and m.layer == "bar"]
        long = [m for m in bars if math.dist(m.start, m.end) > 50]
        spans = sorted((abs(m.end[0] - m.start[0]), abs(m.end[1] - m.start[1])) for m in long)
        assert spans == [(0.0, pytest.approx(100.0)), (pytest.approx(100.0), 0.0)]
        shown = words(drawing)
        assert "seen from above: looking outward from the datum 9 o'clock is left" in shown
        assert "invented data · Invented car · revision B · 0123456789" in shown


def test_a_stamp_is_laid_over_the_board_often():
    _, one, drawing = drawings("six", "NOT FOR BUILD")[0]
    stamps = [text for text in texts(drawing) if text.layer == "stamp"]
    assert len(stamps) >= one.width_mm / 500
    assert not [text for text in texts(drawings("six")[0][2]) if "NOT FOR BUILD" in text.text]


def test_same_job_same_drawing():
    assert drawings("small")[0][2] == drawings("small")[0][2]


def test_a_label_takes_the_first_free_place():
    room = Room(Box(0, 0, 200, 200))
    lines = (Words("B2", 5.0, True),)
    first = room.place(around(lines, (100.0, 100.0), 5.0))
    second = room.place(around(lines, (100.0, 100.0), 5.0))
    assert not overlap(first.corners, second.corners)
    assert room.cost(square((10.0, 10.0), 3.0)) == 0.0
    assert room.cost(square((1.0, 1.0), 3.0)) > 0.0


def test_a_label_without_a_free_place_is_still_laid():
    room = Room(Box(0, 0, 5, 5))
    assert isinstance(room.place([block((Words("long words", 5.0),), (2.0, 2.0))]), Label)


@pytest.mark.parametrize(
    ("deg", "shown"), [(0, 0), (90, 90), (91, -89), (180, 0), (-90, 90), (225, 45), (300, -60)]
)
def test_words_along_a_line_are_never_upside_down(deg, shown):
    assert readable(deg) == pytest.approx(shown)
