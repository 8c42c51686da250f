"""Which letter a printing bears, and which instrument its test sheet is for."""

from pathlib import Path

import pytest
from tests.records.test_revisions import words_of

from loomwright.cli.app import main
from loomwright.job import work_out
from loomwright.pack.printing import as_printed


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = tmp_path / "job"
    folder.mkdir()
    text = (Path(__file__).parents[2] / "src/loomwright/demos/six/job.toml").read_text("utf-8")
    (folder / "job.toml").write_text(text, "utf-8")
    return folder


def _letter(folder: Path) -> str:
    done = work_out(folder)
    return as_printed(done.worked, done.read.folder, done.digest).job.revision


def test_only_what_was_issued_bears_its_letter(job: Path) -> None:
    named = work_out(job).worked.job.revision
    assert named
    assert _letter(job) == f"{named} draft"
    assert main(["issue", str(job), "--when", "2001-02-03"]) == 0
    assert _letter(job) == named
    with (job / "job.toml").open("a", encoding="utf-8") as text:
        text.write("# one word more\n")
    assert _letter(job) == f"{named} + changes"
    assert main(["pack", str(job), "--issued", "2001-02-04"]) == 0
    assert f"revision {named} + changes" in words_of(job / "pack" / "build-pack.pdf")


@pytest.mark.parametrize("instrument", ["beeper", "4-wire"])
def test_a_printing_for_another_instrument(job: Path, instrument: str) -> None:
    assert main(["pack", str(job), "--issued", "2001-02-03", "--instrument", instrument]) == 0
    assert f"Continuity, pin to pin, by {instrument}" in words_of(job / "pack" / "build-pack.pdf")
    assert work_out(job).worked.job.shop.instrument == "hand meter"
