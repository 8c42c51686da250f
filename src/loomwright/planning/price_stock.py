"""What one metre or piece costs: the shelf's price, else the default."""

from typing import Final

from loomwright.jobfile.read_stock import Stock, StockItem
from loomwright.library.coverings import covers, sleeves
from loomwright.library.prices import default_price
from loomwright.planning.price_goods import Need
from loomwright.sources import BUILDER, Figure

SHELF_KINDS: Final = ("wire", "cable", "sleeve", "cover", "splice", "contact", "fuse")


def unit_price(need: Need, stock: Stock) -> Figure | None:
    """Return the price of one metre or piece, in the shop's own money; None where nothing is known.

    Args:
        need: a line of the parts list
        stock: the shelf; of several items that fit, the one that names most (size, colour) counts
    """
    own = [one for one in stock.items if one.price is not None and _is(one, need)]
    best = max(own, key=lambda one: bool(one.size) + bool(one.colour), default=None)
    if best is not None and best.price is not None:
        return Figure(best.price, BUILDER)
    known = default_price(need.kind, need.name)
    return None if known is None else known.of(measure(need))


def _is(item: StockItem, need: Need) -> bool:
    kind = need.kind if need.kind in SHELF_KINDS else "part"
    return (
        item.kind == kind
        and item.name == need.name
        and item.size in ("", need.size)
        and item.colour in ("", need.colour)
    )


def measure(need: Need) -> float:
    """Return what a default price goes by: copper [mm2], bore as bought [mm]; 0 where it goes by none."""
    if need.kind not in ("sleeve", "cover"):
        return need.measure
    shrink, other = sleeves().get(need.name), covers().get(need.name)
    if shrink is not None:
        return next((one.expanded_id_mm for one in shrink.sizes if one.label == need.size), need.measure)
    sizes = other.sizes if other is not None else ()
    found = next((one.id_mm for one in sizes if one.label == need.size), None)
    return need.measure if found is None else found
