"""Crimp samples: pulls before the first crimp that counts, with the published least forces."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.crimps import Pull, pull_minima_awg, pull_minima_mm2
from loomwright.errors import OutOfRange
from loomwright.library.wires import WireSize
from loomwright.pack.pages import Column, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, size_words, sources_note
from loomwright.sizing.crimping import SAMPLES, set_ups
from loomwright.sources import Source
from loomwright.units import awg_number

COLUMNS: Final = (
    Column("contact", bold=True),
    Column("wire", bold=True),
    Column("crimps", kind="number"),
    Column("at least", "N"),
    *(Column(str(n), "N", "blank", width_mm=13.0) for n in range(1, SAMPLES + 1)),
    Column("lowest", "N", "blank", width_mm=15.0),
    Column("tool, initials", kind="blank", width_mm=26.0),
)
INTRO: Final = (
    "For every contact and wire size with the tool that will be used: five samples on offcuts of the same "
    "wire, pulled at 25 mm/min, the lowest counts; the parts list counts them in. Of splices crimp five of "
    "each body, wired as on the splice list, and pull each size. Below the figure: change tool, die or "
    "height, and start again. Both published rules stand beside the figure; motorsport goes by the stricter "
    "one. Goggles on: "
    "ends fly."
)
NOTE: Final = "Pulled without the insulation grip, unless the rule says otherwise. {sources}"


def crimp_samples(view: View) -> Sheet:
    """Return the table of set-ups, by contact and size."""
    found: dict[tuple[str, str, str, float], tuple[WireSize, int]] = {}
    for one in set_ups(view.job, view.routed.wires, {row.wire: row.size for row in view.sized.conductors}):
        _, before = found.get(one.order, (one.size, 0))
        found[one.order] = (one.size, before + one.crimps)
    sources: list[Source] = []
    rows = tuple(_rows(found, sources))
    note = NOTE.format(sources=sources_note(sources))
    blocks = (Table(COLUMNS, (RowGroup(rows),), note=note, close=True),) if rows else ()
    stamps = view.stamps("conductors")
    return Sheet("crimp-samples", "Crimp samples", blocks, INTRO, stamps=stamps, landscape=True)


def _rows(
    count: dict[tuple[str, str, str, float], tuple[WireSize, int]], sources: list[Source]
) -> Iterator[Row]:
    for (contact, *_), (size, crimps) in sorted(count.items(), key=lambda one: one[0]):
        found = pulls(size)
        sources += [p.source for p in found]
        words = "; ".join(f"{p.min_n:g} {p.rule}" for p in found) or "ask the contact's maker"
        wire = f"{size.family}, {size_words(size)}"
        yield (contact or "contact, class not given", wire, crimps, words, *[""] * SAMPLES, "", "")


def pulls(size: WireSize) -> tuple[Pull, ...]:
    """Return the least pulls published for a size, none where no table lists it."""
    try:
        if size.system == "AWG":
            return pull_minima_awg(awg_number(size.label))
        return pull_minima_mm2(float(size.label))  # the tables list sizes as printed on the reel
    except OutOfRange:
        return ()
