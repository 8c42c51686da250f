"""The measured rope, built sections, what they pass and how they leave a point, from the checked tables."""

from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.edits import Path
from loomwright.errors import Unreadable
from loomwright.jobfile.exit_words import exit_words
from loomwright.jobfile.keys import MEASURED_TO
from loomwright.jobfile.read_table import Entry, Notes, names_in
from loomwright.jobfile.rope_rows import READING, beside_of, is_mm, parting_of, reading_of
from loomwright.jobfile.table_file import TableRow, number_in, table_of
from loomwright.jobfile.toml_write import path_words, quoted
from loomwright.model.rope import (
    Bend,
    BoardAngle,
    BuiltSection,
    Exit,
    Near,
    Passes,
    Reading,
    RopeRun,
    Tie,
)
from loomwright.model.words import HazardKind

ROPE_COLUMNS: Final[Mapping[str, tuple[str, ...]]] = {
    "point": ("branch point", "end", "to", "place"),
    "mm": ("running mm", "running distance", "distance", "running", "distance mm", "length"),
    "give": ("give or take", "give mm", "give or take mm", "+-", "tolerance"),
    "measured to": ("to what", "measured"),
}
_LOOM_SIGN: Final = "/"  # "engine/B1-B2": the section of that loom


@dataclass(frozen=True, slots=True)
class Ground:
    """What reading the rope leans on: names of ends and looms, and how to open a file beside the job."""

    ends: Container[str]
    looms: Mapping[str, object]
    opened: Callable[[str], bytes]


def _loom(entry: Entry, ground: Ground, notes: Notes, from_name: str = "") -> str | None:
    name = entry.text("loom", from_name)
    if name:
        if name in ground.looms:
            return name
        at = (*entry.path, "loom") if "loom" in entry else entry.path
        notes.unknown("FILE-07", at, "loom", name, ground.looms, leaves_out=_names(entry))
        return None
    if len(ground.looms) == 1:
        return next(iter(ground.looms))
    what = "There is no loom yet" if not ground.looms else "There are several looms"
    notes.add(
        "FILE-05",
        entry.path,
        f"{what}, and {path_words(entry.path)} does not say which it belongs to.",
        "It needs loom = the name of a [loom] table.",
        f"Add loom = {quoted(next(iter(ground.looms)))}, or another of its names."
        if ground.looms
        else "Write a [loom.NAME] table with its datum first.",
        leaves_out=_names(entry),
        misses=(path_words(entry.path), path_words((*entry.path, "loom"))),
    )
    return None


def _names(entry: Entry) -> tuple[str, ...]:
    """Return the points a table of the rope names: what is left out with it."""
    return names_in([*entry.rows("reads"), *entry.rows("parts")], entry.text("from"), *entry.name.split("-"))


def run_of(entry: Entry, ground: Ground, notes: Notes) -> RopeRun | None:
    """Return one tape; None (and a finding) where its loom can't be told."""
    loom = _loom(entry, ground, notes)
    if loom is None:
        return None
    reads = [
        reading_of(row, (*entry.path, "reads", at), ground.ends, notes)
        for at, row in enumerate(entry.rows("reads"))
    ]
    parts = [parting_of(row, (*entry.path, "parts", at), notes) for at, row in enumerate(entry.rows("parts"))]
    if "file" in entry:
        reads += _file_readings(entry, ground, notes)
    if not reads and not parts and not {"reads", "file"} & entry.values.keys():
        what = f"{path_words(entry.path)} has no readings."
        remedy = 'Add reads = [["B1", 320], ["B2", 690]] with your own points and mm, or file = "rope.csv".'
        missing = path_words((*entry.path, "reads"))
        notes.add("FILE-04", entry.path, what, READING.should, remedy, misses=(missing,))
    return RopeRun(
        name=entry.name,
        loom=loom,
        start=entry.text("from"),
        readings=tuple(one for one in reads if one),
        partings=tuple(one for one in parts if one),
        give_mm=entry.number("give_mm"),
        common_mm=entry.number("common_mm"),
        method=entry.text("method", "hand"),
        path=entry.path,
    )


def _file_readings(entry: Entry, ground: Ground, notes: Notes) -> list[Reading | None]:
    path = (*entry.path, "file")
    name = entry.text("file")
    try:
        table = table_of(name, ground.opened(name), ROPE_COLUMNS, ("point", "mm"))
    except Unreadable as fault:
        notes.add("FILE-10", path, fault.what_is, fault.should, fault.remedy, words=fault.file)
        return []
    return [_file_reading(row, name, path, ground, notes) for row in table.rows]


