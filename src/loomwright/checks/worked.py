"""A worked-out job as the checks see it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from loomwright.building.built import Built
from loomwright.findings import Finding
from loomwright.jobfile.read_stock import Stock
from loomwright.model.job import Job
from loomwright.routing.routed import Routed
from loomwright.sizing.sized import Sized


@dataclass(frozen=True, slots=True)
class Worked:
    """Job and everything derived from it, before its findings are gathered; the shelf prices it."""

    job: Job
    routed: Routed
    sized: Sized
    built: Built
    stock: Stock = field(default_factory=Stock)


Check = Callable[[Worked], Iterable[Finding]]
