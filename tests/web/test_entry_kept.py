"""A bench device stays logged in over a restart; what opens the door is the user's alone and grows old."""

import datetime
import os
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from tests.web.test_bench import record

from loomwright.records.bench_store import all_records
from loomwright.web import entry_kept
from loomwright.web.app import make_app
from loomwright.web.entry_kept import Entry, kept_entry

HOST = "192.0.2.7:8642"


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A state folder of the test's own."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "state"))
    return tmp_path / "state" / "loomwright"


def phone(root: Path, entry: Entry, cookies: dict[str, str] | None = None) -> TestClient:
    """A device in the network, at a program that was just started."""
    app = make_app(root, frozenset({HOST}), entry)
    return TestClient(app, base_url=f"http://{HOST}", client=("192.0.2.50", 50000), cookies=cookies)


def test_ticks_flow_over_a_restart_without_a_new_login(root: Path) -> None:
    first = phone(root, kept_entry(root))
    assert first.post("/api/login", json={"phrase": kept_entry(root).phrase}).status_code == 200
    held = dict(first.cookies)
    after = phone(root, kept_entry(root), held)
    assert after.post("/api/job/six/records", json={"records": [record(1)]}).json()["accepted"]
    assert len(all_records(root / "six")) == 1
    thrown_out = phone(root, kept_entry(root, fresh=True), held)
    assert thrown_out.post("/api/job/six/records", json={"records": [record(2)]}).status_code == 401
    assert len(all_records(root / "six")) == 1


@pytest.mark.skipif(os.name == "nt", reason="modes of files are POSIX")
def test_it_is_the_users_alone_and_not_beside_the_jobs(root: Path, state: Path) -> None:
    before = sorted(root.rglob("*"))
    one = kept_entry(root)
    assert one.kept
    assert sorted(root.rglob("*")) == before
    (file,) = state.iterdir()
    assert file.stat().st_mode & 0o777 == 0o600
    assert state.stat().st_mode & 0o777 == 0o700
    assert kept_entry(root) == one
    assert kept_entry(root / "six").phrase != one.phrase, "another folder, another phrase"
    file.chmod(0o644)
    another = kept_entry(root)
    assert another.ticket != one.ticket, "others could have read it"
    assert file.stat().st_mode & 0o777 == 0o600


def test_it_grows_old_and_what_is_damaged_is_made_anew(
    root: Path, state: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = kept_entry(root)
    day = datetime.date.today()
    monkeypatch.setattr(entry_kept, "_today", lambda: day + datetime.timedelta(days=30))
    assert kept_entry(root) == one
    monkeypatch.setattr(entry_kept, "_today", lambda: day + datetime.timedelta(days=61))
    two = kept_entry(root)
    assert two.ticket != one.ticket
    (file,) = state.iterdir()
    for text in ("", "[]", '{"phrase": "", "ticket": "", "used": "2026-01-01"}'):
        file.write_text(text)
        three = kept_entry(root)
        assert three.kept
        assert three.ticket not in (one.ticket, two.ticket, "")
        assert len(three.phrase.split()) == 4


def test_where_nothing_can_be_kept_it_holds_until_the_program_stops(root: Path, state: Path) -> None:
    state.parent.mkdir()
    state.write_text("a file in the way")
    one = kept_entry(root)
    assert not one.kept
    assert one.phrase != kept_entry(root).phrase


def test_an_empty_ticket_opens_nothing(root: Path) -> None:
    one = phone(root, Entry("", ""), {"bench": ""})
    assert one.get("/api/job/six/records").status_code == 401
