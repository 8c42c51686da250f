"""The lay-up order: which sections come on to the board first and where each next one joins, on one page."""

from typing import Final

from loomwright.building.grouping import STRAIGHT_ON
from loomwright.building.lay_order import Strand, strands
from loomwright.model.tree import Tree
from loomwright.pack.pages import (
    NOT_PRINTED,
    Beside,
    Block,
    Card,
    Column,
    Facts,
    Heading,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.pack.view import View
from loomwright.routing.routed import section_key

COLUMNS: Final = (
    Column("turn", kind="number", bold=True),
    Column("lay", bold=True),
    Column("joins", bold=True),
    Column("gather"),
    Column("first"),
    Column("wires", kind="number"),
    Column("laid", kind="tick"),
)
INTRO: Final = (
    "The wires that run furthest go on to the board first. This is the order in which they reach the "
    "sections: turn 1 from end to end, each next one from the point where it joins what lies already, "
    "outward. Gather: as which of the exits there, the core inside, all others outside it; gather and bind "
    "only when all wires lie. First: the wire that gets there first; wires count screens too."
)
SHORT: Final = ("turn", "lay", "gather", "first", "laid")  # what stays of them side by side
ABREAST_FROM: Final = 36  # lines of one loom that fit a page one below the other; ours


def lay_up(view: View) -> Sheet:
    """Return the lay-up order of all looms, each on one page as far as it fits."""
    blocks = []
    for tree in view.trees:
        found = strands(tree, view.wires_of_loom[tree.loom])
        if len(found) > 1:
            title = (Heading(view.titled(tree.loom)),) if len(view.trees) > 1 else ()
            rows = tuple(_row(view, tree, n, one) for n, one in enumerate(found, 1))
            steps = Facts(_steps(view, tree), across=0)
            blocks.append(Card((*title, steps, *_tables(rows, tree.loom))))
    return Sheet("lay-up", "Lay-up order", tuple(blocks), INTRO, stamps=view.stamps("build order"), big=True)


def _tables(rows: tuple[Row, ...], name: str) -> tuple[Block, ...]:
    """One table; of a loom that would not fit the page the first line, then the rest side by side."""
    if len(rows) <= ABREAST_FROM:
        return (Table(COLUMNS, (RowGroup(rows),), close=True, name=name),)
    kept = [n for n, column in enumerate(COLUMNS) if column.head in SHORT]
    short = [tuple(row[n] for n in kept) for row in rows]
    columns = tuple(COLUMNS[n] for n in kept)
    half = 1 + len(rows) // 2
    first, *parts = (
        Table(columns, (RowGroup(tuple(part)),), close=True, name=name)
        for part in (short[:1], short[1:half], short[half:])
    )
    return (first, Beside(tuple((part,) for part in parts), (0.0, 0.0)))


def _row(view: View, tree: Tree, turn: int, strand: Strand) -> Row:
    inside = view.routed.in_section[section_key(tree.loom, strand.sections[0])]
    joins = " and ".join(strand.joins) or NOT_PRINTED
    way = "-".join(strand.points)
    return (turn, way, joins, _lies(view, tree, strand), strand.first.label, len(inside), None)


def _lies(view: View, tree: Tree, strand: Strand) -> str:
    """Outside or core, and as which of the exits it is gathered at its first joint."""
    if not strand.joins:
        return "first"
    key = section_key(tree.loom, strand.sections[0])
    own = next((g for g in view.built.exit_groups if g.section == key), None)
    if own is None or own.point != strand.points[0]:
        return "comes in"
    exits = sum(g.point == own.point and g.loom == own.loom and bool(g.wires) for g in view.built.exit_groups)
    return f"{own.order} of {exits}" + (f", {own.layer}" if own.layer == STRAIGHT_ON else "")


def _steps(view: View, tree: Tree) -> tuple[tuple[str, str], ...]:
    """Which steps of the build order these are."""
    own = [s for s in view.built.steps if s.loom == tree.loom and s.phase == "lay up"]
    number = {s.name: s.number for s in own}
    gathered = [s for s in own if s.name.startswith("gather ")]
    pairs = [("Lay", f"step {number['lay']} of the build order")] if "lay" in number else []
    if gathered:
        first, last = gathered[0].number, gathered[-1].number
        steps = f"step {first}" if first == last else f"steps {first} to {last}"
        points = ", ".join(s.name.removeprefix("gather ") for s in gathered)
        pairs.append(("Then gather and bind", f"{steps}: {points}"))
    return tuple(pairs)
