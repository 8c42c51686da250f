"""Decode tables by the table of keys: sound values are kept, every fault becomes a finding."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from types import MappingProxyType
from typing import Final, cast

from loomwright.edits import Edit, Path, Value, Verb
from loomwright.findings import SHEETS, Finding, Place, Severity
from loomwright.jobfile.fitting import fits, mended, shown
from loomwright.jobfile.key_homes import homes_of
from loomwright.jobfile.keys import Form, Key
from loomwright.jobfile.toml_write import key_text, path_words
from loomwright.library.tables import nearest

IN_THE_JOB: Final = "A name that is used stands in the job."
LISTED: Final[Mapping[str, str]] = MappingProxyType(
    {
        "cable": "cables",
        "contact": "contacts",
        "device kind": "kinds",
        "face": "faces",
        "size of wire": "wires",
        "sleeve": "sleeves",
        "splice": "splices",
        "wire family": "wires",
    }
)
"""Lists of the command `stock` by what is named."""
LIKE_KEYS: Final = 0.75  # how much of a key has to be alike to be meant; ours
MOST_KEYS: Final = 12  # keys named in one remedy
_NO_TEXT: Final[tuple[str, ...]] = ()


class Notes:
    """Collects the findings of one reading; grows only while the file is read."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []

    def add(
        self,
        code: str,
        path: Path,
        what_is: str,
        should: str,
        remedy: str,
        severity: Severity = Severity.FAULT,
        *,
        mends: tuple[Edit, ...] = (),
        words: str = "",
        leaves_out: tuple[str, ...] = (),
        misses: tuple[str, ...] = (),
    ) -> None:
        """Add one finding at a key path; `words` replace the path's own words."""
        place = Place(words or path_words(path), path)
        sheets = SHEETS if severity is Severity.FAULT else ()  # what was left out may touch any of them
        self.findings.append(
            Finding(
                code,
                severity,
                place,
                what_is,
                should,
                remedy,
                sheets,
                group=what_is,
                mends=mends,
                leaves_out=leaves_out,
                misses=misses,
            )
        )

    def lost_with(self, path: Path, names: tuple[str, ...]) -> None:
        """Add names to the faults told at a key path: what is left out because of them."""
        for at, one in enumerate(self.findings):
            if one.place.path == path and one.severity is Severity.FAULT:
                self.findings[at] = replace(one, leaves_out=(*one.leaves_out, *names))

    def unknown(
        self,
        code: str,
        path: Path,
        what: str,
        name: str,
        known: Mapping[str, object],
        leaves_out: tuple[str, ...] = (),
    ) -> None:
        """Add the finding that a name is not known, with the nearest known ones."""
        like = nearest(name, known)
        if like:
            remedy = "Did you mean " + " or ".join(f'"{one}"' for one in like) + "?"
        elif known:
            some = ", ".join(list(known)[:6])
            remedy = f"Known are: {some}{' and more' if len(known) > 6 else ''}."
        else:
            remedy = f"None is known yet; write its table first, or take the {what} away."
        mends = (Edit(Verb.SET, path, like[0], f'"{name}" is not known'),) if len(like) == 1 else ()
        self.add(
            code,
            path,
            f'There is no {what} "{name}".',
            f"It is one that loomwright stock {LISTED[what]} lists." if what in LISTED else IN_THE_JOB,
            remedy,
            mends=mends,
            leaves_out=leaves_out,
            misses=(name,),
        )


