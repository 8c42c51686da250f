"""Faces: described, mirrored, refused."""

import contextlib
import math
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.errors import OutOfRange, Unreadable
from loomwright.library.contacts import contacts_of_size
from loomwright.library.face_text import parse_faces
from loomwright.library.faces import MATING_SIDE, WIRE_SIDE, checked, face, faces, mating_side, neighbours
from loomwright.sources import Mark, Source

FACES = tuple(faces().values())
each_face = pytest.mark.parametrize("one", FACES, ids=lambda one: one.name)


@each_face
def test_mirrored_twice_is_the_same(one):
    other = mating_side(one)
    assert other.view == MATING_SIDE
    assert mating_side(other) == one


@each_face
def test_no_two_cavities_overlap(one):
    for a, b in combinations(one.cavities, 2):
        assert math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) >= (a.cell_mm + b.cell_mm) / 2 - 1e-6
        assert a.id != b.id


@each_face
def test_a_generic_face_is_unchecked_and_ours(one):
    assert not one.checked
    assert one.view == WIRE_SIDE
    assert one.source.mark is Mark.OURS


@each_face
def test_some_contact_fits_each_cavity(one):
    for size in {cavity.size_class for cavity in one.cavities}:
        assert contacts_of_size(size), size


def test_the_sizes_a_job_needs_are_there():
    assert len(face("header 60").cavities) == 60
    assert len(face("header 90").cavities) == 90
    assert len({cavity.size_class for cavity in face("header 120").cavities}) == 3
    for count in (12, 22, 37, 55):
        assert len(face(f"round {count}").cavities) == count
    for count in range(1, 9):
        assert face(f"one row {count}").ids == tuple(str(n) for n in range(1, count + 1))


SMALL = """
face corner
words latch up, key left
cell 1.5 4
outline rect 20 20
latch top
key left
pitch 5 6
row 1.5: 1-3
row 1.5 shift 2.5: A2-A1
"""


def test_a_face_as_text_is_a_face_as_picture():
    (one,) = parse_faces(SMALL, "job.toml")
    assert [(c.id, c.x_mm, c.y_mm) for c in one.cavities] == [
        ("1", -5, 3),
        ("2", 0, 3),
        ("3", 5, 3),
        ("A2", 0, -3),
        ("A1", 5, -3),
    ]
    assert (one.latch, one.key, one.words) == ("top", "left", "latch up, key left")
    assert one.source.mark is Mark.BUILDER


def test_the_mirror_swaps_left_and_right_only():
    (one,) = parse_faces(SMALL, "job.toml")
    other = mating_side(one)
    assert [(c.id, c.x_mm, c.y_mm) for c in other.cavities][:3] == [("1", 5, 3), ("2", 0, 3), ("3", -5, 3)]
    assert (other.latch, other.key) == ("top", "right")


def test_a_face_drawn_from_the_mating_side_is_kept_from_the_wire_side():
    (one,) = parse_faces(SMALL.replace("latch top", "latch top\nseen mating"), "job.toml")
    assert one.view == WIRE_SIDE
    assert one.cavity("1").x_mm == 5
    assert one.key == "right"


def test_a_ring_runs_clockwise_from_the_top():
    (one,) = parse_faces("face r\ncell 20 3\noutline round 20\nring 20 6: 1-4\nring 20 0: 5", "job.toml")
    places = [(round(c.x_mm, 6), round(c.y_mm, 6)) for c in one.cavities]
    assert places == [(0, 6), (6, 0), (0, -6), (-6, 0), (0, 0)]


def test_a_gap_leaves_its_place_empty():
    (one,) = parse_faces("face g\ncell 20 3\noutline rect 20 5\npitch 4 4\nrow 20: 1 _ 2", "job.toml")
    assert [(c.id, c.x_mm) for c in one.cavities] == [("1", -4), ("2", 4)]


def test_neighbours_are_what_a_short_can_bridge():
    (one,) = parse_faces(
        "face g\ncell 20 3.5\noutline rect 20 9\npitch 4 4\nrow 20: 1-4\nrow 20: 5 _ _ 6", "job.toml"
    )
    assert set(neighbours(one)) == {("1", "2"), ("2", "3"), ("3", "4"), ("1", "5"), ("4", "6")} | {
        ("2", "5"),
        ("3", "6"),
    }


def test_a_builder_ticks_a_face():
    ticked = checked(face("one row 3"), Source(Mark.BUILDER, "held against the plug"))
    assert ticked.checked
    assert not face("one row 3").checked


def read_or_refuse(text):
    """Any other exception than the program's own fails the test."""
    with contextlib.suppress(Unreadable):
        parse_faces(text, "job.toml")


HEAD = "face f\ncell 20 3\noutline rect 20 9\npitch 4 4\n"


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("row 20: 1", 1, "before any face"),
        ("face", 1, "no name"),
        ("face f\nrow 20: 1", 2, "pitch"),
        ("face f\noutline square 3", 2, "outline"),
        ("face f\noutline rect 3 x", 2, "number"),
        ("face f\noutline rect 3 -1", 2, "above 0"),
        ("face f\nlatch north", 2, "top, bottom"),
        ("face f\nseen above", 2, "wire or mating"),
        ("face f\nsource hearsay", 2, "start with one of"),
        ("face f\npitch 1", 2, "pitch ACROSS DOWN"),
        ("face f\ncolour red", 2, "must begin with"),
        (HEAD + "row 16: 1-2", 5, "cell 16"),
        (HEAD + "row 20:", 5, "names must follow"),
        (HEAD + "row 20 sideways 2: 1", 5, "shift"),
        (HEAD + "row 20: A1-B4", 5, "changes its letter"),
        (HEAD + "row 20: 1-9999", 5, "500"),
        (HEAD + "row 20: 1-2\nrow 20: 2-3", 6, "already on line 5"),
        (HEAD + "row 20: 1-9", 5, "outside"),
        (HEAD.replace("pitch 4 4", "pitch 2 4") + "row 20: 1-2", 5, "overlap"),
        (HEAD + "ring 20: 1", 5, "ring"),
        (HEAD, 1, "no cavity"),
        ("face f\ncell 20 3\npitch 4 4\nrow 20: 1", 1, "outline"),
    ],
)
def test_a_fault_is_told_with_its_line(text, line, told):
    with pytest.raises(Unreadable, match=told) as caught:
        parse_faces(text, "job.toml")
    assert caught.value.line == line


def test_lines_are_counted_from_where_the_text_stands():
    with pytest.raises(Unreadable) as caught:
        parse_faces("face f\nlatch north", "job.toml", first_line=40)
    assert caught.value.line == 41


def test_an_unknown_face_names_the_nearest():
    with pytest.raises(OutOfRange, match="header 60"):
        face("heder 60")


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.sampled_from(
            [*SMALL.split("\n"), "row 1.5: 1-", "ring 1.5 4 9: a b", "cell x 1e9", "block 1 1", "key"]
        )
    )
)
def test_no_text_ends_in_a_traceback(lines):
    read_or_refuse("\n".join(lines))


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=60))
def test_no_scribble_ends_in_a_traceback(text):
    for start in ("", "face f\n", HEAD, HEAD + "row 20: "):
        read_or_refuse(start + text)
