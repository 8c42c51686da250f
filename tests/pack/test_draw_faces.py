"""Faces: the mating side mirrors the wire side, each says which it is, what is empty is crossed."""

from dataclasses import replace

import pytest

from loomwright.library.faces import faces
from loomwright.pack.draw_faces import WIDEST_MM, face_drawings, wire_words
from loomwright.pack.marks import Circle, Polygon, extent, flat
from loomwright.pack.pages import UNCHECKED
from loomwright.sizing.plugs import face_of
from pack.draw_jobs import outside, overlapping, texts, words, worked

JOB = worked("six").job
PLUG = JOB.connector["ECU.A"]


def drawn(name, filled=lambda n: n % 3, **changes):
    plug = replace(PLUG, face=name, **changes)
    ids = faces()[name].ids
    return face_drawings(
        face_of(JOB, plug), plug, {one: f"W{n + 100} BK/WH" for n, one in enumerate(ids) if filled(n)}
    )


def places(drawing, names):
    """Where the cavity numbers stand."""
    return {text.text: text.at for text in texts(drawing) if text.text in names}


def cavities(drawing):
    """Left, right and lower edge of every cavity [mm], to a thousandth."""
    found = [m for m in flat(drawing.marks) if isinstance(m, Circle | Polygon) and m.layer == "cavity"]
    boxes = [extent([m]) for m in found]
    return sorted((round(box.left, 3), round(box.right, 3), round(box.bottom, 3)) for box in boxes)


@pytest.mark.parametrize("name", sorted(faces()))
def test_the_mating_side_is_the_mirror_of_the_wire_side(name):
    wire, mating = drawn(name)
    assert wire.width_mm == mating.width_mm
    wide = wire.width_mm
    mirrored = sorted((wide - right, wide - left, low) for left, right, low in cavities(wire))
    for one, other in zip(mirrored, cavities(mating), strict=True):
        assert one == pytest.approx(other, abs=2e-3)
    ids = set(faces()[name].ids)
    there, here = places(mating, ids), places(wire, ids)
    assert set(there) == set(here) == ids
    for one, (x, y) in here.items():
        assert there[one] == pytest.approx((wire.width_mm - x, y))


@pytest.mark.parametrize("name", sorted(faces()))
def test_each_says_inside_which_side_it_is(name):
    wire, mating = drawn(name)
    assert "WIRE SIDE" in words(wire)
    assert "MATING SIDE" not in words(wire)
    assert "MATING SIDE" in words(mating)
    assert "WIRE SIDE" not in words(mating)


@pytest.mark.parametrize("name", sorted(faces()))
def test_it_fits_a_sheet_and_nothing_lies_over_anything(name):
    for drawing in drawn(name):
        assert drawing.width_mm <= WIDEST_MM + 1e-9
        assert drawing.box.grown(0.4).encloses(extent(drawing.marks))
        assert outside(drawing) == []
        assert overlapping(drawing) == []


def test_latch_and_key_are_named_and_change_hands():
    wire, mating = drawn("header 60")
    for drawing in (wire, mating):
        assert {"latch", "key"} <= {text.text for text in texts(drawing)}
    middle = wire.width_mm / 2
    assert places(wire, {"key"})["key"][0] < middle < places(mating, {"key"})["key"][0]


def test_unchecked_until_ticked():
    assert all(UNCHECKED in words(drawing) for drawing in drawn("one row 3", face_checked=False))
    assert not any(UNCHECKED in words(drawing) for drawing in drawn("one row 3", face_checked=True))


def test_what_is_empty_is_crossed_and_only_that():
    wire, _ = drawn("one row 4", lambda n: n == 1)
    lines = [m for m in flat(wire.marks) if m.layer == "empty" and not isinstance(m, Polygon)]
    assert len(lines) == 2 * 3
    assert "W101" in words(wire)


def test_numbers_and_colours_of_the_wires_are_inside_where_there_is_room():
    plug = JOB.connector["INJ1"]
    done = worked("six")
    wire, mating = face_drawings(face_of(JOB, plug), plug, wire_words(done.routed, plug))
    for pin in plug.pins:
        (one,) = done.routed.at_pin[pin.id]
        assert f"{one.label} {one.colour}" in words(wire)
        assert f"{one.label} {one.colour}" in words(mating)


def test_a_round_plug_keeps_colours():
    wire, _ = drawn("round 37")
    assert words(wire).count("BK/WH") == len([n for n in range(37) if n % 3])


def test_a_stud_shows_all_its_wires():
    plug = JOB.connector["G1"]
    texts_of = wire_words(worked("six").routed, plug)
    wire, _ = face_drawings(face_of(JOB, plug), plug, texts_of)
    lines = next(iter(texts_of.values())).split("\n")
    assert len(lines) >= 2
    assert all(line in words(wire) for line in lines)


def test_no_face_no_drawing():
    for name in ("", "no such face"):
        plug = replace(PLUG, face=name)
        assert face_drawings(face_of(JOB, plug), plug, {}) is None
