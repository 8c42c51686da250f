"""The chosen plan from its checked table."""

from loomwright.edits import Path
from loomwright.jobfile.read_table import Entry, Notes
from loomwright.model.plan import ChosenPlan, PlanRow

COLUMNS = 10


def plan_of(entry: Entry, notes: Notes) -> ChosenPlan:
    """Return the chosen plan; a row that can't be read is left out, with a finding.

    Args:
        entry: the [plan] table
        notes: takes the findings
    """
    rows = (_row(row, (*entry.path, "priced", at), notes) for at, row in enumerate(entry.rows("priced")))
    found = tuple(row for row in rows if row is not None)
    return ChosenPlan(entry.text("chosen"), entry.text("reason"), found, entry.path)


def _row(row: object, path: Path, notes: Notes) -> PlanRow | None:
    if isinstance(row, list) and len(row) == COLUMNS and isinstance(row[0], str):
        numbers = [
            float(one) for one in row[1:] if isinstance(one, int | float) and not isinstance(one, bool)
        ]
        if len(numbers) == COLUMNS - 1 and all(abs(one) < 1e12 for one in numbers):
            points, wire, sheath, pieces, ties, hours, copper, mass, money = numbers
            whole = (int(points), int(pieces), int(ties))
            return PlanRow(row[0], whole[0], wire, sheath, whole[1], whole[2], hours, copper, mass, money)
    notes.add(
        "FILE-04",
        path,
        "A row of the plan can't be read.",
        "It is a name and nine numbers, as the plan command wrote it.",
        "Take the row away, or choose the plan again.",
    )
    return None
