"""What goods cost where the shelf has no price for them."""

from dataclasses import dataclass
from functools import cache

from loomwright.library.tables import Row, packaged_rows
from loomwright.sources import Figure, Source


@dataclass(frozen=True, slots=True)
class DefaultPrice:
    """Price of one metre or piece of a kind of goods: base + each x measure, in the shop's own money.

    Attributes:
        kind: kind of goods, as the parts list counts it
        name: library name it holds for, "" = all of the kind that have no row of their own
        unit: "m" or "pcs"
        measure: what `each` counts: "copper_mm2", "bore_mm", "od_mm", "" = nothing
    """

    kind: str
    name: str
    unit: str
    base: float
    each: float
    measure: str
    source: Source

    def of(self, measure: float) -> Figure:
        """Return the price of one metre or piece.

        Args:
            measure: copper [mm2], bore or hole [mm], 0 or more
        """
        return Figure(self.base + self.each * measure, self.source)


@cache
def default_prices() -> tuple[DefaultPrice, ...]:
    """Return all default prices, in the order of their table."""
    return tuple(map(_price, packaged_rows("prices.csv")))


def default_price(kind: str, name: str = "") -> DefaultPrice | None:
    """Return the price of a kind of goods; that of the name wins, None where the table has none."""
    own = (one for one in default_prices() if (one.kind, one.name) == (kind, name))
    return next(own, next((one for one in default_prices() if (one.kind, one.name) == (kind, "")), None))


def _price(row: Row) -> DefaultPrice:
    return DefaultPrice(
        kind=row.name("kind"),
        name=row.text("name"),
        unit=row.name("unit"),
        base=row.number("base"),
        each=row.number_or_none("each") or 0.0,
        measure=row.text("measure"),
        source=row.source(),
    )
