"""Papers to take to the car before measuring: how to build the rope, rope to buy, the blank form."""

from typing import Final

from loomwright.calc.rope import rope_for
from loomwright.mockup.form import FORM_COLUMNS, blank_form_rows
from loomwright.model.job import Job
from loomwright.pack.pages import Block, Column, Heading, Paragraph, Row, RowGroup, Sheet, Table
from loomwright.pack.stage_devices import present
from loomwright.pack.stage_flags import branch_names
from loomwright.pack.view import many
from loomwright.sizing.size import ROPE_OVER_MM, USUAL_ROPES
from loomwright.sources import Mark, Source

FORM_KEY: Final = "measuring-form"
BLANK_ROWS: Final = 6  # for points nobody thought of; ours
WIDTHS_MM: Final = (
    ("tape", 20.0),
    ("from", 20.0),
    ("running mm", 20.0),
    ("give", 12.0),
    ("parts at", 16.0),
    ("exit", 34.0),
    ("near", 52.0),
    ("ties", 34.0),
)
VIA: Final = Column("via", kind="blank", width_mm=30.0)
FORM_INTRO: Final = (
    "One tape from the datum, read running: no adding up. A point is read at its centre, an end at the "
    "plug's wire exit; write it down if it was another place. Then type it into the table of the same "
    "columns and take it in with: loomwright take-in measuring-form.csv FOLDER --rope"
)
FORM_NOTES: Final = (
    "tape: any name, one for every tape laid; from: where its zero lies. give: give or take, blank = 10 mm "
    "[common practice].",
    'exit: "left up, outward", or the clock seen looking outward from the datum. near: "hot part 90; brake '
    'line 25 at 300 behind bracket" (what, clear mm, where along the section). ties: "50 bracket; 300".',
    "parts at: for a co-run, where it leaves the others; running mm then goes on to the end. via: the way in "
    'a few words; it goes into the job by hand, under [passes."B1-B2"].',
)
CAUTIONS: Final = (
    "Battery off. A car on stands can come down: work as if it could.",
    "Keep rope and hands out of fan, belts and throttle linkage while anybody could start the engine.",
    "Leave airbag and belt wiring alone; tie nothing to a brake line, not even rope.",
)
STEPS: Final = (
    (
        "Everything on",
        "Brackets, heat shields, intake, fuel rail, hoses: what is missing now is in the way later.",
    ),
    (
        "Datum",
        "Tie the rope at the bulkhead hole (or the controller's plug); flag it. All lengths start there.",
    ),
    (
        "Trunk",
        "Lead the thickest rope to the farthest device, where clips can hold it. Thick as the bundle: a thin "
        "string goes round corners no loom can.",
    ),
    (
        "Witness line",
        "Tape a straight strip along the rope's upper side: flat on the bench it keeps the twist.",
    ),
    (
        "Branches",
        "Hitch a rope for every breakout; flag the branch point; write its exit in the car's directions.",
    ),
    (
        "Side by side",
        "What runs along with others and parts later is a co-run: tie together, mark where it parts.",
    ),
    ("Ends", "Flag every plug: name, where its latch points, straight or angled exit."),
    (
        "Movement",
        "Work the throttle through its travel, turn the wheel, lever the engine: nothing catches, pulls or "
        "rubs, not with one clip missing either. Leave a loop where it crosses to the engine.",
    ),
    ("Bends", "Hold the gauge behind the tightest bends; write down radius and place."),
    ("Photographs", "One of every branch point with the tape measure in it."),
    ("Measure", "Rope off or on the car, hand-tight, not pulled; running from the datum; long ways twice."),
    ("Keep it", "The rope stays until the loom is handed over: it alone remembers the car."),
)


def measure_papers(job: Job, trunk_mm: float | None = None) -> tuple[Sheet, ...]:
    """Return what is taken to the car: how to, rope to buy, measuring form.

    Args:
        job: its devices name the ends, its rope, where there is some, the points and tapes
        trunk_mm: bulkhead to the farthest device, as the builder reckons it [mm]; None = not told
    """
    return (_how_to(job, trunk_mm), _form(job))


def form_table(job: Job) -> Table:
    """Return the blank form as a table whose columns `take-in --rope` reads back."""
    return Table(tuple(Column(head) for head in FORM_COLUMNS), (RowGroup(_rows(job)),), "Measuring form")


def _rows(job: Job) -> tuple[Row, ...]:
    """Rows of every known point; where no rope is read yet, branch points come first."""
    rows = blank_form_rows(job)[1:]
    if any(run.readings for run in job.runs):
        return rows
    centre = tuple("centre" if head == "measured to" else "" for head in FORM_COLUMNS)
    at = FORM_COLUMNS.index("point")
    return (*((*centre[:at], name, *centre[at + 1 :]) for name in branch_names(job)), *rows)


def _form(job: Job) -> Sheet:
    widths = dict(WIDTHS_MM)
    columns = [
        Column(head, kind="blank", width_mm=widths[head])
        if head in widths
        else Column(head, bold=head == "point")
        for head in FORM_COLUMNS
    ]
    place = FORM_COLUMNS.index("near")
    columns.insert(place, VIA)
    rows = [(*row[:place], "", *row[place:]) for row in _rows(job)]
    rows += [("",) * len(columns)] * BLANK_ROWS
    blocks: list[Block] = [Paragraph(one) for one in FORM_NOTES]
    blocks.append(Table(tuple(columns), (RowGroup(tuple(rows)),)))
    return Sheet(FORM_KEY, "Measuring form", tuple(blocks), FORM_INTRO, landscape=True)


def _how_to(job: Job, trunk_mm: float | None) -> Sheet:
    columns = (Column("step", bold=True), Column("do"), Column("done", kind="tick"))
    table = Table(columns, (RowGroup(tuple((*one, None) for one in STEPS)),), note="[common practice]")
    blocks = (table, Heading("Rope to buy"), _rope(job, trunk_mm))
    return Sheet("rope-how-to", "Build and measure the rope", blocks, cautions=CAUTIONS)


def _rope(job: Job, trunk_mm: float | None) -> Table:
    """Rope by the rule of thickness by ends beyond; lengths only where the builder told one."""
    ends = sum(bool(plug.pins) for one in present(job) for plug in one.connectors)
    points = len(branch_names(job))
    looms = max(1, len(job.looms))
    told = (
        ("to one device", many(ends, "piece")),
        ("branch of two or three devices", f"about {many(points, 'piece')}"),
        ("bank of up to eight devices", ""),
        ("trunk", many(looms, "piece")),
    )
    trunk = "" if trunk_mm is None else f"{(trunk_mm + ROPE_OVER_MM) / 1000:.1f} m [{Mark.BUILDER}]"
    rows = tuple(
        (words, f"{mm:g}", f"{rope_for(mm).diameter_mm:g}", pieces, trunk if words == "trunk" else "")
        for (words, pieces), (_, mm) in zip(told, USUAL_ROPES, strict=True)
    )
    columns = (
        Column("for", bold=True),
        Column("usual thickness", unit="mm", align="right"),
        Column("buy", unit="mm", align="right"),
        Column("pieces"),
        Column("length", kind="blank", width_mm=40.0),
    )
    note = (
        f"Usual thickness {Source(Mark.PRACTICE)}, ends beyond and piece counts {Source(Mark.OURS)}; rope "
        "within 15 % of the finished section shows bends and room truly [common practice]."
    )
    return Table(columns, (RowGroup(rows),), note=note)
