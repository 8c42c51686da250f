"""SVG read back as XML."""

import xml.etree.ElementTree as ET

from loomwright.sheets.svg import number, svg_text
from sheets.sample_drawings import every_mark

NS = {"s": "http://www.w3.org/2000/svg"}


def test_millimetres_on_paper_and_in_the_view_box():
    root = ET.fromstring(svg_text(every_mark()))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("200mm", "80mm", "0 0 200 80")


def test_y_is_turned_once():
    root = ET.fromstring(svg_text(every_mark()))
    line = root.find(".//s:line[@x1='20']", NS)
    assert line is not None
    assert [line.get(key) for key in ("x1", "y1", "x2", "y2")] == ["20", "60", "120", "60"]


def test_words_come_back_as_written():
    root = ET.fromstring(svg_text(every_mark()))
    words = [one.text for one in root.iterfind(".//s:text", NS)]
    assert "0.35 mm² ± 1 Ω → <ok> & Жук" in words
    assert root.findtext("s:title", None, NS) == "every mark <&>"


def test_groups_keep_their_name_and_window():
    root = ET.fromstring(svg_text(every_mark(), "board"))
    group = root.find(".//s:g[@data-name='section:trunk']", NS)
    assert group is not None
    assert group.get("clip-path") == "url(#board-window-1)"
    assert root.find(".//s:clipPath[@id='board-window-1']", NS) is not None


def test_numbers_have_no_minus_zero_and_no_tail():
    assert [number(n) for n in (-0.00001, 1.5, 100.0, 0.12345)] == ["0", "1.5", "100", "0.1235"]
