"""Tell what every pin is for: from the job, from its device kind, else from the rest of its circuit."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.edits import Path
from loomwright.findings import Severity
from loomwright.jobfile.read_table import Entry, Notes
from loomwright.jobfile.toml_write import path_words
from loomwright.library.kinds import KindCavity
from loomwright.model.circuit import Cable, Protection
from loomwright.model.device import Pin
from loomwright.model.words import CircuitKind, Side
from loomwright.sources import OURS, Mark, Source

PRECEDENCE: Final = (
    CircuitKind.BUS,
    CircuitKind.SENSOR_GROUND,
    CircuitKind.SENSOR_SUPPLY,
    CircuitKind.DRAIN,
    CircuitKind.DRIVE,
    CircuitKind.FEED,
    CircuitKind.POWER_GROUND,
    CircuitKind.CHASSIS,
    CircuitKind.SIGNAL,
    CircuitKind.SPARE,
)
"""Which kind a circuit takes when its pins name several: the one that asks for most care is first (ours)."""

_HOME: Final = "ground"  # family that is the home of a ground
_NO_CAVITY: Final = re.compile(r"[:|/\n]")
_NO_SIDE: Final = (CircuitKind.BUS, CircuitKind.SPARE)


@dataclass(frozen=True, slots=True)
class Draft:
    """A used cavity before its circuit is known.

    Attributes:
        known: what the device kind says about the cavity, None = nothing
        sure: the kind of the device itself is known, so that a missing cavity says something
    """

    device: str
    family: str
    connector: str
    entry: Entry
    known: KindCavity | None
    sure: bool

    @property
    def circuit(self) -> str:
        """Name of the circuit in the cavity."""
        return self.entry.text("circuit")

    @property
    def kind(self) -> CircuitKind | None:
        """What the job, else the device kind, says the cavity is for."""
        if "kind" in self.entry:
            return CircuitKind(self.entry.text("kind"))
        return self.known.kind if self.known and self.known.kind is not CircuitKind.SPARE else None

    @property
    def side(self) -> Side | None:
        """What the job, else the device kind, says the cavity does."""
        if "side" in self.entry:
            return Side(self.entry.text("side"))
        return self.known.side if self.known and self.known.kind is not CircuitKind.SPARE else None


def circuit_kinds(
    drafts: Iterable[Draft],
    tables: Iterable[str],
    declared: Mapping[str, CircuitKind],
    protections: Iterable[Protection],
    cables: Iterable[Cable],
    notes: Notes,
) -> dict[str, CircuitKind]:
    """Return the kind of every circuit, in the order of the job.

    The first that says anything decides: the circuit's own table; its pins, by `PRECEDENCE`; a screened
    cable that names it as screen; a fuse that names it (a feed); a ground stud in it (a power ground);
    else it is a signal, with a finding.

    Args:
        drafts: all used cavities
        tables: names of the circuits that have a table of their own
        declared: kinds given in these tables
        protections, cables: of the job
        notes: takes the findings
    """
    told: dict[str, list[CircuitKind]] = {name: [] for name in tables}
    of: dict[str, list[Draft]] = {name: [] for name in told}
    for draft in drafts:
        kinds = told.setdefault(draft.circuit, [])
        of.setdefault(draft.circuit, []).append(draft)
        if draft.kind is not None:
            kinds.append(draft.kind)
    screens = {cable.screen for cable in cables}
    fused = {name for one in protections for name in (one.line, one.load)}
    found = {}
    for name, kinds in told.items():
        if name in declared:
            found[name] = declared[name]
        elif kinds:
            found[name] = min(kinds, key=PRECEDENCE.index)
        else:
            found[name] = _untold(name, of[name], name in screens, name in fused, notes)
    return found


def _untold(name: str, drafts: list[Draft], screen: bool, fused: bool, notes: Notes) -> CircuitKind:
    if screen:
        return CircuitKind.DRAIN
    if fused:
        return CircuitKind.FEED
    if any(draft.family == _HOME for draft in drafts):
        return CircuitKind.POWER_GROUND
    if name and all(draft.sure for draft in drafts):
        notes.add(
            "FILE-09",
            drafts[0].entry.path if drafts else ("circuit", name),
            f'Nothing tells what the circuit "{name}" is for; it is taken as a signal.',
            "One of its cavities, or its own table, should name a kind.",
            f'Write kind = "..." in [circuit."{name}"].',
            Severity.CAUTION,
            misses=(name, *(path_words((*one.entry.path[:2], "is")) for one in drafts)),
        )
    return CircuitKind.SIGNAL


class Sides:
    """Tells the side of the cavities about which neither job nor device kind says anything."""

    def __init__(self, drafts: Iterable[Draft], protections: Iterable[Protection]) -> None:
        self._fixed: dict[str, set[Side]] = {}
        for draft in drafts:
            if draft.side is not None:
                self._fixed.setdefault(draft.circuit, set()).add(draft.side)
        self._gives = {(one.device, one.load) for one in protections}
        self._takes = {(one.device, one.line) for one in protections}

    def of(self, draft: Draft, kind: CircuitKind) -> Side:
        """Return the side.

        A controller does the opposite of what the others do: it drives drives, gives sensor supplies, is the
        home of sensor 0 V and drains, takes feeds, power grounds and chassis; a signal it takes, unless
        others take it, too, and none gives it. A ground stud is the home of grounds. A fuse's box takes
        the circuit before the fuse and gives the one behind it. The rest is either.
        """
        if draft.side is not None:
            return draft.side
        if kind in _NO_SIDE:
            return Side.EITHER
        if draft.family == _HOME:
            return Side.GIVES
        if (draft.device, draft.circuit) in self._gives:
            return Side.GIVES
        if (draft.device, draft.circuit) in self._takes:
            return Side.TAKES
        return self._controller(draft.circuit, kind) if draft.family == "controller" else Side.EITHER

    def _controller(self, circuit: str, kind: CircuitKind) -> Side:
        if kind in (CircuitKind.FEED, CircuitKind.POWER_GROUND, CircuitKind.CHASSIS):
            return Side.TAKES
        others = self._fixed.get(circuit, set())
        if Side.GIVES in others:
            return Side.TAKES
        if kind is CircuitKind.SIGNAL:
            return Side.GIVES if Side.TAKES in others else Side.TAKES
        return Side.GIVES


def pin_of(draft: Draft, circuit_kind: CircuitKind, sides: Sides) -> Pin:
    """Return the finished pin."""
    entry, known = draft.entry, draft.known
    kind = draft.kind or circuit_kind
    return Pin(
        device=draft.device,
        connector=draft.connector,
        cavity=entry.name,
        circuit=draft.circuit,
        kind=kind,
        side=sides.of(draft, kind),
        words=entry.text("words", known.words if known else ""),
        amps=entry.number("amps") if "amps" in entry else (known.amps if known else None),
        peak_amps=entry.number("peak_amps") if "peak_amps" in entry else (known.peak_amps if known else None),
        duty=entry.some("duty", known.duty if known else 1.0),
        source=_source(entry, known),
        path=entry.path,
        pair=entry.text("pair", known.pair if known else ""),
        screened=entry.flag("screened", known.screened if known else False),
        critical=entry.flag("critical", known.critical if known else False),
        group=entry.text("group"),
        contact=entry.text("contact"),
        size=entry.text("size"),
    )


def _source(entry: Entry, known: KindCavity | None) -> Source:
    if {"amps", "peak_amps", "duty", "source"} & entry.values.keys():
        return Source(Mark.BUILDER, entry.text("source"))
    return known.source if known else OURS


def check_cavity(draft: Draft, kind: str, cavities: Mapping[str, object], notes: Notes) -> None:
    """Note a cavity that the device kind does not have, unless the job says what it is for."""
    if draft.known or not cavities or "kind" in draft.entry or draft.family in ("controller", "mating half"):
        return
    path: Path = draft.entry.path
    notes.add(
        "FILE-07",
        path,
        f'The kind "{kind}" has no cavity "{draft.entry.name}".',
        "Its cavities are " + ", ".join(cavities) + ".",
        "Correct the cavity, or say what it is for with kind and side.",
        Severity.CAUTION,
        misses=(path_words(path),),
    )


def sound_cavities(entries: Iterable[Entry], notes: Notes) -> Iterator[Entry]:
    """Yield the cavities whose names can stand in the names of pins and wires; note the others."""
    for entry in entries:
        if entry.name and not _NO_CAVITY.search(entry.name):
            yield entry
        else:
            notes.add(
                "FILE-08",
                entry.path,
                f'A cavity is called "{entry.name}".',
                'The name of a cavity is not empty and is written without ":", "|" and "/".',
                "Give it the name moulded beside it; the wire in it is left out until then.",
            )
