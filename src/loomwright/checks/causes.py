"""One cause, one finding: what only follows from another finding is told in that finding's words."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from loomwright.checks.catalogue import CATALOGUE
from loomwright.checks.looking import named
from loomwright.findings import ORDER, Finding, Severity
from loomwright.jobfile.toml_write import path_words

WANTS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "ACCEPT-03": ("reason", "by"),
        "CONTACT-05": ("face", "contact"),
        "DEVICE-01": ("settled",),
        "DEVICE-05": ("is", "family"),
        "FACE-01": ("face_checked",),
        "PIN-06": ("empty_plugged",),
        "PIN-07": ("face",),
        "TAP-03": ("key_off_v", "key_on_v", "cranking_v"),
        "THROTTLE-01": ("linkage", "clear_mm"),
        "TIE-01": ("ties",),
        "WIRE-02": ("reason",),
    }
)
"""Keys a finding misses in the table it points to; where one of them can't be used, that is the cause."""
_SECTIONS: Final = ("section", "build")  # tables named by their two points
MISSING: Final = "FILE-05"  # points to a table that is there
UNMEASURED: Final = "ROPE-03"
UNWIRED: Final = "JOIN-02"  # the words of the one above tell of it, too


def one_finding_for_a_cause(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings without those that only follow from another one, whose words then name them.

    Kept findings neither hide another nor are hidden: once a cause is accepted, what follows from it shows.

    Args:
        findings: all of a job, accepted ones marked
    """
    rows = sorted(findings, key=_order)
    open_rows = [at for at, one in enumerate(rows) if not one.accepted]
    by_name: dict[str, list[int]] = {}
    for at in open_rows:
        for name in _left_out(rows[at]):
            by_name.setdefault(name, []).append(at)
    cause: dict[int, int] = {}
    for at in open_rows:
        for name in _missed(rows[at]):
            first = next((by for by in by_name.get(name, ()) if _may(rows, cause, by, at)), None)
            if first is not None:
                cause[at] = first
                break
    follows: dict[int, list[Finding]] = {}
    unmeasured = {name for one in rows if one.code == UNMEASURED for name in one.misses}
    for at in sorted(cause):
        if rows[at].code != UNWIRED or not unmeasured & set(rows[at].misses):
            follows.setdefault(_root(cause, at), []).append(rows[at])
    return tuple(_telling(one, follows.get(at, [])) for at, one in enumerate(rows) if at not in cause)


def _order(one: Finding) -> tuple[int, str, str, str]:
    return ORDER.index(one.severity), one.code, one.place.words, one.what_is


def _left_out(one: Finding) -> tuple[str, ...]:
    """Names of what a finding says is not used: those it tells, of a faulty value its own place, too."""
    path = one.place.path
    lost = one.code.startswith("FILE-") and one.code != MISSING and one.severity is Severity.FAULT
    if not path or not lost:
        return one.leaves_out
    points = str(path[1]).rpartition("/")[2].split("-") if path[0] in _SECTIONS and len(path) > 1 else ()
    above = [path_words(path[:end]) for end in range(3, len(path))]
    cavity = [f"a cavity of {path[1]}"] if path[0] == "device" and "cavity" in path else []
    return (*one.leaves_out, path_words(path), *above, *points, *cavity)


def _missed(one: Finding) -> tuple[str, ...]:
    """Names of what a finding misses."""
    return (*one.misses, *(path_words((*one.place.path, key)) for key in WANTS.get(one.code, ())))


def _root(cause: Mapping[int, int], at: int) -> int:
    while at in cause:
        at = cause[at]
    return at


def _may(rows: list[Finding], cause: Mapping[int, int], by: int, at: int) -> bool:
    """Return whether one finding can stand for another: no milder one, unless its code may come as hard."""
    if _root(cause, by) == at:
        return False
    known = CATALOGUE.get(rows[by].code)
    milder = ORDER.index(rows[by].severity) > ORDER.index(rows[at].severity)
    return not milder or (known is not None and rows[at].severity in known.also)


def _telling(one: Finding, follows: list[Finding]) -> Finding:
    """Return a finding that also says what follows from it, and is as hard as the hardest of that."""
    if not follows:
        return one
    by_code: dict[str, list[Finding]] = {}
    for other in follows:
        by_code.setdefault(other.code, []).append(other)
    told = " ".join(_told(code, others) for code, others in sorted(by_code.items()))
    hardest = min((one, *follows), key=lambda other: ORDER.index(other.severity)).severity
    sheets = {sheet for other in follows if other.severity is Severity.FAULT for sheet in other.sheets}
    return replace(
        one,
        severity=hardest,
        what_is=f"{one.what_is} With it comes: {told}",
        sheets=(*one.sheets, *sorted(sheets - set(one.sheets))),
        group=f"{one.group} {one.place.words} {told}",
    )


def _told(code: str, others: list[Finding]) -> str:
    first = others[0]
    more = f"; likewise at {named(other.place.words for other in others[1:])}" if others[1:] else ""
    return f"{first.what_is.rstrip('.')}{more} ({code})."
