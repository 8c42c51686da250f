"""Rope readings from a table or a filled measuring form: edits, and what they would change.

Nothing is written, and the tree to be built ([build] tables) is never touched. Readings of a tape that the
table does not mention stay.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import PurePath

from loomwright.edits import Edit, Path, Value, Verb
from loomwright.errors import Unreadable
from loomwright.jobfile.exit_words import exit_words
from loomwright.jobfile.table_file import plain, table_of
from loomwright.mockup.form import SPELLINGS, FormRow, read_row
from loomwright.mockup.trees import trees
from loomwright.model.job import Job
from loomwright.model.rope import Near, Parting, Passes, Reading, RopeRun
from loomwright.model.tree import Section


@dataclass(frozen=True, slots=True)
class CaptureDifference:
    """What the captured table says other than the job.

    Attributes:
        place: "rope trunk, B1"
        before: what the job says, "" = nothing
        after: what the table says
        difference_mm: after less before, where both are lengths [mm]
    """

    place: str
    path: Path
    before: str
    after: str
    difference_mm: float | None = None


@dataclass(frozen=True, slots=True)
class CaptureProblem:
    """A row that was left out, and why."""

    file: str
    row: int
    what_is: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Captured:
    """What a captured table asks for."""

    edits: tuple[Edit, ...]
    differences: tuple[CaptureDifference, ...]
    problems: tuple[CaptureProblem, ...]


def capture(
    job: Job, file: str, raw: bytes, *, tape: str = "", start: str = "", method: str = "form"
) -> Captured:
    """Return the edits that bring a table of readings into the job.

    Args:
        job: the job as it stands
        file: name of the table, .csv or .xlsx
        raw: its bytes
        tape: tape of rows that name none; "" = the file's name
        start: where the tape's zero lies, for rows that name no start; "" = as in the job, else the datum
        method: "hand", "tape", "photo", "form" or "drawing", for tapes that are new
    """
    try:
        table = table_of(file, raw, SPELLINGS, ("point", "running mm"))
    except Unreadable as fault:
        problem = CaptureProblem(
            file, fault.line or 0, f"{fault.what_is} {fault.should}".strip(), fault.remedy
        )
        return Captured((), (), (problem,))
    work = _Capture(job, file, method)
    tape = tape or PurePath(file).stem
    for row in table.rows:
        known = row["point"] in job.connector
        found = read_row(row, "wire exit" if known else "centre")
        if isinstance(found, FormRow):
            work.rows.setdefault(found.tape or tape, []).append(replace(found, start=found.start or start))
        elif found is not None:
            work.problems.append(CaptureProblem(file, row.number, *found))
    for name, rows in work.rows.items():
        work.tape(name, rows)
    return Captured(tuple(work.edits), tuple(work.differences), tuple(work.problems))


class _Capture:
    """Gathers edits, differences and problems while the rows are gone through."""

    def __init__(self, job: Job, file: str, method: str) -> None:
        self.job, self.file, self.method = job, file, method
        self.rows: dict[str, list[FormRow]] = {}
        self.edits: list[Edit] = []
        self.differences: list[CaptureDifference] = []
        self.problems: list[CaptureProblem] = []
        self.runs = {run.name: run for run in job.runs}
        self.sections: dict[frozenset[str], Section] = {
            frozenset((one.inner, one.outer)): one for tree in trees(job)[0] for one in tree.sections
        }

    def problem(self, row: int, what: str, remedy: str) -> None:
        self.problems.append(CaptureProblem(self.file, row, what, remedy))

    def set(self, path: Path, value: Value, reason: str = "") -> None:
        self.edits.append(Edit(Verb.SET, path, value, reason or f"captured from {self.file}"))

    def tape(self, name: str, rows: list[FormRow]) -> None:
        """Bring the rows of one tape in."""
        run = self.runs.get(name) or self._new_run(name, rows)
        if run is None:
            return
        if any(one.path[-1:] == ("file",) for one in run.readings):
            what = f"The readings of {name} stand in a file of their own."
            self.problem(rows[0].number, what, "Replace that file, or name another tape.")
            return
        reads = {one.point: one for one in run.readings}
        parts = {one.end: one for one in run.partings}
        for row in self._once(rows):
            self._row(row, run, reads, parts)
        if run.path[0] == "section" and (len(reads) != 1 or parts):
            what = f"{name} is measured by itself and has one length only."
            self.problem(rows[0].number, what, "Name another tape for the other points.")
        elif self._readings_changed(run, reads, parts):
            self._write(run, name, reads, parts)
        self._noted(run, rows, reads, parts)

    def _once(self, rows: list[FormRow]) -> list[FormRow]:
        """Return the measured rows, each point once."""
        found: dict[str, FormRow] = {}
        for row in rows:
            if row.mm is None:
                continue
            if row.point in found:
                what = f"{row.point} stands in row {found[row.point].number}, too; that row is taken."
                self.problem(row.number, what, "Keep one of them.")
            else:
                found[row.point] = row
        return list(found.values())

    def _new_run(self, name: str, rows: list[FormRow]) -> RopeRun | None:
        looms = self.job.looms
        start = next((row.start for row in rows if row.start), "") or (
            looms[0].datum if len(looms) == 1 else ""
        )
        loom = next(
            (one.name for one in looms if one.datum == start), looms[0].name if len(looms) == 1 else ""
        )
        if not start or not loom:
            what = f"The tape {name} is new, and the table does not say where its zero lies."
            self.problem(rows[0].number, what, 'Fill the column "from".')
            return None
        return RopeRun(name, loom, start, (), (), None, None, self.method, ("rope", name))

    def _row(self, row: FormRow, run: RopeRun, reads: dict[str, Reading], parts: dict[str, Parting]) -> None:
        mm = row.mm or 0.0
        old_read, old_part = reads.get(row.point), parts.get(row.point)
        if old_part and row.parts_mm is None and old_part.at_mm <= mm:  # measured anew, parting as before
            row = replace(row, parts_mm=old_part.at_mm)
        before = old_read.mm if old_read else (old_part.at_mm + old_part.more_mm if old_part else None)
        if before != mm or (old_part.at_mm if old_part else None) != row.parts_mm:
            place, path = f"rope {run.name}, {row.point}", ("rope", run.name)
            was = (
                ""
                if before is None
                else f"{before:g}" + (f", parts at {old_part.at_mm:g}" if old_part else "")
            )
            now = f"{mm:g}" + ("" if row.parts_mm is None else f", parts at {row.parts_mm:g}")
            difference = None if before is None else mm - before
            self.differences.append(CaptureDifference(place, path, was, now, difference))
        old = old_read or old_part
        give = row.give_mm if row.give_mm is not None else (old.give_mm if old else None)
        if row.parts_mm is None:
            parts.pop(row.point, None)
            reads[row.point] = Reading(row.point, mm, row.measured_to, give, run.path)
        else:
            reads.pop(row.point, None)
            beyond, begun = mm - row.parts_mm, old_part.start if old_part else ""
            parts[row.point] = Parting(
                row.point, row.parts_mm, beyond, row.measured_to, give, begun, run.path
            )

    def _readings_changed(self, run: RopeRun, reads: dict[str, Reading], parts: dict[str, Parting]) -> bool:
        same_reads = [_read_value(one) for one in run.readings] == [
            _read_value(one) for one in _ordered(reads)
        ]
        same_parts = [_part_value(one) for one in run.partings] == [
            _part_value(one) for one in parts.values()
        ]
        return not (same_reads and same_parts)

    def _write(self, run: RopeRun, name: str, reads: dict[str, Reading], parts: dict[str, Parting]) -> None:
        path: Path = ("rope", name)
        if name not in self.runs:
            if len(self.job.looms) > 1:
                self.set((*path, "loom"), run.loom)
            self.set((*path, "from"), run.start)
            self.set((*path, "method"), run.method)
        if run.path[0] == "section":
            (one,) = reads.values()
            self.set((*run.path, "mm"), plain(one.mm))
            if one.give_mm is not None:
                self.set((*run.path, "give_mm"), plain(one.give_mm))
            return
        self.set((*path, "reads"), [_read_value(one) for one in _ordered(reads)])
        if parts or run.partings:
            self.set((*path, "parts"), [_part_value(one) for one in parts.values()])

    def _noted(
        self, run: RopeRun, rows: list[FormRow], reads: Mapping[str, Reading], parts: Mapping[str, Parting]
    ) -> None:
        """Bring in exits, hazards and ties of the section each row's point is the outer end of."""
        for row in rows:
            if not (row.exit or row.near or row.ties):
                continue
            before = self._point_before(row.point, run, reads, parts)
            if before is None:
                what = f"{row.point} has no running mm here, and tape {run.name} does not know it."
                self.problem(row.number, what, "Measure it first.")
                continue
            if row.exit:
                self._exit(before, row)
            self._passes(before, row)

    def _point_before(
        self, point: str, run: RopeRun, reads: Mapping[str, Reading], parts: Mapping[str, Parting]
    ) -> str | None:
        part = parts.get(point)
        if part is None and point not in reads:
            return None
        at = part.at_mm if part else reads[point].mm
        chain = [one for one in _ordered(reads) if one.point not in self.job.connector and one.point != point]
        before = [one.point for one in chain if one.mm <= at]
        return (part.start if part and part.start else None) or (before[-1] if before else run.start)

    def _exit(self, before: str, row: FormRow) -> None:
        path: Path = ("exit", before, row.point)
        old = next((one for one in self.job.exits if (one.point, one.to) == (before, row.point)), None)
        new = exit_words(row.exit)
        if old is None or (old.axes, old.lean) != new:
            was = f"{' '.join(old.axes)}, {old.lean}" if old else ""
            self.differences.append(CaptureDifference(f"exit {before} to {row.point}", path, was, row.exit))
            self.set(path, row.exit, f"captured from {self.file} row {row.number}")

    def _passes(self, before: str, row: FormRow) -> None:
        known = self.sections.get(frozenset((before, row.point)))
        turned = known is not None and known.inner != before
        name = known.name if known else f"{before}-{row.point}"
        if turned and known and (row.ties or any("at_mm" in one for one in row.near)):
            ties = tuple(_turned(one, known.length_mm) for one in row.ties)
            near = tuple(_turned(one, known.length_mm) for one in row.near)
            row = replace(row, ties=ties, near=near)
        old = next((one for one in self.job.passes if one.section == name), Passes(name, ("passes", name)))
        self._near(old, row)
        self._ties(old, row)

    def _near(self, old: Passes, row: FormRow) -> None:
        now = [dict(one) for one in row.near]
        kinds = {one["what"] for one in now}
        was = [_near_value(one) for one in old.near]
        if not now or all(one in was for one in now):
            return
        path: Path = ("passes", old.section, "near")
        before = "; ".join(f"{one['what']} {one['mm']}" for one in was)
        after = "; ".join(f"{one['what']} {one['mm']}" for one in now)
        self.differences.append(CaptureDifference(f"{old.section} near", path, before, after))
        kept = [one for one in was if one["what"] not in kinds]
        self.set(path, [*kept, *now], f"captured from {self.file} row {row.number}")

    def _ties(self, old: Passes, row: FormRow) -> None:
        was: list[dict[str, Value]] = []
        for tie in old.ties:
            one: dict[str, Value] = {"at_mm": plain(tie.at_mm)}
            if tie.to:
                one["to"] = tie.to
            was.append(one)
        now = [dict(one) for one in row.ties]
        if not now or now == was:
            return
        path: Path = ("passes", old.section, "ties")
        before, after = (
            "; ".join(f"{t['at_mm']} {t.get('to', '')}".strip() for t in ties) for ties in (was, now)
        )
        self.differences.append(CaptureDifference(f"{old.section} ties", path, before, after))
        self.set(path, [*now], f"captured from {self.file} row {row.number}")


