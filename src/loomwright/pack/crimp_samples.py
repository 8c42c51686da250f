"""Crimp samples: pulls before the first crimp that counts, with the published least forces."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from loomwright.calc.crimps import Pull, pull_minima_awg, pull_minima_mm2
from loomwright.errors import OutOfRange
from loomwright.library.wires import WireSize
from loomwright.pack.pages import Column, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, size_words, sources_note
from loomwright.routing.routed import EndKind
from loomwright.sizing.fits import contact_at
from loomwright.sources import Source
from loomwright.units import awg_number

PULLS: Final = 5  # pulls a set-up at least, the lowest counts
COLUMNS: Final = (
    Column("contact", bold=True),
    Column("wire", bold=True),
    Column("crimps", kind="number"),
    Column("at least", "N"),
    *(Column(str(n), "N", "blank", width_mm=13.0) for n in range(1, PULLS + 1)),
    Column("lowest", "N", "blank", width_mm=15.0),
    Column("tool, initials", kind="blank", width_mm=26.0),
)
INTRO: Final = (
    "For every contact and wire size with the tool that will be used: five samples on offcuts of the same "
    "wire, pulled at 25 mm/min, the lowest counts. Below the figure: change tool, die or height, and start "
    "again. Both published rules stand beside the figure; motorsport goes by the stricter one. Goggles on: "
    "ends fly."
)
NOTE: Final = "Pulled without the insulation grip, unless the rule says otherwise. {sources}"


def crimp_samples(view: View) -> Sheet:
    """Return the table of set-ups, by contact and size."""
    count: Counter[tuple[str, str, str, float]] = Counter()
    sizes: dict[tuple[str, str, str, float], WireSize] = {}
    for wire in view.routed.wires:
        if wire.screen:
            continue
        size = view.size(wire)
        for end in (wire.a, wire.b):
            key = (_contact(view, end.kind, end.name, size), size.family, size.system, size.area_mm2)
            if key[0]:
                count[key] += 1
                sizes[key] = size
    sources: list[Source] = []
    rows = tuple(_rows(count, sizes, sources))
    note = NOTE.format(sources=sources_note(sources))
    blocks = (Table(COLUMNS, (RowGroup(rows),), note=note),) if rows else ()
    stamps = view.stamps("conductors")
    return Sheet("crimp-samples", "Crimp samples", blocks, INTRO, stamps=stamps, landscape=True)


def _contact(view: View, kind: EndKind, pin: str, size: WireSize) -> str:
    if kind is EndKind.SPLICE:
        return "splice"
    if kind not in (EndKind.PIN, EndKind.STUD):
        return ""
    found = contact_at(view.job, pin, size)
    return found.name if found else ("ring" if kind is EndKind.STUD else "contact, class not given")


def _rows(
    count: Counter[tuple[str, str, str, float]],
    sizes: dict[tuple[str, str, str, float], WireSize],
    sources: list[Source],
) -> Iterator[Row]:
    for key in sorted(count):
        size = sizes[key]
        found = pulls(size)
        sources += [p.source for p in found]
        words = "; ".join(f"{p.min_n:g} {p.rule}" for p in found) or "ask the contact's maker"
        wire = f"{size.family}, {size_words(size)}"
        yield (key[0], wire, count[key], words, *[""] * PULLS, "", "")


def pulls(size: WireSize) -> tuple[Pull, ...]:
    """Return the least pulls published for a size, none where no table lists it."""
    try:
        if size.system == "AWG":
            return pull_minima_awg(awg_number(size.label))
        return pull_minima_mm2(size.area_mm2)
    except OutOfRange:
        return ()
