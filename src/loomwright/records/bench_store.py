"""`bench.sqlite`: the records of a job, only ever added to, on the disk before anybody is told so."""

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from loomwright.errors import Unreadable
from loomwright.records.bench import NAMES, Record

BENCH_FILE: Final = "bench.sqlite"
FORMAT: Final = 1
WAIT_S: Final = 20.0  # how long one writer waits for another, ours
MOST: Final = 2000  # records given at once, ours
TABLE: Final = f"""
CREATE TABLE records (
  number INTEGER PRIMARY KEY,
  {", ".join(f'"{name}" TEXT NOT NULL' for name in NAMES)},
  UNIQUE (id)
)
"""
NEVER_CHANGED: Final = """
CREATE TRIGGER never_changed BEFORE UPDATE ON records
BEGIN SELECT RAISE(ABORT, 'a record is never changed'); END
"""
NEVER_DELETED: Final = """
CREATE TRIGGER never_deleted BEFORE DELETE ON records
BEGIN SELECT RAISE(ABORT, 'a record is never deleted'); END
"""
COLUMNS: Final = ", ".join(f'"{name}"' for name in NAMES)
INSERT: Final = (
    f"INSERT INTO records ({COLUMNS}) VALUES ({', '.join('?' * len(NAMES))}) ON CONFLICT (id) DO NOTHING"
)
SELECT: Final = f"SELECT number, {COLUMNS} FROM records"


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of records that were sent.

    Attributes:
        stored: on the disk, with their numbers; also those that were there already
        differing: ids that are taken by a record with another content; the first one stands
    """

    stored: tuple[Record, ...]
    differing: tuple[str, ...]


def add_records(folder: Path, records: Iterable[Record]) -> Taken:
    """Store records, all or none; what is returned lies on the disk.

    A record sent again is recognised by its id and stored once.

    Args:
        folder: the job folder
        records: in the order they were made
    Raises:
        Unreadable: bench.sqlite is damaged, of a newer program, locked too long, or the disk is full.
    """
    given = tuple(records)
    with _open(folder, make=True) as db:
        db.execute("BEGIN IMMEDIATE")
        try:
            for one in given:
                db.execute(INSERT, [getattr(one, name) for name in NAMES])
            there = {one.id: one for one in _with_ids(db, [one.id for one in given])}
            db.execute("COMMIT")
        except BaseException:
            if db.in_transaction:
                db.execute("ROLLBACK")
            raise
    same = [one for one in given if replace(there[one.id], number=0) == replace(one, number=0)]
    stored = {one.id: there[one.id] for one in same}
    return Taken(tuple(stored.values()), tuple(dict.fromkeys(o.id for o in given if o.id not in stored)))


def records_after(folder: Path, number: int = 0, most: int = MOST) -> tuple[Record, ...]:
    """Return the records stored after one, by number; none where nothing was ever recorded.

    Args:
        folder: the job folder
        number: last number known, 0 = from the beginning
        most: how many at once
    Raises:
        Unreadable: bench.sqlite is damaged or newer than this program.
    """
    if not (folder / BENCH_FILE).is_file():
        return ()
    with _open(folder, make=False) as db:
        if _format(db) == 0:
            return ()
        rows = db.execute(f"{SELECT} WHERE number > ? ORDER BY number LIMIT ?", (number, most))
        return tuple(map(_record, rows))


def all_records(folder: Path) -> tuple[Record, ...]:
    """Return every record of a job, by number.

    Raises:
        Unreadable: bench.sqlite is damaged or newer than this program.
    """
    return records_after(folder, 0, -1)


def _with_ids(db: sqlite3.Connection, ids: list[str]) -> Iterator[Record]:
    for one in ids:
        yield from map(_record, db.execute(f"{SELECT} WHERE id = ?", (one,)))


def _record(row: tuple[object, ...]) -> Record:
    number, *texts = row
    values = {name: str(text) for name, text in zip(NAMES, texts, strict=True)}
    return Record(**values, number=int(str(number)))


@contextmanager
def _open(folder: Path, make: bool) -> Iterator[sqlite3.Connection]:
    """A connection whose commits are on the disk when they return, directory entry included."""
    file = folder / BENCH_FILE
    try:
        with closing(sqlite3.connect(file, timeout=WAIT_S, isolation_level=None)) as db:
            db.execute("PRAGMA journal_mode = DELETE")
            db.execute("PRAGMA synchronous = EXTRA")  # as FULL, and the directory once the journal is gone
            _check_format(db, file)
            if make:
                _make_table(db)
            yield db
    except sqlite3.OperationalError as fault:
        what, remedy = f"It can't be used: {fault}.", "Check disk and permissions, then try again."
        raise Unreadable(file, None, what, "", remedy) from fault
    except sqlite3.DatabaseError as fault:
        remedy = "Keep it, and write the last export of an issued revision beside it."
        raise Unreadable(file, None, f"It is damaged: {fault}.", "", remedy) from fault


def _check_format(db: sqlite3.Connection, file: Path) -> None:
    found = _format(db)
    if found > FORMAT:
        what = f"It has format {found}; this program knows {FORMAT}."
        raise Unreadable(file, None, what, "", "Use a newer program.")
    if found == 0 and db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
        raise Unreadable(file, None, "It holds no records of a bench.", "", "Take it out of the folder.")


def _make_table(db: sqlite3.Connection) -> None:
    if _format(db) == FORMAT:
        return
    db.execute("BEGIN IMMEDIATE")
    if _format(db) == 0:
        for part in (TABLE, NEVER_CHANGED, NEVER_DELETED):
            db.execute(part)
        db.execute(f"PRAGMA user_version = {FORMAT}")
    db.execute("COMMIT")


def _format(db: sqlite3.Connection) -> int:
    return int(db.execute("PRAGMA user_version").fetchone()[0])
