"""The handover file, read back: as-built values, retests, photos; harmless names; the same every time."""

import io
import re
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader
from tests.records.bench_made import made

from loomwright.cli.app import main
from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.pack.as_built import as_built_sheets, how_tested, photos_of
from loomwright.pack.bench_tests import bench_groups
from loomwright.pack.pages import NOT_PRINTED, Sheet
from loomwright.pack.view import View
from loomwright.records.bench import Record
from loomwright.records.bench_photos import keep_photo
from loomwright.records.bench_standing import Standing, standing
from loomwright.records.bench_store import add_records
from loomwright.records.bench_text import records_of_text

ODD = '<script>alert(1)</script> & "=1+1"'


@pytest.fixture
def job(tmp_path: Path) -> Path:
    to = tmp_path / "six"
    to.mkdir()
    (to / "job.toml").write_bytes((demo_folder("six") / "job.toml").read_bytes())
    return to


def picture(kind: str = "JPEG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (320, 200), "#6688aa").save(out, kind)
    return out.getvalue()


def view_of(job: Path) -> View:
    done = work_out(job)
    return View(done.worked, done.findings, done.digest, "2026-05-05")


def numbered(*records: Record) -> Standing:
    from dataclasses import replace

    return standing(replace(one, number=n) for n, one in enumerate(records, 1))


def cells(sheets: tuple[Sheet, ...], key: str, first: str) -> list[tuple]:
    sheet = next(s for s in sheets if s.key == key)
    return [row for t in sheet.tables for row in t.rows if str(row[0]) == first]


def test_nothing_recorded_is_shown_as_nothing_recorded(job: Path) -> None:
    view = view_of(job)
    stands = standing(())
    sheets = as_built_sheets(view, stands, ())
    count = how_tested(view, stands)
    assert count.good == count.outside == count.noted == 0
    assert count.open == sum(len(g.tests) for g in bench_groups(view)) > 0
    tested = next(s for s in sheets if s.key == "test-record")
    assert {row[4] for t in tested.tables for row in t.rows} == {"not tested"}
    assert {row[3] for t in tested.tables for row in t.rows} == {NOT_PRINTED}


def test_what_was_measured_stands_where_it_belongs(job: Path) -> None:
    view = view_of(job)
    tree = view.trees[0]
    section = tree.sections[0]
    key = f"{tree.loom}/{section.name}"
    test = next(t for g in bench_groups(view) for t in g.tests if t.kind == "continuity")
    stands = numbered(
        made(1, "length", key, "251"),
        made(2, "size", key, "7,4"),
        made(3, "length", "W1", "1234"),
        made(4, "cut", "W1"),
        made(5, "test", test.of, "31", limits=test.limits),
        made(6, "test", test.of, "0.1", limits=test.limits),
    )
    sheets = as_built_sheets(view, stands, ())
    (row,) = cells(sheets, "as-built", section.name)
    assert (row[2], row[4]) == ("251", "7,4")
    wire = next(r for r in cells(sheets, "as-built", "W1") if len(r) == 9)
    assert wire[7:] == ("1234", "AB, 2026-05-04")
    row = cells(sheets, "test-record", test.where)[0]
    assert row[3:5] == ("0.1 ohm", "good")
    assert "31 ohm (OUTSIDE" in row[6]
    assert how_tested(view, stands).good == 1


def test_a_reading_outside_its_limits_is_told_first(job: Path) -> None:
    view = view_of(job)
    test = next(t for g in bench_groups(view) for t in g.tests if t.kind == "short")
    stands = numbered(made(1, "test", test.of, "12k", limits=test.limits))
    sheet = as_built_sheets(view, stands, ())[0]
    said = " ".join(getattr(block, "text", "") for block in sheet.blocks)
    assert f"Outside the limits at the last reading: {test.where}." in said
    assert how_tested(view, stands).outside == 1


def test_readings_of_pins_that_are_gone_are_kept(job: Path) -> None:
    view = view_of(job)
    stands = numbered(made(1, "test", "continuity: OLD:1 > OLD:2", "0.2", limits="at most 1 ohm"))
    (row,) = cells(as_built_sheets(view, stands, ()), "test-record", "continuity: OLD:1 > OLD:2")
    assert row[3:5] == ("0.2 ohm", "good")


def test_the_command_writes_pdf_page_and_records(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    photos = [keep_photo(job, picture()), keep_photo(job, picture("PNG"))]
    broken = keep_photo(job, b"\xff\xd8\xff" + b"no picture" * 20)
    records = [
        made(1),
        *(made(n, "note", "SP1", "photo", note=ODD, photo=p) for n, p in enumerate((*photos, broken), 2)),
    ]
    add_records(job, records)
    assert main(["handover", str(job), "--when", "2026-05-05"]) == 0
    assert "4 records" in capsys.readouterr().out
    home = job / "handover"
    reader = PdfReader(home / "handover.pdf")
    text = " ".join(page.extract_text() for page in reader.pages)
    assert "As built" in text
    assert "Test record" in text
    assert "can't be read" in text  # the broken photo is named, the sound ones are there
    assert sum(len(page.images) for page in reader.pages) == 2
    assert len(records_of_text((home / "bench-records.jsonl").read_text("utf-8"))) == 4
    page = (home / "handover.html").read_text("utf-8")
    assert page.count("data:image/jpeg;base64,") == 2
    assert page.count("data:image/png;base64,") == 1
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert re.findall(r'(?:src|href)="(?!data:|#)', page) == []  # fetches nothing


def test_same_job_same_bytes(job: Path, tmp_path: Path) -> None:
    add_records(job, [made(1), made(2, "note", "SP1", "photo", photo=keep_photo(job, picture()))])
    for name in ("a", "b"):
        assert main(["handover", str(job), "--when", "2026-05-05", "--out", str(tmp_path / name)]) == 0
    for file in ("handover.pdf", "handover.html", "bench-records.jsonl"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()


def test_a_date_that_is_none_and_a_file_in_the_way_are_told(job: Path, tmp_path: Path) -> None:
    assert main(["handover", str(job), "--when", "soon"]) == 2
    (tmp_path / "file").write_text("x")
    assert main(["handover", str(job), "--out", str(tmp_path / "file")]) == 2


def test_photos_are_numbered_in_the_order_they_were_taken(job: Path) -> None:
    photo = keep_photo(job, picture())
    first, second = (made(n, "note", of, "photo", photo=photo) for n, of in ((1, "SP1"), (2, "SP2")))
    assert [one.of for one in photos_of(numbered(first, second))] == ["SP1", "SP2"]
