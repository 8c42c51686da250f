"""Codes drawn on paper, read back from the paper by another library."""

import subprocess
import sys

import pypdfium2
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.pack.label_codes import Code, code_drawing, code_name, code_text, job_mark, read_code
from loomwright.pack.label_sheets import CODE_MM, label_sheets
from loomwright.pack.labels import printer_table
from loomwright.pack.marks import Text, extent, flat
from loomwright.pack.view import View
from loomwright.sheets.pdf_drawing import PdfPage, drawing_pdf, pages_pdf

from .worked_jobs import DAY, worked

DPI = 300


def view(name):
    done = worked(name)
    return View(done.worked, done.findings, done.digest, DAY)


def read_back(data):
    found = []
    for page in pypdfium2.PdfDocument(data):
        picture = page.render(scale=DPI / 72).to_pil()
        found += [one.text for one in zxingcpp.read_barcodes(picture)]
    return found


@pytest.fixture(scope="module")
def job():
    return view("small").job


def test_an_id_says_whose_it_is_and_what_it_is_stuck_on(job):
    text = code_text(job, "W12")
    assert text == f"LW1:{job_mark(job)}:W12"
    assert read_code(text) == Code(job_mark(job), "W12")
    assert read_code(code_text(job, "ECU.A:14")) == Code(job_mark(job), "ECU.A:14")


@pytest.mark.parametrize("text", ["", "W12", "LW1:W12", "LW2:ABCDEF:W12", "LW1:ABCDEF:", "LW1:ABC:W12"])
def test_a_code_of_somebody_else_is_none_of_ours(text):
    assert read_code(text) is None


@settings(max_examples=25, deadline=None)
@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=24))
def test_any_name_is_read_back_from_the_paper(name):
    text = code_text(view("small").job, name)
    assert read_back(drawing_pdf(code_drawing(text, 22.0))) == [text]


def test_a_code_that_lost_a_corner_mark_is_noticed(job):
    drawing = code_drawing(code_text(job, "W12"), 22.0)
    (group,) = drawing.marks
    half = type(group)(group.name, group.marks[: len(group.marks) // 2])
    broken = type(drawing)(drawing.title, 22.0, 22.0, (half,))
    assert read_back(drawing_pdf(broken)) == []


@pytest.mark.parametrize("name", ["small", "six", "hillclimb", "v8"])
@pytest.mark.parametrize("paper", [(210.0, 297.0), (215.9, 279.4)], ids=["A4", "Letter"])
def test_every_label_is_read_back_from_its_sheet(name, paper):
    seen = view(name)
    sheets = label_sheets(seen, *paper)
    data = pages_pdf("labels", [PdfPage(s.width_mm, s.height_mm, s.marks) for s in sheets])
    wanted = sorted(code_text(seen.job, code_name(label)) for label in seen.built.labels)
    assert sorted(read_back(data)) == wanted


@pytest.mark.parametrize("name", ["small", "v8"])
def test_the_words_of_every_label_stand_on_its_sheet_unshortened(name):
    seen = view(name)
    texts = [
        m.text for sheet in label_sheets(seen, 210, 297) for m in flat(sheet.marks) if isinstance(m, Text)
    ]
    words = " ".join(texts)
    assert not [text for text in texts if text.endswith("…") and not text.startswith("invented")]
    for label in seen.built.labels:
        assert label.text in words, label.text


def test_nothing_lies_outside_the_paper():
    for sheet in label_sheets(view("v8"), 210.0, 297.0):
        assert sheet.box.grown(-5.0).encloses(extent(sheet.marks)), sheet.title
    assert CODE_MM >= 10.0


def test_the_mark_of_a_job_stays_when_anything_but_its_title_changes():
    code = (
        "from loomwright.demos import demo_folder\nfrom loomwright.job import work_out\n"
        "from loomwright.pack.label_codes import job_mark\n"
        "print(job_mark(work_out(demo_folder('six')).worked.job))"
    )
    other = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert other.stdout.strip() == job_mark(view("six").job)
    done = worked("six")
    assert job_mark(view("six").job) not in done.digest.upper()


def test_the_list_for_a_label_printer_holds_the_same_codes():
    seen = view("six")
    table = printer_table(seen)
    at = [c.head for c in table.columns].index("code")
    wanted = [code_text(seen.job, code_name(label)) for label in seen.built.labels]
    assert [row[at] for row in table.rows] == wanted
