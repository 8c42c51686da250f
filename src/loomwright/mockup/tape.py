"""From the readings of a tape to lengths between neighbouring points, each with its doubt.

How the doubt is shared out. A reading is good to its give or take; the tape's zero is held at the start, so
the start adds none of its own. A length is the difference of two readings, so the squares of both add: that
is the length's own doubt. What all readings share adds straight: the run's common doubt (the tape laid
wrongly at its zero) comes into the first length only, because it falls out of every difference; stretch of
the rope comes into every length by its metres. A length also names its readings with their signs, so that on
a way over neighbouring lengths the readings between, which one gains and the other loses, cancel.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Final

from loomwright.edits import Path
from loomwright.findings import Finding, Place, Severity
from loomwright.model.job import Job
from loomwright.model.rope import Parting, Reading, RopeRun
from loomwright.sources import Figure, Mark, Source

DEPTH_MM: Final = Figure(25.0, Source(Mark.MEMORY, "small sealed plugs, mating face to wire exit"))
"""Taken where an end was measured to its mating face and the plug's depth is not given [mm]."""
DEPTH_GIVE_MM: Final = 10.0  # doubt of that figure; ours
LENGTH_SHEETS: Final = (
    "conductors",
    "map",
    "route",
    "branch points",
    "cut list",
    "splices",
    "sleeves",
    "parts",
    "board",
)
"""Sheets that lean on a length or on what is joined to what."""
_ALIKE: Final = ("ROPE-03", "ROPE-05", "ROPE-08")  # shown as one line with all its places
_ROPE_METHODS: Final = ("hand", "tape", "form")  # laid along the rope, so its stretch counts


@dataclass(frozen=True, slots=True)
class Measured:
    """A length between two neighbouring points.

    Attributes:
        a, b: its points, `a` nearer the start of the tape
        own_mm, common_mm: doubt of its own, doubt shared with the tape's other lengths [mm]
        readings: (name, sign, give or take in mm) of the readings it is the signed sum of
        built: from a [build] table, not from the rope
        reason: why it is to be built so, "" = none given
    """

    a: str
    b: str
    mm: float
    own_mm: float
    common_mm: float
    origin: str
    tape: str
    path: Path
    readings: tuple[tuple[str, float, float], ...] = ()
    built: bool = False
    reason: str = ""

    @property
    def pair(self) -> tuple[str, str]:
        """Both points in alphabetical order."""
        return (self.a, self.b) if self.a < self.b else (self.b, self.a)


@dataclass(frozen=True, slots=True)
class Together:
    """Two sections from one branch point, start to `a` and start to `b`, that run side by side."""

    start: str
    a: str
    b: str
    until_mm: float


