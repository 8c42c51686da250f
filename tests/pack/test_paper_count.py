"""Long lists stay short on paper: what a builder carries to the bench."""

import io

import pytest
from pypdf import PdfReader

from loomwright.pack.papers import pack_head
from loomwright.sheets.typeset import pack_pdf

from .worked_jobs import DAY, sheets, worked


@pytest.mark.parametrize(
    ("key", "most"),
    [("cut-list", 8), ("marking-out-engine", 4), ("labels", 4), ("register", 2), ("parts", 4)],
)
def test_a_list_of_the_hillclimb_takes_few_pages(key, most):
    done = worked("hillclimb")
    pdf = pack_pdf(pack_head(done.worked, done.digest, DAY), (sheets("hillclimb")[key],))
    assert len(PdfReader(io.BytesIO(pdf)).pages) <= most
