"""The loom map: the tree with its sizes, and a table of every section, covering and rope to buy."""

from collections.abc import Iterator
from typing import Final

from loomwright.model.tree import Section, Tree
from loomwright.pack.draw_map import map_drawings
from loomwright.pack.pages import NOT_PRINTED, Block, Column, Figure, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, many, sources_note
from loomwright.routing.routed import section_key
from loomwright.sizing.sized import SleevePiece

COLUMNS: Final = (
    Column("section", bold=True),
    Column("length", "mm", "number", decimals=0),
    Column("give or take", "mm", "number", decimals=0),
    Column("wires", kind="number"),
    Column("packed, at least", "mm", "number", decimals=1),
    Column("as laid", "mm", "number", decimals=1, bold=True),
    Column("bracket", "mm"),
    Column("measured", "mm", "blank", width_mm=18.0),
    Column("covering"),
    Column("finished", "mm", "number", decimals=1, bold=True),
    Column("rope to buy", "mm"),
    Column("length from"),
)
INTRO: Final = (
    "Lengths run along the centre line, from branch point to branch point, at an end to the wire exit. As "
    "laid is what hands make of a bundle; measure it with calipers where it is laid and write it in. Screens "
    "are not counted as wires."
)


def loom_map(view: View) -> tuple[Sheet, ...]:
    """Return the map of every loom with its table of sections."""
    found = []
    for tree in view.trees:
        if not tree.sections:
            continue
        name = f" {tree.loom}" if len(view.trees) > 1 else ""
        keys = [section_key(tree.loom, s.name) for s in tree.sections]
        bundles = [view.sized.bundle[k] for k in keys if k in view.sized.bundle]
        note = sources_note(b.source for b in bundles)
        blocks: list[Block] = [Figure(one) for one in map_drawings(view.worked, tree.loom)]
        blocks.append(Table(COLUMNS, (RowGroup(tuple(_rows(view, tree))),), note=note, close=True))
        key = f"map-{tree.loom}" if name else "map"
        intro = f"{many(len(tree.sections), 'section')} from datum {tree.datum}. {INTRO}"
        found.append(
            Sheet(key, f"Loom map{name}", tuple(blocks), intro, stamps=view.stamps("map"), landscape=True)
        )
    return tuple(found)


def _rows(view: View, tree: Tree) -> Iterator[Row]:
    ropes = {r.section: r for r in view.sized.ropes}
    for section in tree.sections:
        key = section_key(tree.loom, section.name)
        bundle, sleeve, rope = view.sized.bundle.get(key), view.sized.sleeve.get(key), ropes.get(key)
        bought = f"{rope.diameter_mm:g} dia, {rope.length_mm:.0f} long" if rope else NOT_PRINTED
        head: Row = (section.name, section.length_mm, _doubt(section))
        if bundle is None:
            yield (*head, 0, None, None, "no wires yet", "", NOT_PRINTED, None, bought, section.origin)
            continue
        yield (
            *head,
            bundle.wires,
            bundle.packed_min_mm,
            bundle.as_laid_mm,
            "measured" if bundle.measured else f"{bundle.low_mm:.1f} to {bundle.high_mm:.1f}",
            "",
            covering_words(sleeve) if sleeve else NOT_PRINTED,
            sleeve.finished_mm if sleeve else None,
            bought,
            section.origin,
        )


def _doubt(section: Section) -> float:
    return section.own_mm + section.common_mm


def covering_words(piece: SleevePiece) -> str:
    """Return a section's covering in words, with its size."""
    if piece.what == "none":
        return "left bare"
    size = piece.printed or "no size fits"
    return f"{piece.type or piece.what} {size}"
