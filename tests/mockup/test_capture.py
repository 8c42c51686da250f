"""Readings from tables: edits that, carried out, say what the table says; nothing else moves."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.read import job_of_text, read_job
from loomwright.mockup.capture import capture
from loomwright.mockup.form import FORM_COLUMNS, blank_form_rows
from loomwright.mockup.trees import trees

READ = read_job(Path(__file__).parents[1] / "jobs" / "small")
JOB = READ.job


def form(*rows: str) -> bytes:
    return "\n".join([";".join(FORM_COLUMNS), *rows]).encode()


def after(captured):
    return job_of_text(apply(READ.document, captured.edits).document.text).job


def test_the_blank_form_asks_for_every_point_once():
    rows = blank_form_rows(JOB)
    assert rows[0] == FORM_COLUMNS
    points = [row[2] for row in rows[1:]]
    assert points == ["B1", "B2", "INJ1", "INJ2", "GND1", "CLT", "ECU.A", "FB"]
    assert {len(row) for row in rows} == {len(FORM_COLUMNS)}


def test_a_blank_form_asks_for_ends_no_tape_reaches():
    from dataclasses import replace

    rows = blank_form_rows(replace(JOB, runs=JOB.runs[:1]))
    assert [row[2] for row in rows if row[0] == ""] == ["CLT", "ECU.A", "FB"]


def test_the_blank_form_itself_changes_nothing():
    raw = io.StringIO()
    csv.writer(raw).writerows(blank_form_rows(JOB))
    found = capture(JOB, "form.csv", raw.getvalue().encode())
    assert (found.edits, found.differences, found.problems) == ((), (), ())


def test_new_readings_come_in_and_the_rest_of_the_tape_stays():
    found = capture(
        JOB, "form.csv", form("trunk;;B1;655,5;3;;;;;", "trunk;;B3;1200;;;;;;", "trunk;;INJ1;1205;;;;;;")
    )
    assert found.problems == ()
    (tree,), findings = trees(after(found))
    assert findings == ()
    assert tree.by_name["bulkhead-B1"].length_mm == 655.5
    assert tree.by_name["B2-B3"].length_mm == 180
    assert tree.by_name["B2-INJ1"].length_mm == 185  # parts where it parted before
    assert [(one.place, one.difference_mm) for one in found.differences] == [
        ("rope trunk, B1", 15.5),
        ("rope trunk, B3", None),
        ("rope trunk, INJ1", 5),
    ]


def test_reading_a_form_in_again_changes_nothing():
    raw = form("trunk;;B1;655;3;;;left up;hot part 80 at 100 behind shield;50 bracket; 300")
    job = after(capture(JOB, "form.csv", raw))
    again = capture(job, "form.csv", raw)
    assert (again.edits, again.differences) == ((), ())


def test_a_new_tape_needs_no_more_than_its_readings():
    found = capture(JOB, "left bank.csv", b"point,running mm\nB1,642\nB5,700\n")
    (tree,), _ = trees(after(found))
    assert tree.by_name["B1-B5"].length_mm == 58
    assert after(found).runs[3].method == "form"


def test_exits_hazards_and_ties_go_to_the_section_before_the_point():
    hazards = '"brake line 25; hot part 80"'
    found = capture(JOB, "f.csv", form(f"trunk;;B2;;;;;left up, square;{hazards};", "trunk;;B1;;;;;;;100"))
    assert found.problems == ()
    (tree,), _ = trees(after(found))
    passes = tree.by_name["B1-B2"].passes
    assert [(one.kind.value, one.mm) for one in passes.near] == [("brake line", 25), ("hot part", 80)]
    assert passes.ties == JOB.passes[0].ties
    assert [(e.axes, e.lean) for e in tree.exits if e.to == "B2"] == [(("left", "up"), "square")]
    assert [tie.at_mm for tie in tree.by_name["bulkhead-B1"].passes.ties] == [100]


def test_a_built_length_is_not_touched():
    text = READ.document.text + '[build."bulkhead-B1"]\nmm = 640\nreason = "as drawn"\n'
    read = job_of_text(text)
    found = capture(read.job, "f.csv", form("trunk;;B1;700;;;;;;"))
    assert not any(edit.path[0] == "build" for edit in found.edits)
    job = job_of_text(apply(read.document, found.edits).document.text).job
    assert trees(job)[0][0].by_name["bulkhead-B1"].length_mm == 640


def test_a_spreadsheet_says_the_same():
    from openpyxl import Workbook

    book = Workbook()
    for row in (("Point", "Running mm", "Give or take"), ("B1", 655, 3), ("B2", 1030.5, None)):
        book.active.append(row)
    raw = io.BytesIO()
    book.save(raw)
    text = b"point;running mm;give\nB1;655;3\nB2;1030,5;\n"
    sheet = capture(JOB, "t.xlsx", raw.getvalue(), tape="trunk")
    assert [e.value for e in sheet.edits] == [
        e.value for e in capture(JOB, "t.csv", text, tape="trunk").edits
    ]
    assert sheet.problems == ()


WRONG = [
    ("trunk;;B1;long;;;;;;", "long"),
    ("trunk;;B1;-5;;;;;;", "-5"),
    ("trunk;;;640;;;;;;", "No point"),
    ("trunk;;B1;640;;somewhere;;;;", "somewhere"),
    ("trunk;;B1;640;;;;sideways;;", "sideways"),
    ("trunk;;INJ1;1100;;;1140;;;", "1140"),
    ("trunk;;B1;640;;;;;warm part 9;", "warm part 9"),
    ("trunk;;B1;640;;;;;;here", "here"),
    ("trunk;;B9;;;;;up;;", "B9"),
    ("section B1-FB;;B1;640;;;;;;", "one length"),
]


@pytest.mark.parametrize(("row", "words"), WRONG)
def test_a_wrong_row_is_told_with_its_number_and_left_out(row, words):
    found = capture(JOB, "f.csv", form("trunk;;B2;1020;5;;;;;", row))
    (problem,) = found.problems
    assert (problem.file, problem.row) == ("f.csv", 3)
    assert words in problem.what_is
    assert problem.remedy
    assert found.edits == ()


@pytest.mark.parametrize(
    ("name", "raw"), [("a.csv", b"1;2\n"), ("a.csv", b"\xff\xfe"), ("a.xlsx", b"zip"), ("a.csv", b"")]
)
def test_a_table_that_is_none_is_told(name, raw):
    found = capture(JOB, name, raw)
    assert found.edits == ()
    assert len(found.problems) == 1


CELL = st.sampled_from(
    ["", "B1", "B2", "B7", "INJ1", "FB", "trunk", "new", "5", "640", "1500,5", "up", "tie", "50", "é"]
)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(CELL, min_size=10, max_size=10).map(";".join), max_size=5))
def test_any_table_gives_edits_that_can_be_carried_out(rows):
    found = capture(JOB, "f.csv", form(*rows))
    job = after(found)
    trees(job)
    assert len(job.devices) == len(JOB.devices)
