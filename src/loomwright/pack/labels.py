"""The labels: what to print, on what, where it goes."""

from typing import Final

from loomwright.building.built import Label
from loomwright.pack.pages import Column, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View

COLUMNS: Final = (
    Column("text", bold=True),
    Column("pieces", kind="number"),
    Column("goes"),
    Column("width", "mm", "number", decimals=0),
    Column("printed", kind="tick"),
    Column("on", kind="tick"),
)
PRINTER: Final = (
    Column("text"),
    Column("kind"),
    Column("goes"),
    Column("of"),
    Column("width", "mm", "number", decimals=0),
)
INTRO: Final = (
    "Labels by kind, in the order they go on. A number once given is never used for another wire. The same "
    "list is in the pack as labels.csv for a label printer."
)


def labels(view: View) -> Sheet:
    """Return the labels, grouped by kind."""
    found: dict[str, dict[tuple[str, str], list[Label]]] = {}
    for one in view.built.labels:
        found.setdefault(one.kind, {}).setdefault((one.of, one.text), []).append(one)
    blocks = tuple(
        Table(COLUMNS, (RowGroup(tuple(_row(same) for same in kind.values()), f"Labels: {name}"),))
        for name, kind in found.items()
    )
    return Sheet("labels", "Labels", blocks, INTRO, stamps=view.stamps("labels"))


def _row(same: list[Label]) -> Row:
    return (same[0].text, len(same), _goes(same), max(one.width_mm for one in same), None, None)


def _goes(same: list[Label]) -> str:
    """Return the places in one line; what two of them have in common behind the first comma is said once."""
    found: dict[str, list[str]] = {}
    for one in same:
        at, _, how = one.place.partition(", ")
        found.setdefault(how, []).append(at)
    return "; ".join(
        ", ".join((" and ".join(dict.fromkeys(at)), *((how,) if how else ()))) for how, at in found.items()
    )


def printer_table(view: View) -> Table:
    """Return one row for every single label, in the order they go on, for a label printer."""
    rows = tuple((x.text, x.kind, x.place, x.of, x.width_mm) for x in view.built.labels)
    return Table(PRINTER, (RowGroup(rows),))
