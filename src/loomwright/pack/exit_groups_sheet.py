"""Which wires are tied together before sheathing, and in which order they leave: one sheet a loom."""

from collections.abc import Iterator
from itertools import groupby
from typing import Final

from loomwright.building.built import ExitGroup, GroupLie, SectionLies
from loomwright.model.tree import Tree
from loomwright.pack.pages import NOT_PRINTED, Block, Column, Heading, Paragraph, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, many

COLUMNS: Final = (
    Column("tie", kind="number", bold=True),
    Column("goes into", bold=True),
    Column("lies"),
    Column("wires, screens", kind="number"),
    Column("these together, furthest first"),
    Column("ends at"),
    Column("tied", kind="tick"),
)
LIES: Final = (
    Column("section", bold=True),
    Column("in the middle"),
    Column("laid on from the inside out, at the hour"),
    Column("laid", kind="tick"),
)
INTRO: Final = (
    "Straight lay: comb the wires parallel and tie each line of this sheet into a group of its own before "
    "any sheath goes on. Groups stand in the order in which they leave, seen from the datum; what leaves "
    "first lies outside, what goes on furthest is the core. Cores of one cable and its screen stand in "
    "brackets. From SP1: the wire begins at that splice, on the way, and is tied in from there on."
)
LIE: Final = "How the groups lie in each sheath"
LIE_WORDS: Final = (
    "Lay the middle first, then the groups in this order: what leaves next lies outermost. The hour is where "
    "a group lies round the middle and comes out, from the witness line, looking outward from the datum; it "
    "keeps it all the way, so that none crosses another inside the sheath; ~ = wherever there is room. A wire"
    " that comes in on another side goes round the bundle at that branch point, before the sheath goes on."
)
ANYWHERE: Final = "~"


def exit_groups_sheet(view: View) -> tuple[Sheet, ...]:
    """Return a sheet for every loom that has a branch point."""
    return tuple(_sheet(view, tree) for tree in view.trees if tree.branch_points)


def _sheet(view: View, tree: Tree) -> Sheet:
    own = [g for g in view.built.exit_groups if g.loom == tree.loom and (g.wires or g.later)]
    groups = tuple(
        RowGroup(tuple(_rows(view, tree, tuple(at))), _title(tree, point))
        for point, at in groupby(own, key=lambda g: g.point)
    )
    more = len(view.trees) > 1
    key = f"exit-groups-{tree.loom}" if more else "exit-groups"
    title = f"Groups before sheathing: loom {tree.loom}" if more else "Groups before sheathing"
    blocks = (Table(COLUMNS, groups), *_lies(view, tree)) if groups else ()
    return Sheet(key, title, blocks, INTRO, stamps=view.stamps("branch points"))


def _title(tree: Tree, point: str) -> str:
    into = tree.into.get(point)
    came = f", coming from {into.inner}" if into else ", the datum"
    return f"{point} at {tree.from_datum_mm[point]:.0f} mm from {tree.datum}{came}"


def _rows(view: View, tree: Tree, at: tuple[ExitGroup, ...]) -> Iterator[Row]:
    for group in at:
        name = group.section.split("/", 1)[1]
        section = tree.by_name[name]
        ends = _beyond(view, tree, section.outer)
        words = ends[0] if len(ends) == 1 else f"{many(len(ends), 'end')} from {section.outer} on"
        lies = f"{group.layer}, {group.clock} o'clock" if group.clock else group.layer
        together = "; ".join(x for x in (_by_cable(view, group), later_words(group)) if x)
        yield (group.order, name, lies, len(group.wires), together, words, None)


def later_words(group: ExitGroup) -> str:
    """Return which wires begin in an exit beyond its branch point: "from SP1: W4, W5"."""
    found: dict[str, list[str]] = {}
    for one in group.later:
        found.setdefault(one.at, []).append(one.wire)
    return "; ".join(f"from {at}: {', '.join(wires)}" for at, wires in found.items())


def _lies(view: View, tree: Tree) -> Iterator[Block]:
    """How the groups lie in every section that holds two or more."""
    own = tuple(one for one in view.built.lies if one.loom == tree.loom)
    if own:
        yield Heading(LIE)
        yield Paragraph(LIE_WORDS)
        yield Table(LIES, (RowGroup(tuple(map(_lie, own))),), close=True, name=LIE)


def _lie(one: SectionLies) -> Row:
    middle = ", ".join(_name(g) for g in one.groups if g.core) or NOT_PRINTED
    around = ", ".join(f"{_name(g)} {g.clock or ANYWHERE}" for g in one.groups if not g.core)
    return (one.section.split("/", 1)[1], middle, around, None)


def _name(group: GroupLie) -> str:
    return group.section.split("/", 1)[1]


def _beyond(view: View, tree: Tree, point: str) -> list[str]:
    """Ends of the loom beyond a point, the point itself where it is one."""
    out = tree.out_of.get(point, ())
    found = [end for s in out for end in _beyond(view, tree, s.outer)]
    return found if out else [point]


def _by_cable(view: View, group: ExitGroup) -> str:
    """Wires in their order; the cores of one cable in brackets with its name."""
    cable = {w.label: w.cable for w in view.wires_of_loom[group.loom]}
    said = []
    for name, labels in groupby(group.wires, key=lambda label: cable.get(label, "")):
        words = ", ".join(labels)
        said.append(f"[{words}: {name}]" if name else words)
    return ", ".join(said)
