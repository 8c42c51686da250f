"""The records as text: one line of JSON each, for people and programs of any later day."""

import json
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Final

from loomwright.errors import Unreadable
from loomwright.records.bench import Record, RefusedRecord, plain, record_of

TEXT_FILE: Final = "bench-records.jsonl"


def records_text(records: Iterable[Record]) -> str:
    """Return records as lines of JSON, by number; same records, same text."""
    ordered = sorted(records, key=lambda one: one.number)
    return "".join(json.dumps(plain(one), ensure_ascii=False) + "\n" for one in ordered)


def records_of_text(text: str, file: Path = Path(TEXT_FILE)) -> tuple[Record, ...]:
    """Return the records of such a text, numbers included.

    Raises:
        Unreadable: a line is no record; names the line.
    """
    found = []
    for number, line in enumerate(text.split("\n"), 1):
        if line.strip():
            found.append(_record(line, file, number))
    return tuple(found)


def _record(line: str, file: Path, at: int) -> Record:
    try:
        raw = json.loads(line)
        number = raw.pop("number")
        if type(number) is not int:
            raise ValueError(number)
        one = record_of(raw)
    except RefusedRecord as fault:
        raise Unreadable(file, at, str(fault), "", "Take an untouched export.") from None
    except (ValueError, KeyError, TypeError, AttributeError):
        raise Unreadable(file, at, "It is no record.", "", "Take an untouched export.") from None
    return replace(one, number=number)
