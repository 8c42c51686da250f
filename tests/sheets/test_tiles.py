"""Tiles read back as pictures: do they meet, are they full size, is nothing lost."""

import io

import pytest
from pypdf import PdfReader

from loomwright.errors import OutOfRange
from loomwright.pack.marks import Drawing, Line, Pen, flat
from loomwright.sheets.clip import clipped
from loomwright.sheets.paper import A3, A4, LETTER
from loomwright.sheets.tile_pages import check_length, tile_page, tiles_pdf
from loomwright.sheets.tiles import FOOT_BAND_MM, SIDE_BAND_MM, PrinterScale, row_letters, tile_plan
from sheets.paper_reader import MM, ink, page_texts, run_mm
from sheets.sample_drawings import board

LONG = Drawing("line", 2050, 100, (Line((20, 50), (2030, 50), Pen(0.5)),))


def window_at(plan):
    """Left and upper edge of the window on the paper [mm]."""
    left = plan.margin_mm + SIDE_BAND_MM
    top = plan.paper.height_mm - (plan.margin_mm + FOOT_BAND_MM + plan.window_mm[1])
    return left, top


def test_eight_tiles_add_up_within_half_a_millimetre():
    plan = tile_plan(LONG)
    assert len(plan.tiles) == 8
    seams = [tile.cell.right for tile in plan.tiles[:-1]]
    places = [20.0, *seams, 2030.0]
    ticked = Drawing("ticks", 2050, 100, (*LONG.marks, *(Line((x, 40), (x, 60), Pen(0.5)) for x in places)))
    pdf = tiles_pdf(ticked, plan)
    left, top = window_at(plan)
    total = 0.0
    for number, tile in enumerate(plan.tiles):
        row = ink(pdf, number + 1)[round((top + tile.window.top - 57) / MM)]
        found = []
        for x in places[number : number + 2]:
            first = round((left + x - tile.window.left - 3) / MM)
            found.append(first * MM + sum(run_mm(row[first : first + round(6 / MM)])) / 2)
        total += found[1] - found[0]
    assert total == pytest.approx(2010, abs=0.5)


def test_both_bars_are_100_mm_on_every_tile():
    plan = tile_plan(board())
    pdf = tiles_pdf(board(), plan)
    high = plan.paper.height_mm
    for number in (1, len(plan.tiles)):
        dots = ink(pdf, number)
        level = dots[round((high - plan.margin_mm - 10.5) / MM)]
        start, end = run_mm(level[: round(118 / MM)])
        assert end - start - 0.35 == pytest.approx(100, abs=0.1)
        upright = dots[:, round((plan.margin_mm + 3.5) / MM)]
        start, end = run_mm(upright)
        assert end - start - 0.35 == pytest.approx(100, abs=0.1)


@pytest.mark.parametrize("paper", [A4, A3, LETTER])
def test_the_count_is_known_before_printing(paper):
    plan = tile_plan(board(), paper)
    reader = PdfReader(io.BytesIO(tiles_pdf(board(), plan)))
    assert len(reader.pages) == plan.sheets
    assert reader.viewer_preferences is not None
    assert reader.viewer_preferences.print_scaling == "/None"


def test_every_mark_lies_in_some_tile_and_empty_tiles_are_left_out():
    plan = tile_plan(board())
    assert len(plan.tiles) < plan.columns * plan.rows
    for tile in plan.tiles:
        assert clipped(board().marks, tile.window)
    for mark in flat(board().marks):
        assert any(clipped((mark,), tile.cell) for tile in plan.tiles)


def test_cells_of_neighbours_touch_without_gap():
    plan = tile_plan(board())
    for tile in plan.tiles:
        right, below = plan.neighbour(tile, 1, 0), plan.neighbour(tile, 0, 1)
        if right:
            assert tile.cell.right == pytest.approx(right.cell.left)
            assert tile.window.right - right.window.left == pytest.approx(plan.overlap_mm)
        if below:
            assert tile.cell.bottom == pytest.approx(below.cell.top)


