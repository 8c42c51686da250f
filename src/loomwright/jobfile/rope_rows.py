"""Rows of rope tables: readings, where ends part, what runs beside what; a faulty row is shown mended."""

import re
from collections.abc import Container
from dataclasses import dataclass
from typing import Final

from loomwright.edits import Path
from loomwright.jobfile.fitting import shown
from loomwright.jobfile.keys import MEASURED_TO, MOST_MM
from loomwright.jobfile.read_table import Notes, names_in
from loomwright.jobfile.table_file import number_in, plain
from loomwright.jobfile.toml_write import path_words, quoted, written
from loomwright.model.rope import Parting, Reading

_BOTH: Final = re.compile(r"(.*[^\s,:=])[\s,:=]+([0-9]{1,6}(?:[.,][0-9]+)?)")


@dataclass(frozen=True, slots=True)
class RowForm:
    """How a row has to look.

    Attributes:
        first: what its text names
        numbers: what its numbers are, each in mm
        sample: a text to show where the row has none
        whole: nothing may follow
    """

    first: str
    numbers: tuple[str, ...]
    sample: str
    whole: bool = False

    @property
    def should(self) -> str:
        """What a row should be, a sentence."""
        numbers = " and ".join(f"{one} as a bare number of mm" for one in self.numbers)
        more = "" if self.whole else "; give or take in mm and what was measured to may follow"
        return f"A row has {self.first} in quotes, then {numbers}{more}."


READING: Final = RowForm("a point", ("its running distance",), "B1")
PARTING: Final = RowForm("an end", ("the distance where it parts", "what is left to the end"), "INJ1")
BESIDE: Final = RowForm("a section", ("how far it runs beside it",), "B1-B2", whole=True)


def is_mm(value: object) -> bool:
    """Return whether a value is a length a rope can have."""
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= MOST_MM


def sound_row(row: object, form: RowForm, path: Path, notes: Notes) -> list[object] | None:
    """Return a row that has its form, or None after a finding that shows it mended."""
    fault = _fault(row, form)
    if not fault:
        return row if isinstance(row, list) else None
    what = f"{path_words(path)} is {shown(row)}: {fault}."
    remedy = f"Write {_mended(row, form)}."
    notes.add("FILE-04", path, what, form.should, remedy, leaves_out=names_in(row))
    return None


def _fault(row: object, form: RowForm) -> str:
    """Return what is wrong with a row, "" = nothing."""
    if not isinstance(row, list):
        return "no row in brackets of its own"
    if len(row) == 1 and isinstance(row[0], list):
        return "it has one pair of brackets too many"
    if not row or not isinstance(row[0], str) or not row[0]:
        return f"{form.first} in quotes does not come first"
    for at, name in enumerate(form.numbers, 1):
        if at >= len(row):
            return f"{name} is missing"
        if not is_mm(row[at]):
            return f"{name} {_no_length(row[at])}"
    return "more follows than belongs there" if form.whole and len(row) > 1 + len(form.numbers) else ""


def _no_length(value: object) -> str:
    if isinstance(value, str):
        return "stands in quotes" if number_in(value) is not None else "is a text"
    if isinstance(value, int | float) and not isinstance(value, bool):
        return "is below 0" if value < 0 else f"is no length of a rope (at most {MOST_MM:.0f} mm)"
    return "is no number"


def _mended(row: object, form: RowForm) -> str:
    """Return the row as it should stand, with the builder's own names and numbers as far as they go."""
    while isinstance(row, list) and len(row) == 1 and isinstance(row[0], list):
        row = row[0]
    cells = row if isinstance(row, list) else [row]
    texts: list[str] = []
    numbers: list[str] = []
    to: list[str] = []
    for one in _parted(cells):
        number = number_in(one) if isinstance(one, str) else one
        if is_mm(number) and isinstance(number, int | float):
            numbers.append(written(plain(float(number))))
        elif isinstance(one, str) and one:
            (to if one in MEASURED_TO else texts).append(quoted(one))
    first = texts[0] if texts else quoted(form.sample)
    shown = [*numbers[: len(form.numbers)], *["mm"] * (len(form.numbers) - len(numbers))]
    if "mm" in shown:
        return f"[{', '.join((first, *shown))}] with its mm for mm"
    rest = () if form.whole else (*texts[1:2], *numbers[len(form.numbers) :][:1], *to[:1])
    return f"[{', '.join((first, *shown, *rest))}]"


def _parted(cells: list[object]) -> list[object]:
    """Return the cells, a text with its number in one, "B1 300", taken apart."""
    found: list[object] = []
    for one in cells:
        both = _BOTH.fullmatch(one) if isinstance(one, str) else None
        found += [both[1], both[2]] if both else [one]
    return found


def reading_of(row: object, path: Path, ends: Container[str], notes: Notes) -> Reading | None:
    """Return one reading of a tape, or None after a finding."""
    cells = sound_row(row, READING, path, notes)
    if cells is None:
        return None
    rest = cells[2:]
    give = next((one for one in rest if is_mm(one)), None)
    to = next((one for one in rest if one in MEASURED_TO), None)
    odd = [one for one in rest if one is not give and one is not to]
    if odd:
        may = " or ".join(f'"{one}"' for one in MEASURED_TO)
        what = f"{path_words(path)} is {shown(row)}: {shown(odd[0])} can't be used."
        remedy = f"Write it without, or with what it was measured to: {may}."
        notes.add("FILE-04", path, what, READING.should, remedy)
    point, mm = str(cells[0]), float(str(cells[1]))
    default = "wire exit" if point in ends else "centre"
    return Reading(point, mm, str(to or default), None if give is None else float(str(give)), path)


def parting_of(row: object, path: Path, notes: Notes) -> Parting | None:
    """Return where one end parts from a tape, or None after a finding."""
    cells = sound_row(row, PARTING, path, notes)
    if cells is None:
        return None
    rest = cells[3:]
    give = next((float(str(one)) for one in rest if is_mm(one)), None)
    to = next((str(one) for one in rest if one in MEASURED_TO), "wire exit")
    start = next((one for one in rest if isinstance(one, str) and one not in MEASURED_TO), "")
    return Parting(str(cells[0]), float(str(cells[1])), float(str(cells[2])), to, give, start, path)


def beside_of(row: object, path: Path, notes: Notes) -> tuple[str, float] | None:
    """Return what a section runs beside and how far, or None after a finding."""
    cells = sound_row(row, BESIDE, path, notes)
    return None if cells is None else (str(cells[0]), float(str(cells[1])))
