"""The route sheet with a photo of the bay: ways over it, names of the loom, words where it is gone."""

import shutil
from pathlib import Path

from tests.jobfile.test_read_photo import png
from tests.pack.worked_jobs import DAY, sheets, worked

from loomwright.job import WorkedJob, work_out
from loomwright.pack.marks import Circle, Group, Polyline, Text, flat
from loomwright.pack.pages import Facts, Figure, Paragraph, Sheet, Table, every_block
from loomwright.pack.papers import pack_head, papers
from loomwright.sheets.typeset import pack_pdf

PHOTO = """
[photo.bay]
file = "photos/bay.png"
words = "bay from the left"
points = { bulkhead = [0.0, 0.5], B1 = [0.25, 0.5], B2 = [0.75, 0.25], GONE = [0.1, 0.1] }
lines = { "B1-B2" = [[0.25, 0.25]] }
"""


def job(root: Path, data: bytes | None) -> WorkedJob:
    shutil.copytree(worked("six").read.folder, root / "six", ignore=lambda *_: ["photos"])
    file = root / "six" / "job.toml"
    file.write_text(file.read_text("utf-8") + PHOTO, "utf-8")
    if data is not None:
        (root / "six" / "photos").mkdir()
        (root / "six" / "photos" / "bay.png").write_bytes(data)
    return work_out(root / "six")


def route(done: WorkedJob) -> Sheet:
    return next(s for s in papers(done.worked, done.findings, done.digest, DAY) if s.key == "route")


def test_the_ways_lie_over_the_photo(tmp_path):
    done = job(tmp_path, png(40, 20))
    figure = next(b for b in every_block(route(done).blocks) if isinstance(b, Figure))
    assert figure.under is not None
    assert figure.under.data == png(40, 20)
    wide, high = figure.drawing.width_mm, figure.drawing.height_mm
    assert wide == 2 * high
    ways = {
        g.name: [m for m in g.marks if isinstance(m, Polyline)]
        for g in figure.drawing.marks
        if isinstance(g, Group)
    }
    assert set(ways) == {"section:bulkhead-B1", "section:B1-B2"}
    corners = ((0.25 * wide, 0.5 * high), (0.25 * wide, 0.75 * high), (0.75 * wide, 0.75 * high))
    assert ways["section:B1-B2"][1].points == corners
    assert not ways["section:B1-B2"][1].pen.dash_mm
    assert ways["section:bulkhead-B1"][1].pen.dash_mm
    said = {m.text for m in flat(figure.drawing.marks) if isinstance(m, Text)}
    assert said == {"bulkhead", "B1", "B2", "B1-B2"}
    assert sum(isinstance(m, Circle) for m in figure.drawing.marks) == 3
    assert "GONE" in figure.caption
    pdf = pack_pdf(pack_head(done.worked, done.digest, DAY), [route(done)])
    assert b"/Subtype /Image" in pdf or b"/Subtype/Image" in pdf
    assert pdf == pack_pdf(pack_head(done.worked, done.digest, DAY), [route(done)])


def test_a_photo_that_is_gone_is_told_on_the_sheet(tmp_path):
    done = job(tmp_path, None)
    said = [b.text for b in every_block(route(done).blocks) if isinstance(b, Paragraph)]
    assert any("photos/bay.png" in one and "FILE-10" in one for one in said)
    assert [(x.code, str(x.severity)) for x in done.findings if x.code == "FILE-10"] == [
        ("FILE-10", "caution")
    ]
    assert done.digest != job(tmp_path / "other", png(40, 20)).digest


def test_a_job_without_a_photo_keeps_its_route_sheet():
    assert not [b for b in every_block(sheets("six")["route"].blocks) if isinstance(b, Figure)]


def test_what_runs_side_by_side_is_told_in_its_order():
    """In demo six the pressure sensor's piece runs beside the injector's, and leaves to the left of it."""
    groups = [g for b in every_block(sheets("six")["route"].blocks) if isinstance(b, Table) for g in b.groups]
    told = [row[:4] for group in groups for row in group.rows if len(row) == 5]
    assert told == [("B2", "MAP parts", "B2-MAP  |  B2-INJ1", "same")]
    card = next(
        b
        for b in every_block(sheets("six")["branch-points"].blocks)
        if isinstance(b, Facts) and any("Side by side" in name for name, _ in b.pairs)
    )
    assert ("Side by side to MAP parts", "left to right, looking outward: B2-MAP  |  B2-INJ1") in card.pairs
