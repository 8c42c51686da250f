"""A board higher than a PDF page can be: tiles and plot, no large page, and no stop."""

from loomwright.pack.marks import Drawing, Line
from loomwright.sheets.tiles import tile_plan
from loomwright.sheets.write_boards import _files, paper_named


def names_of(height_mm: float) -> dict[str, str]:
    drawing = Drawing("high", 300.0, height_mm, (Line((10.0, 10.0), (10.0, height_mm - 10.0)),))
    files = _files("engine", "board", drawing, tile_plan(drawing, paper_named("A4")))
    return {one.name: one.words for one in files}


def test_a_board_too_high_for_a_page_has_its_tiles():
    high, low = names_of(5200.0), names_of(5000.0)
    assert set(low) - set(high) == {"board.pdf"}
    assert "print the tiles" in high["board.svg"]
    assert "print the tiles" not in low["board.svg"]
