"""What planning knows of a job worked out; working out itself lies above it and is handed in."""

from collections.abc import Callable, Sequence
from typing import Protocol

from loomwright.checks.worked import Worked
from loomwright.edits import Edit
from loomwright.findings import Finding
from loomwright.jobfile.read import ReadJob
from loomwright.model.tree import Tree


class Known(Protocol):
    """A job as read, and the trees its looms are built as."""

    @property
    def read(self) -> ReadJob:
        """The job with the text it came from."""
        ...

    @property
    def trees(self) -> tuple[Tree, ...]:
        """One tree for every loom."""
        ...


class Tried(Known, Protocol):
    """A job worked out as edits would make it, with its findings."""

    @property
    def worked(self) -> Worked:
        """Job, routing, sizes, building."""
        ...

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, accepted ones marked."""
        ...


Work = Callable[[Sequence[Edit]], Tried]
"""Works the job out with edits made; `job.work_out_tried` with its job."""
