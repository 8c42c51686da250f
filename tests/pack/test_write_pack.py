"""The files of a pack, read back from disk."""

import csv
import hashlib
import io
import json
import os
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from loomwright.cli.papers import write_papers
from loomwright.job import work_out
from loomwright.sheets.files import remove_stale, safe_name, write_whole
from loomwright.sheets.write_pack import write_pack

from .worked_jobs import DAY, SMALL, worked


def written(folder, job="small", done=None, **more):
    done = done or worked(job)
    told = {"issued": DAY, "paper": "A4", "tile_paper": "A4"} | more
    return write_pack(done.worked, done.findings, done.digest, folder, **told)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("pack")
    return written(place).folder


def test_all_kinds_of_files_are_there(folder):
    names = {str(f.relative_to(folder)) for f in folder.rglob("*") if f.is_file()}
    assert {
        "index.html",
        "build-pack.pdf",
        "tables.xlsx",
        "board-engine.svg",
        "board-engine.dxf",
        "board-engine.pdf",
        "board-engine-tiles-A4.pdf",
        "csv/cut-list.csv",
        "csv/conductors.csv",
        "csv/pinouts.csv",
        "csv/parts.csv",
        "csv/labels.csv",
    } <= names
    assert not [name for name in names if Path(name).name.startswith(".")]


def test_the_counts_told_before_printing_are_the_pages_of_the_files(tmp_path):
    for one in written(tmp_path).files:
        if one.count:
            assert len(PdfReader(tmp_path / one.name).pages) == one.count, one.name


def test_the_cut_list_reads_back_from_csv_and_xlsx(folder):
    done = worked("small").worked
    wanted = {w.label: done.sized.length[w.identity].cut_mm for w in done.routed.wires}
    table = list(csv.DictReader(io.StringIO((folder / "csv/cut-list.csv").read_text("utf-8"))))
    assert {row["wire"]: float(row["cut [mm]"]) for row in table} == wanted
    page = openpyxl.load_workbook(folder / "tables.xlsx")["Cut list"]
    read = {row[1]: row[2] for row in page.iter_rows(min_row=5, values_only=True)}
    assert read == wanted


def test_one_worksheet_a_paper_of_tables(folder):
    names = openpyxl.load_workbook(folder / "tables.xlsx").sheetnames
    for title in ("Device register", "Circuits", "Conductors", "Cut list", "Pinouts", "Parts list"):
        assert title in names


def test_the_pdf_holds_every_wire_and_pin(folder):
    text = "\n".join(page.extract_text() for page in PdfReader(folder / "build-pack.pdf").pages)
    done = worked("small").worked
    for wire in done.routed.wires:
        assert re.search(rf"\b{wire.label}\b", text)
    for pin in done.job.pins:
        assert pin.circuit in text


