"""Branch-point cards: how every section leaves, which wires go with it, what sits beside, the cover."""

from collections.abc import Iterator
from typing import Final

from loomwright.building.built import ExitGroup
from loomwright.model.tree import Section, Tree
from loomwright.pack.draw_branch import branch_drawing
from loomwright.pack.exit_groups_sheet import later_words
from loomwright.pack.pages import (
    NOT_PRINTED,
    Beside,
    Block,
    Card,
    Column,
    Facts,
    Figure,
    Heading,
    Paragraph,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.pack.route import SIDE_SIGN
from loomwright.pack.splices import place_words
from loomwright.pack.view import View, many
from loomwright.routing.routed import section_key
from loomwright.sizing.sized import BranchCover

COLUMNS: Final = (
    Column("gather", kind="number"),
    Column("section", bold=True),
    Column("lies"),
    Column("wires, screens", kind="number"),
    Column("numbers, furthest first"),
    Column("tied", kind="tick"),
)
DIAL_MM: Final = 84.0  # printed width of a card's picture; ours
MOST_BESIDE: Final = 24  # wires in a table beside the picture; ours
INTRO: Final = (
    "One card a branch point; it can't be moved once built. Gather the exits in the order of the numbers: "
    "the last is the core and goes on furthest. The clock is seen looking outward from the datum, 12 is "
    "up, where the loom runs within 30° of vertical 12 is front. Crossed circle: straight on, away from you. "
    "From SP1: W5: the wire begins at that splice, beyond the branch point."
)


def branch_cards(view: View) -> Sheet:
    """Return a card for every branch point, in tree order."""
    blocks: list[Block] = []
    for tree in view.trees:
        if any(view.built.exit_groups) and tree.branch_points and len(view.trees) > 1:
            blocks.append(Heading(f"Loom {tree.loom}"))
        for point in tree.branch_points:
            blocks.append(_card(view, tree, point))
    stamps = view.stamps("branch points")
    return Sheet("branch-points", "Branch points", tuple(blocks), INTRO, view.cautions("lay up"), stamps)


def _card(view: View, tree: Tree, point: str) -> Card:
    groups = [g for g in view.built.exit_groups if g.loom == tree.loom and g.point == point]
    cover = next((c for c in view.sized.branch_covers if (c.loom, c.point) == (tree.loom, point)), None)
    drawn = branch_drawing(view.worked, tree.loom, point)
    dial = Figure(drawn, max_height_mm=drawn.height_mm * DIAL_MM / drawn.width_mm)
    words: list[Block] = [Heading(f"{point}  at {tree.from_datum_mm[point]:.0f} mm from {tree.datum}")]
    words.append(Facts(_facts(view, tree, point, cover), across=1))
    below: list[Block] = []
    if groups:
        table = Table(COLUMNS, (RowGroup(tuple(map(_row, groups))),), close=True, name=_name(tree, point))
        (words if sum(len(g.wires) for g in groups) <= MOST_BESIDE else below).append(table)
    elif tree.out_of.get(point):
        words.append(Paragraph("No wires are laid through this point yet."))
    return Card((Beside(((dial,), tuple(words)), (DIAL_MM, 0.0)), *below))


def _name(tree: Tree, point: str) -> str:
    into = tree.into.get(point)
    return f"{point}, from {into.inner}" if into else f"{point}, the datum"


def _row(group: ExitGroup) -> Row:
    name = group.section.split("/", 1)[1]
    later = later_words(group)
    numbers = "; ".join(words for words in (", ".join(group.wires), later) if words)
    return (group.order, name, group.layer, len(group.wires), numbers, None)


def _facts(view: View, tree: Tree, point: str, cover: BranchCover | None) -> tuple[tuple[str, str], ...]:
    beside = [s for s in view.routed.splices if s.loom == tree.loom and s.near == point]
    pairs = [("Splices beside", "; ".join(f"{s.name} {place_words(view, s)}" for s in beside) or "none")]
    pairs = [*_abreast(view, tree, point), *pairs]
    into = tree.into.get(point)
    if into is not None:
        pairs.insert(0, ("Comes from", _into(view, tree, into)))
    if cover is None:
        return (*pairs, ("Cover", NOT_PRINTED))
    size = f"{cover.type} {cover.printed or 'NO SIZE FITS'}, cut {cover.cut_mm:.0f} mm"
    overlaps = ", ".join(f"{key.split('/', 1)[1]} {mm:.0f}" for key, mm in cover.legs)
    goes = f"goes over {cover.over_mm:.1f} mm, shrinks on to {cover.smallest_mm:.1f} mm"
    if cover.taped:
        goes = f"wound half lapped round {cover.over_mm:.1f} mm at the thickest"
    return (*pairs, ("Cover", f"{size}; {goes} [{cover.source.mark}]"), ("Overlaps, mm", overlaps))


def _abreast(view: View, tree: Tree, point: str) -> Iterator[tuple[str, str]]:
    """In which order what goes on side by side from here lies."""
    for exits in view.built.exits:
        for one in exits.begun if exits.loom == tree.loom else ():
            if one.inner == point:
                lies = SIDE_SIGN.join(one.at_inner)
                yield f"Side by side to {one.outer}", f"left to right, looking outward: {lies}"


def _into(view: View, tree: Tree, section: Section) -> str:
    key = section_key(tree.loom, section.name)
    bundle = view.sized.bundle.get(key)
    screens = sum(w.screen for w in view.routed.in_section.get(key, ()))
    more = f" and {many(screens, 'screen')}" if screens else ""
    wires = f", {many(bundle.wires, 'wire')}{more}, {bundle.as_laid_mm:.1f} mm as laid" if bundle else ""
    leaving = view.worked.built.leaving[tree.loom][section.name].words
    return f"{section.name} ({section.length_mm:.0f} mm{wires})" + (
        f", pointing {leaving}" if leaving else ""
    )
