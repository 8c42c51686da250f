"""What is noted along sections, moved with the loom when its sections are cut and joined anew."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.edits import Edit, Path, Value, Verb
from loomwright.model.tree import Tree
from loomwright.planning.known import Known

PLACED: Final = ("near", "bends", "ties")
OF_ONE_PLACE: Final = ("measured_od_mm", "loop_mm", "photo")
_SLACK_MM: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of an old section, and the new one it lies on.

    Attributes:
        from_mm, to_mm: on the old section, from its inner end [mm]
        section: name of the new one
        offset_mm: added to a place on the old one to get the place on the new one [mm]
    """

    from_mm: float
    to_mm: float
    section: str
    offset_mm: float

    @property
    def mm(self) -> float:
        """Its length [mm]."""
        return self.to_mm - self.from_mm


def moved_notes(done: Known, tree: Tree, pieces: Mapping[str, tuple[Piece, ...]], reason: str) -> list[Edit]:
    """Return the edits that keep notes where they are on the loom.

    Args:
        done: the job worked out
        tree: the loom's tree before
        pieces: where old sections lie now, by name; those not named stay
        reason: for the edits
    """
    values = done.read.document.values
    found = _moved_passes(values, tree, pieces, reason)
    found += _moved_splices(done, tree, pieces, reason)
    found += _moved_angles(done, tree, pieces, reason)
    return found + _moved_exits(values, tree, pieces, reason)


def _moved_passes(
    values: Mapping[str, object], tree: Tree, pieces: Mapping[str, tuple[Piece, ...]], reason: str
) -> list[Edit]:
    held = values.get("passes", {})
    tables = held if isinstance(held, dict) else {}
    new: dict[str, dict[str, Value]] = {}
    touched: list[str] = []
    for name, table in tables.items():
        plain = name.partition("/")[2] if name.startswith(f"{tree.loom}/") else name
        if plain in pieces and plain in tree.by_name and isinstance(table, dict):
            touched.append(name)
            prefix = name[: len(name) - len(plain)]
            for piece, part in _shared_out(table, pieces[plain]):
                _joined(new.setdefault(prefix + piece.section, {}), part)
        elif _is_target(plain, pieces):
            _joined(new.setdefault(name, {}), table)
            touched.append(name)
    edits = [Edit(Verb.REMOVE, ("passes", name), None, reason) for name in touched if name not in new]
    changed = (item for item in new.items() if tables.get(item[0]) != item[1])
    return edits + [Edit(Verb.SET, ("passes", name), dict(table), reason) for name, table in changed]


def _is_target(name: str, pieces: Mapping[str, tuple[Piece, ...]]) -> bool:
    return name not in pieces and any(one.section == name for some in pieces.values() for one in some)


def _shared_out(
    table: Mapping[str, Value], pieces: tuple[Piece, ...]
) -> list[tuple[Piece, dict[str, Value]]]:
    """Share a table out: what has a place goes where it lies, the rest onto the longest pieces alike."""
    whole = {key: value for key, value in table.items() if key not in PLACED}
    longest = max(pieces, key=lambda one: one.mm)
    parts: dict[Piece, dict[str, Value]] = {one: {} for one in pieces}
    parts[longest].update(whole)
    for one in pieces:
        if one is not longest and one.section not in {p.section for p in pieces if p is not one}:
            parts[one].update({k: v for k, v in whole.items() if k not in OF_ONE_PLACE})
    for key in PLACED:
        rows = table.get(key)
        for row in rows if isinstance(rows, list) else ():
            if isinstance(row, dict):
                _place(parts, pieces, key, row)
        if isinstance(rows, list) and not rows:
            parts[longest][key] = []
    return [(one, part) for one, part in parts.items() if part]


def _place(
    parts: dict[Piece, dict[str, Value]], pieces: tuple[Piece, ...], key: str, row: dict[str, Value]
) -> None:
    at = row.get("at_mm")
    if not isinstance(at, int | float):
        for one in pieces:
            _listed(parts[one], key).append(dict(row))
        return
    piece = next((one for one in pieces if at <= one.to_mm + _SLACK_MM), pieces[-1])
    place = max(0.0, round(at + piece.offset_mm, 1))
    _listed(parts[piece], key).append({**row, "at_mm": int(place) if place == int(place) else place})


