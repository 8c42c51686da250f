"""The conductors: one row a wire, what it carries, what it may carry, and what decided its size."""

from typing import Final

from loomwright.library.contacts import contacts
from loomwright.pack.one_table import lifted
from loomwright.pack.pages import NOT_PRINTED, Block, Column, Paragraph, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, by_loom, mark_words, section_words, size_words, sources_note
from loomwright.routing.routed import EndKind, Wire
from loomwright.sizing.fits import fit_at
from loomwright.sizing.sized import Conductor, Fit

COLUMNS: Final = (
    Column("wire", bold=True),
    Column("circuit"),
    Column("size", bold=True),
    Column("load", "A", align="right"),
    Column("peak", "A", "number", decimals=2),
    Column("may carry", "A", align="right"),
    Column("where hottest: wires, air"),
    Column("drop", "V", "number", decimals=2),
    Column("limit", "V", "number", decimals=2),
    Column("fuse"),
    Column("guide fuse", "A", "number"),
    Column("at least", "mm²", "number", decimals=2),
    Column("decided by"),
    Column("from"),
    Column("ends fit"),
)
FIT_COLUMNS: Final = (
    Column("wire", bold=True),
    Column("pin"),
    Column("size"),
    Column("outside at most", "mm", "number", decimals=2),
    Column("contact"),
    Column("copper"),
    Column("grip"),
    Column("seal"),
    Column("words"),
    Column("from"),
)
INTRO: Final = (
    "What every wire carries and may carry. The drop is that of the whole path, feed and return, against "
    "its limit; the guide fuse is the largest a wiring guide's chart allows for the size."
)
NOTE: Final = (
    "* estimated by our own method, not read from a published table. ? the load of a device is not known."
)


def conductors(view: View) -> Sheet:
    """Return the conductors' sheet: sizes with what decided them, then how contacts and seals fit."""
    blocks: list[Block] = []
    for tree, wires in by_loom(view):
        if not wires:
            continue
        found = [(w, view.sized.conductor[w.identity]) for w in wires]
        rows = tuple(_row(view, w, c) for w, c in found)
        note = " ".join((NOTE, sources_note(c.source for _, c in found)))
        table = Table(COLUMNS, (RowGroup(rows),), view.titled(tree.loom), note, close=True)
        blocks.append(lifted(table, "guide fuse", "ends fit", "from"))
        told = [(w, c, fit) for w, c in found for fit in (*c.fits, *_rings(view, w, c))]
        ends, rings = len(told), sum(len(_rings(view, w, c)) for w, c in found)
        fits = [(w, c, fit) for w, c, fit in told if not _good(fit)]
        if ends and not fits:
            of_them = f", {rings} of them rings," if rings else ""
            blocks.append(Paragraph(f"All {ends} ends{of_them} fit their contact, its grip and its seal."))
        if fits:
            title = " ".join(("Contacts, rings and seals to look at", view.titled(tree.loom))).strip()
            note = sources_note(fit.source for _, _, fit in fits)
            note = f"{ends - len(fits)} of {ends} ends fit and are left out. {note}"
            fitting = tuple(_fit_row(w, c, fit) for w, c, fit in fits)
            blocks.append(Table(FIT_COLUMNS, (RowGroup(fitting),), title, note, close=True))
    return Sheet(
        "conductors",
        "Conductors",
        tuple(blocks),
        INTRO,
        stamps=view.stamps("conductors"),
        landscape=True,
    )


def _row(view: View, wire: Wire, c: Conductor) -> Row:
    where = section_words(c.hottest, False) if c.hottest else ""
    hottest = f"{where}: {c.bundle_wires}, {c.air_c:.0f} °C" if where else NOT_PRINTED
    fuse = f"{c.fuse} {c.fuse_a:g} A" if c.fuse and c.fuse_a is not None else c.fuse or NOT_PRINTED
    decided = f"{c.governs}: {c.reason}" if c.reason else c.governs
    return (
        wire.label,
        view.circuit_words(wire),
        size_words(c.size),
        f"{c.load_a:.2f}" + ("" if c.known_load else "?"),
        c.peak_a,
        f"{c.heat_limit_a:.1f}" + ("*" if c.estimated else ""),
        hottest,
        c.drop_v,
        c.drop_limit_v,
        fuse,
        c.guide_fuse_a,
        c.min_mm2,
        decided,
        mark_words(c.source),
        "yes" if all(map(_good, (*c.fits, *_rings(view, wire, c)))) else "look",
    )


def _rings(view: View, wire: Wire, c: Conductor) -> tuple[Fit, ...]:
    """How a wire fits the rings at its ends."""
    ends = (end for end in (wire.a, wire.b) if end.kind is EndKind.STUD)
    return tuple(fit_at(view.job, end.name, c.size) for end in ends)


def _good(fit: Fit) -> bool:
    grips = fit.insulation == "fits" or not _grips(fit.contact)
    return fit.conductor == "fits" and grips and (fit.seal == "fits" or not _sealed(fit.contact))


def _grips(name: str) -> bool:
    """A tube ring has no wings round the insulation."""
    known = contacts().get(name)
    return known is None or known.insulation_od_min_mm is not None


def _sealed(name: str) -> bool:
    known = contacts().get(name)
    return known is None or known.sealed


def _fit_row(wire: Wire, c: Conductor, fit: Fit) -> Row:
    return (
        wire.label,
        fit.pin,
        size_words(c.size),
        c.size.od_max_mm,
        fit.contact or NOT_PRINTED,
        fit.conductor,
        fit.insulation if _grips(fit.contact) else "no grip",
        fit.seal if _sealed(fit.contact) else "no seal",
        fit.words,
        mark_words(fit.source),
    )
