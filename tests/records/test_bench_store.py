"""Records are only ever added to, and what was accepted is on the disk whatever happens."""

import os
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from tests.records.bench_made import WHEN, made

from loomwright.errors import Unreadable
from loomwright.records.bench import RefusedRecord, record_of
from loomwright.records.bench_store import BENCH_FILE, _open, add_records, all_records, records_after
from loomwright.records.bench_text import records_of_text, records_text
from loomwright.records.issue import Issue, issuing
from loomwright.records.issued_done import read_done

WRITER = """
import sys
from pathlib import Path
from loomwright.records.bench_store import add_records
from tests.records.bench_made import made
for n in range(300):
    add_records(Path(sys.argv[1]), [made(n, of=f"W{n}")])
    print(n, flush=True)
"""


def test_nothing_recorded_is_nothing(tmp_path: Path) -> None:
    assert all_records(tmp_path) == ()
    assert not (tmp_path / BENCH_FILE).exists()


def test_numbers_are_given_in_order_and_a_record_sent_again_is_stored_once(tmp_path: Path) -> None:
    first = add_records(tmp_path, [made(1), made(2, of="W2")])
    again = add_records(tmp_path, [made(2, of="W2"), made(3, of="W3")])
    assert [r.number for r in first.stored] == [1, 2]
    assert [r.number for r in again.stored] == [2, 3]
    assert [r.of for r in all_records(tmp_path)] == ["W1", "W2", "W3"]
    assert [r.of for r in records_after(tmp_path, 1, 1)] == ["W2"]


def test_an_id_with_another_content_is_told_and_the_first_stands(tmp_path: Path) -> None:
    add_records(tmp_path, [made(1, "test", "x", "0.1")])
    taken = add_records(tmp_path, [made(1, "test", "x", "0.2"), made(2)])
    assert taken.differing == ("device-000001",)
    assert [r.id for r in taken.stored] == ["device-000002"]
    assert all_records(tmp_path)[0].value == "0.1"


def test_nobody_can_change_or_delete_a_record(tmp_path: Path) -> None:
    add_records(tmp_path, [made(1)])
    db = sqlite3.connect(tmp_path / BENCH_FILE)
    for words in ("UPDATE records SET value = 'taken back'", "DELETE FROM records"):
        with pytest.raises(sqlite3.IntegrityError, match="never"):
            db.execute(words)


def test_commits_reach_the_disk(tmp_path: Path) -> None:
    add_records(tmp_path, [made(1)])
    with _open(tmp_path, make=False) as db:
        assert db.execute("PRAGMA synchronous").fetchone()[0] == 3  # EXTRA: FULL, and the directory
        assert db.execute("PRAGMA journal_mode").fetchone()[0] == "delete"


def test_killed_in_the_middle_of_300_ticks_no_accepted_one_is_lost(tmp_path: Path) -> None:
    for stop in (7, 60, 140):
        folder = tmp_path / str(stop)
        folder.mkdir()
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, str(folder)], stdout=subprocess.PIPE, text=True
        ) as writer:
            assert writer.stdout is not None
            told = []
            for line in writer.stdout:
                told.append(int(line))
                if len(told) == stop:
                    os.kill(writer.pid, signal.SIGKILL)
                    break
            told += [int(line) for line in writer.stdout if line.endswith("\n")]
        assert writer.returncode == -signal.SIGKILL
        assert len(told) < 300
        there = {r.of for r in all_records(folder)}
        assert {f"W{n}" for n in told} <= there
        assert len(there) <= len(told) + 1  # the one under way
        found = sqlite3.connect(folder / BENCH_FILE).execute("PRAGMA integrity_check").fetchone()[0]
        assert found == "ok"
        add_records(folder, [made(1)])  # and it goes on


