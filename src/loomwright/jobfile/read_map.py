"""The map of where a loom may run, from the checked tables."""

from collections.abc import Container, Iterable, Iterator, Mapping

from loomwright.edits import Path
from loomwright.jobfile.fitting import shown
from loomwright.jobfile.keys import MAP_BRANCH_MM, MAP_END_MM, MAP_EXITS, MOST_MM
from loomwright.jobfile.read_table import Entry, Notes
from loomwright.jobfile.toml_write import path_words
from loomwright.model.corridor import CorridorMap, MapLink, MapPart, MapPoint


def map_of(
    entry: Entry, looms: Mapping[str, object], ends: Container[str], circuits: Iterable[str], notes: Notes
) -> CorridorMap | None:
    """Return one map; None (and a finding) where its loom can't be told.

    Args:
        looms: by name
        ends: names of connectors
        circuits: names of circuits
    """
    loom = entry.text("loom")
    if not loom and len(looms) == 1:
        loom = next(iter(looms))
    if loom not in looms:
        at = (*entry.path, "loom") if "loom" in entry else entry.path
        if loom:
            notes.unknown("FILE-07", at, "loom", loom, looms)
        else:
            should = "It needs loom = the name of a [loom] table."
            notes.add("FILE-05", at, f"{path_words(at)} names no loom.", should, "Add loom = ...")
        return None
    parts = tuple(
        MapPart(one.name, one.some("price", 0.0), one.text("words"), one.path)
        for one in entry.entries("part")
    )
    links = tuple(_links(entry, {one.name for one in parts}, notes))
    points = tuple(_point(one, notes) for one in entry.entries("point"))
    return CorridorMap(
        name=entry.name,
        loom=loom,
        points=points,
        links=links,
        parts=parts,
        most_exits=int(entry.some("exits", MAP_EXITS.value)),
        branch_mm=entry.some("branch_mm", MAP_BRANCH_MM.value),
        end_mm=entry.some("end_mm", MAP_END_MM.value),
        apart=tuple(_apart(entry, set(circuits), notes)),
        path=entry.path,
    )


def _links(entry: Entry, parts: set[str], notes: Notes) -> Iterator[MapLink]:
    for one in entry.entries("link"):
        a, dash, b = one.name.partition("-")
        if not dash or not a or not b or a == b:
            what = f'"{one.name}" is no name of a link.'
            should = 'It should be two points, "B1-B2".'
            notes.add("FILE-08", one.path, what, should, "Write both points with a dash between.")
            continue
        needs = one.text("needs")
        if needs and needs not in parts:
            known = dict.fromkeys(sorted(parts))
            notes.unknown("FILE-07", (*one.path, "needs"), "part of the map", needs, known)
            continue
        yield MapLink(
            a,
            b,
            one.number("mm"),
            one.number("bore_mm"),
            one.number("air_c"),
            one.some("hazard", 0.0),
            one.flag("factory"),
            needs,
            one.flag("guess"),
            one.path,
        )


def _point(entry: Entry, notes: Notes) -> MapPoint:
    at: tuple[float, float, float] | None = None
    if "at" in entry:
        row = entry.rows("at")
        if len(row) == 3 and all(_number(one) for one in row):
            x, y, z = (float(str(one)) for one in row)
            at = (x, y, z)
        else:
            remedy = "Write three numbers in mm, right, front and up: at = [-250, 410, 90]"
            _fault((*entry.path, "at"), row, "no place", remedy, notes)
    tape = []
    for n, one in enumerate(entry.rows("tape")):
        if isinstance(one, list) and len(one) == 2 and isinstance(one[0], str) and _number(one[1]):
            tape.append((one[0], float(str(one[1]))))
        else:
            _fault((*entry.path, "tape", n), one, "no distance", 'Write ["B1", 640]: point, mm', notes)
    return MapPoint(entry.name, at, tuple(tape), entry.number("hole_mm"), entry.path)


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= MOST_MM


def _fault(path: Path, value: object, what: str, remedy: str, notes: Notes) -> None:
    should = "A point of the map has a place, distances by tape, or neither."
    notes.add("FILE-04", path, f"{path_words(path)} is {shown(value)}, {what}.", should, f"{remedy}.")


def _apart(entry: Entry, circuits: set[str], notes: Notes) -> Iterator[tuple[str, str]]:
    for n, row in enumerate(entry.rows("apart")):
        path = (*entry.path, "apart", n)
        pair = [one for one in row if isinstance(one, str)] if isinstance(row, list) else []
        if not isinstance(row, list) or len(row) != 2 or len(pair) != 2:
            should = "It should hold pairs of circuits."
            what, remedy = f"{path_words(path)} is {shown(row)}.", 'Write ["pump feed", "crank +"].'
            notes.add("FILE-04", path, what, should, remedy)
            continue
        lost = next((one for one in pair if one not in circuits), None)
        if lost is not None:
            notes.unknown("FILE-07", path, "circuit", lost, dict.fromkeys(sorted(circuits)))
            continue
        yield pair[0], pair[1]
