"""Which wires are tied together before sheathing, and in which order they leave: one sheet a loom."""

from collections.abc import Iterator
from itertools import groupby
from typing import Final

from loomwright.building.built import ExitGroup
from loomwright.model.tree import Tree
from loomwright.pack.pages import Column, Row, RowGroup, Sheet, Table
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
INTRO: Final = (
    "Straight lay: comb the wires parallel and tie each line of this sheet into a group of its own before "
    "any sheath goes on. Groups stand in the order in which they leave, seen from the datum; what leaves "
    "first lies outside, what goes on furthest is the core. Cores of one cable and its screen stand in "
    "brackets. A wire that begins at a splice is tied from that splice on."
)


def exit_groups_sheet(view: View) -> tuple[Sheet, ...]:
    """Return a sheet for every loom that has a branch point."""
    return tuple(_sheet(view, tree) for tree in view.trees if tree.branch_points)


def _sheet(view: View, tree: Tree) -> Sheet:
    own = [g for g in view.built.exit_groups if g.loom == tree.loom and g.wires]
    groups = tuple(
        RowGroup(tuple(_rows(view, tree, tuple(at))), _title(tree, point))
        for point, at in groupby(own, key=lambda g: g.point)
    )
    more = len(view.trees) > 1
    key = f"exit-groups-{tree.loom}" if more else "exit-groups"
    title = f"Groups before sheathing: loom {tree.loom}" if more else "Groups before sheathing"
    blocks = (Table(COLUMNS, groups),) if groups else ()
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
        yield (group.order, name, lies, len(group.wires), _by_cable(view, group), words, None)


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
