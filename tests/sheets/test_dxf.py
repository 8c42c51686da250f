"""DXF read back with ezdxf."""

import io

import ezdxf
import pytest

from loomwright.pack.marks import Arc, Drawing, Line, Text
from loomwright.sheets.dxf import dxf_text, layer_name
from sheets.sample_drawings import board, every_mark


def read(drawing):
    return ezdxf.read(io.StringIO(dxf_text(drawing)))


def test_a_sound_file_in_millimetres():
    document = read(every_mark())
    assert document.dxfversion == "AC1024"  # R2010
    assert document.header["$INSUNITS"] == 4  # mm
    assert document.audit().errors == []


def test_coordinates_are_not_rounded():
    document = read(Drawing("a", 100, 100, (Line((1 / 3, 0), (100 + 1 / 3, 0)),)))
    line = document.modelspace().query("LINE").first
    assert line.dxf.start.x == 1 / 3
    assert (line.dxf.end - line.dxf.start).magnitude == 100


def test_layers_words_and_dashes_come_back():
    document = read(every_mark())
    names = {layer.dxf.name for layer in document.layers}
    assert {"frame", "trim zone", "text", "drawing"} <= names
    words = {text.dxf.text: text for text in document.modelspace().query("TEXT")}
    assert words["B3"].dxf.rotation == 45
    assert "0.35 mm² ± 1 Ω → <ok> & Жук" in words
    arc = document.modelspace().query("ARC").first
    assert document.linetypes.get(arc.dxf.linetype) is not None
    assert arc.dxf.linetype.startswith("DASH")


def test_an_arc_keeps_its_turn():
    document = read(Drawing("a", 50, 50, (Arc((20, 20), 10, 350, 40),)))
    arc = document.modelspace().query("ARC").first
    assert (arc.dxf.radius, arc.dxf.start_angle % 360, arc.dxf.end_angle % 360) == (10, 350, 30)


@pytest.mark.parametrize("side", ["left", "middle", "right"])
def test_text_anchors_where_it_was_put(side):
    document = read(Drawing("a", 50, 50, (Text((20, 20), "INJ1", 3, side),)))
    _, anchor, other = document.modelspace().query("TEXT").first.get_placement()
    assert (other or anchor).x == pytest.approx(20)


def test_every_mark_of_a_board_is_in_the_file():
    kinds = [one.dxftype() for one in read(board()).modelspace()]
    assert (kinds.count("LINE"), kinds.count("CIRCLE"), kinds.count("TEXT")) == (11, 10, 10)


def test_signs_dxf_forbids_in_layer_names():
    assert layer_name("section:trunk/1") == "section_trunk_1"
