"""Take in a table of devices and cavities, or a controller's pin list: edits, and what they would change.

Nothing is written. Columns are told from their headings; every row ends as added, changed, already so,
left out or refused.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from loomwright.edits import Edit, Path, Value, Verb
from loomwright.errors import Unreadable
from loomwright.jobfile.read_names import NO_DEVICE_NAME
from loomwright.jobfile.table_file import Table, TableRow, number_in, plain, table_of
from loomwright.library.kinds import kinds
from loomwright.library.tables import nearest

SPELLINGS: Final[Mapping[str, tuple[str, ...]]] = {
    "device": ("component", "part", "item", "device name", "name"),
    "is": ("kind", "device kind", "type"),
    "connector": ("plug", "header", "conn"),
    "cavity": ("pin", "cav", "terminal", "position", "way", "pin no", "pin number", "no"),
    "circuit": ("function", "signal", "circuit name", "net", "use", "used for", "assignment"),
    "amps": ("current", "a", "amp", "current a", "amps a"),
    "duty": ("share of time on",),
    "words": ("description", "what it does", "note", "notes", "remark"),
    "size": ("wire size", "awg", "mm2"),
    "area": ("place", "location"),
    "face": ("connector face",),
}
_DEVICE_KEYS: Final = ("is", "area")
_PIN_KEYS: Final = ("amps", "duty", "words", "size")
_UNUSED: Final = ("", "-", "--", "n/c", "nc", "n.c.", "not used", "unused", "empty", "free", "spare pin")


class Outcome(StrEnum):
    """What becomes of a row."""

    ADDED = "added"
    CHANGED = "changed"
    SAME = "already so"
    REFUSED = "refused"
    EMPTY = "left out"  # the cavity is not used


@dataclass(frozen=True, slots=True)
class TakenRow:
    """One row of the table, what becomes of it and why."""

    row: int
    outcome: Outcome
    what: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What a table asks for."""

    edits: tuple[Edit, ...]
    rows: tuple[TakenRow, ...]

    def counted(self, outcome: Outcome) -> int:
        """Return how many rows ended so."""
        return sum(one.outcome is outcome for one in self.rows)


def take_in(
    values: Mapping[str, Value],
    file: str,
    raw: bytes,
    *,
    device: str = "",
    connector: str = "",
    is_: str = "",
) -> TakenIn:
    """Return the edits that bring a table into the job, and what becomes of every row.

    Args:
        values: the job file's values (`TomlDocument.values`)
        file: name of the table, .csv or .xlsx
        raw: its bytes
        device: device of rows that name none: a controller's pin list is about one device
        connector: connector of rows that name none, "" = the device's only one
        is_: kind of `device`, where it is new
    """
    needed = ("cavity", "circuit") if device else ("device",)
    try:
        table = table_of(file, raw, SPELLINGS, needed)
    except Unreadable as fault:
        words = " ".join(one for one in (fault.what_is, fault.should, fault.remedy) if one)
        return TakenIn((), (TakenRow(fault.line or 0, Outcome.REFUSED, file, words),))
    work = _TakeIn(values, table)
    if device and is_:
        work.device_key(device, "is", is_)
    for row in table.rows:
        work.row(row, row["device"] or device, row["connector"] or connector)
    return TakenIn(tuple(work.edits), tuple(work.rows))


