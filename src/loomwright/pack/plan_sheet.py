"""The plan sheet: the tree that was chosen, why, what there was to choose from, and what it costs now."""

from collections.abc import Iterator
from typing import Final

from loomwright.model.plan import ChosenPlan, PlanRow
from loomwright.pack.draw_fewer_points import CAPTION, draw_fewer_points
from loomwright.pack.marks import Drawing
from loomwright.pack.pages import Block, Column, Facts, Figure, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, mark_words, sources_note
from loomwright.planning.alternatives_rows import AS_IT_WAS, row
from loomwright.planning.effort import Hours
from loomwright.planning.price import PER_HOUR, Price, price

NOW: Final = "as this pack lists it"
PLANS: Final = (
    Column("tree", bold=True),
    Column("branch points", kind="number"),
    Column("wire", "m", "number", decimals=3),
    Column("sheath", "m", "number", decimals=3),
    Column("sheath pieces", kind="number"),
    Column("ties", kind="number"),
    Column("time", "h", "number", decimals=1),
    Column("copper", "g", "number", decimals=0),
    Column("mass", "g", "number", decimals=0),
    Column("money", "", "number", decimals=2),
    Column("chosen", kind="tick"),
)
COSTS: Final = (
    Column("what", bold=True),
    Column("need", kind="number"),
    Column("unit"),
    Column("pieces", kind="number"),
    Column("price", kind="number", decimals=2),
    Column("sum", kind="number", decimals=2),
    Column("mark"),
)
STEPS: Final = (
    Column("step", bold=True),
    Column("number", kind="number"),
    Column("of"),
    Column("one, least", "min", "number", decimals=1),
    Column("one, most", "min", "number", decimals=1),
    Column("all", "min", "number", decimals=1),
    Column("mark"),
)
INTRO: Final = (
    "Why the loom branches where it does. The prices of the trees to choose from are those of the day the "
    "plan was chosen; what this pack costs is summed up below them from its own lists: wire as the cut list "
    "has it, sheath and ties as the parts list counts them, without spares. Money is the shop's own; prices "
    "marked from memory are good for comparing plans, not for a bill."
)


def plan_sheet(view: View) -> Iterator[Sheet]:
    """Yield the plan sheet of a job whose plan was chosen."""
    plan = view.job.plan
    if plan is None:
        return
    now = price(view.worked)
    blocks: tuple[Block, ...] = (
        Facts((("Chosen", plan.chosen), ("Because", plan.reason)), across=1),
        _plans(plan, now),
        *(Figure(drawing, CAPTION) for drawing in plan_drawing(plan)),
        _costs(now),
        _time(now.hours),
    )
    yield Sheet(
        "plan", "Plan of the branch points", blocks, INTRO, stamps=view.stamps("parts"), landscape=True
    )


def plan_drawing(plan: ChosenPlan) -> Iterator[Drawing]:
    """Yield the trees there were to choose from over their branch points; nothing where there was but one."""
    if len(plan.rows) > 1:
        yield draw_fewer_points(plan.rows, plan.chosen, AS_IT_WAS)


def _plans(plan: ChosenPlan, now: Price) -> Table:
    then = tuple(_plan(one, one.name == plan.chosen) for one in plan.rows)
    groups = (RowGroup(then, "When the plan was chosen"), RowGroup((_plan(row(NOW, now), None),), "Now"))
    return Table(PLANS, tuple(one for one in groups if one.rows), "Trees to choose from", close=True)


def _plan(one: PlanRow, taken: bool | None) -> Row:
    return (
        one.name,
        one.branch_points,
        one.wire_m,
        one.sheath_m,
        one.sheath_pieces,
        one.ties,
        one.hours,
        one.copper_g,
        one.mass_g,
        one.money,
        "" if taken is None else taken,
    )


def _costs(now: Price) -> Table:
    goods: dict[str, list[Row]] = {}
    for line in now.lines:
        need, each = line.need, line.each
        amount = need.pieces if need.mm is None else round(need.need, 3)
        unit = "pcs" if need.mm is None else "m"
        mark = "no price" if each is None else mark_words(each.source)
        cells = (
            need.words,
            amount,
            unit,
            need.pieces,
            None if each is None else each.value,
            line.money,
            mark,
        )
        goods.setdefault(need.group, []).append(cells)
    fixed = [
        (
            one.words,
            one.number,
            "pcs",
            one.number,
            one.money.value,
            one.number * one.money.value,
            mark_words(one.money.source),
        )
        for one in now.fixed
    ]
    work: list[Row] = [
        (
            "hours of work",
            now.minutes / PER_HOUR,
            "h",
            None,
            now.hour.value,
            now.work_money,
            mark_words(now.hour.source),
        )
    ]
    groups = [RowGroup(tuple(rows), title) for title, rows in goods.items()]
    groups += [
        RowGroup(tuple(fixed), "Branch points and breakouts, beyond goods and time"),
        RowGroup(tuple(work), "Work"),
    ]
    parts = f"goods {now.goods_money:.2f}, work {now.work_money:.2f}, fixed {now.fixed_money:.2f}"
    total = f"Together {now.money:.2f}: {parts}."
    return Table(COSTS, tuple(groups), "What it costs", total, close=True)


def _time(hours: Hours) -> Table:
    factor = hours.factor.middle
    rows = tuple(
        (
            one.words,
            one.number.middle,
            one.per,
            one.minutes.least,
            one.minutes.most,
            one.hours.middle * factor * PER_HOUR,
            mark_words(one.minutes.source),
        )
        for one in hours.steps
    )
    return Table(
        STEPS,
        (RowGroup(rows),),
        "How long it takes",
        sources_note(s.minutes.source for s in hours.steps),
        close=True,
    )
