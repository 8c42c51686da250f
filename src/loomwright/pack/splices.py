"""The splice list: where each splice sits, what it joins, its body and cover."""

from typing import Final

from loomwright.model.circuit import LoomPlace
from loomwright.pack.one_table import lifted
from loomwright.pack.pages import Column, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, mark_words, size_words, sources_note
from loomwright.routing.routed import Splice, Wire

COLUMNS: Final = (
    Column("splice", bold=True),
    Column("place", bold=True),
    Column("circuit"),
    Column("wires and sizes"),
    Column("body"),
    Column("copper / takes", "mm²"),
    Column("cover", "mm", "number", decimals=0),
    Column("lump", "mm", "number", decimals=1),
    Column("place is"),
    Column("from"),
    Column("cover on", kind="tick"),
    Column("done", kind="tick"),
)
INTRO: Final = (
    "SLIDE THE COVER ON FIRST: it doesn't pass a finished splice. Places are measured from the section's "
    "inner end, the one nearer the datum. Crimp, tug every wire, then shrink the cover over the middle."
)


def splices(view: View) -> Sheet:
    """Return the splices, grouped by loom."""
    groups = []
    for tree in view.trees:
        own = [s for s in view.routed.splices if s.loom == tree.loom]
        if own:
            groups.append(RowGroup(tuple(_row(view, s) for s in own), view.titled(tree.loom)))
    note = sources_note(s.source for s in view.sized.splices)
    blocks = (
        (lifted(Table(COLUMNS, tuple(groups), note=note, close=True), "place is", "from"),) if groups else ()
    )
    cautions = view.cautions("prepare")
    return Sheet("splices", "Splices", blocks, INTRO, cautions, view.stamps("splices"), landscape=True)


def _row(view: View, splice: Splice) -> Row:
    body = view.sized.splice[splice.name]
    wires = sorted((view.routed.wire[i] for i in splice.wires), key=lambda w: w.number)
    chosen = splice.chosen
    if splice.better is not None:
        chosen += f"; less copper at {splice.better.section}, {splice.better.mm:.0f} mm"
    return (
        splice.name,
        place_words(view, splice),
        splice.circuit,
        _wires_words(view, wires),
        f"{body.kind} {body.size}" + ("" if body.fits else ", DOES NOT FIT"),
        f"{body.sum_mm2:.2f} / {body.window[0]:g} to {body.window[1]:g}",
        body.cover_mm,
        body.lump_mm,
        chosen,
        mark_words(body.source),
        None,
        None,
    )


def _wires_words(view: View, wires: list[Wire]) -> str:
    """Return wires with their colours, those of one size together."""
    found: dict[str, list[str]] = {}
    for wire in wires:
        found.setdefault(size_words(view.size(wire)), []).append(f"{wire.label} {wire.colour}".strip())
    return "; ".join(f"{size}: {', '.join(told)}" for size, told in found.items())


def place_words(view: View, splice: Splice) -> str:
    """Return where a splice sits: mm from the inner end, and from the outer one."""
    place: LoomPlace = splice.place
    section = view.routed.tree[splice.loom].by_name[place.section]
    rest = section.length_mm - place.mm
    return f"{section.name}, {place.mm:.0f} mm from {section.inner} ({rest:.0f} mm before {section.outer})"