def _ordered(reads: Mapping[str, Reading]) -> list[Reading]:
    return sorted(reads.values(), key=lambda one: one.mm)


def _read_value(one: Reading) -> Value:
    value: list[Value] = [one.point, plain(one.mm)]
    if one.give_mm is not None:
        value.append(plain(one.give_mm))
    if one.measured_to != "centre":
        value.append(one.measured_to)
    return value


def _part_value(one: Parting) -> Value:
    value: list[Value] = [one.end, plain(one.at_mm), plain(one.more_mm)]
    if one.give_mm is not None:
        value.append(plain(one.give_mm))
    value += [word for word in (one.start, one.measured_to) if word and word != "wire exit"]
    return value


def _near_value(one: Near) -> dict[str, Value]:
    value: dict[str, Value] = {"what": one.kind.value, "mm": plain(one.mm)}
    for key, number in (("at_mm", one.at_mm), ("over_mm", one.over_mm), ("temperature_c", one.temperature_c)):
        if number is not None:
            value[key] = plain(number)
    value |= {key: text for key, text in (("shielded_by", one.shielded_by), ("words", one.words)) if text}
    value |= {key: True for key, flag in (("crosses", one.crosses), ("above", one.above)) if flag}
    return value


def _turned(one: Mapping[str, Value], length_mm: float) -> Mapping[str, Value]:
    at = one.get("at_mm")
    return {**one, "at_mm": plain(max(0.0, length_mm - at))} if isinstance(at, int | float) else one
