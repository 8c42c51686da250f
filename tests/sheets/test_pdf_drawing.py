"""Full-size PDF read back with pypdf and as a picture."""

import io

import pytest
from pypdf import PdfReader

from loomwright.pack.marks import Arc, Circle, Drawing, Line, Pen, Text
from loomwright.sheets.pdf_content import arc_path
from loomwright.sheets.pdf_drawing import drawing_pdf
from sheets.paper_reader import MM, ink, page_texts, run_mm
from sheets.sample_drawings import every_mark

PEN = Pen(width_mm=0.5)


def test_100_mm_prints_as_100_mm():
    cross = (Line((20, 30), (120, 30), PEN), Line((20, 30), (20, 130), PEN))
    dots = ink(drawing_pdf(Drawing("bars", 140, 150, cross)))
    level = dots[round((150 - 30) / MM)]
    low, high = run_mm(level)
    assert high - low - 0.5 == pytest.approx(100, abs=0.1)  # round ends add the line's width
    top, bottom = run_mm(dots[:, round(20 / MM)])
    assert bottom - top - 0.5 == pytest.approx(100, abs=0.1)


def test_one_part_in_a_hundred_is_noticed():
    dots = ink(drawing_pdf(Drawing("bar", 140, 60, (Line((20, 30), (121, 30), PEN),))))
    low, high = run_mm(dots[round(30 / MM)])
    assert high - low - 0.5 != pytest.approx(100, abs=0.1)


def test_page_size_and_no_scaling():
    reader = PdfReader(io.BytesIO(drawing_pdf(Drawing("board", 2600, 600, ()))))
    assert float(reader.pages[0].mediabox.width) == pytest.approx(2600 / 25.4 * 72, abs=1e-3)
    assert reader.viewer_preferences is not None
    assert reader.viewer_preferences.print_scaling == "/None"
    assert reader.metadata is not None
    assert reader.metadata.title == "board"


def test_words_can_be_searched():
    (text,) = page_texts(drawing_pdf(every_mark()))
    assert "0.35 mm² ± 1 Ω → <ok> & Жук" in text
    assert "0.35 mm² ± 1 Ω" in PdfReader(io.BytesIO(drawing_pdf(every_mark()))).pages[0].extract_text()


def test_a_capital_letter_is_as_high_as_asked():
    dots = ink(drawing_pdf(Drawing("H", 60, 40, (Text((20, 10), "HHH", 10),))))
    rows = dots.max(axis=1)
    top, bottom = run_mm(rows)
    assert bottom - top == pytest.approx(10, abs=0.1)
    assert bottom == pytest.approx(30, abs=0.1)


def test_a_circle_is_round_and_in_place():
    dots = ink(drawing_pdf(Drawing("c", 100, 100, (Circle((50, 50), 40, None, "#000000"),))))
    for line in (dots.max(axis=0), dots.max(axis=1)):
        assert run_mm(line) == pytest.approx((10, 90), abs=0.1)
    assert (dots > 127).sum() * MM * MM == pytest.approx(3.14159265 * 1600, rel=1e-3)


def test_an_arc_stays_on_its_circle():
    numbers = arc_path(Arc((0, 0), 100, 0, 360)).replace("m", "").replace("c", "").split()
    points = list(zip(map(float, numbers[::2]), map(float, numbers[1::2]), strict=True))
    for p0, p1, p2, p3 in zip(points[::3], points[1::3], points[2::3], points[3::3], strict=False):
        middle = [(a + 3 * b + 3 * c + d) / 8 for a, b, c, d in zip(p0, p1, p2, p3, strict=True)]
        assert sum(x * x for x in middle) ** 0.5 == pytest.approx(100, abs=1e-3)


def test_a_drawing_longer_than_a_page_comes_in_strips_that_meet():
    long = Drawing("long", 9000, 300, (Line((0, 150), (9000, 150), Pen(2)),))
    reader = PdfReader(io.BytesIO(drawing_pdf(long)))
    widths = [float(page.mediabox.width) * 25.4 / 72 for page in reader.pages]
    assert widths == pytest.approx([5080, 9000 - 5070], abs=0.01)
    assert all("UserUnit" not in page for page in reader.pages)
    assert "page 2 begins at this line" in reader.pages[0].extract_text()


def test_a_drawing_higher_than_a_page_is_refused():
    with pytest.raises(ValueError, match="5080"):
        drawing_pdf(Drawing("high", 100, 6000, ()))
