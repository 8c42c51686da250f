"""Findings: what is wrong with a job, told like a colleague at the bench."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from loomwright.edits import Edit, Path


class Severity(StrEnum):
    """How much a finding stands in the way."""

    FAULT = "fault"  # the loom would not work, would not fit or would be unsafe
    CAUTION = "caution"  # build it only knowingly
    NOTE = "note"  # good to know


ORDER: Final = (Severity.FAULT, Severity.CAUTION, Severity.NOTE)

SHEETS: Final = (
    "register",
    "circuits",
    "conductors",
    "map",
    "route",
    "branch points",
    "pinouts",
    "cut list",
    "splices",
    "sleeves",
    "parts",
    "board",
    "build order",
    "labels",
    "test",
)
"""Keys of the pack's sheets, as `Finding.sheets` names them."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a finding points: words for people, key path in the job file for the line."""

    words: str
    path: Path = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. Equal ones (same code, same `group`) are shown as one line with n places.

    Attributes:
        code: stable code, e.g. "PIN-02"; never changes its meaning; page in docs/findings/
        severity: fault, caution or note
        place: where it is
        what_is: what is, a sentence
        should: what should be, a sentence
        remedy: what to do, a sentence
        sheets: keys of the pack's sheets that it touches; a fault stamps only these NOT FOR BUILD
        group: findings of one code with equal group are shown together
        mends: edits that would mend it, where they can be computed
        accepted: "reason (initials)" when the builder keeps it, else ""
        subject: stable id an `accept` names, e.g. "INJ1.2"; empty means the place's words
        leaves_out: names and key paths not used because of it; what misses one of them follows from it
        misses: names whose absence raised it
    """

    code: str
    severity: Severity
    place: Place
    what_is: str
    should: str
    remedy: str
    sheets: tuple[str, ...] = ()
    group: str = ""
    mends: tuple[Edit, ...] = field(default=())
    accepted: str = ""
    subject: str = ""
    leaves_out: tuple[str, ...] = ()
    misses: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """The id an `accept` names: code and subject."""
        return f"{self.code} {self.subject or self.place.words}"


@dataclass(frozen=True, slots=True)
class FindingGroup:
    """Equal findings, shown as one."""

    code: str
    severity: Severity
    findings: tuple[Finding, ...]


def grouped(findings: Iterable[Finding]) -> tuple[FindingGroup, ...]:
    """Return findings grouped by code, group and acceptance; faults first, then by code and place."""
    found: dict[tuple[int, str, str, str], list[Finding]] = {}
    for one in findings:
        found.setdefault((ORDER.index(one.severity), one.code, one.group, one.accepted), []).append(one)
    return tuple(
        FindingGroup(code, ORDER[rank], tuple(sorted(items, key=lambda f: f.place.words)))
        for (rank, code, _, _), items in sorted(found.items())
    )
