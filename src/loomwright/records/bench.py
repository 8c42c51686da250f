"""A record of the bench: who did or measured what, when, at what; made on the device that was in the hand."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any, Final

from loomwright.errors import LoomwrightError

DONE: Final = "done"
TAKEN_BACK: Final = "taken back"
YES: Final = "yes"
NO: Final = "no"
TICKS: Final = MappingProxyType(
    {
        "cut": "wire cut",
        "marked": "wire marked at both ends",
        "laid": "wire laid on the board",
        "spliced": "splice crimped and covered",
        "crimped": "contact crimped",
        "inserted": "contact inserted, tugged, locked",
        "step": "step of the build order",
    }
)
READINGS: Final = MappingProxyType(
    {
        "pull": "lowest of the sample pulls, N",
        "size": "bundle measured, mm",
        "trim": "trimmed off, mm",
        "length": "length as built, mm",
        "test": "test reading",
    }
)
OTHERS: Final = MappingProxyType({"time": "time spent, min", "note": "note or photo"})
WHAT: Final = MappingProxyType({**TICKS, **READINGS, **OTHERS})
ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{7,63}")
DIGEST: Final = re.compile(r"[0-9a-f]{64}")
LETTERS: Final = MappingProxyType(
    {"who": 40, "of": 240, "value": 120, "note": 2000, "limits": 120, "replaces": 520}
)
OTHER_LETTERS: Final = 80
MOST_REPLACED: Final = 8  # devices that told of one thing without knowing of each other, ours
NAMES: Final = ("id", "who", "when", "what", "of", "value", "note", "photo", "replaces", "limits")


class RefusedRecord(LoomwrightError):
    """A record can't be taken as it is; nothing of it was stored."""


@dataclass(frozen=True, slots=True)
class Record:
    """One thing done, measured or noted. It is never changed; a later one may take its place.

    Attributes:
        id: made on the device, 8 to 64 letters, digits and "-"; sent again it is the same record
        who: initials
        when: by the clock of the device, ISO 8601 with its offset from UTC
        what: one of `WHAT`
        of: what it was done to: "W12", "W12 at INJ1:1", "SP3", "engine/slide B1-B2", a test
        value: "done" or "taken back" of a tick; else as it was typed or sent by the meter
        note: free words
        photo: SHA-256 of a picture in photos/, "" = none
        replaces: ids of the records it takes the place of, with a space between, "" = none
        limits: what a reading was judged against, as `bench_reading.limits_text` says it; "" = by eye
        number: given when it was stored, counted from 1; 0 = not stored yet
    """

    id: str
    who: str
    when: str
    what: str
    of: str
    value: str
    note: str = ""
    photo: str = ""
    replaces: str = ""
    limits: str = ""
    number: int = 0

    @property
    def is_tick(self) -> bool:
        """Whether it is a tick: of these the last one counts alone."""
        return self.what in TICKS

    @property
    def done(self) -> bool:
        """Whether it says that something is done."""
        return self.is_tick and self.value == DONE


def record_of(raw: Mapping[str, Any]) -> Record:
    """Return a record as a device sent it.

    Args:
        raw: its fields by the names of `NAMES`; those with a default may be missing
    Raises:
        RefusedRecord: a field is missing, unknown, too long or not what it should be; says which.
    """
    for name in raw:
        if name not in NAMES:
            raise RefusedRecord(f"A record has no {name[:40]!r}.")
    texts = {name: _text(name, raw.get(name, "")) for name in NAMES}
    if not ID.fullmatch(texts["id"]):
        raise RefusedRecord("A record's id is 8 to 64 letters, digits and dashes.")
    if texts["what"] not in WHAT:
        raise RefusedRecord(f"{texts['what'][:40]!r} is not recorded. There are: {', '.join(WHAT)}.")
    if texts["what"] in TICKS and texts["value"] not in (DONE, TAKEN_BACK):
        raise RefusedRecord(f'A tick says "{DONE}" or "{TAKEN_BACK}".')
    if texts["what"] in (*READINGS, "time") and not texts["value"]:
        raise RefusedRecord("A reading has no value.")
    for name in ("who", "of"):
        if not texts[name]:
            raise RefusedRecord(f"A record needs {name}.")
    if texts["photo"] and not DIGEST.fullmatch(texts["photo"]):
        raise RefusedRecord("A photo is named by its SHA-256.")
    replaced = texts["replaces"].split(" ") if texts["replaces"] else []
    if len(replaced) > MOST_REPLACED or not all(ID.fullmatch(one) for one in replaced):
        raise RefusedRecord(f"A record replaces others by their ids, at most {MOST_REPLACED}.")
    _check_when(texts["when"])
    return Record(**texts, number=0)


def plain(record: Record) -> dict[str, str | int]:
    """Return a record's fields by name, its number first."""
    return {"number": record.number, **{name: getattr(record, name) for name in NAMES}}


def _text(name: str, value: object) -> str:
    if not isinstance(value, str):
        raise RefusedRecord(f"{name} is no text.")
    text = value.strip()
    most = LETTERS.get(name, OTHER_LETTERS)
    if len(text) > most:
        raise RefusedRecord(f"{name} is longer than {most} letters.")
    odd = [
        c for c in text if (ord(c) < 32 and not (name == "note" and c in "\n\t")) or 0xD800 <= ord(c) < 0xE000
    ]
    if odd or "\x7f" in text:
        raise RefusedRecord(f"{name} has signs in it that are no letters.")
    return text


def _check_when(text: str) -> None:
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        raise RefusedRecord("when is a time like 2026-05-04T17:20:31+02:00.") from None
    if when.tzinfo is None:
        raise RefusedRecord("when needs its offset from UTC, like +02:00 or Z.")