def _listed(table: dict[str, Value], key: str) -> list[Value]:
    found = table.setdefault(key, [])
    assert isinstance(found, list)
    return found


def _joined(table: dict[str, Value], more: Mapping[str, Value]) -> None:
    """Add what another table says; of two different words for one key the first stands."""
    for key, value in more.items():
        if key in PLACED and isinstance(value, list):
            rows = [*_listed(table, key), *(row for row in value if row not in _listed(table, key))]
            table[key] = sorted(rows, key=_place_of)
        else:
            table.setdefault(key, value)


def _place_of(row: Value) -> float:
    at = row.get("at_mm") if isinstance(row, dict) else None
    return float(at) if isinstance(at, int | float) else -1.0


def _moved_splices(
    done: Known, tree: Tree, pieces: Mapping[str, tuple[Piece, ...]], reason: str
) -> list[Edit]:
    """The splices whose place the builder fixed stay at their place on the loom."""
    edits = []
    for circuit in done.read.job.circuits:
        at = circuit.splice_at
        name = at.section.removeprefix(f"{tree.loom}/") if at else ""
        if at is None or name not in pieces or name not in tree.by_name:
            continue
        piece = next((one for one in pieces[name] if at.mm <= one.to_mm + _SLACK_MM), pieces[name][-1])
        prefix = at.section[: len(at.section) - len(name)]
        place: Value = {"section": prefix + piece.section, "mm": round(max(0.0, at.mm + piece.offset_mm), 1)}
        edits.append(Edit(Verb.SET, (*circuit.path, "splice_at"), place, reason))
    return edits


def _moved_angles(
    done: Known, tree: Tree, pieces: Mapping[str, tuple[Piece, ...]], reason: str
) -> list[Edit]:
    """A direction fixed on the board goes on with the longest piece of its section."""
    edits: list[Edit] = []
    taken = {one.section for one in done.read.job.board_angles if one.loom == tree.loom}
    for one in done.read.job.board_angles:
        if one.loom != tree.loom or one.section not in pieces or _still(pieces, one.section):
            continue
        longest = max(pieces[one.section], key=lambda piece: piece.mm).section
        prefix = f"{tree.loom}/" if "/" in str(one.path[-1]) else ""
        free = longest not in taken
        edits.append(
            Edit(Verb.RENAME if free else Verb.REMOVE, one.path, prefix + longest if free else None, reason)
        )
        taken.add(longest)
    return edits


def _moved_exits(
    values: Mapping[str, object], tree: Tree, pieces: Mapping[str, tuple[Piece, ...]], reason: str
) -> list[Edit]:
    """Exits of sections that leave another point now, or lead to another, stand at their new names."""
    held = values.get("exit", {})
    tables = held if isinstance(held, dict) else {}
    wanted: dict[Path, Value] = {}
    gone: list[Path] = []
    for name, some in pieces.items():
        old = tree.by_name.get(name)
        first = some[0].section.partition("-") if some else ("", "", "")
        last = some[-1].section.partition("-") if some else ("", "", "")
        if old is None or ((first[0], last[2]) == (old.inner, old.outer) and first == last):
            continue
        words = _words(tables, old.inner, old.outer)
        if words and not _still(pieces, name):
            gone.append(("exit", old.inner, old.outer))
            wanted.setdefault(("exit", first[0], first[2]), words)
        back = _words(tables, old.outer, old.inner)
        if back and not _still(pieces, name):
            gone.append(("exit", old.outer, old.inner))
    edits = [Edit(Verb.REMOVE, path, None, reason) for path in dict.fromkeys(gone)]
    fresh = (x for x in wanted.items() if not _words(tables, str(x[0][1]), str(x[0][2])))
    return edits + [Edit(Verb.SET, path, words, reason) for path, words in fresh]


def _still(pieces: Mapping[str, tuple[Piece, ...]], name: str) -> bool:
    """Whether a section of that name goes on being there."""
    return any(one.section == name for some in pieces.values() for one in some)


def _words(tables: Mapping[str, object], point: str, to: str) -> str:
    table = tables.get(point)
    found = table.get(to) if isinstance(table, dict) else None
    return found if isinstance(found, str) else ""
