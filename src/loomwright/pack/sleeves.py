"""Sleeves, covers and boots: what slides on where and in which order, cut lengths, what has to pass."""

from collections.abc import Iterator
from typing import Final

from loomwright.building.built import SlideOn
from loomwright.pack.loom_map import covering_words
from loomwright.pack.one_table import lifted
from loomwright.pack.pages import NOT_PRINTED, Block, Column, Flow, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, mark_words, section_words, sources_note
from loomwright.sizing.sized import BranchCover, Grommet, SleevePiece

SLIDE: Final = (
    Column("order", kind="number", bold=True),
    Column("slide on"),
    Column("size"),
    Column("cut", "mm", "number", decimals=0, bold=True),
    Column("on", kind="tick"),
)
LABEL: Final = "label"
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
    "What is forgotten here costs finished ends. Slide things on in the order of the numbers, each before "
    "the next, all before what the title of the place says; the codes are those of the rules behind the "
    "build order. Cut lengths of sleeves, covers and labels in mm."
)


def slide_on(view: View) -> Sheet:
    """Return the slide-on order at every section, splice and end, in two columns."""
    groups = _slide_groups(view, len(view.trees) > 1)
    blocks = (Flow((Table(SLIDE, groups, close=True),)),) if groups else ()
    return Sheet("slide-on", "Slide-on order", blocks, SLIDE_INTRO, stamps=view.stamps("sleeves"))


def sleeves(view: View) -> Sheet:
    """Return the schedule of sleeves, covers and grommets."""
    several = len(view.trees) > 1
    sized, blocks = view.sized, list[Block]()
    if sized.sleeves:
        rows = tuple(_piece(p, several) for p in sized.sleeves)
        note = sources_note(p.source for p in sized.sleeves)
        table = Table(PIECES, (RowGroup(rows),), "Coverings of the sections", note, close=True)
        blocks.append(lifted(table, "from", "note"))
    if sized.branch_covers:
        rows = tuple(_cover(c, several) for c in sized.branch_covers)
        note = sources_note(c.source for c in sized.branch_covers)
        table = Table(COVERS, (RowGroup(rows),), "Pieces over the branch points", note, close=True)
        blocks.append(lifted(table, "from", "note"))
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
    ends: dict[str, list[SlideOn]] = {}
    covers: dict[str, list[SlideOn]] = {}
    for one in view.built.slide_on:
        loom = f"{one.loom}: " if several else ""
        if (one.loom, one.end) in splices:
            covers.setdefault(f"{loom}splices", []).append(one)
        else:
            ends.setdefault(f"{loom}{one.end}", []).append(one)
    found = [(name, told, tuple(map(_slide, told))) for name, told in ends.items()]
    found += [(name, told, tuple(_covers(told))) for name, told in covers.items()]
    return tuple(RowGroup(rows, f"{name}: {_before(told)}") for name, told, rows in found)


def _before(told: list[SlideOn]) -> str:
    """What all of it comes before, with the rules."""
    codes = sorted({one.rule.split()[0] for one in told if one.rule}, key=lambda code: int(code[1:]))
    return f"before {told[-1].before}" + (f" ({', '.join(codes)})" if codes else "")


def _slide(one: SlideOn) -> Row:
    size = one.size.partition(",")[0] if one.what == LABEL else one.size  # its whole text stands on the label
    return (one.order, one.what, size, one.cut_mm or None, None)


def _covers(told: list[SlideOn]) -> Iterator[Row]:
    """One row for all splices whose covers are alike; each is ticked in the splice list."""
    alike: dict[tuple[int, str, str, float], list[str]] = {}
    for one in told:
        alike.setdefault((one.order, one.what, one.size, one.cut_mm), []).append(one.end)
    for (order, what, size, cut_mm), names in alike.items():
        yield (order, f"{what} of {', '.join(names)}", size, cut_mm or None, None)


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
        f"{c.type} {c.printed or 'no size fits'}",
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
