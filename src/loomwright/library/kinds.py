"""Generic device kinds: what a device's cavities are for, what flows in them, what belongs together."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from loomwright.errors import Unreadable
from loomwright.library.tables import Row, by_name, nearest, packaged, pick, rows
from loomwright.model.words import CircuitKind, Side
from loomwright.sources import Source

SPAN: Final = re.compile(r"([A-Za-z]*)(\d+)-\1?(\d+)")


@dataclass(frozen=True, slots=True)
class KindCavity:
    """One cavity of a generic kind.

    Attributes:
        cavity: its name, "1", "87a", "stud"
        words: what it is for
        kind: kind of the circuit that usually ends here; `spare` where the job must say
        side: what it does for that circuit
        amps: current while it is on, None where the load decides [A]
        peak_amps: highest current for a moment, None if no higher [A]
        duty: highest share of the time it is on, 0 to 1; heating goes with amps times its square root
        pair: "" or a letter: cavities of one letter are twisted together
        screened: whether their cable has a screen
        critical: losing or disturbing it stops the engine or opens the throttle
        usual_size: AWG the trade uses
        source: where current and practice come from
    """

    cavity: str
    words: str
    kind: CircuitKind
    side: Side
    amps: float | None
    peak_amps: float | None
    duty: float
    pair: str
    screened: bool
    critical: bool
    usual_size: str
    source: Source


@dataclass(frozen=True, slots=True)
class Kind:
    """A generic device kind; a job's own figures for the part in hand replace it.

    Attributes:
        name: as the job file gives it, "injector, high impedance"
        words: what it is
        family: sensor, actuator, throttle, switch, relay, module, instrument, controller, port, mating half,
            power or ground
        signal: form of its signal, "VR", "NTC", "0.5-4.5 V", "" if none
        driver: what has to drive it, "low side", "logic", "H-bridge", "relay", "" if nothing
        cavities: in the order of its face
        through: contact paths inside, pairs of cavities
        throttle: electronic throttle part: its two tracks must not share a fault
        stud_rings: most rings on one stud, 0 if it has none
        ohms_low: least resistance of coil or element at 20 C for the test sheet, None if not known
        ohms_high: most
        usual_size: AWG the trade uses
        min_mm2: least true copper that is sensible
        roles_from_job: whether what its cavities do comes from the job alone
        face: generic face it is drawn with until the job names one, "" if none
        source: where ohms and practice come from
    """

    name: str
    words: str
    family: str
    signal: str
    driver: str
    cavities: tuple[KindCavity, ...]
    through: tuple[tuple[str, str], ...]
    throttle: bool
    stud_rings: int
    ohms_low: float | None
    ohms_high: float | None
    usual_size: str
    min_mm2: float
    roles_from_job: bool
    face: str
    source: Source

    def cavity(self, cavity_id: str) -> KindCavity | None:
        """Return the cavity of that name, None if the kind has none."""
        return next((one for one in self.cavities if one.cavity == cavity_id), None)


@cache
def kinds() -> Mapping[str, Kind]:
    """Return the library's device kinds by name."""
    return kinds_by_name(read_kinds(packaged("kinds.csv"), packaged("kind_cavities.csv")))


def kinds_by_name(found: Iterable[Kind]) -> Mapping[str, Kind]:
    """Return kinds by name; put the builder's own after the library's to replace those of the same name."""
    return by_name(found, lambda one: one.name)


def kind(name: str) -> Kind:
    """Return a device kind.

    Raises:
        OutOfRange: there is none of that name; the message gives the nearest names.
    """
    return pick("device kind", name, kinds())


def nearest_kinds(name: str, most: int = 3) -> tuple[str, ...]:
    """Return the kinds whose names look most like a misspelt one, best first; none if nothing is alike."""
    return nearest(name, kinds(), most)


def read_kinds(
    kinds_text: str, cavities_text: str, file: str = "kinds.csv", cavities_file: str = "kind_cavities.csv"
) -> tuple[Kind, ...]:
    """Return device kinds read from two tables in the library's own form (see docs/library.md).

    Args:
        kinds_text: table of kinds, columns as in `kinds.csv`
        cavities_text: table of cavities, columns as in `kind_cavities.csv`
        file: name of the first, for messages
        cavities_file: name of the second
    Raises:
        Unreadable: a row can't be read, or a cavity belongs to no kind; says the line.
    """
    kind_rows = rows(kinds_text, file)
    named: dict[str, list[KindCavity]] = {row.name("name"): [] for row in kind_rows}
    sizes = {row.name("name"): row.name("usual_size") for row in kind_rows}
    for row in rows(cavities_text, cavities_file):
        for name in (part.strip() for part in row.name("kinds").split("|")):
            if name not in named:
                should = "the table of kinds must name it."
                raise Unreadable(
                    row.file, row.line, f"There is no kind {name!r};", should, "Correct the name."
                )
            named[name].extend(_cavities(row, sizes[name]))
    return tuple(_kind(row, tuple(named[row.name("name")])) for row in kind_rows)


def _cavities(row: Row, usual_size: str) -> list[KindCavity]:
    duty = row.number("duty")
    if not 0 <= duty <= 1:
        raise Unreadable(row.file, row.line, f"The duty is {duty};", "it must be 0 to 1.", "Correct it.")
    first = KindCavity(
        cavity="",
        words=row.text("words"),
        kind=row.choice("circuit", CircuitKind),
        side=row.choice("side", Side),
        amps=row.number_or_none("amps"),
        peak_amps=row.number_or_none("peak_amps"),
        duty=duty,
        pair=row.text("pair"),
        screened=row.yes("screened"),
        critical=row.yes("critical"),
        usual_size=row.text("usual_size") or usual_size,
        source=row.source(),
    )
    return [_named(first, name) for name in _names(row.name("cavity"))]


def _named(like: KindCavity, cavity: str) -> KindCavity:
    return KindCavity(
        cavity,
        like.words,
        like.kind,
        like.side,
        like.amps,
        like.peak_amps,
        like.duty,
        like.pair,
        like.screened,
        like.critical,
        like.usual_size,
        like.source,
    )


def _names(text: str) -> list[str]:
    span = SPAN.fullmatch(text)
    if span is None:
        return [text]
    return [f"{span[1]}{n}" for n in range(int(span[2]), int(span[3]) + 1)]


def _kind(row: Row, cavities: tuple[KindCavity, ...]) -> Kind:
    if not cavities:
        should = "the table of cavities must give it some."
        raise Unreadable(row.file, row.line, f"Kind {row.name('name')!r} has no cavities;", should, "")
    ids = {one.cavity for one in cavities}
    through = tuple((a, b) for a, _, b in (part.partition("-") for part in row.words("through")))
    for a, b in through:
        if a not in ids or b not in ids:
            should = f"both ends must be among its cavities: {', '.join(one.cavity for one in cavities)}."
            raise Unreadable(row.file, row.line, f"The path is {a}-{b};", should, "Correct it.")
    return Kind(
        name=row.name("name"),
        words=row.text("words"),
        family=row.name("family"),
        signal=row.text("signal"),
        driver=row.text("driver"),
        cavities=cavities,
        through=through,
        throttle=row.yes("throttle"),
        stud_rings=row.whole("stud_rings"),
        ohms_low=row.number_or_none("ohms_low"),
        ohms_high=row.number_or_none("ohms_high"),
        usual_size=row.name("usual_size"),
        min_mm2=row.number("min_mm2"),
        roles_from_job=row.text("roles") == "job",
        face=row.text("face"),
        source=row.source(),
    )
