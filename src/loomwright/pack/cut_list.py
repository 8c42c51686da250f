"""The cut list: every wire once, reel by reel, in type to read at the bench; then how each length adds up."""

from typing import Final

from loomwright.pack.pages import Block, Column, Row, RowGroup, Sheet, Table
from loomwright.pack.reels import Reel, reel_title, reels
from loomwright.pack.view import View, by_loom, end_words, many, share_words
from loomwright.routing.routed import Wire

COLUMNS: Final = (
    Column("wire", bold=True),
    Column("cut", "mm", "number", decimals=0, bold=True),
    Column("circuit"),
    Column("from"),
    Column("to"),
    Column("trim", "mm", width_mm=21.0),
    Column("done", kind="tick"),
    Column("actual", "mm", "blank", width_mm=19.0),
    Column("initials", kind="blank", width_mm=20.0),
)
SUM_COLUMNS: Final = (
    Column("wire", bold=True),
    Column("from", width_mm=17.0),
    Column("to", width_mm=17.0),
    Column("sum", "mm"),
    Column("exact", "mm", "number", decimals=0),
    Column("cut", "mm", "number", decimals=0, bold=True),
    Column("give or take", "mm", "number", decimals=0),
)
INTRO: Final = (
    "Cut reel by reel, number both ends before the wire leaves the bench, as far from the end as the labels' "
    "sheet says (nearer, the number is trimmed off), tick. Trim (from / to) is in the length already: it is "
    "cut off at the test fit, on the car. How each length adds up stands on the paper behind this one."
)

SUM_INTRO: Final = (
    "Every cut length as a sum: the way along the sections, the take-up of the lay, then what each end needs "
    "and its trim, first that of from, then that of to. Give or take is the doubt of the way along the rope."
)
BEFORE_NAMES: Final = (
    "to the contact of",
    "into splice",
    "into the joint of",
    "ring at",
    "trim at",
    "sealed end at",
)
SHORTER: Final = (
    ("to the contact of", "contact"),
    ("into the joint of", "into joint"),
    ("ring at", "ring"),
    ("trim at", "trim"),
    ("sealed end at", "sealed end"),
    ("take-up of the lay", "take-up"),
    ("take-up of lay and twist", "take-up, twist"),
)


def cut_list(view: View) -> Sheet:
    """Return the cut list: one row a wire, grouped by reel."""
    spare = view.job.shop.wire_spare.value
    found = [(tree.loom, reels(view, wires)) for tree, wires in by_loom(view) if wires]
    blocks: list[Block] = []
    for loom, own in found:
        groups = tuple(RowGroup(tuple(_row(view, w) for w in r.wires), reel_title(r, spare)) for r in own)
        blocks.append(Table(COLUMNS, groups, view.titled(loom), note=_note(view, own), close=True))
    return Sheet(
        "cut-list",
        "Cut list",
        tuple(blocks),
        INTRO,
        cautions=view.cautions("cut"),
        stamps=view.stamps("cut list"),
        big=True,
    )


def lengths(view: View) -> Sheet:
    """Return the sums behind the cut lengths, one row a wire."""
    blocks: list[Block] = []
    for tree, wires in by_loom(view):
        if wires:
            rows = tuple(_sum_row(view, w) for w in wires)
            blocks.append(
                Table(SUM_COLUMNS, (RowGroup(rows),), view.titled(tree.loom), _sum_note(view), True)
            )
    return Sheet(
        "lengths", "How the lengths add up", tuple(blocks), SUM_INTRO, stamps=view.stamps("cut list")
    )


def _row(view: View, wire: Wire) -> Row:
    length = view.sized.length[wire.identity]
    trims = f"{length.trim_a_mm:.0f}/{length.trim_b_mm:.0f}"
    a, b = end_words(wire.a), end_words(wire.b)
    return (wire.label, length.cut_mm, view.circuit_words(wire), a, b, trims, None, "", "")


def _sum_row(view: View, wire: Wire) -> Row:
    length = view.sized.length[wire.identity]
    a, b = end_words(wire.a), end_words(wire.b)
    words = " + ".join(f"{t.mm:.0f} {_term(t.words, wire)}" for t in length.terms)
    return (wire.label, a, b, words, length.exact_mm, length.cut_mm, length.doubt_mm)


def _term(words: str, wire: Wire) -> str:
    """Return a term's words without the names that stand in the row anyway."""
    for end in (wire.a, wire.b):
        for name in dict.fromkeys((end.name, end.name.rsplit(":", 1)[0])):
            for before in BEFORE_NAMES:
                words = before if words == f"{before} {name}" else words
    return dict(SHORTER).get(words, words)


def _note(view: View, own: tuple[Reel, ...]) -> str:
    pieces, metres = sum(r.pieces for r in own), sum(r.length_mm for r in own) / 1000
    spare = view.job.shop.wire_spare
    return (
        f"{many(pieces, 'piece')}, {metres:.1f} m in all. Take from the shelf with "
        f"{share_words(spare.value)} spare {spare.source}. Count the pieces before lay-up: a missing wire "
        "is cheap only now."
    )


def _sum_note(view: View) -> str:
    shop = view.job.shop
    return (
        f"Trim {shop.trim_mm.value:.0f} mm {shop.trim_mm.source}; service length "
        f"{shop.service_mm.value:.0f} mm {shop.service_mm.source}; fixed end {shop.fixed_end_mm.value:.0f} "
        f"mm {shop.fixed_end_mm.source}; take-up of a straight lay {100 * shop.take_up_straight.value:.1f} "
        f"% {shop.take_up_straight.source}, of a concentric one {100 * shop.take_up_concentric.value:.1f} "
        f"% {shop.take_up_concentric.source}; rounded up to {shop.cut_step_mm.value:.0f} mm "
        f"{shop.cut_step_mm.source}."
    )