@dataclass(frozen=True, slots=True)
class Entry:
    """One table whose values were checked against its keys; what was not sound is not in it."""

    name: str
    path: Path
    values: Mapping[str, object] = field(repr=False)

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def text(self, key: str, default: str = "") -> str:
        """Return a text, or the default where the key is left out."""
        return cast(str, self.values.get(key, default))

    def number(self, key: str) -> float | None:
        """Return a number, or None where the key is left out."""
        found = self.values.get(key)
        return None if found is None else float(cast(float, found))

    def some(self, key: str, default: float) -> float:
        """Return a number, or the default where the key is left out."""
        return float(cast(float, self.values.get(key, default)))

    def flag(self, key: str, default: bool = False) -> bool:
        """Return a flag, or the default where the key is left out."""
        return cast(bool, self.values.get(key, default))

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts."""
        return cast(tuple[str, ...], self.values.get(key, _NO_TEXT))

    def by_name(self, key: str) -> Mapping[str, str]:
        """Return texts by name."""
        return cast(Mapping[str, str], self.values.get(key, {}))

    def entry(self, key: str) -> "Entry | None":
        """Return the table below a key."""
        return cast("Entry | None", self.values.get(key))

    def entries(self, key: str) -> tuple["Entry", ...]:
        """Return the tables below a key, named or in a list."""
        return cast("tuple[Entry, ...]", self.values.get(key, ()))

    def mapping(self, key: str) -> Mapping[str, Value]:
        """Return lists by name as they stand."""
        return cast("Mapping[str, Value]", self.values.get(key, {}))

    def rows(self, key: str) -> list[Value]:
        """Return a list of rows as they stand."""
        return cast("list[Value]", self.values.get(key, []))


def entry_of(value: object, key: Key, path: Path, notes: Notes, name: str = "") -> Entry | None:
    """Return the checked table, or None (and a finding) where it is no table or misses a needed key."""
    if not isinstance(value, dict):
        _wrong(value, replace(key, form=Form.TABLE), path, notes)
        return None
    found: dict[str, object] = {}
    inner = key.inner
    for one, raw in value.items():
        known = inner.get(one)
        if known is None:
            _unknown_key(one, inner, (*path, one), notes)
            continue
        sound = _sound(raw, known, (*path, one), notes)
        if sound is not None:
            found[one] = sound
    entry = Entry(name, path, found)
    return entry if _whole(entry, key, value, notes) else None


def _whole(entry: Entry, key: Key, raw: Mapping[str, object], notes: Notes) -> bool:
    whole = True
    for one in key.keys:
        if one.needed and one.name not in entry.values:
            whole = False
            if one.name in raw:
                notes.lost_with((*entry.path, one.name), names_in(raw, entry.name))
            else:
                notes.add(
                    "FILE-05",
                    entry.path,
                    f"{path_words(entry.path)} has no {one.name}.",
                    f"It needs {one.name}: {one.should}.",
                    f"Add a line {one.name} = {one.sample}.",
                    leaves_out=names_in(raw, entry.name),
                    misses=(path_words(entry.path), path_words((*entry.path, one.name))),
                )
    return whole


def names_in(value: object, *more: str) -> tuple[str, ...]:
    """Return every text inside a value, and more names: what is left out together with it."""
    found = dict.fromkeys(one for one in more if one)
    waiting = [value]
    while waiting:
        one = waiting.pop()
        if isinstance(one, str) and one:
            found[one] = None
        elif isinstance(one, dict | list):
            waiting += one.values() if isinstance(one, dict) else one
    return tuple(found)


def _unknown_key(name: str, inner: Mapping[str, Key], path: Path, notes: Notes) -> None:
    like = tuple(get_close_matches(name.lower(), inner, 1, LIKE_KEYS))
    homes = () if like and _one_slip(name, like[0]) else homes_of(name)
    where = path_words(path[:-1])
    if homes:
        remedy = f"It belongs in {' or '.join(homes)}; is the head of its table missing above it?"
    elif like:
        remedy = f"Did you mean {like[0]}?"
    else:
        more = " and more, see docs/job-file.md" if len(inner) > MOST_KEYS else ""
        remedy = f"Take it out; known are: {', '.join(list(inner)[:MOST_KEYS])}{more}."
    mends = (Edit(Verb.RENAME, path, like[0], "unknown key"),) if like and not homes else ()
    alike = _alike(path, homes, like)
    lost = [path_words((*path[:-1], one)) for one in (*like, name)]
    lost += [f"{home.strip('[]')}.{name}" for home in homes]
    notes.add(
        "FILE-03",
        path,
        f"There is no key {name} in {where}; it is not used.",
        "A key stands in a table that knows it.",
        remedy,
        mends=mends,
        leaves_out=(*lost, *alike),
        misses=alike,
    )


def _alike(path: Path, homes: tuple[str, ...], like: tuple[str, ...]) -> tuple[str, ...]:
    """What ties unknown keys of one cause: all of one lost head, or one key in tables side by side."""
    found = [f"head of {home} in {path_words(path[:-1])}" for home in homes]
    beside = len(path) > 2 and not like
    return (*found, f"{path[-1]} in {path_words(path[:-2])}") if beside else tuple(found)


def _one_slip(a: str, b: str) -> bool:
    """Return whether a key differs from another by one letter more or less, or by letters swapped."""
    return sorted(a) == sorted(b) or (abs(len(a) - len(b)) <= 1 and len(set(a) ^ set(b)) <= 1)


def _wrong(value: object, key: Key, path: Path, notes: Notes) -> None:
    named = key_text(path[-2:] if key.form is Form.PIN else path[-1:])
    remedy, mend = mended(value, replace(key, name=named or key.name), path_words(path[:-1]))
    notes.add(
        "FILE-04",
        path,
        f"{path_words(path)} is {shown(value)}.",
        f"It should be {key.should}.",
        remedy,
        mends=() if mend is None else (Edit(Verb.SET, path, mend, f"{shown(value)} does not suit"),),
        leaves_out=names_in(value),
    )


def _sound(value: object, key: Key, path: Path, notes: Notes) -> object | None:
    """Return the checked value, or None after a finding."""
    if not fits(value, key):
        _wrong(value, key, path, notes)
        return None
    form = key.form
    if form is Form.TEXTS:
        return tuple(cast(list[str], value))
    if form is Form.TEXT_BY_NAME:
        return _texts_by_name(value, path, notes)
    if form is Form.TABLE:
        return entry_of(value, key, path, notes, key.name)
    if form is Form.NAMED:
        table = cast(dict[str, object], value)
        return _sound_only(entry_of(one, key, (*path, name), notes, name) for name, one in table.items())
    if form is Form.LIST:
        items = cast(list[object], value)
        return _sound_only(entry_of(one, key, (*path, at), notes) for at, one in enumerate(items))
    if form is Form.PIN_BY_NAME:
        return _cavities(cast(dict[str, object], value), key, path, notes)
    if form is Form.TEXTS_BY_NAME:
        return _tables_of_texts(cast(dict[str, object], value), path, notes)
    return value


def _sound_only(entries: Iterable[Entry | None]) -> tuple[Entry, ...]:
    return tuple(one for one in entries if one is not None)


def _texts_by_name(value: object, path: Path, notes: Notes) -> Mapping[str, str]:
    found = {}
    for name, one in cast(dict[str, object], value).items():
        if isinstance(one, str):
            found[name] = one
        else:
            _wrong(one, Key(name, Form.TEXT), (*path, name), notes)
    return found


def _cavities(value: Mapping[str, object], key: Key, path: Path, notes: Notes) -> tuple[Entry, ...]:
    found: list[Entry | None] = []
    for name, one in value.items():
        at = (*path, name)
        if isinstance(one, str):
            found.append(Entry(name, at, {"circuit": one}))
        elif isinstance(one, dict):
            found.append(entry_of(one, key, at, notes, name))
        else:
            _wrong(one, replace(key, form=Form.PIN), at, notes)
    return tuple(one for one in found if one is not None)


def _tables_of_texts(value: Mapping[str, object], path: Path, notes: Notes) -> tuple[Entry, ...]:
    found = []
    for name, one in value.items():
        at = (*path, name)
        if isinstance(one, dict):
            found.append(Entry(name, at, _texts_by_name(one, at, notes)))
        else:
            _wrong(one, Key(name, Form.TEXT_BY_NAME), at, notes)
    return tuple(found)
