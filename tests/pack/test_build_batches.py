"""Like steps told together lose none of them and keep their order."""

import io

import pytest
from pypdf import PdfReader

from loomwright.pack.build_batches import batch_list, batches
from loomwright.pack.build_order import together
from loomwright.pack.pages import every_block
from loomwright.pack.papers import pack_head
from loomwright.pack.view import View
from loomwright.sheets.typeset import pack_pdf

from .worked_jobs import DAY, rows, sheets, worked

JOBS = ("small", "six", "hillclimb", "v8")


@pytest.mark.parametrize("job", JOBS)
def test_every_step_is_in_one_batch_in_its_order(job):
    steps = worked(job).worked.built.steps
    assert tuple(step for batch in batches(steps) for step in batch.steps) == steps


@pytest.mark.parametrize("job", JOBS)
def test_every_step_of_a_batch_is_named_in_its_list(job):
    done = worked(job)
    view = View(done.worked, done.findings)
    for batch in batches(view.built.steps):
        if batch.kind is None or not batch.kind.across:
            continue
        tables = [b for b in every_block(batch_list(view, batch)) if hasattr(b, "rows")]
        said = [
            str(row[0]).replace(",", ":").replace(";", ":").split(":")[0] for t in tables for row in t.rows
        ]
        assert set(said) == {step.name.partition(" ")[2] for step in batch.steps}, batch.numbers


@pytest.mark.parametrize("job", JOBS)
def test_no_way_back_is_said_of_a_batch_with_one_such_step(job):
    steps = worked(job).worked.built.steps
    told = [row["do"] for row in rows(sheets(job)["build-order"], "step", "do")]
    for batch, words in zip(batches(steps), told, strict=True):
        assert ("NO WAY BACK" in words) == any(step.irreversible for step in batch.steps), words


def test_the_build_order_of_a_large_loom_is_a_booklet():
    done = worked("v8")
    sheet = sheets("v8")["build-order"]
    pdf = pack_pdf(pack_head(done.worked, done.digest, DAY), (sheet,))
    assert len(PdfReader(io.BytesIO(pdf)).pages) <= 10


def test_what_is_the_same_of_all_items_is_said_once():
    assert together(("A: 100 mm off", "B: 100 mm off")) == "100 mm off: A, B"
    assert together(("A at 5: tie", "B at 9: clip", "C at 1: tie")) == "Tie: A at 5, C at 1; clip: B at 9"
    assert together(("W1", "W2")) == "W1, W2"
    assert together(("F1: 3 A", "F2: 5 A")) == "F1: 3 A, F2: 5 A"
