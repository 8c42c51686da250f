"""`kept.toml`: numbers, splice places, colours, sizes and board angles once given, read and written."""

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Final, TypeVar

from loomwright.findings import Finding
from loomwright.jobfile.keys import FORMAT, KEPT
from loomwright.jobfile.read_table import Notes
from loomwright.jobfile.toml_text import read_text
from loomwright.jobfile.toml_write import path_words, quoted
from loomwright.model.circuit import LoomPlace
from loomwright.model.job import Kept

T = TypeVar("T")
KEPT_FILE: Final = "kept.toml"
_HEAD: Final = (
    "# Written by the program: what was chosen once and is kept. Numbers given here are never used again.\n"
    "# Keep this file with job.toml; without it labels already shrunk on may no longer match.\n"
)


@lru_cache(maxsize=8)
def read_kept(text: str) -> tuple[Kept, tuple[Finding, ...]]:
    """Return what is kept, and a finding for everything in the text that can't be taken; remembered.

    Args:
        text: the text of kept.toml
    """
    notes = Notes()
    document = read_text(text)
    for problem in document.problems:
        _fault((), problem.words, f"Line {problem.line}: {problem.remedy}", notes)
    values = document.values
    for name in values:
        if name not in KEPT and name != "format":
            _fault((name,), f"There is no key {name} in it.", "Take it away.", notes)
    kept = Kept(
        wire_numbers=_table(values, "wire_numbers", _whole, notes),
        splice_names=_table(values, "splice_names", _text, notes),
        splice_places=_table(values, "splice_places", _place, notes),
        colours=_table(values, "colours", _text, notes),
        sizes=_table(values, "sizes", _text, notes),
        board_angles=_table(values, "board_angles", _number, notes),
    )
    _doubled_numbers(kept, notes)
    return kept, tuple(notes.findings)


def _fault(path: tuple[str, ...], what: str, remedy: str, notes: Notes) -> None:
    should = "It should be as the program wrote it."
    words = f"{KEPT_FILE} {path_words(path)}" if path else KEPT_FILE
    notes.add("FILE-10", (), what, should, remedy, words=words)


def _doubled_numbers(kept: Kept, notes: Notes) -> None:
    first: dict[int, str] = {}
    for wire, number in kept.wire_numbers:
        if number in first:
            what = f'The number {number} was given to "{first[number]}" and to "{wire}".'
            _fault(("wire_numbers", wire), what, "Give one of them a number that was never used.", notes)
        first.setdefault(number, wire)


def _table(
    values: Mapping[str, object], name: str, decode: Callable[[object], T | None], notes: Notes
) -> tuple[tuple[str, T], ...]:
    table = values.get(name, {})
    if not isinstance(table, dict):
        _fault((name,), f"{name} is no table.", "Take it away.", notes)
        return ()
    found = []
    for key, raw in sorted(table.items()):
        value = decode(raw)
        if value is None:
            _fault((name, key), f"{raw!r} can't be taken.", "Correct it or take the line away.", notes)
        else:
            found.append((key, value))
    return tuple(found)


def _whole(raw: object) -> int | None:
    return raw if isinstance(raw, int) and not isinstance(raw, bool) and raw > 0 else None


def _text(raw: object) -> str | None:
    return raw if isinstance(raw, str) else None


def _number(raw: object) -> float | None:
    sound = isinstance(raw, int | float) and not isinstance(raw, bool) and abs(raw) < 1e9
    return float(raw) if sound and isinstance(raw, int | float) else None


def _place(raw: object) -> LoomPlace | None:
    if not isinstance(raw, dict) or set(raw) != {"section", "mm"}:
        return None
    section, mm = _text(raw["section"]), _number(raw["mm"])
    return None if section is None or mm is None else LoomPlace(section, mm)


def kept_text(kept: Kept) -> str:
    """Return the text of kept.toml: same values, same bytes; reading it gives the same values back."""
    parts = [f"{_HEAD}format = {FORMAT}\n"]
    for name in KEPT:
        items: tuple[tuple[str, object], ...] = getattr(kept, name)
        if items:
            lines = "".join(f"{quoted(key)} = {_written(value)}\n" for key, value in sorted(items))
            parts.append(f"[{name}]\n{lines}")
    return "\n".join(parts)


def _written(value: object) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, LoomPlace):
        return f"{{ section = {quoted(value.section)}, mm = {value.mm!r} }}"
    return repr(value)
