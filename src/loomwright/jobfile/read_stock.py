"""`stock.toml`: what lies on the shelf, what it costs, and the shop's own minutes."""

from dataclasses import dataclass, replace
from typing import Final

from loomwright.findings import Finding, Place, Severity
from loomwright.jobfile.keys import OWN_MINUTES, RATES, STOCK
from loomwright.jobfile.read_table import Entry, Notes, entry_of
from loomwright.jobfile.toml_text import read_text

STOCK_FILE: Final = "stock.toml"


@dataclass(frozen=True, slots=True)
class StockItem:
    """One thing on the shelf.

    Attributes:
        kind: wire, cable, sleeve, cover, splice, contact, fuse or part
        name: library name; for a part the maker's number
        have: metres of wire, cable, sleeve and cover, else pieces; None = not counted
        price: of one metre or piece, in the shop's own money; None = not told
    """

    kind: str
    name: str
    size: str
    colour: str
    have: float | None
    price: float | None
    note: str


@dataclass(frozen=True, slots=True)
class Stock:
    """The shelf, the shop's own minutes and rates; what is not named has its default.

    Attributes:
        items: what lies there
        minutes: own minutes by name of `keys.OWN_MINUTES`
        rates: hour, branch_point, breakout, in the shop's own money
    """

    items: tuple[StockItem, ...] = ()
    minutes: tuple[tuple[str, float], ...] = ()
    rates: tuple[tuple[str, float], ...] = ()


def read_stock(text: str) -> tuple[Stock, tuple[Finding, ...]]:
    """Return what stock.toml says, and a caution for everything in it that can't be taken.

    Args:
        text: the text of stock.toml
    """
    notes = Notes()
    document = read_text(text)
    for problem in document.problems:
        should = "Every line should be readable; the rest is used."
        notes.add("FILE-10", (), problem.words, should, problem.remedy, words=f"line {problem.line}")
    root = entry_of(document.values, STOCK, (), notes) or Entry("", (), {})
    stock = Stock(
        tuple(_item(one) for one in root.entries("item")),
        _numbers(root, "minutes", OWN_MINUTES),
        _numbers(root, "rates", RATES),
    )
    return stock, tuple(_here(one, document.line_of(one.place.path)) for one in notes.findings)


def _numbers(root: Entry, table: str, names: tuple[str, ...]) -> tuple[tuple[str, float], ...]:
    entry = root.entry(table) or Entry("", (), {})
    return tuple((name, value) for name in names if (value := entry.number(name)) is not None)


def _item(one: Entry) -> StockItem:
    return StockItem(
        kind=one.text("kind"),
        name=one.text("name"),
        size=one.text("size"),
        colour=one.text("colour"),
        have=one.number("have"),
        price=one.number("price"),
        note=one.text("note"),
    )


def _here(one: Finding, line: int) -> Finding:
    """Return the finding as one of stock.toml, about the parts list alone and without mends."""
    where = f"{STOCK_FILE} line {line}" if one.place.path else f"{STOCK_FILE} {one.place.words}"
    return replace(
        one, code="FILE-10", severity=Severity.CAUTION, place=Place(where), sheets=("parts",), mends=()
    )
