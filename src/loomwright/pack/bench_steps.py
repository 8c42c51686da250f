"""The build order as a page takes it: what to tick at every step, and what is measured where it happens."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from loomwright.building.built import BuildStep
from loomwright.building.cautions import CAUTIONS
from loomwright.building.ends import RING
from loomwright.errors import OutOfRange
from loomwright.library.coverings import sleeve
from loomwright.model.words import Level
from loomwright.pack.crimp_samples import crimp_samples
from loomwright.pack.view import View, end_words
from loomwright.records.bench_reading import Limits, limits_text
from loomwright.routing.routed import EndKind, Wire, section_key
from loomwright.sizing.sized import SleevePiece

TRIM: Final = re.compile(r"(?P<end>.+): up to (?P<mm>\d+) mm off")
FIRST_NUMBER: Final = re.compile(r"\d+(?:\.\d+)?")
PIN_KINDS: Final = (EndKind.PIN,)
UNKNOWN: Final = "contact, class not given"


@dataclass(frozen=True, slots=True)
class Tick:
    """Something to tick: what and of as in the records, and words to read."""

    what: str
    of: str
    words: str


@dataclass(frozen=True, slots=True)
class Entry:
    """Something to measure and enter.

    Attributes:
        what, of: as in the records
        words: what to measure
        unit: unit of a bare number
        should: what to expect
        limits: what it is judged by, "" = only kept
    """

    what: str
    of: str
    words: str
    unit: str
    should: str
    limits: str = ""


@dataclass(frozen=True, slots=True)
class BenchStep:
    """One step.

    Attributes:
        key: name that stays when steps are renumbered, "engine/slide B1-B2"
        cautions: words of those that apply here
        ticks: wires, contacts, splices it is done with one by one
        entries: what is measured at it
        tests: key of the tests done at it: a stage's, "bench" = all of the bench test; "" = none
    """

    key: str
    number: int
    loom: str
    phase: str
    words: str
    items: tuple[str, ...]
    rules: tuple[str, ...]
    cautions: tuple[str, ...]
    irreversible: bool
    ticks: tuple[Tick, ...]
    entries: tuple[Entry, ...]
    tests: str = ""


@dataclass(frozen=True, slots=True)
class CutRow:
    """One wire of the cut list: its entry is the length really cut."""

    wire: str
    mm: float
    circuit: str
    a: str
    b: str
    trims: str
    colour: str


def step_key(step: BuildStep) -> str:
    """Return a step's name in the records."""
    return f"{step.loom}/{step.name}"


def bench_steps(view: View) -> tuple[BenchStep, ...]:
    """Return every step of the build order."""
    own = _Own(view)
    return tuple(own.step(one) for one in view.built.steps)


def cut_row(view: View, wire: Wire) -> CutRow:
    """Return one row of the cut list."""
    length = view.sized.length[wire.identity]
    trims = f"{length.trim_a_mm:.0f}/{length.trim_b_mm:.0f}"
    a, b = end_words(wire.a), end_words(wire.b)
    return CutRow(wire.label, length.cut_mm, view.circuit_words(wire), a, b, trims, wire.colour or "screen")


