"""Findings the builder keeps: with reason and initials, but for those that nobody may keep."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from loomwright.checks.entry import FAULT, NOTE, Entry
from loomwright.findings import Finding
from loomwright.model.job import Acceptance, Job
from loomwright.sources import OURS

ACCEPT_01: Final = Entry(
    "ACCEPT-01",
    "Accept that names no finding",
    NOTE,
    "What it kept is mended or has another name; what stands there keeps nothing.",
    OURS,
)
ACCEPT_02: Final = Entry(
    "ACCEPT-02",
    "Finding that can't be accepted",
    FAULT,
    "Some faults hurt people or destroy the loom whatever the reason; no accept turns them off.",
    OURS,
    accept=False,
)
ACCEPT_03: Final = Entry(
    "ACCEPT-03",
    "Accept without reason or initials",
    NOTE,
    "An accept is printed on the cover; whoever reads it wants to know why, and whom to ask.",
    OURS,
)
ENTRIES: Final = (ACCEPT_01, ACCEPT_02, ACCEPT_03)


def apply(job: Job, findings: Iterable[Finding], never: frozenset[str]) -> tuple[Finding, ...]:
    """Return the findings with the accepted ones marked, and what is to be told about the accepts.

    Args:
        findings: of all rungs
        never: codes that can't be accepted
    """
    rows = tuple(findings)
    wanted = {one.finding.strip(): one for one in job.acceptances}
    by_key = {f.key for f in rows}
    told = [_kept(f, wanted.get(f.key), never) for f in rows]
    told += [_names_nothing(one) for key, one in wanted.items() if key not in by_key]
    refused = {f.key: f for f in rows if f.key in wanted and f.code in never}
    told += [_refused(wanted[key], f) for key, f in refused.items()]
    told += [_half(one) for key, one in wanted.items() if key in by_key and not (one.reason and one.by)]
    return tuple(told)


def _kept(one: Finding, accept: Acceptance | None, never: frozenset[str]) -> Finding:
    if accept is None or one.code in never:
        return one
    return replace(one, accepted=f"{accept.reason or 'no reason given'} ({accept.by or 'nobody'})")


def _names_nothing(one: Acceptance) -> Finding:
    return ACCEPT_01.at(
        f"accept {one.finding}",
        one.path,
        f'There is no finding "{one.finding}".',
        "An accept names code and subject as the finding prints them.",
        "Take it out, or correct the name.",
        subject=one.finding,
    )


def _refused(one: Acceptance, fault: Finding) -> Finding:
    return ACCEPT_02.at(
        f"accept {one.finding}",
        one.path,
        f'"{one.finding}" was to be kept ({one.reason or "no reason given"}), and it stays a fault.',
        "Cavity clash, missing return, throttle, fuse and overload faults and airbag taps can't be accepted.",
        f"Mend it: {fault.remedy[:1].lower()}{fault.remedy[1:]}",
        subject=one.finding,
    )


def _half(one: Acceptance) -> Finding:
    missing = [words for words, text in (("a reason", one.reason), ("initials", one.by)) if not text]
    return ACCEPT_03.at(
        f"accept {one.finding}",
        one.path,
        f'"{one.finding}" is kept without {" or ".join(missing)}.',
        "An accept has a reason and initials.",
        "Write them beside it: reason = ... says why, by = ... who.",
        subject=one.finding,
    )
