"""The parts list: everything to have on the bench before the first cut, with spares."""

import math
from dataclasses import replace
from itertools import groupby
from typing import Final

from loomwright.pack.pages import Column, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, share_words
from loomwright.planning.price import PriceLine
from loomwright.planning.price_goods import goods
from loomwright.planning.price_stock import unit_price
from loomwright.sources import Mark

COLUMNS: Final = (
    Column("part", bold=True),
    Column("need", kind="number"),
    Column("take", kind="number", bold=True),
    Column("unit"),
    Column("for"),
    Column("there", kind="tick"),
    Column("order number", kind="blank", width_mm=22.0),
    Column("price", kind="number", decimals=2, width_mm=11.0),
    Column("sum", kind="number", decimals=2, width_mm=12.0),
)
INTRO: Final = (
    "Buy what take says: need with spares and crimp samples. Parts the job gives no maker's number for "
    "stand here by what they have to do. Contacts are sockets but where pins are named, for one half of a "
    "mating pair. Price and sum are filled in where stock.toml has a price."
)


def parts(view: View) -> Sheet:
    """Return the parts list."""
    shop = view.job.shop
    lines = tuple(PriceLine(need, unit_price(need, view.worked.stock)) for need in goods(view.worked))
    groups = tuple(
        RowGroup(tuple(map(_row, some)), title)
        for title, some in groupby(lines, key=lambda line: line.need.group)
    )
    own = [line for line in lines if _own(line)]
    summed = (
        f" {len(own)} of {len(lines)} lines have a price in stock.toml [builder]; together "
        f"{math.fsum(line.bought for line in own):.2f}."
    )
    note = (
        f"Spares: wire {share_words(shop.wire_spare.value)} {shop.wire_spare.source}, contacts, seals and "
        f"splices {share_words(shop.contact_spare.value)} {shop.contact_spare.source}; lengths rounded up "
        f"to half a metre [ours].{summed if own else ''}"
    )
    blocks = [Table(COLUMNS, (group,), close=True) for group in groups]  # columns as wide as each group needs
    if blocks:
        blocks[-1] = replace(blocks[-1], note=note)
    return Sheet("parts", "Parts list", tuple(blocks), INTRO, stamps=view.stamps("parts"))


def _row(line: PriceLine) -> Row:
    need = line.need
    unit = "pcs" if need.mm is None else "m"
    own = line.each.value if line.each is not None and _own(line) else None
    amount = need.pieces if need.mm is None else round(need.need, 2)
    return (
        need.words,
        amount,
        need.take,
        unit,
        need.why,
        None,
        "",
        own,
        None if own is None else line.bought,
    )


def _own(line: PriceLine) -> bool:
    return line.each is not None and line.each.source.mark is Mark.BUILDER
