"""The splice list: where each splice sits, what it joins, its body and cover."""

from typing import Final

from loomwright.model.circuit import LoomPlace
from loomwright.pack.one_table import lifted
from loomwright.pack.pages import Column, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, mark_words, size_words, sources_note
from loomwright.routing.routed import Splice, Wire
from loomwright.sizing.splice_bodies import sides

COLUMNS: Final = (
    Column("splice", bold=True),
    Column("place", bold=True),
    Column("circuit"),
    Column("enter from the inner end"),
    Column("enter from the outer end"),
    Column("body"),
    Column("copper / takes", "mm²"),
    Column("lump", "mm", "number", decimals=1),
    Column("cover"),
    Column("waits on", bold=True),
    Column("place is"),
    Column("from"),
    Column("cover on", kind="tick"),
    Column("done", kind="tick"),
)
INTRO: Final = (
    "SLIDE THE COVER ON FIRST, over all wires it waits on: it doesn't pass a finished splice. Places are "
    "measured from the section's inner end, the one nearer the datum. Crimp, tug every wire, then shrink the "
    "cover over the middle. Where all wires come from one side, the cover closes as a cap: pinch its free "
    "end shut while the glue is soft."
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
    section = view.routed.tree[splice.loom].by_name[splice.place.section]
    inner, outer = sides(splice, view.routed.wire)
    cover = body.cover
    chosen = splice.chosen
    if splice.better is not None:
        chosen += f"; less copper at {splice.better.section}, {splice.better.mm:.0f} mm"
    return (
        splice.name,
        place_words(view, splice),
        splice.circuit,
        _from_words(view, section.inner, inner),
        _from_words(view, section.outer, outer),
        f"{body.kind} {body.size}" + ("" if body.fits else ", DOES NOT FIT"),
        f"{body.sum_mm2:.2f} / {body.window[0]:g} to {body.window[1]:g}",
        body.lump_mm,
        f"{cover.type} {cover.printed or '(no size fits)'} x {body.cover_mm:.0f} mm" + ", cap" * cover.cap,
        ", ".join(cover.waits_on),
        chosen,
        mark_words(body.source),
        None,
        None,
    )


def _from_words(view: View, point: str, wires: tuple[Wire, ...]) -> str:
    """Return the wires that come from a point with their colours, those of one size together."""
    found: dict[str, list[str]] = {}
    for wire in wires:
        found.setdefault(size_words(view.size(wire)), []).append(f"{wire.label} {wire.colour}".strip())
    if not found:
        return "none"
    told = "; ".join(f"{', '.join(some)} ({size})" for size, some in found.items())
    return f"{point}: {told}"


def place_words(view: View, splice: Splice) -> str:
    """Return where a splice sits: mm from the inner end, and from the outer one."""
    place: LoomPlace = splice.place
    section = view.routed.tree[splice.loom].by_name[place.section]
    rest = section.length_mm - place.mm
    return f"{section.name}, {place.mm:.0f} mm from {section.inner} ({rest:.0f} mm before {section.outer})"