class Links(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.found = [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.found += [value for name, value in attrs if name in ("href", "src")]


def test_the_front_page_links_only_to_files_that_are_there(folder):
    page = Links()
    page.feed((folder / "index.html").read_text("utf-8"))
    assert page.found
    assert all((folder / link).is_file() for link in page.found)


TRICKS = (
    '<script>alert("x")</script>',
    "=HYPERLINK(0)",
    "../../../etc/x",
    "#set page(",
    "a\x00b\nc",
    "''; --",
)


@pytest.mark.parametrize("trick", TRICKS)
def test_names_with_tricks_do_no_harm(tmp_path, trick):
    done = worked("small")
    job = done.worked.job
    devices = tuple(replace(d, words=trick) for d in job.devices)
    board = replace(done.worked.built.boards[0], loom="engine")
    tricky = replace(
        done.worked,
        job=replace(job, title=trick, devices=devices, customer=trick),
        built=replace(done.worked.built, boards=(board,)),
    )
    told = written(tmp_path / "in" / "pack", done=replace(done, worked=tricky))
    outside = [p for p in tmp_path.rglob("*") if p.is_file() and told.folder not in p.parents]
    assert outside == []
    page = Links()
    page.feed(told.front.read_text("utf-8"))
    assert "script" not in page.tags
    for cell in _cells(told.folder):
        assert not cell.startswith(("=", "+", "-", "@"))


def _cells(folder):
    for file in (folder / "csv").glob("*.csv"):
        for row in csv.reader(io.StringIO(file.read_text("utf-8"))):
            yield from (cell for cell in row if not re.fullmatch(r"-?[\d.]+", cell))
    book = openpyxl.load_workbook(folder / "tables.xlsx")
    for page in book:
        for row in page.iter_rows():
            assert all(cell.data_type != "f" for cell in row)


@pytest.mark.parametrize("name", ["../../x", "CON", "", "a/b\\c:d", "é" * 300, ".hidden", "x" * 300])
def test_file_names_are_safe_everywhere(name):
    safe = safe_name(name)
    assert re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]*", safe)
    assert len(safe) <= 60
    assert safe_name(name, [safe.upper()]) != safe


def test_an_older_pack_is_replaced_and_other_files_stay(tmp_path):
    written(tmp_path)
    (tmp_path / "my notes.txt").write_text("mine")
    write_whole(tmp_path / "board-gone.svg", b"old")
    listed = json.loads((tmp_path / "pack.json").read_text())
    listed["files"] += ["board-gone.svg", "../outside.txt", str(tmp_path / "my notes.txt")]
    (tmp_path / "pack.json").write_text(json.dumps(listed))
    (tmp_path.parent / "outside.txt").write_text("mine")
    written(tmp_path)
    assert not (tmp_path / "board-gone.svg").exists()
    assert (tmp_path / "my notes.txt").read_text() == "mine"
    assert (tmp_path.parent / "outside.txt").read_text() == "mine"


def test_a_list_that_cannot_be_read_removes_nothing(tmp_path):
    (tmp_path / "pack.json").write_text("not a list")
    (tmp_path / "x.svg").write_text("mine")
    remove_stale(tmp_path, ())
    assert (tmp_path / "x.svg").exists()


WRITE = """
import sys
from pathlib import Path
from loomwright.job import work_out
from loomwright.sheets.write_pack import write_pack
done = work_out(Path(sys.argv[1]))
write_pack(done.worked, done.findings, done.digest, Path(sys.argv[2]), "2026-01-01", "A4", "A4")
"""


def test_same_job_same_bytes_in_two_processes(tmp_path):
    found = []
    for seed in ("1", "2"):
        out = tmp_path / seed
        env = os.environ | {"PYTHONHASHSEED": seed}
        subprocess.run([sys.executable, "-c", WRITE, str(SMALL), str(out)], check=True, env=env)
        files = sorted(p for p in out.rglob("*") if p.is_file())
        found.append({str(p.relative_to(out)): hashlib.sha256(p.read_bytes()).hexdigest() for p in files})
    assert found[0] == found[1]


def _copied(tmp_path):
    job = tmp_path / "job"
    job.mkdir()
    (job / "job.toml").write_bytes((SMALL / "job.toml").read_bytes())
    return job


def test_the_command_writes_beside_the_job_and_tells_the_sheets(tmp_path, capsys):
    job = _copied(tmp_path)
    code = write_papers(job, None, "", "A4", None, DAY, False)
    said = capsys.readouterr().out
    assert code == (1 if work_out(job).faults else 0)
    assert (job / "pack" / "index.html").is_file()
    assert re.search(r"tiles-A4.pdf .*\(\d+ sheets of A4\)", said)


def test_the_command_speaks_json(tmp_path, capsys):
    job = _copied(tmp_path)
    write_papers(job, tmp_path / "out", "Letter", "A3", None, DAY, True)
    said = json.loads(capsys.readouterr().out)
    assert Path(said["front"]).is_file()
    papers = {one["file"]: one["paper"] for one in said["files"]}
    assert papers["build-pack.pdf"] == "Letter"
    assert papers["board-engine-tiles-A3.pdf"] == "A3"


def test_a_date_that_is_none_and_a_target_that_is_a_file_are_refused(tmp_path, capsys):
    job = _copied(tmp_path)
    assert write_papers(job, None, "", "A4", None, "yesterday", False) == 2
    (tmp_path / "out").write_text("mine")
    assert write_papers(job, tmp_path / "out", "", "A4", None, DAY, False) == 2
    assert (tmp_path / "out").read_text() == "mine"
    assert capsys.readouterr().err


def test_a_measured_bar_corrects_the_tiles(tmp_path):
    plain = written(tmp_path / "a")
    fixed = written(tmp_path / "b", measured=(99.5, 100.0))
    name = "board-engine-tiles-A4.pdf"
    assert (plain.folder / name).read_bytes() != (fixed.folder / name).read_bytes()
    assert "corrected" in PdfReader(fixed.folder / name).pages[1].extract_text()
