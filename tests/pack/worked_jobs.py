"""Jobs worked out once for all tests of the pack."""

from functools import cache
from pathlib import Path

from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out
from loomwright.pack.pages import Sheet
from loomwright.pack.papers import papers

DAY = "2026-01-01"
SMALL = Path(__file__).parent.parent / "jobs" / "small"


@cache
def worked(name: str) -> WorkedJob:
    return work_out(SMALL if name == "small" else demo_folder(name))


@cache
def sheets(name: str) -> dict[str, Sheet]:
    done = worked(name)
    return {s.key: s for s in papers(done.worked, done.findings, done.digest, DAY)}


def rows(sheet: Sheet, *heads: str) -> list[dict]:
    """Rows of all tables of a sheet that have these column heads."""
    found = []
    for table in sheet.tables:
        names = [c.head for c in table.columns]
        if set(heads) <= set(names):
            found += [dict(zip(names, row, strict=True)) for row in table.rows]
    return found
