"""The measuring form: its columns, the blank form, and reading one row of a filled one."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.edits import Value
from loomwright.jobfile.exit_words import exit_words
from loomwright.jobfile.keys import MEASURED_TO
from loomwright.jobfile.table_file import TableRow, number_in, plain
from loomwright.model.job import Job
from loomwright.model.words import DeviceState, HazardKind

FORM_COLUMNS: Final = (
    "tape",
    "from",
    "point",
    "running mm",
    "give",
    "measured to",
    "parts at",
    "exit",
    "near",
    "ties",
)
SPELLINGS: Final[Mapping[str, tuple[str, ...]]] = {
    "tape": ("run", "rope"),
    "from": ("start", "zero", "zero at"),
    "point": ("branch point", "end", "point or end", "to"),
    "running mm": ("mm", "running", "running distance", "running distance mm", "distance", "distance mm"),
    "give": ("give or take", "give or take mm", "give mm", "+-"),
    "measured to": ("to what", "measured"),
    "parts at": ("parts at mm", "parts"),
    "exit": ("leaves", "exit direction"),
    "near": ("hazards", "passes"),
    "ties": ("ties at", "ties mm"),
}
_NEAR: Final = re.compile(
    rf"({'|'.join(HazardKind)})\s+(\d+(?:[.,]\d+)?)(?:\s*mm)?(?:\s+at\s+(\d+(?:[.,]\d+)?))?(?:\s+behind\s+(.+))?",
    re.IGNORECASE,
)
_TIE: Final = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s*mm)?(?:\s+(.+))?")


@dataclass(frozen=True, slots=True)
class FormRow:
    """One filled row. `mm` is None where only exit, hazards or ties were noted.

    Attributes:
        parts_mm: where a co-run parts from the others [mm], None = it is no co-run
        near, ties: as they stand in the job file
    """

    number: int
    tape: str
    start: str
    point: str
    mm: float | None
    give_mm: float | None
    measured_to: str
    parts_mm: float | None
    exit: str
    near: tuple[Mapping[str, Value], ...]
    ties: tuple[Mapping[str, Value], ...]


def blank_form_rows(job: Job) -> tuple[tuple[str, ...], ...]:
    """Return the blank measuring form: headings, a row for every known point, then what no tape reaches yet.

    Points of a tape stand in its order. Only tape, start, point and what to measure to are filled.
    """
    rows = [FORM_COLUMNS]
    seen: set[str] = set()
    for run in job.runs:
        marks = [(one.mm, one.point, one.measured_to, "") for one in run.readings]
        marks += [(one.at_mm + one.more_mm, one.end, one.measured_to, "parts") for one in run.partings]
        for _, point, to, _ in sorted(marks):
            seen.add(point)
            rows.append((run.name, run.start, point, "", "", to, "", "", "", ""))
    for device in job.devices:
        if device.state is DeviceState.REMOVED:
            continue
        rows += [
            ("", "", one.end, "", "", "wire exit", "", "", "", "")
            for one in device.connectors
            if one.end not in seen and one.pins
        ]
    return tuple(rows)


def read_row(row: TableRow, default_to: str) -> FormRow | tuple[str, str] | None:
    """Return a filled row, None for an empty one, or (what is wrong, what to do).

    Args:
        row: one row of the table
        default_to: what the point is measured to where the row does not say
    """
    if not any(row[one] for one in ("running mm", "parts at", "exit", "near", "ties")):
        return None
    if not row["point"]:
        return "No point is named.", "Write the branch point or connector this row is about."
    numbers: dict[str, float | None] = {}
    for column in ("running mm", "give", "parts at"):
        number = number_in(row[column])
        if row[column] and (number is None or number < 0):
            return f'{column} is "{row[column]}".', "Write a number in mm."
        numbers[column] = number
    to = row["measured to"].lower() or default_to
    if to not in MEASURED_TO:
        return f'measured to is "{to}".', f"Write one of: {', '.join(MEASURED_TO)}."
    if row["exit"] and exit_words(row["exit"]) is None:
        return f'exit is "{row["exit"]}".', 'Write it like "left up, outward" or "3 o\'clock".'
    mm, parts = numbers["running mm"], numbers["parts at"]
    if parts is not None and (mm is None or parts > mm):
        return (
            f"It parts at {parts:g} mm, beyond its running mm.",
            "Running mm goes to the end, over the parting.",
        )
    near = _near(row["near"])
    if isinstance(near, str):
        return f'near is "{near}".', 'Write it like "hot part 90; brake line 25 at 300 behind bracket".'
    ties = _ties(row["ties"])
    if isinstance(ties, str):
        return f'ties is "{ties}".', 'Write it like "50 bracket; 300".'
    return FormRow(
        row.number,
        row["tape"],
        row["from"],
        row["point"],
        mm,
        numbers["give"],
        to,
        parts,
        row["exit"],
        near,
        ties,
    )


def _items(text: str) -> list[str]:
    return [part.strip() for part in text.split(";") if part.strip()]


def _mm(text: str) -> float:
    return float(text.replace(",", "."))


def _near(text: str) -> tuple[Mapping[str, Value], ...] | str:
    found: list[Mapping[str, Value]] = []
    for item in _items(text):
        match = _NEAR.fullmatch(item)
        if match is None:
            return item
        one: dict[str, Value] = {"what": match[1].lower(), "mm": plain(_mm(match[2]))}
        if match[3]:
            one["at_mm"] = plain(_mm(match[3]))
        if match[4]:
            one["shielded_by"] = match[4].strip()
        found.append(one)
    return tuple(found)


def _ties(text: str) -> tuple[Mapping[str, Value], ...] | str:
    found: list[Mapping[str, Value]] = []
    for item in _items(text):
        match = _TIE.fullmatch(item)
        if match is None:
            return item
        one: dict[str, Value] = {"at_mm": plain(_mm(match[1]))}
        if match[2]:
            one["to"] = match[2].strip()
        found.append(one)
    return tuple(found)
