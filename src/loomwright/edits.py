"""The one edit language: what screens, mends, planner, captures and the command line all speak.

An edit names a verb, the key path it works on and a value. Carrying edits out on a text, their
inverse, the log and saving live in `jobfile`; this file holds only the words.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Union

Scalar = str | int | float | bool
Value = Union[Scalar, "list[Value]", "dict[str, Value]"]
Path = tuple[str | int, ...]


class Verb(StrEnum):
    """What an edit does at its path."""

    SET = "set"  # give the key a value; the key, and the tables above it, are made where missing
    REMOVE = "remove"  # take the key, or the table with all below it, away
    RENAME = "rename"  # give the last key of the path another name (value = new name)


@dataclass(frozen=True, slots=True)
class Edit:
    """One change of a job file: verb, key path, value, and why."""

    verb: Verb
    path: Path
    value: Value | None = None
    reason: str = ""
