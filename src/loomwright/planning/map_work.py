"""Planning a loom from its map: the order of work, from the job to plans with exact prices."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.calc.priced_tree import Answer, Bough
from loomwright.calc.priced_tree_curve import CurvePoint, curve
from loomwright.calc.priced_tree_plan import plan_tree, plans
from loomwright.edits import Edit
from loomwright.errors import OutOfRange, RefusedEdit
from loomwright.findings import Severity
from loomwright.jobfile.read_stock import Stock
from loomwright.model.corridor import CorridorMap
from loomwright.model.job import Job
from loomwright.planning.known import Work
from loomwright.planning.map_edits import MapPlan, map_plan, notes_kept
from loomwright.planning.map_present import present_tree
from loomwright.planning.map_prices import MapPrices, map_prices
from loomwright.planning.map_task import MapTask, bare_task, map_ends, map_task
from loomwright.planning.price import Price, price

JOINING_S: Final = 2.0  # for the first tree, where the rope leads not to all ends; ours


@dataclass(frozen=True, slots=True)
class Chart:
    """A map ready to be planned on: numbers, prices, and the edits that come before any plan's.

    Attributes:
        before: edits that write the map itself
        present: price of the loom as it stands, None where its rope does not lead to all ends
        known: the tree as it stands, where it is a tree of the map
    """

    task: MapTask
    prices: MapPrices
    before: tuple[Edit, ...]
    present: Price | None
    known: tuple[Bough, ...]


@dataclass(frozen=True, slots=True)
class Planned:
    """A tree of the map, and what the pack of that tree would list.

    Attributes:
        plan: sections, what to measure
        answer: what the planner knows of it
        edits: what makes it the tree to be built, the map's own before them
        price: exact, of the job worked out with it
        faults: faults that the job worked out with it has and the present one has not, in words
    """

    plan: MapPlan
    answer: Answer
    edits: tuple[Edit, ...]
    price: Price
    faults: tuple[str, ...]


def map_named(job: Job, name: str) -> CorridorMap:
    """Return a map of a job; "" = its only one.

    Raises:
        RefusedEdit: there is none of that name, or several and no name.
    """
    names = ", ".join(one.name for one in job.maps)
    if not job.maps:
        raise RefusedEdit(
            "The job has no map. Write a [map.NAME] table, or draw it from the rope: plan --draw."
        )
    if name:
        found = next((one for one in job.maps if one.name == name), None)
        if found is None:
            raise RefusedEdit(f"There is no map {name}. The job has: {names}.")
        return found
    if len(job.maps) > 1:
        raise RefusedEdit(f"The job has several maps: {names}. Name one: plan --map NAME.")
    return job.maps[0]


def chart_of(work: Work, name: str, stock: Stock, before: tuple[Edit, ...] = ()) -> Chart:
    """Return a map ready to be planned on.

    Where the rope does not lead to all of the map's ends, circuits are joined on the shortest tree first.

    Args:
        work: works the job out with edits
        name: of the map, "" = the only one
        before: edits that write the map itself
    Raises:
        RefusedEdit: the map can't be planned on; the message says what is missing.
    """
    done = work(before)
    job = done.worked.job
    chart = map_named(job, name)
    tree = done.worked.routed.tree[chart.loom]
    reached = set(tree.ends) | {tree.datum}
    present: Price | None = price(done.worked, stock)
    if not set(map_ends(job, chart)) <= reached:
        first = bare_task(job, chart)
        joined = map_plan(job, first, _joining(first), "shortest tree of the map")
        done, present = work((*before, *joined.edits)), None
    prices = map_prices(done.worked, stock)
    task = map_task(done.worked, chart, prices, stock)
    known = present_tree(done.worked.routed.tree[chart.loom], task) if present is not None else None
    return Chart(task, prices, before, present, () if known is None else (known,))


def _joining(first: MapTask) -> Answer:
    try:
        return plan_tree(first.task, JOINING_S)
    except OutOfRange:
        raise RefusedEdit(
            f"Map {first.chart.name}: its links don't all reach the datum; some ends hang loose. "
            "Add the links between."
        ) from None


def improving(chart: Chart, limit_s: float, seed: int = 0) -> Iterator[Answer]:
    """Yield ever better trees; the last says how good it is known to be, of this map."""
    return plans(chart.task.task, limit_s, seed, None, chart.known)


def pareto(chart: Chart, limit_s: float, best: Answer, seed: int = 0) -> tuple[CurvePoint, ...]:
    """Return the best tree found for every number of branch points."""
    return curve(chart.task.task, limit_s, seed, None, (best,))


def worked_plan(work: Work, chart: Chart, answer: Answer, reason: str, stock: Stock) -> Planned:
    """Return a tree with the price its pack would list.

    Raises:
        RefusedEdit: its edits don't fit the job file.
    """
    before = work(())
    job = work(chart.before).worked.job
    plan = map_plan(job, chart.task, answer, reason)
    tree = before.worked.routed.tree[chart.task.chart.loom]
    kept = notes_kept(before, tree, chart.task, plan, reason)
    edits = (*chart.before, *kept, *plan.edits)
    after = work(edits)
    had = {one.key for one in before.findings if one.severity is Severity.FAULT}
    faults = tuple(
        f"{one.code} {one.place.words}: {one.what_is}"
        for one in after.findings
        if one.severity is Severity.FAULT and not one.accepted and one.key not in had
    )
    return Planned(plan, answer, edits, price(after.worked, stock), faults)
