"""Findings on the terminal and as JSON."""

import json
from collections.abc import Iterator
from typing import Any

from loomwright.findings import Finding, FindingGroup, Severity, grouped
from loomwright.job import WorkedJob

SHOWN_PLACES = 6


def print_findings(done: WorkedJob) -> None:
    """Print the findings, grouped, faults first, and one line that sums up."""
    for group in grouped(done.findings):
        print("\n".join(_group_lines(done, group)))
        print()
    print(summary(done))


def summary(done: WorkedJob) -> str:
    """Return one line: job, size of the loom, how many findings of each severity."""
    routed = done.worked.routed
    groups = [g for g in grouped(done.findings) if not g.findings[0].accepted]
    counts = ", ".join(_counted(sum(g.severity is s for g in groups), s) for s in Severity)
    sections = sum(len(t.sections) for t in routed.trees)
    parts = (
        (len(done.worked.job.devices), "device"),
        (len(routed.wires), "wire"),
        (sections, "section"),
        (len(routed.splices), "splice"),
    )
    told = ", ".join(_counted(number, word) for number, word in parts)
    return f"{done.worked.job.title or 'A job without title'}: {told}. {counts}. Digest {done.digest}."


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _group_lines(done: WorkedJob, group: FindingGroup) -> Iterator[str]:
    first = group.findings[0]
    kept = f"  (kept: {first.accepted})" if first.accepted else ""
    yield f"{group.severity.upper():8}{group.code}  {_at(done, first)}{kept}"
    yield f"        {first.what_is} {first.should}"
    yield f"        {first.remedy}"
    if first.key != f"{first.code} {first.place.words}" and not first.accepted:
        yield f'        To keep it, accept "{first.key}".'
    more = group.findings[1:]
    if more:
        named = ", ".join(f.place.words for f in more[:SHOWN_PLACES])
        rest = f" and {len(more) - SHOWN_PLACES} more" if len(more) > SHOWN_PLACES else ""
        yield f"        Also at: {named}{rest}."


def _at(done: WorkedJob, finding: Finding) -> str:
    line = done.read.line_of(finding) if finding.place.path else 0
    where = f"  job.toml:{line}" if line else ""
    return f"{finding.place.words}{where}"


def findings_json(done: WorkedJob) -> str:
    """Return job, counts and every finding as one JSON object."""
    found: dict[str, Any] = {
        "job": done.worked.job.title,
        "digest": done.digest,
        "devices": len(done.worked.job.devices),
        "wires": len(done.worked.routed.wires),
        "splices": len(done.worked.routed.splices),
        "faults": len(done.faults),
        "findings": [_finding(done, f) for f in done.findings],
    }
    return json.dumps(found, indent=1, ensure_ascii=False)


def _finding(done: WorkedJob, finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "place": finding.place.words,
        "line": done.read.line_of(finding) if finding.place.path else None,
        "what_is": finding.what_is,
        "should": finding.should,
        "remedy": finding.remedy,
        "sheets": list(finding.sheets),
        "accepted": finding.accepted,
        "accept_as": finding.key,
    }
