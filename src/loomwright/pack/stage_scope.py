"""Papers of the first phone call: scope sheet, questions, what stays of the car, tools; all from counts."""

from dataclasses import dataclass
from math import ceil, floor, fsum
from typing import Final

from loomwright.library.tables import Row as DataRow
from loomwright.pack.pages import (
    Block,
    Column,
    Facts,
    Heading,
    PageBreak,
    Paragraph,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.planning.effort import Goods, Hours, cost_of
from loomwright.planning.effort_band import Band, table
from loomwright.planning.effort_counts import Count, Guide, UsualDevice
from loomwright.planning.scope import Scope

ESTIMATE: Final = "ESTIMATE"
NOTHING: Final = "too little is told yet"
SCOPE_INTRO: Final = (
    "For the talk with the customer, before anything is bought. Every count and every hour is a least and a "
    "most; each answer narrows them. It is no offer until somebody signs it."
)
QUESTION_INTRO: Final = (
    "Ask top down. An answer already given stands in its place; write in the rest, then into scope.toml."
)
STAY_INTRO: Final = (
    "Go through it with the car in front of you. One tick a row; what is ticked nowhere is nobody's work."
)
TOOL_INTRO: Final = "Tick what is there. The last column says what a job can do without, and how."
COUNT_COLUMNS: Final = (
    Column("count", bold=True),
    Column("least", kind="number", decimals=0),
    Column("most", kind="number", decimals=0),
    Column("mark"),
    Column("from"),
)
GUIDE_COLUMNS: Final = (
    Column("count", bold=True),
    Column("guide", align="right"),
    Column("here", align="right"),
    Column("so"),
)
HOUR_COLUMNS: Final = (
    Column("step", bold=True, width_mm=47.0),
    Column("goes by"),
    Column("each", unit="min", align="right"),
    Column("least", unit="h", kind="number", decimals=1),
    Column("most", unit="h", kind="number", decimals=1),
    Column("mark"),
    Column("from"),
)
GOODS_COLUMNS: Final = (
    Column("material", bold=True),
    Column("least", kind="number", decimals=0),
    Column("most", kind="number", decimals=0),
    Column("unit"),
    Column("price of one", align="right"),
    Column("cost", align="right"),
    Column("mark"),
    Column("from"),
)
USUAL_COLUMNS: Final = (
    Column("device", bold=True),
    Column("least", kind="number"),
    Column("most", kind="number"),
    Column("wires each", align="right"),
    Column("has it", kind="tick"),
    Column("how many, which", kind="blank", width_mm=55.0),
)


@dataclass(frozen=True, slots=True)
class ScopeWork:
    """Everything the scope papers are made from.

    Attributes:
        listed: the counts come from the job's own device list
        usual: devices to tick off, where there is no list yet
    """

    scope: Scope
    counts: tuple[Count, ...]
    hours: Hours
    goods: tuple[Goods, ...]
    guide: Guide | None
    usual: tuple[UsualDevice, ...]
    listed: bool


def scope_papers(work: ScopeWork) -> tuple[Sheet, ...]:
    """Return the papers of the first phone call in the order they are taken up."""
    return (_scope(work), _questions(work), _stays(work.scope), _tools(work.scope))


def span(band: Band, decimals: int = 0) -> str:
    """Return "12 to 15", or "12" where least and most print alike."""
    least, most = f"{band.least:.{decimals}f}", f"{band.most:.{decimals}f}"
    return least if least == most else f"{least} to {most}"


def _scope(work: ScopeWork) -> Sheet:
    signed = Facts(
        (("Agreed, customer", ""), ("Agreed, builder", ""), ("Date", ""), ("Pays for changes", ""))
    )
    blocks: list[Block] = [_facts(work.scope)]
    if work.counts:
        blocks += [_counts(work), *_guide(work), _sum(work), signed, PageBreak(), _hours(work), _goods(work)]
    else:
        told = "Tell cylinders, or sensors and actuators, or devices, or wires."
        blocks += [Paragraph(f"Hours and material: {NOTHING}. {told}", bold=True), signed]
    return Sheet("scope", "Scope sheet", tuple(blocks), SCOPE_INTRO, stamps=(ESTIMATE,))


def _facts(scope: Scope) -> Facts:
    named = (
        ("Customer", "customer"),
        ("Car", "car"),
        ("Cylinders", "cylinders"),
        ("Injection", "injection"),
        ("Ignition", "ignition"),
        ("Throttle", "throttle"),
        ("Level of build", "level"),
        ("Lay", "lay"),
        ("Branch points closed with", "closing"),
    )
    pairs = [(words, scope.answer(key)) for words, key in named]
    pairs.append(("Trunk, about", f"{scope.trunk_mm:.0f} mm" if scope.trunk_mm is not None else ""))
    pairs += [("Stays", scope.answer("stays")), ("May come later", scope.answer("wishes"))]
    return Facts(tuple(pairs))


def _counts(work: ScopeWork) -> Table:
    rows = [
        (
            one.words,
            _down(one.band.least),
            _up(one.band.most),
            str(one.band.source.mark),
            one.band.source.text,
        )
        for one in work.counts
    ]
    title = "Counts, from the job's device list" if work.listed else "Counts"
    return Table(COUNT_COLUMNS, (RowGroup(tuple(rows)),), title)


def _down(value: float) -> int:
    return floor(value + 1e-9)


def _up(value: float) -> int:
    return ceil(value - 1e-9)


def _guide(work: ScopeWork) -> tuple[Block, ...]:
    guide = work.guide
    if guide is None:
        return ()
    counts = {one.key: one.band for one in work.counts}
    told = (("devices", guide.devices), ("wires", guide.wires), ("bulkhead", guide.bulkhead))
    rows = [
        (
            key if key != "bulkhead" else "wires through the bulkhead",
            span(band),
            span(counts[key]),
            _so(band, counts[key]),
        )
        for key, band in told
        if band is not None and key in counts
    ]
    mark = guide.devices.source.mark
    note = f"Engine of the guide: {guide.engine} [{mark}]. It has no bearing on the sums below."
    return (Table(GUIDE_COLUMNS, (RowGroup(tuple(rows)),), "Held against the counting guide", note),)


def _so(guide: Band, here: Band) -> str:
    if here.least > guide.most:
        return "more than the guide: see why"
    if here.most < guide.least:
        return "fewer than the guide: is something forgotten?"
    return "they meet"


def _sum(work: ScopeWork) -> Facts:
    hours, scope = work.hours, work.scope
    who = "first loom" if scope.first_loom else "practised builder"
    factor = f"{who}: times {span(hours.factor, 0)} [{hours.factor.source.mark}]"
    cost, open_ = cost_of(work.goods)
    pairs = [
        ("Hours, likely", f"{span(hours.likely)} h [{hours.likely.source.mark}]"),
        ("Hours, least to most", f"{span(hours.straight)} h [{hours.straight.source.mark}]"),
        ("Builder", factor),
        ("Material", "no price on the shelf" if cost is None else f"{span(cost)} [{cost.source.mark}]"),
    ]
    if scope.rate is not None:
        price = Band(hours.likely.least * scope.rate, hours.likely.most * scope.rate, hours.likely.source)
        pairs.append(("Work, at the likely hours", f"{span(price)} at {scope.rate:g} an hour"))
    if open_ and cost is not None:
        pairs.append(("Not priced", ", ".join(open_)))
    return Facts(tuple(pairs), across=1)


def _hours(work: ScopeWork) -> Table:
    hours = work.hours
    rows: list[Row] = [
        (
            one.words,
            f"{span(one.number)} {one.per}" if one.per != "job" else "once",
            _each(one.minutes),
            one.hours.least,
            one.hours.most,
            str(one.minutes.source.mark),
            one.minutes.source.text,
        )
        for one in hours.steps
    ]
    least, most = (fsum(s.hours.least for s in hours.steps), fsum(s.hours.most for s in hours.steps))
    rows.append(("together, practised builder", "", "", least, most, "", ""))
    if work.scope.first_loom:
        whole, factor = hours.straight, hours.factor
        told = ("together, first loom", f"times {span(factor)}", "", whole.least, whole.most)
        rows.append((*told, str(factor.source.mark), factor.source.text))
    note = (
        "Good for the order of magnitude: hand work without any program. Your own minutes go into "
        "scope.toml [minutes] or stock.toml [minutes] and replace ours. Likely hours: doubts of the steps' "
        "minutes added in square, those of the counts straight."
    )
    return Table(HOUR_COLUMNS, (RowGroup(tuple(rows)),), "Hours", note)


def _each(band: Band) -> str:
    return f"{band.least:g}" if band.least == band.most else f"{band.least:g} to {band.most:g}"


def _goods(work: ScopeWork) -> Table:
    rows: list[Row] = []
    for one in work.goods:
        price = span(one.price, 2) if one.price is not None else ""
        cost = span(one.cost) if one.cost is not None else ""
        need = (_down(one.need.least), _up(one.need.most), one.unit)
        rows.append((one.what, *need, price, cost, str(one.need.source.mark), one.need.source.text))
    note = "Prices: cheapest to dearest of the kind in stock.toml [builder]; blank where the shelf has none."
    return Table(GOODS_COLUMNS, (RowGroup(tuple(rows)),), "Material", note)


def _questions(work: ScopeWork) -> Sheet:
    groups: dict[str, list[Row]] = {}
    for row in table("questions"):
        answer = work.scope.answer(row.text("key"))
        groups.setdefault(row.name("topic"), []).append(
            (row.name("question"), row.text("why"), answer or None)
        )
    columns = (
        Column("ask", bold=True, width_mm=70.0),
        Column("because"),
        Column("answer", kind="blank", width_mm=60.0),
    )
    titled = tuple(RowGroup(tuple(rows), topic) for topic, rows in groups.items())
    blocks: list[Block] = [Table(columns, titled, note="What to ask [common practice].")]
    if work.usual and not work.listed:
        by_group: dict[str, list[Row]] = {}
        for one in work.usual:
            cells = (one.name, round(one.number.least), round(one.number.most), span(one.pins), None, "")
            by_group.setdefault(one.group, []).append(cells)
        lists = tuple(RowGroup(tuple(rows), name) for name, rows in by_group.items())
        note = (
            "The usual devices of such an engine and their wires [common practice]; write in what is missing."
        )
        blocks += [
            PageBreak(),
            Heading("Devices to tick off at the engine"),
            Table(USUAL_COLUMNS, lists, note=note),
        ]
    return Sheet("questions", "Questions for the customer", tuple(blocks), QUESTION_INTRO)


def _stays(scope: Scope) -> Sheet:
    columns = (
        Column("system", bold=True),
        *(Column(head, kind="tick") for head in ("stays", "goes", "new", "tapped")),
        Column("mind"),
        Column("agreed", kind="blank", width_mm=45.0),
    )
    rows: list[Row] = [
        (row.name("system"), None, None, None, None, row.text("note"), "") for row in table("stays")
    ]
    told: list[Row] = [(one, True, None, None, None, "", "") for one in scope.stays]
    groups = [RowGroup(tuple(rows), "Usual systems")]
    groups += [RowGroup(tuple(told), "Told already")] if told else []
    cautions = (
        "Airbag and belt wiring: never cut, join, probe or move it.",
        "Brakes, stability, steering: leave their circuits alone unless you have the maker's diagram.",
        "Orange cables of a hybrid or electric car are out of bounds.",
    )
    note = "Which systems to ask for [common practice]."
    return Sheet(
        "stays", "What stays of the car", (Table(columns, tuple(groups), note=note),), STAY_INTRO, cautions
    )


def _tools(scope: Scope) -> Sheet:
    columns = (
        Column("tool", bold=True),
        Column("for"),
        Column("there", kind="tick"),
        Column("can the job do without it?"),
    )
    asked = {"always", scope.level, scope.closing, scope.lay}
    groups = tuple(
        RowGroup(tuple(_tool(row) for row in table("tools") if (row.name("when") in asked) == needed), words)
        for needed, words in ((True, "This job"), (False, "Only for other levels, lays or closings"))
    )
    note = "[common practice]; the crimp tool goes by the contacts chosen, so it is bought after them."
    return Sheet(
        "tools", "Tools", (Table(columns, tuple(g for g in groups if g.rows), note=note),), TOOL_INTRO
    )


def _tool(row: DataRow) -> Row:
    return (row.name("tool"), row.text("for"), None, row.text("without"))
