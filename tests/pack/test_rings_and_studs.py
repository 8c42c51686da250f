"""Rings count among the ends that fit; single studs need no comparing; devices go by the builder's words."""

import re

import pytest

from loomwright.building.ends import function_of
from loomwright.pack.pages import Paragraph
from loomwright.routing.routed import EndKind

from .worked_jobs import rows, sheets, worked

ENDS = re.compile(r"All (\d+) ends(?:, (\d+) of them rings,)? fit")


@pytest.mark.parametrize("job", ["six", "hillclimb", "v8"])
def test_every_contact_and_every_ring_is_counted(job):
    sheet = sheets(job)["conductors"]
    told = [m for b in sheet.blocks if isinstance(b, Paragraph) and (m := ENDS.match(b.text))]
    listed = [m for t in sheet.tables if (m := re.match(r"\d+ of (\d+) ends fit", t.note))]
    ends = [e.kind for w in worked(job).worked.routed.wires for e in (w.a, w.b)]
    contacts, rings = ends.count(EndKind.PIN), ends.count(EndKind.STUD)
    assert sum(int(m[1]) for m in (*told, *listed)) == contacts + rings
    if not listed:
        assert sum(int(m[2] or 0) for m in told) == rings
    assert rings


@pytest.mark.parametrize("job", ["six", "hillclimb", "v8"])
def test_no_single_stud_is_called_unchecked_or_not_compared(job):
    listed = rows(sheets(job)["register"], "device", "face")
    assert listed
    for row in listed:
        assert "unchecked" not in row["face"]
        if row["face"].startswith("stud "):
            assert "not compared" not in row["face"]


def test_a_device_goes_by_the_same_words_on_register_and_pinouts():
    done = worked("hillclimb")
    job = done.worked.job
    for row in rows(sheets("hillclimb")["register"], "device", "what it is"):
        assert row["what it is"] == function_of(job.device[row["device"]])
    flex = next(r for r in rows(sheets("hillclimb")["register"], "device") if r["device"] == "FLX")
    assert flex["what it is"] == "flex fuel sensor"
