"""The hours of a worked-out loom: the table of the first estimate, its counts now exact."""

import math
from collections import Counter
from collections.abc import Iterator
from typing import Final

from loomwright.checks.worked import Worked
from loomwright.jobfile.read_stock import Stock
from loomwright.model.words import CableKind, DeviceState
from loomwright.planning.effort import Hours, hours_of
from loomwright.planning.effort_band import Band
from loomwright.planning.effort_counts import Count
from loomwright.planning.price_goods import co_run_ties
from loomwright.planning.scope import Scope
from loomwright.routing.routed import EndKind
from loomwright.sources import Mark, Source

COUNTED: Final = Source(Mark.OURS, "counted on the worked-out loom")
TWISTED: Final = (CableKind.PAIR, CableKind.TRIO)


def hours(worked: Worked, stock: Stock) -> Hours:
    """Return the hours of the whole job, a step for each kind of work.

    Args:
        worked: the job worked out
        stock: its own minutes replace the table's
    """
    job = worked.job
    own = (("per_splice", job.shop.min_per_splice),)
    minutes = tuple((name, figure.value) for name, figure in own if figure.source.mark is Mark.BUILDER)
    scope = Scope(level=job.level, lay=job.shop.lay, minutes=minutes)
    return hours_of(scope, counts(worked), stock)


def counts(worked: Worked) -> tuple[Count, ...]:
    """Return how many of everything the work goes by, counted exactly."""
    found = (Count(key, words, Band(n, n, COUNTED)) for key, words, n in _counted(worked))
    return tuple(found)


def _counted(worked: Worked) -> Iterator[tuple[str, str, float]]:
    job, wires, trees = worked.job, worked.routed.wires, worked.routed.trees
    devices = [d for d in job.devices if d.state is not DeviceState.REMOVED]
    controllers = [d for d in devices if d.family == "controller"]
    ends = Counter(end.kind for w in wires for end in (w.a, w.b))
    yield "devices", "devices", len(devices)
    yield "connectors", "connectors", sum(1 for d in devices for c in d.connectors if c.pins)
    yield "controller_pins", "controller pins", sum(len(c.pins) for d in controllers for c in d.connectors)
    yield "wires", "wires", len(wires)
    yield "contacts", "contacts", ends[EndKind.PIN] + ends[EndKind.STUD]
    yield "splices", "splices", len(worked.routed.splices)
    yield "branch_points", "branch points", sum(len(t.branch_points) for t in trees)
    yield "branches", "breakouts", breakouts(worked)
    yield "sections", "sections of trunk", sum(len(t.sections) for t in trees) - breakouts(worked)
    yield "labels", "labels at ends and points", sum(one.kind != "wire" for one in worked.built.labels)
    yield "pairs", "twisted pairs", sum(c.kind in TWISTED and not c.stock for c in job.cables)
    sheath_mm = math.fsum(one.cut_mm for one in worked.sized.sleeves if one.what != "none")
    yield "sheath_m", "metres of sheath", sheath_mm / 1000
    yield "co_run_ties", "ties of co-runs", sum(map(co_run_ties, trees))
    yield "screen_ends", "screen ends", sum(2 for w in wires if w.screen)


def breakouts(worked: Worked) -> int:
    """Return the number of sections that end at one connector."""
    return sum(s.outer not in t.out_of for t in worked.routed.trees for s in t.sections)