@dataclass(frozen=True, slots=True)
class Taped:
    """What one tape gives."""

    lengths: tuple[Measured, ...]
    together: tuple[Together, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class _Mark:
    """A point on the tape: its reading [mm] and the give or take of that reading [mm]."""

    point: str
    mm: float
    give_mm: float


def fault(
    code: str,
    path: Path,
    words: str,
    what: str,
    should: str,
    remedy: str,
    severity: Severity = Severity.FAULT,
    *,
    leaves_out: tuple[str, ...] = (),
    misses: tuple[str, ...] = (),
) -> Finding:
    """Return a finding of the rope."""
    sheets = LENGTH_SHEETS if severity is Severity.FAULT else ()
    group = "" if code in _ALIKE or severity is Severity.NOTE else what
    return Finding(
        code,
        severity,
        Place(words, path),
        what,
        should,
        remedy,
        sheets,
        group,
        leaves_out=leaves_out,
        misses=misses,
    )


class _Tape:
    """Reads one tape from its start outwards."""

    def __init__(self, run: RopeRun, job: Job) -> None:
        self.run = run
        self.ends = job.connector
        self.give_mm = job.shop.give_mm.value if run.give_mm is None else run.give_mm
        self.stretch = job.shop.stretch_per_m_mm.value / 1000 if run.method in _ROPE_METHODS else 0.0
        self.name = run.name if run.name.startswith("section ") else f"rope {run.name}"
        self.chain = [_Mark(run.start, 0.0, 0.0)]
        self.seen: dict[str, float] = {run.start: 0.0}
        self.lengths: list[Measured] = []
        self.findings: list[Finding] = []

    def _note(
        self, code: str, path: Path, what: str, should: str, remedy: str, leaves_out: tuple[str, ...] = ()
    ) -> None:
        self.findings.append(fault(code, path, self.name, what, should, remedy, leaves_out=leaves_out))

    def depth(self, end: str, measured_to: str, path: Path) -> tuple[float, float]:
        """Return what lies between the wire exit and what was measured to, and its doubt [mm]."""
        if measured_to not in ("mating face", "device") or end not in self.ends:
            return 0.0, 0.0
        known = self.ends[end].depth_mm
        if known is not None:
            return known, 0.0
        self.findings.append(
            fault(
                "ROPE-08",
                path,
                end,
                f"{end} was measured to the {measured_to}; the depth of its plug is not given, so "
                f"{DEPTH_MM.value:g} mm {DEPTH_MM.source} is taken off.",
                "The length runs to the wire exit.",
                f"Measure the plug from mating face to wire exit and enter depth_mm at {end}.",
                Severity.NOTE,
            )
        )
        return DEPTH_MM.value, DEPTH_GIVE_MM

    def add(self, start: _Mark, point: str, mm: float, gives: tuple[float, ...], to: str, path: Path) -> bool:
        """Add the length from a mark to a point, its plug's depth taken off; False where nothing is left."""
        depth, doubt = self.depth(point, to, path)
        left = mm - depth
        if left <= 0:
            what = f"{point} is {mm:g} mm from {start.point}, and its plug is {depth:g} mm deep."
            should = "Something should be left up to the wire exit."
            self._note("ROPE-04", path, what, should, "Measure it again.", (point,))
            return False
        readings = self._readings(start, point, gives, doubt)
        own = sqrt(sum(give**2 for _, _, give in readings))
        common = self.stretch * mm
        if start.mm == 0:
            common += self.run.common_mm or 0.0
        origin = f"{self.name}: {self._sum(start, mm)}{f' - {depth:g} depth' if depth else ''}"
        self.lengths.append(
            Measured(start.point, point, left, own, common, origin, self.run.name, path, readings)
        )
        return True

    def _readings(
        self, start: _Mark, point: str, gives: tuple[float, ...], depth_doubt: float
    ) -> tuple[tuple[str, float, float], ...]:
        """The readings a length is the signed sum of; those without doubt are left out."""
        tape = self.run.name
        found = [(f"{tape} {start.point}", -1.0, start.give_mm), (f"{tape} {point}", 1.0, gives[0])]
        found += [(f"{tape} {point} and {n} more", 1.0, give) for n, give in enumerate(gives[1:], 1)]
        found.append((f"depth of {point}", -1.0, depth_doubt))
        return tuple(one for one in found if one[2] > 0)

    def _sum(self, start: _Mark, mm: float) -> str:
        return f"{start.mm + mm:g} - {start.mm:g}" if start.mm else f"{mm:g}"

    def known_twice(self, point: str, mm: float, path: Path) -> bool:
        """Return whether the point was read before on this tape, after a finding."""
        if point not in self.seen:
            self.seen[point] = mm
            return False
        what = f"{point} is read at {self.seen[point]:g} and at {mm:g} mm."
        self._note(
            "ROPE-06", path, what, "A point lies at one distance.", "Keep the right one; the first is taken."
        )
        return True

    def read(self, reading: Reading, last_mm: float) -> bool:
        """Take one reading in; False where it is left out."""
        if self.known_twice(reading.point, reading.mm, reading.path):
            return False
        before = self.chain[-1]
        if reading.mm < last_mm or reading.mm <= before.mm:
            what = f"{reading.point} is read at {reading.mm:g} mm, after {max(last_mm, before.mm):g} mm."
            should = "Running distances grow along the tape."
            remedy = "Correct the reading; it is left out until then."
            self._note("ROPE-04", reading.path, what, should, remedy, (reading.point,))
            return False
        give = self.give_mm if reading.give_mm is None else reading.give_mm
        mark = _Mark(reading.point, reading.mm, give)
        far = reading.mm - before.mm
        added = self.add(before, mark.point, far, (give,), reading.measured_to, reading.path)
        if added and reading.point not in self.ends:
            self.chain.append(mark)
        return True

    def start_of(self, parting: Parting) -> _Mark | None:
        """Return the branch point a co-run begins at."""
        if parting.start:
            found = next((one for one in self.chain if one.point == parting.start), None)
        else:
            found = next((one for one in reversed(self.chain) if one.mm <= parting.at_mm), None)
        if found is None or found.mm > parting.at_mm:
            what = f"The co-run of {parting.end} starts at {parting.start}, which is not before it here."
            on_tape = ", ".join(one.point for one in self.chain)
            self._note(
                "ROPE-09", parting.path, what, f"It should be one of {on_tape}.", "Correct the branch point."
            )
            return None
        return found

    def part(self, parting: Parting) -> tuple[str, str, float] | None:
        """Take one co-run in; return its start, its end and how far it runs beside the others [mm]."""
        if self.known_twice(parting.end, parting.at_mm + parting.more_mm, parting.path):
            return None
        start = self.start_of(parting)
        if start is None:
            return None
        give = self.give_mm if parting.give_mm is None else parting.give_mm
        mm = parting.at_mm - start.mm + parting.more_mm
        more_give = give if parting.more_mm else 0.0
        if not self.add(start, parting.end, mm, (give, more_give), parting.measured_to, parting.path):
            return None
        return start.point, parting.end, parting.at_mm - start.mm

    def beside(self, parted: list[tuple[str, str, float]]) -> tuple[Together, ...]:
        """Return what runs side by side: co-runs of one start with each other and with the tape's own."""
        found = []
        for at, (start, end, until) in enumerate(parted):
            if until <= 0:
                continue
            own = self._own_section(start, until)
            if own is not None:
                found.append(Together(start, own.b, end, min(until, own.mm)))
            found += [
                Together(start, other, end, min(until, also))
                for other_start, other, also in parted[:at]
                if other_start == start and also > 0
            ]
        return tuple(found)

    def _own_section(self, start: str, until: float) -> Measured | None:
        """Return the tape's own section from a point: to the next branch point, else to the farthest end."""
        chain = {one.point for one in self.chain}
        parted = {one.end for one in self.run.partings}
        own = [one for one in self.lengths if one.a == start and one.b not in parted]
        onward = [one for one in own if one.b in chain] or [one for one in own if one.mm >= until]
        return max(onward, key=lambda one: (one.mm, one.b), default=None)


def taped(run: RopeRun, job: Job) -> Taped:
    """Return the lengths one tape gives.

    A branch point carries the tape on; a rope end does not: what is read behind it starts at the last
    branch point. Exact, given the readings.

    Args:
        run: a tape, or a section measured by itself
        job: for the rope ends, the depth of plugs and the shop's defaults
    """
    tape = _Tape(run, job)
    last = 0.0
    for reading in run.readings:
        if tape.read(reading, last):
            last = reading.mm
    parted = [one for parting in run.partings if (one := tape.part(parting))]
    return Taped(tuple(tape.lengths), tape.beside(parted), tuple(tape.findings))
