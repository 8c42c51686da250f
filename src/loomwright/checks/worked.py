"""A worked-out job as the checks see it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from loomwright.building.built import Built
from loomwright.findings import Finding
from loomwright.model.job import Job
from loomwright.routing.routed import Routed
from loomwright.sizing.sized import Sized


@dataclass(frozen=True, slots=True)
class Worked:
    """Job and everything derived from it, before its findings are gathered."""

    job: Job
    routed: Routed
    sized: Sized
    built: Built


Check = Callable[[Worked], Iterable[Finding]]