class _TakeIn:
    """Gathers edits and outcomes while the rows are gone through."""

    def __init__(self, values: Mapping[str, Value], table: Table) -> None:
        found = values.get("device", {})
        self.devices: Mapping[str, Value] = found if isinstance(found, dict) else {}
        self.edits: list[Edit] = []
        self.rows: list[TakenRow] = []
        self.reason = f"taken in from {table.name}"
        self.given: dict[Path, str] = {}
        self.before = ""

    def row(self, row: TableRow, device: str, connector: str) -> None:
        """Take one row in; a row that names no device goes on with the one above it.

        A rope end in the column of devices, "ECU.A", is device and connector.
        """
        device = device or self.before
        self.before = device
        if "." in device and not connector:
            device, _, connector = device.partition(".")
        cavity, circuit = row["cavity"], row["circuit"]
        what = f"{device}{'.' + connector if connector else ''}{':' + cavity if cavity else ''}"
        refused = self._refusal(row, device, connector)
        if refused:
            self.rows.append(TakenRow(row.number, Outcome.REFUSED, what or "?", refused))
            return
        outcomes = [self.device_key(device, key, row[key]) for key in _DEVICE_KEYS if row[key]]
        base: Path = ("device", device, "connector", connector) if connector else ("device", device)
        if row["face"]:
            outcomes.append(self._set((*base, "face"), row["face"]))
        if cavity and circuit.lower() not in _UNUSED:
            outcomes.append(self._pin((*base, "cavity", cavity), row))
        elif cavity and not outcomes:
            self.rows.append(TakenRow(row.number, Outcome.EMPTY, what, "the cavity is not used"))
            return
        outcome = next((one for one in (Outcome.CHANGED, Outcome.ADDED) if one in outcomes), Outcome.SAME)
        self.rows.append(TakenRow(row.number, outcome, what, circuit))

    def _refusal(self, row: TableRow, device: str, connector: str) -> str:
        """Return why a row can't be taken in, "" = it can."""
        if not device:
            return "no device is named, here or above"
        for what, name in (("device", device), ("connector", connector)):
            if NO_DEVICE_NAME.search(name):
                return f'"{name}" is no name of a {what}: write it without spaces and - . : | /'
        if row["is"] and row["is"] not in kinds():
            like = nearest(row["is"], kinds())
            return f'there is no device kind "{row["is"]}"' + (
                f"; did you mean {' or '.join(like)}" if like else ""
            )
        circuit = row["circuit"]
        if circuit and circuit.lower() not in _UNUSED and not row["cavity"]:
            return f'the circuit "{circuit}" stands without a cavity'
        if re.search(r"[|/\n]", circuit) and circuit.lower() not in _UNUSED:
            return f'"{circuit}" is no name of a circuit: write it without | and /'
        return self._bad_number(row) or self._twice(device, connector, row["cavity"], circuit)

    def _bad_number(self, row: TableRow) -> str:
        for key in ("amps", "duty"):
            number = number_in(row[key])
            if row[key] and (number is None or number < 0 or (key == "duty" and number > 1)):
                return (
                    f'{key} is "{row[key]}"; it should be a number{" up to 1" if key == "duty" else " in A"}'
                )
        return ""

    def _twice(self, device: str, connector: str, cavity: str, circuit: str) -> str:
        if not cavity:
            return ""
        path: Path = (device, connector, cavity)
        first = self.given.setdefault(path, circuit)
        return (
            ""
            if first == circuit
            else f'the cavity was given to "{first}" further up; a cavity takes one circuit'
        )

    def device_key(self, device: str, key: str, text: str) -> Outcome:
        """Set one key of a device."""
        return self._set(("device", device, key), text)

    def _held(self, path: Path) -> Value | None:
        """Return what the job, with the edits so far, holds at a path below `device`."""
        done = next((one.value for one in reversed(self.edits) if one.path == path), None)
        if done is not None:
            return done
        held: object = self.devices
        for name in path[1:]:
            if not isinstance(held, dict) or name not in held:
                return None
            held = held[name]
        return held  # type: ignore[return-value]

    def _set(self, path: Path, value: Value) -> Outcome:
        held = self._held(path)
        if held == value:
            return Outcome.SAME
        self.edits.append(Edit(Verb.SET, path, value, self.reason))
        return Outcome.ADDED if held is None else Outcome.CHANGED

    def _pin(self, path: Path, row: TableRow) -> Outcome:
        more: dict[str, Value] = {}
        for key in _PIN_KEYS:
            number = number_in(row[key]) if key in ("amps", "duty") else None
            if row[key]:
                more[key] = row[key] if number is None else plain(number)
        held = self._held(path)
        if held is None or isinstance(held, str):
            return self._set(path, {"circuit": row["circuit"], **more} if more else row["circuit"])
        now = {**held, "circuit": row["circuit"], **more} if isinstance(held, dict) else row["circuit"]
        return self._set(path, now)