def test_two_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    def write(start: int) -> None:
        for n in range(start, start + 25):
            add_records(tmp_path, [made(n, of=f"W{n}")])

    both = [threading.Thread(target=write, args=(start,)) for start in (0, 100)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    found = all_records(tmp_path)
    assert len({r.of for r in found}) == 50
    assert [r.number for r in found] == list(range(1, 51))


def test_a_damaged_file_and_a_foreign_one_are_told(tmp_path: Path) -> None:
    file = tmp_path / BENCH_FILE
    file.write_bytes(b"no database at all, just words that are long enough to be read as a page" * 20)
    with pytest.raises(Unreadable, match=BENCH_FILE):
        all_records(tmp_path)
    file.unlink()
    db = sqlite3.connect(file)
    db.execute("CREATE TABLE other (a)")
    db.execute("PRAGMA user_version = 0")
    db.commit()
    with pytest.raises(Unreadable, match="no records of a bench"):
        add_records(tmp_path, [made(1)])
    db.execute("PRAGMA user_version = 9")
    with pytest.raises(Unreadable, match="format 9"):
        all_records(tmp_path)


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        ({"id": "short"}, "id"),
        ({"id": "../../etc/passwd"}, "id"),
        ({"what": "painted"}, "not recorded"),
        ({"value": "maybe"}, "A tick says"),
        ({"who": " "}, "needs who"),
        ({"of": ""}, "needs of"),
        ({"when": "yesterday"}, "when is a time"),
        ({"when": "2026-05-04T17:20:31"}, "offset"),
        ({"photo": "../a.jpg"}, "SHA-256"),
        ({"note": "x" * 2001}, "longer than 2000"),
        ({"of": "W1\x00"}, "no letters"),
        ({"note": "\ud800"}, "no letters"),
        ({"value": 3}, "no text"),
        ({"number": 3}, "has no 'number'"),
    ],
)
def test_what_is_no_record_is_refused_with_a_reason(spoil: dict, words: str) -> None:
    raw = {"id": "device-1", "who": "AB", "when": WHEN, "what": "cut", "of": "W1", "value": "done"}
    assert record_of(raw).of == "W1"
    with pytest.raises(RefusedRecord, match=words):
        record_of({**raw, **spoil})


def test_the_text_holds_every_record_and_comes_back_the_same(tmp_path: Path) -> None:
    odd = 'line one\nline two\t=2+2 "quoted" <b>å</b> \u2028 end'
    add_records(tmp_path, [made(1), made(2, "test", "x", "OL", note=odd, limits="at most 1 ohm")])
    found = all_records(tmp_path)
    text = records_text(reversed(found))
    assert text == records_text(found)
    assert text.count("\n") == 2
    assert records_of_text(text) == found
    with pytest.raises(Unreadable, match=":2"):
        records_of_text(text.replace('"test"', '"tset"'))


def test_every_issue_holds_the_records_of_its_day(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text("format = 1\n", "utf-8")
    add_records(tmp_path, [made(1)])
    with issuing(tmp_path, Issue(0, "A", "2026-05-04", "0123456789", "0.1.0")):
        pass
    add_records(tmp_path, [made(2, of="W2")])
    with issuing(tmp_path, Issue(0, "B", "2026-05-05", "0123456789", "0.1.0")):
        pass
    a, b = (tmp_path / "issued" / rev / "job" / "bench-records.jsonl" for rev in "AB")
    assert [r.of for r in records_of_text(a.read_text("utf-8"))] == ["W1"]
    assert [r.of for r in records_of_text(b.read_text("utf-8"))] == ["W1", "W2"]


def test_what_is_done_comes_from_records_and_from_done_toml(tmp_path: Path) -> None:
    (tmp_path / "done.toml").write_text('cut = ["W9"]\n', "utf-8")
    ticks = [
        made(1, "cut", "W1"),
        made(2, "cut", "W2"),
        made(3, "cut", "W2", "taken back", replaces="device-000002"),
        made(4, "step", "engine/slide B1-B2"),
        made(5, "step", "engine/close B2"),
        made(6, "step", "engine/splice SP3"),
        made(7, "spliced", "SP4"),
        made(8, "step", "engine/compare"),
    ]
    add_records(tmp_path, ticks)
    done = read_done(tmp_path)
    assert done.cut == {"W1", "W9"}
    assert done.spliced == {"SP3", "SP4"}
    assert done.sheathed == {"engine/B1-B2"}
    assert done.closed == {"engine/B2"}
