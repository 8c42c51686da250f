"""Sleeves, covers and boots: what slides on where and in which order, cut lengths, what has to pass."""

from typing import Final

from loomwright.building.built import SlideOn
from loomwright.pack.loom_map import covering_words
from loomwright.pack.pages import NOT_PRINTED, Block, Column, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, mark_words, section_words, sources_note
from loomwright.sizing.sized import BranchCover, Grommet, SleevePiece

SLIDE: Final = (
    Column("order", kind="number", bold=True),
    Column("slide on"),
    Column("size"),
    Column("cut", "mm", "number", decimals=0, bold=True),
    Column("before"),
    Column("rule"),
    Column("on", kind="tick"),
)
PIECES: Final = (
    Column("section", bold=True),
    Column("covering"),
    Column("cut", "mm", "number", decimals=0, bold=True),
    Column("trim in it", "mm", "number", decimals=0),
    Column("bundle", "mm", "number", decimals=1),
    Column("must pass", "mm", "number", decimals=1),
    Column("that is"),
    Column("finished", "mm", "number", decimals=1),
    Column("note"),
    Column("from"),
    Column("done", kind="tick"),
)
COVERS: Final = (
    Column("branch point", bold=True),
    Column("piece"),
    Column("cut", "mm", "number", decimals=0, bold=True),
    Column("goes over", "mm", "number", decimals=1),
    Column("shrinks on to", "mm", "number", decimals=1),
    Column("overlaps", "mm"),
    Column("note"),
    Column("from"),
    Column("parked", kind="tick"),
)
HOLES: Final = (
    Column("loom", bold=True),
    Column("hole", "mm", "number", decimals=0),
    Column("loom there", "mm", "number", decimals=1),
    Column("bore", "mm", "number", decimals=1),
    Column("grommet"),
    Column("biggest to pass"),
    Column("needs", "mm", "number", decimals=1),
    Column("passes", kind="tick"),
)
INTRO: Final = (
    "Cut lengths of everything that goes over the wires. A sleeve at a trimmed end is cut long like its "
    "wires and left unshrunk over the last 100 to 150 mm until the test fit."
)
SLIDE_INTRO: Final = (
    "What is forgotten here costs finished ends. Slide things on in the order of the numbers, 1 first, and "
    "tick; before says what must not be done until it is on. Cut lengths of sleeves, covers and labels in mm."
)


def slide_on(view: View) -> Sheet:
    """Return the slide-on order at every section, splice and end."""
    groups = _slide_groups(view, len(view.trees) > 1)
    blocks = (Table(SLIDE, groups),) if groups else ()
    return Sheet("slide-on", "Slide-on order", blocks, SLIDE_INTRO, stamps=view.stamps("sleeves"))


def sleeves(view: View) -> Sheet:
    """Return the schedule of sleeves, covers and grommets."""
    several = len(view.trees) > 1
    sized, blocks = view.sized, list[Block]()
    if sized.sleeves:
        rows = tuple(_piece(p, several) for p in sized.sleeves)
        note = sources_note(p.source for p in sized.sleeves)
        blocks.append(Table(PIECES, (RowGroup(rows),), "Coverings of the sections", note))
    if sized.branch_covers:
        rows = tuple(_cover(c, several) for c in sized.branch_covers)
        note = sources_note(c.source for c in sized.branch_covers)
        blocks.append(Table(COVERS, (RowGroup(rows),), "Pieces over the branch points", note))
    if sized.grommets:
        rows = tuple(map(_hole, sized.grommets))
        note = sources_note(g.source for g in sized.grommets)
        blocks.append(Table(HOLES, (RowGroup(rows),), "Through the bulkhead", note))
    cautions, stamps = view.cautions("sheath"), view.stamps("sleeves")
    return Sheet(
        "sleeves", "Sleeves, covers and boots", tuple(blocks), INTRO, cautions, stamps, landscape=True
    )


def _slide_groups(view: View, several: bool) -> tuple[RowGroup, ...]:
    splices = {(s.loom, s.name) for s in view.routed.splices}
    found: dict[str, list[Row]] = {}
    for one in view.built.slide_on:
        loom = f"{one.loom}: " if several else ""
        if (one.loom, one.end) in splices:
            found.setdefault(f"{loom}splices", []).append(_slide(one, f"{one.end}: "))
        else:
            found.setdefault(f"{loom}at {one.end}", []).append(_slide(one))
    return tuple(RowGroup(tuple(rows), name) for name, rows in found.items())


def _slide(one: SlideOn, at: str = "") -> Row:
    return (one.order, at + one.what, one.size, one.cut_mm or None, one.before, one.rule, None)


def _piece(p: SleevePiece, several: bool) -> Row:
    note = p.words or ("" if p.fits else "DOES NOT FIT")
    return (
        section_words(p.section, several),
        covering_words(p),
        p.cut_mm or None,
        p.trim_mm or None,
        p.bundle_mm,
        p.must_pass_mm,
        p.passes_over,
        p.finished_mm,
        note,
        mark_words(p.source),
        None,
    )


def _cover(c: BranchCover, several: bool) -> Row:
    overlaps = ", ".join(f"{key.split('/', 1)[1]} {mm:.0f}" for key, mm in c.legs)
    return (
        f"{c.loom}: {c.point}" if several else c.point,
        f"{c.type} {c.size or 'no size fits'}",
        c.cut_mm,
        c.over_mm,
        c.smallest_mm,
        overlaps,
        c.words,
        mark_words(c.source),
        None,
    )


def _hole(g: Grommet) -> Row:
    return (
        g.loom,
        g.hole_mm,
        g.od_mm,
        g.inside_mm,
        g.words or NOT_PRINTED,
        g.biggest,
        g.biggest_mm,
        g.passes,
    )
