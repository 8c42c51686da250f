"""Slices of the pack's papers and of the issued revisions, made only for the screen that shows them."""

from loomwright.checks.run import stamped_sheets
from loomwright.job import WorkedJob
from loomwright.pack.papers import papers
from loomwright.records.issue import issues

Plain = dict[str, object]


def papers_slice(done: WorkedJob) -> list[Plain]:
    """Return key and title of every paper, and whether a fault stamps it NOT FOR BUILD."""
    stamped = stamped_sheets(done.findings)
    return [
        {"key": one.key, "title": one.title, "not_for_build": one.key in stamped}
        for one in papers(done.worked, done.findings, done.digest, "")
    ]


def revisions_slice(done: WorkedJob) -> list[Plain]:
    """Return the issued revisions in the order of their issue, and whether they are untouched."""
    return [
        {
            "revision": one.folder.name,
            "when": one.issue.when if one.issue else "",
            "digest": one.issue.digest if one.issue else "",
            "not_for_build": list(one.issue.not_for_build) if one.issue else [],
            "touched": list(one.touched),
        }
        for one in issues(done.read.folder)
    ]
