"""The lay-up order as printed: every section once, a page a loom."""

import io

import pytest
from pypdf import PdfReader

from loomwright.pack.lay_up import lay_up
from loomwright.pack.papers import pack_head
from loomwright.pack.view import View
from loomwright.sheets.typeset import pack_pdf

from .worked_jobs import DAY, rows, worked


@pytest.mark.parametrize(("job", "pages"), [("six", 1), ("hillclimb", 2), ("v8", 1)])
def test_every_section_is_laid_once_and_a_loom_takes_a_page(job, pages):
    done = worked(job)
    view = View(done.worked, done.findings)
    sheet = lay_up(view)
    assert sheet.big
    told = [pair for r in rows(sheet, "lay") for pair in zip(*_ends(view, r["lay"]), strict=True)]
    with_wires = [s for key in view.routed.in_section for s in (key.split("/", 1),)]
    assert len(told) == len(with_wires)
    pdf = pack_pdf(pack_head(done.worked, done.digest, DAY), (sheet,))
    assert len(PdfReader(io.BytesIO(pdf)).pages) == pages


def _ends(view, words):
    """Points of a printed way, as two rows; names may hold a dash themselves."""
    names = {p for t in view.trees for s in t.sections for p in (s.inner, s.outer)}
    found, start = [], ""
    for part in words.split("-"):
        start = f"{start}-{part}" if start else part
        if start in names:
            found.append(start)
            start = ""
    assert not start, words
    return found[:-1], found[1:]
