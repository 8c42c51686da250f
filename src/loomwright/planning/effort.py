"""Hours and material of a job as bands, from its counts; the builder's own figures replace ours."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.jobfile.read_stock import Stock
from loomwright.library.tables import Row
from loomwright.planning.effort_band import Band, band_of, stated, table
from loomwright.planning.effort_counts import Count
from loomwright.planning.scope import Scope
from loomwright.sources import BUILDER, Mark, Source

FIRST_LOOM: Final = Band(2.0, 3.0, Source(Mark.MEMORY, "a first loom takes two to three times as long"))
PRACTISED: Final = Band(1.0, 1.0, Source(Mark.MEMORY, "a practised builder"))
REFERENCE_TRUNK_MM: Final = 1600.0  # of the reference job the mean wire length was told for; from memory
LONG_GOODS: Final = ("wire", "cable")  # kinds of stock whose need goes with the trunk
NOT_FOR: Final = (
    ("close", "boots"),
    ("close boots", "sleeve"),
)  # step, closing it does not belong to
BY_LEVEL: Final = (("ends", False), ("ends machined", True))  # step, whether it belongs to motorsport
PER_HOUR: Final = 60.0


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work.

    Attributes:
        per: count it goes by
        number: how many of them
        minutes: for one of them, a practised builder [min]
        hours: for all of them [h]
    """

    key: str
    words: str
    per: str
    number: Band
    minutes: Band
    hours: Band


@dataclass(frozen=True, slots=True)
class Hours:
    """All steps of a job.

    Attributes:
        steps: in the order of work
        factor: what the builder's practice makes of a practised builder's hours
        straight: sums of the least and of the most [h]
        likely: doubts of the steps' minutes added in square, those of the counts straight [h]
    """

    steps: tuple[Step, ...]
    factor: Band
    straight: Band
    likely: Band


@dataclass(frozen=True, slots=True)
class Goods:
    """One kind of material.

    Attributes:
        need: in `unit`
        price: of one unit, least and most on the shelf, in the shop's own money; None = not told
    """

    what: str
    unit: str
    need: Band
    price: Band | None

    @property
    def cost(self) -> Band | None:
        """Need times price; None where the price is not told."""
        if self.price is None:
            return None
        return Band(self.need.least * self.price.least, self.need.most * self.price.most, self.price.source)


def hours_of(scope: Scope, counts: Iterable[Count], stock: Stock) -> Hours:
    """Return the hours of a job.

    Args:
        scope: lay, closing, level, own minutes
        counts: from `counts_of` or `counts_of_job`
        stock: its own minutes hold where the scope tells none
    """
    by_key = {one.key: one for one in counts}
    own = _own_minutes(scope, stock)
    rows = (row for row in table("effort") if _belongs(scope, row.name("step")))
    steps = tuple(step for row in rows if (step := _step(row, scope, by_key, own)) is not None)
    factor = FIRST_LOOM if scope.first_loom else PRACTISED
    return Hours(steps, factor, *_totals(steps, factor))


def _own_minutes(scope: Scope, stock: Stock) -> dict[str, float]:
    return {**dict(stock.minutes), **dict(scope.minutes)}


def _belongs(scope: Scope, step: str) -> bool:
    if (step, scope.closing) in NOT_FOR:
        return False
    machined = dict(BY_LEVEL).get(step)
    return machined is None or machined == (scope.level == "motorsport")


def _step(row: Row, scope: Scope, counts: Mapping[str, Count], own: Mapping[str, float]) -> Step | None:
    per = row.name("per")
    if per == "job":
        number = Band(1.0, 1.0, BUILDER)
    elif per in counts:
        number = counts[per].band
    else:
        return None
    concentric = scope.lay == "concentric" and row.text("conc_least")
    minutes = band_of(row, "conc_least", "conc_most") if concentric else band_of(row)
    if row.text("key") in own:
        minutes = stated(own[row.text("key")])
    hours = Band(
        number.least * minutes.least / PER_HOUR, number.most * minutes.most / PER_HOUR, minutes.source
    )
    words = counts[per].words if per in counts else "job"
    return Step(row.name("step"), row.name("words"), words, number, minutes, hours)


def _totals(steps: tuple[Step, ...], factor: Band) -> tuple[Band, Band]:
    """Return the straight sum, and the likely band.

    A count is common to all steps it drives, so its doubt adds straight; minutes of different steps are
    taken as independent, their doubts add in square. A builder's practice goes into the ends as it stands.
    Ours.
    """
    least = math.fsum(one.hours.least for one in steps) * factor.least
    most = math.fsum(one.hours.most for one in steps) * factor.most

    def end(use_most: bool) -> float:
        numbers = [one.number.most if use_most else one.number.least for one in steps]
        middle = math.fsum(n * one.minutes.middle for n, one in zip(numbers, steps, strict=True))
        doubt = math.hypot(*(n * one.minutes.half for n, one in zip(numbers, steps, strict=True)))
        return (middle + (doubt if use_most else -doubt)) / PER_HOUR

    source = Source(Mark.OURS, "doubts of minutes in square, of counts straight")
    likely = Band(end(False) * factor.least, end(True) * factor.most, source)
    return Band(least, most, Source(Mark.OURS, "sums of the least and of the most")), likely


def material_of(scope: Scope, counts: Iterable[Count], stock: Stock) -> tuple[Goods, ...]:
    """Return the material of a job, priced where the shelf has a price for its kind."""
    by_key = {one.key: one.band for one in counts}
    found = []
    for row in table("material"):
        number, each, shelf = by_key.get(row.name("per")), band_of(row), row.name("shelf")
        if number is None:
            continue
        longer = 1.0
        if shelf in LONG_GOODS and scope.trunk_mm is not None:
            longer = scope.trunk_mm / REFERENCE_TRUNK_MM
        need = Band(number.least * each.least * longer, number.most * each.most * longer, each.source)
        found.append(Goods(row.name("what"), row.name("unit"), need, _price(stock, shelf)))
    return tuple(found)


def _price(stock: Stock, kind: str) -> Band | None:
    prices = [one.price for one in stock.items if one.kind == kind and one.price is not None]
    if not prices:
        return None
    return Band(min(prices), max(prices), Source(Mark.BUILDER, "stock.toml, cheapest to dearest"))


def cost_of(goods: Iterable[Goods]) -> tuple[Band | None, tuple[str, ...]]:
    """Return what the priced goods cost together, and the names of those without a price."""
    priced = [cost for one in goods if (cost := one.cost) is not None]
    open_ = tuple(one.what for one in goods if one.price is None)
    if not priced:
        return None, open_
    least, most = math.fsum(one.least for one in priced), math.fsum(one.most for one in priced)
    return Band(least, most, priced[0].source), open_