class _Own:
    """What ticks and entries are told from."""

    def __init__(self, view: View) -> None:
        self._view = view
        self._words = {c.key: c.words for c in CAUTIONS}
        self._sampled: set[str] = set()

    @cached_property
    def _pulls(self) -> dict[str, list[Entry]]:
        """Sample pulls by contact."""
        found: dict[str, list[Entry]] = {}
        for table in crimp_samples(self._view).tables:
            for contact, wire, _, words, *_ in table.rows:
                found.setdefault(str(contact), []).append(self._pull(str(contact), str(wire), str(words)))
        return found

    def _pull(self, contact: str, wire: str, words: str) -> Entry:
        """Motorsport goes by the stricter rule, everybody else by the milder one, as the sheet says."""
        least = [float(found[0]) for part in words.split("; ") if (found := FIRST_NUMBER.match(part))]
        strict = self._view.job.level is Level.MOTORSPORT
        newton = (max if strict else min)(least) if least else None
        limits = "" if newton is None else limits_text(Limits(newton, None, "N"))
        should = f"at least {words}" if least else words
        return Entry(
            "pull", f"{contact} | {wire}", f"{contact}, {wire}: lowest of the pulls", "N", should, limits
        )

    def step(self, one: BuildStep) -> BenchStep:
        words = tuple(self._words[key] for key in one.cautions if key in self._words)
        tests = (
            "bench" if one.name == "bench test" else f"stage {one.name}" if one.phase == "power up" else ""
        )
        return BenchStep(
            step_key(one),
            one.number,
            one.loom,
            one.phase,
            one.words,
            one.items,
            one.rules,
            words,
            one.irreversible,
            tuple(self._ticks(one)),
            tuple(self._entries(one)),
            tests,
        )

    def _ticks(self, one: BuildStep) -> Iterator[Tick]:
        verb, _, of = one.name.partition(" ")
        if verb == "cut":
            for item in one.items:
                label = item.split()[0]
                yield Tick("cut", label, item)
                yield Tick("marked", label, f"{label} marked at both ends")
        elif verb == "lay":
            yield from (Tick("laid", label, label) for label in one.items)
        elif verb == "crimp":
            yield from self._crimps(one.loom, of)
        elif verb == "housing":
            yield from (
                Tick("inserted", t.of, t.words) for t in self._crimps(one.loom, of) if t.what == "crimped"
            )

    def _crimps(self, loom: str, point: str) -> Iterator[Tick]:
        late = self._late(point)
        for wire in self._view.wires_of_loom[loom]:
            for end in (wire.a, wire.b):
                if end.point != point or end.kind in (EndKind.SPLICE, EndKind.DRAIN_CUT):
                    continue
                of = f"{wire.label} at {end_words(end)}"
                yield Tick("crimped", of, of)
                if end.kind in PIN_KINDS and not late:
                    yield Tick("inserted", of, f"{of}: in, tugged, locked")

    def _late(self, end: str) -> bool:
        plug = self._view.job.connector.get(end)
        return plug is not None and plug.through_bulkhead == "after"

    def _entries(self, one: BuildStep) -> Iterator[Entry]:
        verb, _, of = one.name.partition(" ")
        if verb == "sample":
            yield from self._samples(of)
        elif one.name == "bare fit":
            yield from self._lengths(one.loom)
        elif verb == "slide":
            yield from self._bundle(one.loom, of)
        elif one.name == "trim":
            yield from self._trims(one)

    def _samples(self, kind: str) -> Iterator[Entry]:
        """Pulls of one set-up; those of splices come with the first."""
        if "splice" not in self._sampled:
            self._sampled.add("splice")
            yield from self._pulls.get("splice", ())
        for contact, entries in self._pulls.items():
            ring = kind == RING and contact.startswith(RING)
            if contact == (kind or UNKNOWN) or (ring and contact != "splice"):
                yield from entries

    def _lengths(self, loom: str) -> Iterator[Entry]:
        for section in self._view.routed.tree[loom].sections:
            should = f"{section.length_mm:.0f} mm by the board"
            yield Entry("length", section_key(loom, section.name), f"{section.name} as built", "mm", should)

    def _bundle(self, loom: str, section: str) -> Iterator[Entry]:
        key = section_key(loom, section)
        bundle, piece = self._view.sized.bundle.get(key), self._view.sized.sleeve.get(key)
        if bundle is None:
            return
        should = f"about {bundle.as_laid_mm:.1f} mm as reckoned"
        takes = self._takes(piece) if piece else None
        if piece and takes:
            should += f"; {piece.type} {piece.printed} takes {takes.low:g} to {takes.high:g}"
        limits = limits_text(takes) if takes else ""
        yield Entry("size", key, f"bundle of {section}, with callipers", "mm", should, limits)

    def _takes(self, piece: SleevePiece) -> Limits | None:
        """Bundles a heat-shrink sleeve grips and goes over with the shop's room to spare."""
        if piece.what != "sleeve" or not piece.size:
            return None
        try:
            size = sleeve(piece.type).size(piece.size)
        except OutOfRange:
            return None
        room = 1 + self._view.job.shop.sleeve_extra.value
        return Limits(round(size.recovered_id_mm, 1), round(size.expanded_id_mm / room, 1), "mm")

    def _trims(self, one: BuildStep) -> Iterator[Entry]:
        for item in one.items:
            found = TRIM.fullmatch(item)
            if found:
                end, most = found["end"], float(found["mm"])
                should = f"up to {most:.0f} mm"
                limits = limits_text(Limits(0.0, most, "mm"))
                yield Entry("trim", end, f"cut off at {end}", "mm", should, limits)
