"""What goes on before what, at every section, splice and end, from the body outward."""

from collections.abc import Iterator, Mapping
from typing import Final

from loomwright.building.built import Label, SlideOn
from loomwright.building.ends import RING, End, slides_on
from loomwright.building.labels import MOST_MM
from loomwright.building.rules import order_rule
from loomwright.calc.sleeve_fit import SleeveBore, choose_sleeve
from loomwright.library.coverings import printed_size, sleeve
from loomwright.model.tree import Tree
from loomwright.routing.routed import Routed, section_key
from loomwright.sizing.sized import BranchCover, Sized

CLEAR_COVER: Final = "clear cover"
CLEAR_TYPE: Final = "clear label cover 2:1"
CLEAR_BEYOND_MM: Final = 5.0  # clear cover 5 mm beyond each end of the label, common practice
Item = tuple[str, str, float, str]  # what, size, cut in mm, rule


def slide_on(
    routed: Routed, sized: Sized, ends: Mapping[str, tuple[End, ...]], labels: tuple[Label, ...]
) -> tuple[SlideOn, ...]:
    """Return what is slid on, loom by loom: grommet, sections, splices, ends.

    At an end the order is from the body outward: sleeve, boot, label, clear cover, seals, contacts, housing.
    Source: common practice; split and wrapped coverings are not listed, they can go on later.

    Args:
        ends: the ends of every loom
    """
    plugs = {label.of: label for label in labels if label.kind == "plug"}
    found: list[SlideOn] = []
    for tree in routed.trees:
        found += _grommet(tree, sized)
        found += _sections(tree, sized)
        found += _splices(tree, routed, sized)
        for end in ends[tree.loom]:
            items = list(_at_end(end, plugs.get(end.name)))
            found += _numbered(tree.loom, end.name, items, "the end is closed")
    return tuple(found)


def _numbered(loom: str, name: str, items: list[Item], last: str) -> Iterator[SlideOn]:
    for n, (what, size, cut, rule) in enumerate(items):
        before = items[n + 1][0] if n + 1 < len(items) else last
        yield SlideOn(loom, name, n + 1, what, size, cut, before, order_rule(rule).name)


def _grommet(tree: Tree, sized: Sized) -> Iterator[SlideOn]:
    for grommet in sized.grommets:
        if grommet.loom == tree.loom:
            items: list[Item] = [("grommet", grommet.words, 0.0, "R8")]
            yield from _numbered(tree.loom, tree.datum, items, "the housings of one side are fitted")


def _sections(tree: Tree, sized: Sized) -> Iterator[SlideOn]:
    """Sections between branch points: the sleeve, then the piece over the outer point, parked on it."""
    covers = {c.point: c for c in sized.branch_covers if c.loom == tree.loom}
    for s in tree.sections:
        if s.outer not in tree.out_of:
            continue
        piece = sized.sleeve.get(section_key(tree.loom, s.name))
        items: list[Item] = []
        if piece and slides_on(piece):
            items.append((piece.what, _size(piece.type, piece.printed), piece.cut_mm, "R6"))
        items += _parked(covers.get(s.outer), s.outer)
        yield from _numbered(tree.loom, s.name, items, f"the sleeves beyond {s.outer} go on")
    if tree.datum in covers:
        items = list(_parked(covers[tree.datum], tree.datum))
        yield from _numbered(tree.loom, tree.datum, items, f"the sleeves beside {tree.datum} go on")


def _parked(cover: BranchCover | None, point: str) -> Iterator[Item]:
    if cover and not cover.taped:
        yield f"piece over {point}, parked", _size(cover.type, cover.printed), cover.cut_mm, "R20"


def _splices(tree: Tree, routed: Routed, sized: Sized) -> Iterator[SlideOn]:
    for splice in routed.splices:
        body = sized.splice.get(splice.name)
        if splice.loom == tree.loom and body:
            kind = _size(body.cover.type, body.cover.printed)
            items: list[Item] = [("splice cover", kind, body.cover_mm, "R2")]
            yield from _numbered(tree.loom, splice.name, items, "the splice is crimped")


def _at_end(end: End, label: Label | None) -> Iterator[Item]:
    if end.piece and slides_on(end.piece):
        yield end.piece.what, _size(end.piece.type, end.piece.printed), end.piece.cut_mm, "R7"
    if end.connector and end.connector.boot:
        yield "boot", end.connector.boot, 0.0, "R10"
    if label:
        yield "label", label.text, label.width_mm, "R9"
        yield CLEAR_COVER, _clear_size(end), label.width_mm + 2 * CLEAR_BEYOND_MM, "R9"
    if end.joints:
        yield f"joint covers ({len(end.joints)})", "glue-lined", 0.0, "R2"
    if end.seals:
        yield f"wire seals ({end.seals})", "", 0.0, "R14"
    for kind, count in end.contacts:
        name = "ring terminals" if kind == RING else "contacts"
        yield f"{name} ({count})", "" if kind == RING else kind, 0.0, "R9"
    if end.connector and not end.stud and not end.joints:
        yield "housing", end.connector.part or end.connector.face, 0.0, "R9"


def _clear_size(end: End) -> str:
    """The clear cover that slides over the sheathed section and grips it; "" where nothing lies there."""
    if end.piece is None:
        return ""
    kind, over = sleeve(CLEAR_TYPE), end.piece.finished_mm
    bores = [SleeveBore(s.label, s.expanded_id_mm, s.recovered_id_mm, s.wall_mm) for s in kind.sizes]
    chosen = choose_sleeve(bores, over, MOST_MM + 2 * CLEAR_BEYOND_MM).chosen
    return printed_size(kind.name, chosen.bore.label) if chosen else ""


def _size(kind: str, size: str) -> str:
    return " ".join(x for x in (kind, size) if x)
