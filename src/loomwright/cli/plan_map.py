"""Plans from a map of where a loom may run, on the terminal."""

import json as json_words
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from loomwright.calc.priced_tree import Answer
from loomwright.calc.priced_tree_curve import CurvePoint
from loomwright.cli.progress import working
from loomwright.edits import Edit, Value, Verb
from loomwright.errors import OutOfRange, RefusedEdit
from loomwright.job import WorkedJob, work_out, work_out_tried
from loomwright.jobfile.edit_log import do
from loomwright.model.plan import PlanRow
from loomwright.pack.draw_fewer_points import draw_fewer_points
from loomwright.planning.alternatives_rows import AS_IT_WAS, row
from loomwright.planning.map_direct import direct_links
from loomwright.planning.map_from_rope import drawn_links, map_from_tree
from loomwright.planning.map_work import Chart, Planned, chart_of, improving, pareto, worked_plan
from loomwright.sheets.svg import svg_text

ROPE = "rope"
DRAWN = "rope"  # name of a map drawn from the rope
CURVE_SHARE = 0.4  # of the time for the curve over branch points; ours
HEADS = ("points", "wire m", "sheath m", "pieces", "ties", "hours", "copper g", "mass g", "money")


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asks for.

    Attributes:
        name: of a map of the job, "rope" or "rope:LOOM" = drawn from the rope now
        seconds: time to plan
        apply: number of the plan to take, 0 = none; `reason` why
        draw: write the map that is drawn from the rope into the job
        plot: file for the plot, None = none
    """

    name: str
    seconds: float
    apply: int
    reason: str
    draw: bool
    plot: Path | None
    json: bool


def plan_map(folder: Path, asked: Asked) -> int:
    """Plan a loom from its map: the best tree of the map, one for every number of branch points, all priced.

    Args:
        folder: the job's folder, or its job.toml
        asked: what is asked for
    """
    done = work_out(folder)
    try:
        name, before, told = _map(done, asked.name)
        if asked.draw:
            return _draw(done, before, told)
        work = partial(work_out_tried, done.read)
        chart = chart_of(work, name, done.read.stock, before)
        best, points = _planned(chart, asked)
        plans = [worked_plan(work, chart, one, _reason(asked), done.read.stock) for one in (best, *points)]
    except (OutOfRange, RefusedEdit) as no:
        print(no, file=sys.stderr)
        return 2
    if asked.plot is not None:
        drawing = draw_fewer_points(
            _rows(chart, plans), _name(plans[min(max(asked.apply, 1), len(plans)) - 1]), AS_IT_WAS
        )
        asked.plot.write_text(svg_text(drawing, "branch-points"), encoding="utf-8")
    if asked.apply:
        return _apply(done, chart, plans, asked)
    if asked.json:
        print(json_words.dumps(_object(chart, plans, told), indent=1, ensure_ascii=False))
        return 0
    print("\n".join((*([told] if told else []), *_told(chart, plans))))
    return 0


def _reason(asked: Asked) -> str:
    return asked.reason or "planned from the map"


def _map(done: WorkedJob, name: str) -> tuple[str, tuple[Edit, ...], str]:
    """Return the name of the map to plan on, the edits that draw it first, and what is told of them."""
    kind, _, loom = name.partition(":")
    if kind != ROPE or any(one.name == name for one in done.worked.job.maps):
        return name, (), ""
    trees = done.worked.routed.trees
    found = [one for one in trees if one.loom == loom] if loom else list(trees)
    if len(found) != 1:
        names = ", ".join(f"rope:{one.loom}" for one in trees)
        raise RefusedEdit(f"There are several looms, or none of that name. Ask for one of: {names}.")
    new = DRAWN
    while any(one.name == new for one in done.worked.job.maps):
        new += "2"
    tree, many = found[0], len(trees) > 1
    direct = direct_links(done.worked.job, tree, drawn_links(tree))
    guesses = [(one.name, one.mm) for one in direct.guesses]
    return new, map_from_tree(tree, new, many, direct.at, guesses), direct.words


def _draw(done: WorkedJob, edits: tuple[Edit, ...], told: str) -> int:
    if not edits:
        print("Only a map of the rope is drawn: plan --map rope --draw, or rope:LOOM.", file=sys.stderr)
        return 2
    when = datetime.now().isoformat(timespec="seconds")
    do(done.read.folder, edits, when, done.read.document.digest, "map drawn from the rope")
    print(told)
    print("Drawn: one step in the job; loomwright undo takes it back. Add links, bores, air, hazards.")
    return 0


def _planned(chart: Chart, asked: Asked) -> tuple[Answer, list[Answer]]:
    best: Answer | None = None
    with working("Planning", quiet=asked.json):
        for answer in improving(chart, max(0.2, asked.seconds * (1 - CURVE_SHARE))):
            best = answer
        if best is None:
            raise RefusedEdit("No tree was found in that time. Give it more: --seconds.")
        points: tuple[CurvePoint, ...] = pareto(chart, asked.seconds * CURVE_SHARE, best)
    others = [one.answer for one in points if one.branch_points != best.worth.branch_points]
    return best, others


def _apply(done: WorkedJob, chart: Chart, plans: Sequence[Planned], asked: Asked) -> int:
    if not 1 <= asked.apply <= len(plans):
        print(f"There is no plan {asked.apply}. Numbers go from 1 to {len(plans)}.", file=sys.stderr)
        return 2
    if not asked.reason:
        print("Say why with --reason: the reason stands on the plan sheet.", file=sys.stderr)
        return 2
    taken = plans[asked.apply - 1]
    table: dict[str, Value] = {
        "chosen": _name(taken),
        "reason": asked.reason,
        "priced": [list(asdict(one).values()) for one in _rows(chart, plans)],
    }
    edits = (*taken.edits, Edit(Verb.SET, ("plan",), table, asked.reason))
    when = datetime.now().isoformat(timespec="seconds")
    do(done.read.folder, edits, when, done.read.document.digest, f"plan: {_name(taken)}")
    print(f"Taken: {_name(taken)}. One step in the job; loomwright undo takes it back.")
    for new in taken.plan.sections:
        rough = f" (guessed so far: {', '.join(new.guessed)})" if new.guessed else ""
        print(f"  measure on the rope: {new.name}{rough}")
    for name in taken.plan.removed:
        print(f"  remove: {name}")
    for fault in taken.faults:
        print(f"  brings: {fault}")
    return 0


def _name(one: Planned) -> str:
    many = one.price.branch_points
    return f"map, {many} branch point{'' if many == 1 else 's'}"


def _rows(chart: Chart, plans: Sequence[Planned]) -> list[PlanRow]:
    found = [] if chart.present is None else [row(AS_IT_WAS, chart.present)]
    return found + [row(_name(one), one.price) for one in plans]


def _told(chart: Chart, plans: Sequence[Planned]) -> Iterator[str]:
    task, best = chart.task, plans[0]
    yield f"Map {task.chart.name} of loom {task.chart.loom}: {len(task.points)} points,"
    yield f"{len(task.links)} links, {len(task.ends)} ends, {len(task.task.nets)} wires and splices to lay."
    yield from (f"  {note}" for note in task.notes)
    yield "Reckoned with, in the shop's own money; stock.toml holds yours:"
    yield from (
        f"  {words:<42} {money:>8.2f} [{source.mark}]" for words, money, source in chart.prices.lines()
    )
    yield ""
    names = [one.name for one in _rows(chart, plans)]
    wide = max(map(len, names))
    yield f"{'':<{wide + 6}} {' '.join(f'{head:>8}' for head in HEADS)}"
    for at, priced in enumerate(_rows(chart, plans), start=0 if chart.present is not None else 1):
        lead = f"{at:>3}" if at else "   "
        yield f"{lead}   {priced.name:<{wide}} {_cells(priced)}"
    yield ""
    yield _known(best.answer)
    yield "Sections of plan 1:"
    for one in best.plan.sections:
        by = f"  by {', '.join(one.via)}" if one.via else ""
        rough = f"  guessed, measure first: {', '.join(one.guessed)}" if one.guessed else ""
        yield f"  {one.name:<24} {one.mm:>6.0f} mm{by}{rough}"
    cost = {one.name: one.price for one in task.chart.parts}
    yield from (f"  remove: {name}, {cost[name]:.2f} beyond the money above" for name in best.plan.removed)
    yield from (f"  brings: {fault}" for fault in best.faults)
    yield "Nothing is written. Take one with --apply NUMBER --reason WHY; it names what to measure."


def _cells(one: PlanRow) -> str:
    return (
        f"{one.branch_points:>8} {one.wire_m:>8.2f} {one.sheath_m:>8.2f} {one.sheath_pieces:>8} "
        f"{one.ties:>8} {one.hours:>8.1f} {one.copper_g:>8.0f} {one.mass_g:>8.0f} {one.money:>8.2f}"
    )


def _known(answer: Answer) -> str:
    money = answer.worth.money
    if answer.worth.broken:
        return f"No tree was found that keeps all limits of this map; plan 1 breaks {answer.worth.broken}."
    if answer.proved:
        return f"Plan 1 is proved the cheapest of this map: {money:.2f} of what the tree decides."
    return (
        f"Plan 1 costs {money:.2f} of what the tree decides; no tree of this map costs less than "
        f"{answer.lower_bound:.2f}: at most {100 * answer.gap:.1f} % may be left."
    )


def _object(chart: Chart, plans: Sequence[Planned], told: str) -> dict[str, object]:
    rows = [asdict(row(_name(one), one.price)) for one in plans]
    return {
        "map": chart.task.chart.name,
        "loom": chart.task.chart.loom,
        "notes": [*([told] if told else []), *chart.task.notes],
        "prices": [
            {"what": words, "money": money, "source": str(source)}
            for words, money, source in chart.prices.lines()
        ],
        "present": None if chart.present is None else asdict(row(AS_IT_WAS, chart.present)),
        "plans": [
            {
                **one_row,
                "planned": one.answer.worth.money,
                "lower_bound": one.answer.lower_bound,
                "proved": one.answer.proved,
                "broken": one.answer.worth.broken,
                "sections": [
                    {
                        "inner": new.inner,
                        "outer": new.outer,
                        "mm": new.mm,
                        "by": list(new.via),
                        "guessed": list(new.guessed),
                    }
                    for new in one.plan.sections
                ],
                "measure": list(one.plan.again),
                "remove": list(one.plan.removed),
                "faults": list(one.faults),
            }
            for one_row, one in zip(rows, plans, strict=True)
        ],
    }
