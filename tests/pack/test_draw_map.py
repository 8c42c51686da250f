"""The map: every section once, on the hands of the board, fitted to a page."""

import pytest

from loomwright.pack.draw_map import HIGH_MM, WIDE_MM, line_mm, map_drawings
from loomwright.pack.draw_map_layout import Rows, both_ways
from loomwright.pack.marks import Line, flat
from pack.draw_jobs import JOBS, outside, overlapping, texts, words, worked


def maps(name, *size):
    done = worked(name)
    return [(done, tree, map_drawings(done, tree.loom, *size)) for tree in done.routed.trees]


@pytest.mark.parametrize("name", JOBS)
@pytest.mark.parametrize("size", [(), (176.0, 220.0)])
def test_every_section_is_on_a_map_with_length_wires_and_diameter(name, size):
    for done, tree, drawings in maps(name, *size):
        shown = " | ".join(map(words, drawings))
        for s in tree.sections:
            wires = sum(not wire.screen for wire in done.routed.in_section.get(f"{s.loom}/{s.name}", ()))
            assert s.name in shown
            assert f"{s.length_mm:.0f} · {wires} w · " in shown
        for point in {tree.datum, *(s.outer for s in tree.sections)}:
            assert any(text.text == point for one in drawings for text in texts(one)), point


@pytest.mark.parametrize("name", JOBS)
@pytest.mark.parametrize("size", [(WIDE_MM, HIGH_MM), (176.0, 220.0), (150.0, 100.0)])
def test_it_fits_the_page_and_words_keep_clear(name, size):
    for _, _, drawings in maps(name, *size):
        for drawing in drawings:
            assert drawing.width_mm <= size[0] + 1e-6
            assert drawing.height_mm <= size[1] + 1e-6
            assert overlapping(drawing) == []
            assert outside(drawing) == []
            assert "not to scale" in words(drawing)


def test_a_large_loom_takes_several_maps_that_name_each_other():
    _, _, drawings = maps("v8")[0]
    assert len(drawings) > 1
    shown = " | ".join(map(words, drawings))
    for number in range(2, len(drawings) + 1):
        assert f"map {number} of {len(drawings)}" in shown
    assert "see map 2" in shown


@pytest.mark.parametrize("name", JOBS)
def test_no_lines_cross(name):
    for _, _, drawings in maps(name):
        for drawing in drawings:
            lines = [m for m in flat(drawing.marks) if isinstance(m, Line) and m.layer == "section"]
            level = [m for m in lines if m.start[1] == m.end[1]]
            upright = [m for m in lines if m.start[0] == m.end[0]]
            for a in level:
                for b in upright:
                    inside_x = (
                        min(a.start[0], a.end[0]) + 1e-6 < b.start[0] < max(a.start[0], a.end[0]) - 1e-6
                    )
                    inside_y = (
                        min(b.start[1], b.end[1]) + 1e-6 < a.start[1] < max(b.start[1], b.end[1]) - 1e-6
                    )
                    assert not (inside_x and inside_y)


def test_what_the_board_draws_left_stands_above_and_right_below():
    done = worked("small")
    tree, board = done.routed.trees[0], done.built.boards[0]
    rows = Rows(tree, board, lambda s: 20.0, lambda s: 8.0, 2.0, 4.0)
    block = rows.of_point(tree.out_of["B1"], 0.0, 0.0, frozenset())
    row = {one.section: one.y for one in block.stretches}
    at = {p.name: p.y_mm for p in board.points}
    assert at["FB"] < at["B1"]
    assert row["B1-FB"] < row["B1-B2"] < row["B2-CLT"]
    assert at["CLT"] > at["B2"]


def test_what_lies_behind_the_datum_stands_left_of_it():
    done = worked("six")
    tree, board = done.routed.trees[0], done.built.boards[0]
    left, right = both_ways(tree, board)
    assert [s.outer for s in left] == ["ECU.A"]
    assert [s.outer for s in right] == ["B1"]
    drawing = map_drawings(done, tree.loom)[0]
    at = {text.text: text.at[0] for text in texts(drawing)}
    assert at["ECU.A"] < at["bulkhead"] < at["B1"]


def test_thicker_bundles_thicker_lines():
    lines = [line_mm(od) for od in (3.0, 8.0, 12.0, 20.0, 40.0)]
    assert lines == sorted(set(lines))
