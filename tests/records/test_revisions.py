"""The commands issue, issued and change, from an issue over a late change to the next issue."""

import json
from pathlib import Path

import pytest

from loomwright.cli import main
from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.records.issue import issues

LATE = """
[device.CLT]
is = "coolant temperature sensor"
area = "block"
settled = true
face = "one row 2"
face_checked = true
cavity."1" = "coolant temperature"
cavity."2" = "sensor 0 V"

[section."B2-CLT"]
mm = 240
"""
READING = "The mating side is its mirror"  # on the page that never changes
AT_ECU = 'cavity."16" = "manifold pressure"\n'


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "job.toml").write_bytes((demo_folder("six") / "job.toml").read_bytes())
    return tmp_path


def add_sensor(job: Path) -> None:
    file = job / "job.toml"
    text = file.read_text("utf-8")
    assert text.count(AT_ECU) == 1
    text = text.replace(AT_ECU, f'{AT_ECU}cavity."17" = "coolant temperature"\n')
    file.write_text(text + LATE, "utf-8")


def words_of(pdf: Path) -> str:
    pypdfium2 = pytest.importorskip("pypdfium2")
    pages = pypdfium2.PdfDocument(pdf.read_bytes())
    return " ".join(page.get_textpage().get_text_bounded() for page in pages)


