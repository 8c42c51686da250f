"""The labels: what to print, on what, where it goes."""

from typing import Final

from loomwright.building.built import Label
from loomwright.pack.label_codes import code_name, code_text
from loomwright.pack.pages import Column, Flow, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View

COLUMNS: Final = (
    Column("text", bold=True),
    Column("pieces", kind="number"),
    Column("goes"),
    Column("width", "mm", "number", decimals=0),
    Column("printed", kind="tick"),
    Column("on", kind="tick"),
)
ON_WIRE: Final = (
    Column("text", bold=True),
    Column("goes"),
    Column("in from cut end", "mm", align="right"),
    Column("printed", kind="tick"),
    Column("on", kind="tick"),
)
PRINTER: Final = (
    Column("text"),
    Column("kind"),
    Column("goes"),
    Column("of"),
    Column("width", "mm", "number", decimals=0),
    Column("code"),
    Column("in from cut end", "mm", "number", decimals=0),
)
INTRO: Final = (
    "Labels by kind, in the order they go on, two columns to a page. A number once given is never used for "
    "another wire. In from cut end: so far in from either end of the wire as cut, as the places stand: "
    "no trimming reaches it there, and it ends up where the title says. The same list is in the pack as "
    "labels.csv for a label printer, as label-sheets.pdf to cut out."
)


def labels(view: View) -> Sheet:
    """Return the labels, grouped by kind, in two columns."""
    found: dict[str, dict[tuple[str, str], list[Label]]] = {}
    for one in view.built.labels:
        found.setdefault(one.kind, {}).setdefault((one.of, one.text), []).append(one)
    blocks = tuple(_table(name, list(kind.values())) for name, kind in found.items())
    stamps = view.stamps("labels")
    return Sheet("labels", "Labels", (Flow(blocks),) if blocks else (), INTRO, stamps=stamps)


def _table(kind: str, several: list[list[Label]]) -> Table:
    """One kind; what its places have in common is said once, above."""
    every = {one.place for same in several for one in same}
    ways = {how for same in several for one in same if (how := _how(one))}
    common = next(iter(every)) if len(every) == 1 else next(iter(ways)) if len(ways) == 1 else ""
    title = f"Labels: {kind}" + (f"; {common}" if common else "")
    if any(one.from_end_mm for same in several for one in same):
        wide = sorted({one.width_mm for same in several for one in same})
        width = " to ".join(f"{mm:.0f}" for mm in dict.fromkeys((wide[0], wide[-1])))
        on_wire = tuple(_wire_row(same, common) for same in several)
        return Table(ON_WIRE, (RowGroup(on_wire, f"{title}; two of each, {width} mm wide"),), close=True)
    rows = tuple(_row(same, common) for same in several)
    return Table(COLUMNS, (RowGroup(rows, title),), close=True)


def _row(same: list[Label], common: str) -> Row:
    return (same[0].text, len(same), _goes(same, common), max(one.width_mm for one in same), None, None)


def _wire_row(same: list[Label], common: str) -> Row:
    from_end = " / ".join(f"{one.from_end_mm:.0f}" for one in same)
    return (same[0].text, _goes(same, common).replace(" and ", " / "), from_end, None, None)


def _how(label: Label) -> str:
    return label.place.partition(", ")[2]


def _goes(same: list[Label], common: str) -> str:
    """Return the places in one line; what two of them have in common behind the first comma is said once."""
    found: dict[str, list[str]] = {}
    for one in same:
        if one.place != common:
            at, how = one.place.partition(", ")[0], _how(one)
            at = at.removeprefix("at ").removeprefix("splice ")
            found.setdefault("" if how == common else how, []).append(at)
    return "; ".join(
        ", ".join((" and ".join(dict.fromkeys(at)), *((how,) if how else ()))) for how, at in found.items()
    )


def printer_table(view: View) -> Table:
    """Return one row for every single label, in the order they go on, for a label printer."""
    rows = tuple(
        (x.text, x.kind, x.place, x.of, x.width_mm, code_text(view.job, code_name(x)), x.from_end_mm or None)
        for x in view.built.labels
    )
    return Table(PRINTER, (RowGroup(rows),))
