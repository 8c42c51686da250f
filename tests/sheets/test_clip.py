"""Cutting marks to a rectangle, checked against plain geometry."""

import math
import random

import pytest

from loomwright.pack.marks import (
    DASHED,
    Arc,
    Box,
    Circle,
    Group,
    Hatch,
    Line,
    Mark,
    Polygon,
    Polyline,
    Text,
    extent,
    flat,
)
from loomwright.sheets.clip import clipped, cut_outline, hatch_lines, span_inside

BOX = Box(0.0, 0.0, 100.0, 50.0)


def length(marks: tuple[Mark, ...]) -> float:
    total = 0.0
    for mark in flat(marks):
        match mark:
            case Line():
                total += math.dist(mark.start, mark.end)
            case Polyline():
                total += sum(math.dist(a, b) for a, b in zip(mark.points, mark.points[1:], strict=False))
            case Arc():
                total += math.radians(mark.sweep_deg) * mark.radius_mm
    return total


def area(points: tuple[tuple[float, float], ...]) -> float:
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2


def test_a_line_is_cut_where_it_crosses_the_edge():
    (line,) = clipped((Line((-50, 25), (150, 25)),), BOX)
    assert isinstance(line, Line)
    assert (line.start, line.end) == ((0, 25), (100, 25))


def test_a_line_outside_or_along_a_corner_leaves_nothing():
    assert clipped((Line((-10, -1), (110, -1)),), BOX) == ()
    assert clipped((Line((-10, 45), (10, 65)),), BOX) == ()


def test_dashes_run_on_across_a_cut():
    (line,) = clipped((Line((-10, 25), (60, 25), DASHED),), BOX)
    assert isinstance(line, Line)
    assert line.pen.start_mm == pytest.approx(10 % (2 * sum(DASHED.dash_mm)))


def test_a_polyline_that_leaves_and_returns_comes_in_two_pieces():
    zigzag = Polyline(((10, 10), (50, 90), (90, 10)))
    pieces = clipped((zigzag,), BOX)
    assert len(pieces) == 2
    assert length(pieces) == pytest.approx(2 * math.dist((10, 10), (30, 50)))


def test_a_full_circle_over_an_edge_keeps_the_part_inside():
    pieces = clipped((Circle((0, 25), 10, fill=""),), BOX)
    assert length(pieces) == pytest.approx(math.pi * 10)  # half of it


def test_tiles_share_out_every_mark_without_loss():
    """Lengths of the pieces in a grid of rectangles add up to the length of the whole."""
    rng = random.Random(7)
    marks: list[Mark] = []
    for _ in range(60):
        x, y, r = rng.uniform(0, 200), rng.uniform(0, 100), rng.uniform(1, 60)
        start, sweep = rng.uniform(-400, 400), rng.uniform(1, 360)
        marks.append(Arc((x, y), r, start, sweep))
        marks.append(Line((x, y), (rng.uniform(0, 200), rng.uniform(0, 100))))
    whole = length(tuple(marks))
    grid = [Box(x, y, x + 37.0, y + 41.0) for x in range(-370, 740, 37) for y in range(-410, 820, 41)]
    assert sum(length(clipped(marks, box)) for box in grid) == pytest.approx(whole, rel=1e-9)


def test_filled_outlines_share_out_their_area():
    rng = random.Random(3)
    for _ in range(40):
        turns = sorted(rng.uniform(0, 2 * math.pi) for _ in range(7))
        points = tuple((50 + 45 * math.cos(t), 50 + 45 * math.sin(t)) for t in turns)
        grid = [Box(x, y, x + 20.0, y + 25.0) for x in range(0, 100, 20) for y in range(0, 100, 25)]
        assert sum(area(cut_outline(points, box)) for box in grid) == pytest.approx(area(points), rel=1e-9)


def test_an_outline_cut_by_the_rectangle_gets_no_line_along_its_edge():
    square = Polygon(((-10, 10), (20, 10), (20, 30), (-10, 30)))
    assert length(clipped((square,), BOX)) == pytest.approx(20 + 20 + 20)


def test_hatch_lines_stay_inside_and_meet_across_neighbours():
    square = Polygon(((10, 10), (90, 10), (90, 40), (10, 40)), None, "", Hatch(30, 4))
    assert square.hatch is not None
    whole = length(tuple(hatch_lines(square.points, square.hatch, "drawing")))
    halves = length(clipped((square,), Box(0, 0, 43, 50))) + length(clipped((square,), Box(43, 0, 100, 50)))
    assert halves == pytest.approx(whole)
    assert whole == pytest.approx(80 * 30 / 4, rel=0.05)  # area over pitch
    box = extent(tuple(hatch_lines(square.points, square.hatch, "drawing")))
    assert Box(10, 10, 90, 40).grown(1e-9).encloses(box)


def test_text_stays_whole_where_its_box_touches():
    words = Text((95, 25), "splice S12", 3)
    assert clipped((words,), BOX) == (words,)
    assert clipped((words,), Box(0, 0, 90, 50)) == ()


def test_an_empty_group_vanishes():
    inside, outside = Line((1, 1), (2, 2)), Line((-5, -5), (-1, -1))
    assert clipped((Group("a", (inside, outside)), Group("b", (outside,))), BOX) == (Group("a", (inside,)),)


def test_shares_of_a_line():
    assert span_inside((0, 0), (10, 0), BOX) == (0.0, 1.0)
    assert span_inside((-10, 5), (10, 5), BOX) == (0.5, 1.0)
