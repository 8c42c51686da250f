"""What edits would change: findings that go and come, wires that get longer or shorter, the totals."""

from typing import Final

from loomwright.job import WorkedJob
from loomwright.web.desk import State
from loomwright.web.slice_entry import job_slice
from loomwright.web.slice_findings import finding_view

MOST_ROWS: Final = 40
Plain = dict[str, object]


def preview(now: State, then: WorkedJob) -> Plain:
    """Return what would change from a state to a job as it would be.

    Args:
        now: the state as it is
        then: the job after the edits
    """
    before, after = ({one.key: one for one in done.findings if not one.accepted} for done in (now.done, then))
    return {
        "digest": now.digest,
        "go": [finding_view(before[key]) for key in before if key not in after],
        "come": [finding_view(after[key]) for key in after if key not in before],
        "counts": {"now": job_slice(now.done)["counts"], "then": job_slice(then)["counts"]},
        "wires": _wires(now.done, then)[:MOST_ROWS],
        "more_wires": max(0, len(_wires(now.done, then)) - MOST_ROWS),
    }


def _wires(now: WorkedJob, then: WorkedJob) -> list[Plain]:
    """Wires that come, go, or change length, size or colour, by identity."""
    was, will = _told(now), _told(then)
    return [
        {"wire": key, "now": was.get(key), "then": will.get(key)}
        for key in sorted({*was, *will})
        if was.get(key) != will.get(key)
    ]


def _told(done: WorkedJob) -> dict[str, Plain]:
    sized = done.worked.sized
    return {
        one.identity: {
            "cut_mm": sized.length[one.identity].cut_mm if one.identity in sized.length else None,
            "size": sized.conductor[one.identity].size.label if one.identity in sized.conductor else "",
        }
        for one in done.worked.routed.wires
    }
