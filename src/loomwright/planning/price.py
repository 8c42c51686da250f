"""What a loom costs as it is drawn: goods, hours, money and mass, from what the pack itself lists."""

import math
from dataclasses import dataclass
from typing import Final

from loomwright.checks.worked import Worked
from loomwright.jobfile.read_stock import Stock
from loomwright.library.prices import default_price
from loomwright.planning.effort import Hours
from loomwright.planning.effort_band import Band
from loomwright.planning.price_goods import SHEATHS, Need, goods
from loomwright.planning.price_mass import Mass, mass
from loomwright.planning.price_stock import unit_price
from loomwright.planning.price_time import breakouts, hours
from loomwright.sources import BUILDER, Figure

PER_HOUR: Final = 60.0


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of the parts list with its price.

    Attributes:
        each: price of one metre or piece, in the shop's own money; None = nothing known
    """

    need: Need
    each: Figure | None

    @property
    def money(self) -> float:
        """What the need itself costs; what has no price costs nothing here and is named."""
        return 0.0 if self.each is None else self.need.need * self.each.value

    @property
    def bought(self) -> float:
        """What is paid for it, spares and whole half metres included."""
        return 0.0 if self.each is None else self.need.take * self.each.value


@dataclass(frozen=True, slots=True)
class Fixed:
    """What every branch point, or every breakout, costs by being there.

    Attributes:
        words: "branch point" or "breakout"
        number: how many of them
        minutes: of all steps of the work that go by them, for one [min]; counted in the hours
        money: beyond goods and minutes, for one, in the shop's own money
        hour: price of one hour
    """

    words: str
    number: int
    minutes: Band
    money: Figure
    hour: Figure

    @property
    def each(self) -> float:
        """What one of them costs in money, its minutes priced; its covers and sheaths are goods."""
        return self.minutes.middle / PER_HOUR * self.hour.value + self.money.value

    @property
    def total(self) -> float:
        """What all of them cost in money."""
        return self.number * self.each


@dataclass(frozen=True, slots=True)
class Price:
    """What a loom costs.

    Attributes:
        lines: every line of the parts list, in its order
        hours: every step of the work
        mass: copper, insulation and coverings [g]
        hour: price of one hour
        fixed: branch points, then breakouts
    """

    lines: tuple[PriceLine, ...]
    hours: Hours
    mass: Mass
    hour: Figure
    fixed: tuple[Fixed, ...]

    def of(self, *kinds: str) -> tuple[PriceLine, ...]:
        """Return the lines of some kinds of goods, "wire", "sleeve" ..."""
        return tuple(one for one in self.lines if one.need.kind in kinds)

    def mm_of(self, *kinds: str) -> float:
        """Return the length of some kinds of goods [mm]."""
        return math.fsum(one.need.mm or 0.0 for one in self.of(*kinds))

    def pieces_of(self, *kinds: str) -> int:
        """Return the number of pieces of some kinds of goods."""
        return sum(one.need.pieces for one in self.of(*kinds))

    @property
    def sheaths(self) -> tuple[PriceLine, ...]:
        """Coverings of the sections; those of labels and rings are not among them."""
        return tuple(one for one in self.of("sleeve") if one.need.group == SHEATHS)

    @property
    def sheath_mm(self) -> float:
        """Length of all coverings of sections [mm]."""
        return math.fsum(one.need.mm or 0.0 for one in self.sheaths)

    @property
    def sheath_pieces(self) -> int:
        """Number of coverings of sections."""
        return sum(one.need.pieces for one in self.sheaths)

    @property
    def branch_points(self) -> int:
        """How many branch points there are."""
        return self.fixed[0].number

    @property
    def minutes(self) -> float:
        """The middle of all steps [min]."""
        factor = self.hours.factor.middle
        return factor * PER_HOUR * math.fsum(one.hours.middle for one in self.hours.steps)

    @property
    def goods_money(self) -> float:
        """What the need of all goods costs."""
        return math.fsum(one.money for one in self.lines)

    @property
    def work_money(self) -> float:
        """What the hours cost."""
        return self.minutes / PER_HOUR * self.hour.value

    @property
    def fixed_money(self) -> float:
        """What branch points and breakouts cost beyond goods and hours."""
        return math.fsum(one.number * one.money.value for one in self.fixed)

    @property
    def money(self) -> float:
        """Everything together; alternatives are ranked by it."""
        return self.goods_money + self.work_money + self.fixed_money

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Goods without any price."""
        return tuple(one.need.words for one in self.lines if one.each is None)


def price(worked: Worked, stock: Stock | None = None) -> Price:
    """Return what a loom costs as it is drawn.

    Args:
        worked: the job worked out
        stock: shelf, own minutes and rates; None = those read with the job

    Returns:
        Wire to the mm as the cut list has it, pieces and ties as the parts list counts them, minutes as the
        plan sheet lists them. Prices are the shelf's, else defaults from memory.
    """
    shelf = worked.stock if stock is None else stock
    lines = tuple(PriceLine(need, unit_price(need, shelf)) for need in goods(worked))
    spent, hour = hours(worked, shelf), rate(shelf, "hour")
    points = sum(len(t.branch_points) for t in worked.routed.trees)
    counted = (("branch_point", "branch_points", points), ("breakout", "branches", breakouts(worked)))
    fixed = tuple(
        Fixed(name.replace("_", " "), number, _minutes(spent, per, number), rate(shelf, name), hour)
        for name, per, number in counted
    )
    return Price(lines, spent, mass(worked), hour, fixed)


def rate(stock: Stock, name: str) -> Figure:
    """Return what an hour, a branch point or a breakout costs: the shop's own rate, else the default.

    Args:
        stock: the shelf
        name: "hour", "branch_point" or "breakout"
    """
    own = dict(stock.rates).get(name)
    if own is not None:
        return Figure(own, BUILDER)
    known = default_price(name.replace("_", " "))
    assert known is not None  # every rate has its row in prices.csv; a test holds it
    return known.of(0.0)


def _minutes(spent: Hours, per: str, number: int) -> Band:
    """Return the minutes of one of what steps go by; what none of them names takes none."""
    words = {"branch_points": "branch points", "branches": "breakouts"}[per]
    steps = [one for one in spent.steps if one.per == words]
    least = math.fsum(one.minutes.least for one in steps) * spent.factor.least
    most = math.fsum(one.minutes.most for one in steps) * spent.factor.most
    return Band(least, most, steps[0].minutes.source)