def test_from_one_revision_to_the_next(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["issue", str(job), "--when", "2026-01-01"]) == 0
    frozen = job / "issued" / "A"
    assert work_out(frozen / "job").digest == issues(job)[0].issue.digest
    assert issues(job)[0].issue.digest in words_of(frozen / "pack" / "build-pack.pdf")

    assert main(["change", str(job), "--when", "2026-01-02"]) == 0
    assert "Nothing changed since revision A." in capsys.readouterr().out
    assert not (job / "change").exists()

    add_sensor(job)
    (job / "done.toml").write_text('cut = ["W14", "W3"]\nclosed = ["engine/B2"]\n', "utf-8")
    assert main(["change", str(job), "--when", "2026-01-02", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {one["wire"]: one["do"] for one in told["wires"]} == {
        "W14": "remove",
        "W16": "cut new",
        "W17": "cut new",
        "W18": "cut new",
        "W19": "cut new",
    }
    assert told["unchanged"] == 14
    assert any("B2 is closed" in one["words"] for one in told["stuck"])
    assert [Path(file).name for file in told["files"]] == ["change-sheet.pdf"]
    shown = words_of(job / "change" / "change-sheet.pdf")
    assert "Change since revision A" in shown
    assert "revision A + changes" in shown
    assert all(label in shown for label in ("W16", "W17", "W18", "W19"))

    assert main(["issue", str(job), "--rev", "B", "--when", "2026-01-03"]) == 0
    assert 'revision = "B"' in (job / "job.toml").read_text("utf-8")
    assert [one.issue.revision for one in issues(job)] == ["A", "B"]
    assert "Change since revision A" in words_of(job / "issued" / "B" / "change-since-A.pdf")
    capsys.readouterr()
    assert main(["issued", str(job)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[:2] for line in lines] == [["A", "2026-01-01"], ["B", "2026-01-03"]]
    assert all(line.endswith("untouched") for line in lines)

    assert main(["change", str(job), "--since", "A", "--when", "2026-01-04", "--json"]) == 0
    again = json.loads(capsys.readouterr().out)
    assert [one["wire"] for one in again["wires"]] == [one["wire"] for one in told["wires"]]


def test_the_changed_papers_alone_are_printed(job: Path) -> None:
    main(["issue", str(job), "--when", "2026-01-01"])
    add_sensor(job)
    assert main(["change", str(job), "--print-changed", "--when", "2026-01-02"]) == 0
    names = {file.name for file in (job / "change").iterdir()}
    assert names == {"change-sheet.pdf", "changed-sheets.pdf", "board-engine-tiles-A4.pdf", "pack.json"}
    shown = words_of(job / "change" / "changed-sheets.pdf")
    assert "Cut list" in shown
    assert "W16" in shown
    assert READING in words_of(job / "issued" / "A" / "pack" / "build-pack.pdf")
    assert READING not in shown
    assert main(["change", str(job), "--when", "2026-01-02"]) == 0
    assert {file.name for file in (job / "change").iterdir()} == {"change-sheet.pdf", "pack.json"}


def test_numbers_on_a_change_sheet_are_kept(job: Path) -> None:
    main(["issue", str(job), "--when", "2026-01-01"])
    add_sensor(job)
    main(["change", str(job), "--when", "2026-01-02"])
    assert "= 19\n" in (job / "kept.toml").read_text("utf-8")


def test_nothing_is_issued_over_faults(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = job / "job.toml"
    text = file.read_text("utf-8")
    file.write_text(
        text.replace('linkage = "none"', 'linkage = ""').replace('cavity."15" = "sensor 0 V"\n', ""), "utf-8"
    )
    assert work_out(job).faults
    before = file.read_bytes()
    assert main(["issue", str(job), "--rev", "B", "--when", "2026-01-01"]) == 1
    assert "nothing is issued" in capsys.readouterr().err
    assert not (job / "issued").exists()
    assert file.read_bytes() == before
    assert main(["issue", str(job), "--rev", "B", "--when", "2026-01-01", "--with-faults"]) == 1
    assert "NOT FOR BUILD" in capsys.readouterr().out
    assert issues(job)[0].issue.not_for_build
    assert "NOT FOR BUILD" in words_of(job / "issued" / "B" / "pack" / "build-pack.pdf")


def test_what_can_not_be_done_is_said(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words, said in (
        (["change", str(job)], "No revision is issued yet"),
        (["change", str(job), "--when", "soon"], "YYYY-MM-DD"),
        (["issue", str(job), "--when", "soon"], "YYYY-MM-DD"),
        (["issue", str(job), "--rev", "../B"], "can't be the name of a revision"),
        (["issue", str(job / "nowhere")], "job.toml"),
    ):
        assert main(words) == 2
        assert said in capsys.readouterr().err
    assert main(["issued", str(job)]) == 0
    assert "No revision is issued yet." in capsys.readouterr().out
    main(["issue", str(job), "--when", "2026-01-01"])
    capsys.readouterr()
    assert main(["change", str(job), "--since", "Q"]) == 2
    assert "There are: A" in capsys.readouterr().err
    (job / "done.toml").write_text("cuts = []\n", "utf-8")
    assert main(["change", str(job)]) == 2
    assert "Call it cut" in capsys.readouterr().err


def test_a_touched_revision_is_told(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["issue", str(job), "--when", "2026-01-01"])
    with (job / "issued" / "A" / "job" / "job.toml").open("a") as file:
        file.write("# mine\n")
    capsys.readouterr()
    assert main(["issued", str(job)]) == 1
    assert "job/job.toml was changed" in capsys.readouterr().out
    main(["change", str(job), "--when", "2026-01-02"])
    assert "not as issued" in capsys.readouterr().err


def test_two_folders_are_compared(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "late"
    other.mkdir()
    (other / "job.toml").write_bytes((job / "job.toml").read_bytes())
    add_sensor(other)
    assert main(["change", str(other), "--since", str(job), "--when", "2026-01-02"]) == 0
    shown = capsys.readouterr().out
    assert "CLT: nothing -> " in shown
    assert "relabel" in shown, "numbers differ: neither folder keeps the other's"


def test_an_issue_is_the_same_bytes_again(job: Path, tmp_path: Path) -> None:
    twin = tmp_path / "twin"
    twin.mkdir()
    (twin / "job.toml").write_bytes((job / "job.toml").read_bytes())
    for folder in (job, twin):
        assert main(["issue", str(folder), "--when", "2026-01-01"]) == 0
    was, now = (dict(issues(folder)[0].issue.files) for folder in (job, twin))
    assert [name for name in was if was[name] != now.get(name)] == []