def _file_reading(row: TableRow, name: str, path: Path, ground: Ground, notes: Notes) -> Reading | None:
    point, mm, give = row["point"], number_in(row["mm"]), number_in(row["give"])
    to = row["measured to"].lower() or ("wire exit" if point in ground.ends else "centre")
    if not point or mm is None or not is_mm(mm) or (row["give"] and give is None) or to not in MEASURED_TO:
        notes.add(
            "FILE-10",
            path,
            f"Row {row.number} is no reading: {', '.join(one for one in row.cells.values() if one)}.",
            "It should hold a point and its running mm; give in mm and measured to may follow.",
            "Correct the row.",
            words=f"{name} row {row.number}",
        )
        return None
    return Reading(point, mm, to, give, path)


def section_run(entry: Entry, ground: Ground, notes: Notes) -> RopeRun | None:
    """Return a section measured by itself, as a run with one reading."""
    ends = _two_points(entry, ground, notes)
    if ends is None:
        return None
    loom, inner, outer = ends
    to = entry.text("measured_to", "wire exit" if outer in ground.ends else "centre")
    reading = Reading(outer, entry.some("mm", 0.0), to, entry.number("give_mm"), entry.path)
    method = entry.text("method", "hand")
    return RopeRun(f"section {inner}-{outer}", loom, inner, (reading,), (), None, None, method, entry.path)


def built_of(entry: Entry, ground: Ground, notes: Notes) -> BuiltSection | None:
    """Return a section as it will be built."""
    ends = _two_points(entry, ground, notes)
    if ends is None:
        return None
    loom, inner, outer = ends
    mm, give = entry.some("mm", 0.0), entry.number("give_mm")
    rows = [beside_of(row, (*entry.path, "beside", at), notes) for at, row in enumerate(entry.rows("beside"))]
    beside = tuple(one for one in rows if one) if "beside" in entry else None
    return BuiltSection(loom, inner, outer, mm, give, entry.text("reason"), entry.path, beside)


def board_angle_of(entry: Entry, ground: Ground, notes: Notes) -> BoardAngle | None:
    """Return a section's direction on the forming board as the builder fixed it."""
    ends = _two_points(entry, ground, notes)
    if ends is None:
        return None
    loom, inner, outer = ends
    angle = entry.some("angle_deg", 0.0) % 360.0
    return BoardAngle(loom, f"{inner}-{outer}", angle, entry.text("reason"), entry.path)


def _two_points(entry: Entry, ground: Ground, notes: Notes) -> tuple[str, str, str] | None:
    before, sign, after = entry.name.rpartition(_LOOM_SIGN)
    inner, dash, outer = after.partition("-")
    if not dash or not inner or not outer or inner == outer:
        notes.add(
            "FILE-08",
            entry.path,
            f'"{entry.name}" is no name of a section.',
            'It should be the inner and the outer point, "B1-B2".',
            "Write both points with a dash between.",
        )
        return None
    loom = _loom(entry, ground, notes, before if sign else "")
    return None if loom is None else (loom, inner, outer)


def passes_of(entry: Entry) -> Passes:
    """Return what a section passes."""
    return Passes(
        section=entry.name,
        path=entry.path,
        near=tuple(_near(one) for one in entry.entries("near")),
        bends=tuple(
            Bend(
                one.some("at_mm", 0.0),
                one.some("radius_mm", 0.0),
                one.some("angle_deg", 0.0),
                one.number("support_mm"),
                one.path,
            )
            for one in entry.entries("bends")
        ),
        ties=tuple(
            Tie(one.some("at_mm", 0.0), one.text("to"), one.path, one.text("what", "tie"))
            for one in entry.entries("ties")
        ),
        ties_noted="ties" in entry,
        via=entry.text("via"),
        area=entry.text("area"),
        air_c=entry.number("air_c"),
        covering=entry.text("covering"),
        sleeve=entry.text("sleeve"),
        lay=entry.text("lay"),
        measured_od_mm=entry.number("measured_od_mm"),
        loop_mm=entry.number("loop_mm"),
        photo=entry.text("photo"),
        twist_deg=entry.some("twist_deg", 0.0),
    )


def _near(entry: Entry) -> Near:
    return Near(
        kind=HazardKind(entry.text("what")),
        mm=entry.some("mm", 0.0),
        path=entry.path,
        at_mm=entry.number("at_mm"),
        over_mm=entry.number("over_mm"),
        shielded_by=entry.text("shielded_by"),
        crosses=entry.flag("crosses"),
        above=entry.flag("above"),
        temperature_c=entry.number("temperature_c"),
        words=entry.text("words"),
    )


def exits_of(entry: Entry, notes: Notes) -> list[Exit]:
    """Return how sections leave one point; words that say nothing are findings."""
    found = []
    for to, text in entry.values.items():
        words = exit_words(str(text))
        path = (*entry.path, to)
        if words is None:
            notes.add(
                "FILE-04",
                path,
                f'{path_words(path)} is "{text}".',
                "It should be one or two of up, down, left, right, front, back, or the clock, and a lean: "
                '"left up, outward" or "3 o\'clock".',
                f'Write how it leaves: {to} = "front", "left up" or the like.',
            )
        else:
            found.append(Exit(entry.name, to, *words, path))
    return found
