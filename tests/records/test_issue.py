"""Issued revisions stay as they are, and it shows when they don't."""

import json
from pathlib import Path

import pytest

from loomwright.errors import LoomwrightError, Unreadable
from loomwright.records.issue import Issue, check_free, issue_named, issues, issuing, job_files
from loomwright.records.issued_done import Done, done_of_text, read_done

ONE = Issue(0, "A", "2026-01-01", "0123456789", "0.1.0")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "job.toml").write_text('format = 1\n[job]\ntitle = "invented"\n', "utf-8")
    (tmp_path / "kept.toml").write_text("format = 1\n", "utf-8")
    (tmp_path / "rope").mkdir()
    (tmp_path / "rope" / "trunk.csv").write_text("point,mm\nB1,300\n", "utf-8")
    (tmp_path / "pack").mkdir()
    (tmp_path / "pack" / "pack.json").write_text("{}", "utf-8")
    (tmp_path / "pack" / "parts.csv").write_text("part\n", "utf-8")
    (tmp_path / "notes.txt").write_text("mine", "utf-8")
    return tmp_path


def issued(job: Path, name: str = "A") -> Path:
    with issuing(job, Issue(0, name, "2026-01-01", "0123456789", "0.1.0")) as part:
        (part / "pack").mkdir()
        (part / "pack" / "build-pack.pdf").write_bytes(b"paper")
    return job / "issued" / name


def test_the_job_is_frozen_and_the_pack_is_not_part_of_it(job: Path) -> None:
    there = issued(job)
    assert [f.relative_to(job).as_posix() for f in job_files(job)] == [
        "job.toml",
        "kept.toml",
        "rope/trunk.csv",
    ]
    for name in ("job.toml", "kept.toml", "rope/trunk.csv"):
        assert (there / "job" / name).read_bytes() == (job / name).read_bytes()
    assert not (there / "job" / "pack").exists()
    (one,) = issues(job)
    assert one.touched == ()
    assert one.issue is not None
    assert (one.issue.number, one.issue.revision) == (1, "A")
    assert [name for name, _ in one.issue.files] == [
        "job/job.toml",
        "job/kept.toml",
        "job/rope/trunk.csv",
        "pack/build-pack.pdf",
    ]


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda at: (at / "job" / "job.toml").write_text("x"), "job/job.toml was changed"),
        (lambda at: (at / "pack" / "build-pack.pdf").unlink(), "pack/build-pack.pdf is missing"),
        (lambda at: (at / "pack" / "mine.txt").write_text("x"), "pack/mine.txt was added"),
        (lambda at: (at / "issue.json").unlink(), "issue.json is missing or can't be opened"),
        (lambda at: (at / "issue.json").write_text("[]"), "issue.json is not as it was written"),
        (lambda at: (at / "issue.json").write_text('{"files": 3}'), "issue.json is not as it was written"),
    ],
)
def test_whatever_is_touched_shows(job: Path, spoil, words: str) -> None:
    spoil(issued(job))
    (one,) = issues(job)
    assert one.touched == (words,)


@pytest.mark.parametrize("key", ["revision", "number", "when", "digest", "version", "not_for_build", "files"])
def test_every_word_of_the_seal_counts(job: Path, key: str) -> None:
    file = issued(job) / "issue.json"
    raw = json.loads(file.read_text("utf-8"))
    other = {"number": 7, "not_for_build": ["board"], "files": {}}.get(key, "x")
    file.write_text(json.dumps(raw | {key: other}), "utf-8")
    assert "issue.json is not as it was written" in issues(job)[0].touched


@pytest.mark.parametrize("name", ["A", "a"])
def test_a_name_is_given_once(job: Path, name: str) -> None:
    there = issued(job)
    before = {f: f.read_bytes() for f in there.rglob("*") if f.is_file()}
    with pytest.raises(LoomwrightError, match="Revision A is issued already"):
        issued(job, name)
    assert {f: f.read_bytes() for f in there.rglob("*") if f.is_file()} == before


@pytest.mark.parametrize(
    "name", ["", "../A", "A/B", ".hidden", "A.", "con", "NUL.1", "x" * 40, "Ä", "A B", "-A"]
)
def test_names_no_file_can_have_are_refused(job: Path, name: str) -> None:
    with pytest.raises(LoomwrightError, match="name of a revision"):
        check_free(job, name)


def test_nothing_is_left_of_an_issue_that_failed(job: Path) -> None:
    with pytest.raises(RuntimeError), issuing(job, ONE):
        raise RuntimeError
    assert list((job / "issued").iterdir()) == []
    assert issues(job) == ()


def test_revisions_stand_in_the_order_of_their_issue(job: Path) -> None:
    for name in ("B", "A", "10", "9"):
        issued(job, name)
    assert [one.folder.name for one in issues(job)] == ["B", "A", "10", "9"]
    assert issue_named(job, "").folder.name == "9"
    assert issue_named(job, "A").folder.name == "A"
    with pytest.raises(Unreadable, match=r"no revision C.*There are: B, A, 10, 9"):
        issue_named(job, "C")


def test_no_revision_yet_is_said(job: Path) -> None:
    assert issues(job) == ()
    with pytest.raises(Unreadable, match="No revision is issued yet"):
        issue_named(job, "")


def test_what_is_done_is_read(job: Path) -> None:
    assert read_done(job) == Done()
    assert read_done(job).nothing
    (job / "done.toml").write_text(
        'cut = ["W1", "W2"]\nspliced = ["SP3"]\nsheathed = ["engine/B1-B2"]\nclosed = ["engine/B2"]\n',
        "utf-8",
    )
    assert read_done(job) == Done(
        frozenset({"W1", "W2"}), frozenset({"SP3"}), frozenset({"engine/B1-B2"}), frozenset({"engine/B2"})
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('cuts = ["W1"]', "Call it cut"),
        ('cut = "W1"', 'Write cut = ["NAME"]'),
        ("cut = [1]", "cut is no list of names"),
        ("cut = [", "It is no TOML"),
    ],
)
def test_what_can_not_be_done_is_said(text: str, words: str) -> None:
    with pytest.raises(Unreadable) as fault:
        done_of_text(text)
    assert words in str(fault.value)


def test_done_of_another_coding_is_said(job: Path) -> None:
    (job / "done.toml").write_bytes('cut = ["Ä"]'.encode("utf-16"))
    with pytest.raises(Unreadable, match="UTF-8"):
        read_done(job)
