"""The change sheet: what to cut, move, make anew and take away to get from an issued revision to now."""

from collections.abc import Iterable, Iterator
from typing import Final

from loomwright.pack.change_parts import More
from loomwright.pack.pages import (
    NOT_PRINTED,
    Block,
    Caution,
    Column,
    Facts,
    Heading,
    Paragraph,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.pack.reels import reel_title, reels
from loomwright.pack.reprint import Reprints
from loomwright.pack.view import View, end_words, many, section_words
from loomwright.planning.change import Change
from loomwright.planning.change_pieces import PieceChange
from loomwright.planning.change_wires import Deed, WireChange
from loomwright.routing.routed import Wire

DONE: Final = (
    Column("done", kind="tick"),
    Column("actual", "mm", "blank", width_mm=16.0),
    Column("initials", kind="blank", width_mm=18.0),
)
CUT: Final = (
    Column("wire", bold=True),
    Column("do"),
    Column("cut", "mm", "number", decimals=0, bold=True),
    Column("circuit"),
    Column("from"),
    Column("to"),
    Column("trim", "mm"),
    Column("how"),
    *DONE,
)
OTHER: Final = (
    Column("wire", bold=True),
    Column("do"),
    Column("circuit"),
    Column("from - to"),
    Column("was cut", "mm", "number", decimals=0),
    Column("now", "mm", "number", decimals=0),
    Column("how"),
    *DONE,
)
PIECES: Final = (
    Column("what", bold=True),
    Column("do"),
    Column("was"),
    Column("now", bold=True),
    Column("how"),
    Column("done", kind="tick"),
    Column("initials", kind="blank", width_mm=18.0),
)
STUCK: Final = (
    Column("done already", bold=True),
    Column("what the change means there"),
    Column("decided", kind="blank", width_mm=40.0),
)
PARTS: Final = (
    Column("part", bold=True),
    Column("more", kind="number", bold=True),
    Column("unit"),
    Column("there", kind="tick"),
)
PRINT: Final = (
    Column("paper", bold=True),
    Column("state"),
    Column("other rows", kind="number"),
    Column("exchanged", kind="tick"),
)
INTRO: Final = (
    "Do what stands here and nothing else: every wire that isn't named stays as it is. Lengths are cut "
    "lengths with trim in them. Numbers of wires that go are not given again."
)
STATE: Final = (
    ("new", "print"),
    ("changed", "print again"),
    ("gone", "throw away"),
)


def change_sheet(
    before: View, after: View, change: Change, since: str, prints: Reprints, order: tuple[More, ...]
) -> Sheet:
    """Return the sheet that says how to get from one state to the other.

    Args:
        before, after: both states; the digests in them are printed
        change: what has to be done
        since: what the earlier state is called, "revision A"
        prints: which papers are out of date
        order: parts the change takes
    """
    blocks: list[Block] = [_facts(before, after, change, since)]
    if change.nothing:
        blocks.append(Paragraph("Nothing on the bench changes."))
    blocks += _stuck(change)
    blocks += _cut(after, change)
    blocks += _other(before, after, change)
    blocks += _pieces(change, len(after.trees) > 1)
    blocks += _order(order)
    blocks += _prints(prints, before.digest)
    return Sheet(
        "change",
        f"Change since {since}",
        tuple(blocks),
        INTRO,
        cautions=after.cautions("bare fit", "cut", "close"),
        stamps=tuple(dict.fromkeys(s for name in sorted(after.stamped) for s in after.stamps(name))),
        landscape=True,
    )


def counted(change: Change) -> str:
    """Return how many wires there are of every deed: "3 cut new, 2 remove, 211 unchanged"."""
    counts = ((deed, len(change.with_deed(deed))) for deed in Deed)
    return ", ".join([*(f"{n} {deed}" for deed, n in counts if n), f"{change.unchanged} unchanged"])


def _facts(before: View, after: View, change: Change, since: str) -> Facts:
    pairs = (
        ("From", f"{since}, digest {before.digest or NOT_PRINTED}"),
        ("To", f"digest {after.digest or NOT_PRINTED}"),
        ("Wires", counted(change)),
        ("Carried out by", ""),
    )
    return Facts(pairs)


def _stuck(change: Change) -> Iterator[Block]:
    rows: list[Row] = [(one.subject, one.words, "") for one in change.stuck]
    rows += [
        (name, "Recorded as done, but neither state has it: look at done.toml.", "")
        for name in change.unknown
    ]
    if rows:
        yield Caution("What is done already stands in the way. Decide these first.", "Before you begin")
        yield Table(STUCK, (RowGroup(tuple(rows)),), "Done already")


def _cut(after: View, change: Change) -> Iterator[Block]:
    new = {one.row.identity: one for one in change.wires if one.is_new_piece}
    if not new:
        return
    spare = after.job.shop.wire_spare.value
    wires = sorted((after.routed.wire[name] for name in new), key=lambda w: w.number)
    groups = tuple(
        RowGroup(tuple(_cut_row(after, w, new[w.identity]) for w in reel.wires), reel_title(reel, spare))
        for reel in reels(after, wires)
    )
    yield Table(CUT, groups, "Wires to cut")


def _cut_row(view: View, wire: Wire, change: WireChange) -> Row:
    row = change.row
    ends = end_words(wire.a), end_words(wire.b)
    trims = f"{row.trim_a_mm:.0f}/{row.trim_b_mm:.0f}"
    what = str(change.deed)
    return (wire.label, what, row.cut_mm, view.circuit_words(wire), *ends, trims, change.words, None, "", "")


def _other(before: View, after: View, change: Change) -> Iterator[Block]:
    rest = [one for one in change.wires if not one.is_new_piece]
    groups = []
    for title, deeds in (
        ("Lengths and ways", (Deed.LENGTHEN, Deed.SHORTEN, Deed.RELAY)),
        ("Contacts to move, labels to change", (Deed.MOVE, Deed.RELABEL)),
        ("Only printed otherwise", (Deed.ON_PAPER,)),
        ("To take out", (Deed.REMOVE,)),
    ):
        rows = tuple(_other_row(before, after, one) for one in rest if one.deed in deeds)
        if rows:
            groups.append(RowGroup(rows, title))
    if groups:
        yield Table(OTHER, tuple(groups), "Wires that are there")


def _other_row(before: View, after: View, one: WireChange) -> Row:
    view = after if one.now is not None else before
    wire = view.routed.wire[one.row.identity]
    was = one.was or one.row
    label = wire.label if was.number == one.row.number else f"{was.label}, now {wire.label}"
    now = one.now.cut_mm if one.now is not None and one.now.cut_mm != was.cut_mm else None
    ends = f"{end_words(wire.a)} - {end_words(wire.b)}"
    circuit = view.circuit_words(wire)
    return (label, str(one.deed), circuit, ends, was.cut_mm, now, one.words, None, "", "")


def _pieces(change: Change, several: bool) -> Iterator[Block]:
    told = (
        ("Devices", change.devices, False, "new"),
        ("Fuses and trips", change.protections, False, "new"),
        ("Sections", change.sections, True, "new"),
        ("Splices", change.splices, False, "make"),
        ("Coverings of sections", change.sleeves, True, "cut new"),
        ("Pieces over branch points", change.covers, True, "cut new"),
        ("Cavities", change.cavities, False, "put in"),
        ("Labels", change.labels, False, "print new"),
    )
    groups = tuple(
        RowGroup(tuple(_piece(p, keyed, several, new) for p in pieces), title)
        for title, pieces, keyed, new in told
        if pieces
    )
    if groups:
        yield Table(PIECES, groups, "Everything else")


def _piece(one: PieceChange, keyed: bool, several: bool, new: str) -> Row:
    subject = section_words(one.subject, several) if keyed else one.subject
    deed = new if one.deed is Deed.CUT_NEW else "change" if one.deed is Deed.RELABEL else str(one.deed)
    return (subject, deed, one.was or NOT_PRINTED, one.now or NOT_PRINTED, one.words, None, "")


def _order(order: tuple[More, ...]) -> Iterator[Block]:
    if order:
        rows = tuple((m.part, m.more, m.unit, None) for m in order)
        note = "Beyond the issued parts list, without spares, with what is lost of pieces recorded as made."
        yield Table(PARTS, (RowGroup(rows),), "Parts the change takes", note)


def _prints(prints: Reprints, digest: str) -> Iterator[Block]:
    state = dict(STATE)
    rows: list[Row] = [
        (one.title, state[one.state], one.rows or None, None) for one in prints.sheets if one.state in state
    ]
    rows += [(f"Forming board, loom {name}", "print again", None, None) for name in prints.boards]
    rows += [(f"Forming board, loom {name}", "throw away", None, None) for name in prints.boards_gone]
    if rows:
        yield Table(PRINT, (RowGroup(tuple(rows)),), "Papers to exchange")
    stays = [one.title for one in prints.sheets if one.state == "stays"]
    stays += [f"forming board of loom {name}" for name in prints.boards_stay]
    if stays:
        yield Heading("Papers that stay")
        names = ", ".join(stays)
        yield Paragraph(f"{many(len(stays), 'paper')} with digest {digest or NOT_PRINTED} hold: {names}.")


def papers_to_print(sheets: Iterable[Sheet], prints: Reprints) -> tuple[Sheet, ...]:
    """Return the papers that have to be printed again, in the order of the pack."""
    keys = {one.key for one in prints.sheets if one.prints}
    return tuple(sheet for sheet in sheets if sheet.key in keys)