def test_the_way_with_fewer_sheets_is_taken():
    wide = Drawing("w", 260, 150, (Line((0, 0), (260, 150)),))
    high = Drawing("h", 150, 240, (Line((0, 0), (150, 240)),))
    assert (tile_plan(wide).landscape, len(tile_plan(wide).tiles)) == (True, 1)
    assert (tile_plan(high).landscape, len(tile_plan(high).tiles)) == (False, 1)
    assert tile_plan(board(), A3).sheets < tile_plan(board(), A4).sheets


def test_names_neighbours_and_the_word_on_scaling_are_printed():
    plan = tile_plan(board())
    texts = page_texts(tiles_pdf(board(), plan))
    for tile, text in zip(plan.tiles, texts[1:], strict=True):
        assert tile.name in text
        assert "Print at 100 %" in text
        right = plan.neighbour(tile, 1, 0)
        if right:
            assert f"right {right.name}" in text
            assert f"cut here, lay over {right.name}" in text
    assert f"{plan.sheets} sheets" in texts[0]
    checked = check_length(plan)
    assert checked is not None
    assert f"{checked[1]:.1f} mm" in texts[0]


def test_the_check_length_is_a_whole_number_of_steps():
    plan = tile_plan(LONG)
    checked = check_length(plan)
    assert checked is not None
    assert checked[0] == "A1/A2 to A7/A8"
    assert checked[1] == pytest.approx(6 * (plan.window_mm[0] - plan.overlap_mm))


def test_a_measured_bar_corrects_the_next_print():
    """A printer that makes 98.7 mm of 100 gets a page that comes out at 100 mm."""
    plan = tile_plan(LONG)
    scale = PrinterScale().measured("invented printer", 98.7, 99.5, plan.landscape)
    plan = tile_plan(LONG, scale=scale)
    assert plan.landscape
    page = tile_page(LONG, plan, plan.tiles[0])
    assert (page.scale_x, page.scale_y) == (pytest.approx(100 / 98.7), pytest.approx(100 / 99.5))
    dots = ink(tiles_pdf(LONG, plan), 1)
    row = round((plan.paper.height_mm - plan.margin_mm - 10.5 * 100 / 99.5) / MM)
    start, end = run_mm(dots[row][: round(118 / MM)])
    assert (end - start) * 0.987 - 0.35 == pytest.approx(100, abs=0.1)
    right = run_mm(dots.max(axis=0))[1]
    assert right <= plan.paper.width_mm - plan.margin_mm + 0.3


def test_a_correction_belongs_to_the_sides_of_the_paper():
    lying = PrinterScale().measured("p", 98.7, 99.5, landscape=True)
    standing = PrinterScale().measured("p", 99.5, 98.7, landscape=False)
    assert lying == standing
    again = lying.measured("p", 100.0, 100.0, landscape=True)
    assert again == lying


@pytest.mark.parametrize("level_mm", [95.0, 105.0, 0.0, float("nan")])
def test_a_print_fitted_to_the_page_is_not_corrected(level_mm):
    with pytest.raises(OutOfRange, match="100 %"):
        PrinterScale().measured("p", level_mm, 100.0, landscape=True)


def test_margins_out_of_range_are_refused():
    with pytest.raises(OutOfRange):
        tile_plan(LONG, margin_mm=0)
    with pytest.raises(OutOfRange):
        tile_plan(LONG, overlap_mm=100)


def test_a_wide_line_beside_a_seam_is_whole_on_both_sides():
    plan = tile_plan(LONG)
    seam = plan.tiles[1].window.left - 1.0  # its middle lies outside the second tile, its ink does not
    wide = Drawing("wide", 2050, 100, (*LONG.marks, Line((seam, 10), (seam, 90), Pen(8))))
    assert tile_plan(wide) == plan
    dots = ink(tiles_pdf(wide, plan), 2)
    left, top = window_at(plan)
    row = dots[round((top + plan.tiles[1].window.top - 80) / MM)]
    edge = round(left / MM)
    assert run_mm(row[edge + 3 : edge + round(9 / MM)])[1] + 3 * MM == pytest.approx(3.0, abs=0.1)


def test_an_empty_drawing_still_prints_one_tile():
    assert len(tile_plan(Drawing("nothing", 100, 100, ())).tiles) == 1


def test_rows_after_z():
    assert [row_letters(n) for n in (0, 25, 26, 27)] == ["A", "Z", "AA", "AB"]
