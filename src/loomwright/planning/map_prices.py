"""What the planner reckons with: the shop's own prices where it has any, else defaults, all marked."""

import math
from dataclasses import dataclass
from typing import Final

from loomwright.calc.priced_tree import Step
from loomwright.checks.worked import Worked
from loomwright.jobfile.read_stock import Stock
from loomwright.library.coverings import sleeve
from loomwright.library.prices import default_price
from loomwright.planning.effort_band import band_of, table
from loomwright.planning.price import PER_HOUR, price, rate
from loomwright.planning.price_goods import CO_RUN_TIE_MM, Need
from loomwright.planning.price_stock import unit_price
from loomwright.sources import MEMORY, OURS, Figure, Mark, Source

FASTEN_MM: Final = Figure(150.0, MEMORY)
"""A loom is fastened to the car this often, where no factory clips are [mm]."""
FASTEN_MIN: Final = Figure(1.0, MEMORY)
"""Minutes for one fastening."""
BRANCH_STEPS: Final = ("branch_points", "sections")  # a branch point makes one section of trunk more


@dataclass(frozen=True, slots=True)
class MapPrices:
    """Prices of one job, as the planner takes them.

    Attributes:
        branch, breakout: fixed price of one, minutes priced, cover included
        tie_m: fastening one metre of corridor where no factory clips are
        beside_m: tying sections together that run side by side there, a metre; up to `tie_m`
        sheath: sizes of the shop's sleeve by bundle, with work on it [money/mm]
        sheath_words: which sleeve
        hour: price of one hour
    """

    branch: Figure
    breakout: Figure
    tie_m: Figure
    beside_m: Figure
    sheath: tuple[Step, ...]
    sheath_words: str
    sheath_class_c: float
    hour: Figure

    def lines(self) -> tuple[tuple[str, float, Source], ...]:
        """Return every price in words, with its mark."""
        least, most = self.sheath[0], self.sheath[-1]
        return (
            ("one hour", self.hour.value, self.hour.source),
            ("a branch point, its minutes and cover", self.branch.value, self.branch.source),
            ("a breakout, its minutes", self.breakout.value, self.breakout.source),
            ("fastening, a metre", self.tie_m.value, self.tie_m.source),
            ("tying side by side, a metre", self.beside_m.value, self.beside_m.source),
            (f"{self.sheath_words} to {least.up_to_mm:.1f} mm, a metre", 1000 * least.money_per_mm, OURS),
            (f"{self.sheath_words} to {most.up_to_mm:.1f} mm, a metre", 1000 * most.money_per_mm, OURS),
        )


def map_prices(worked: Worked, stock: Stock) -> MapPrices:
    """Return the prices for planning a job's looms.

    Args:
        worked: any tree of the job worked out; its covers tell what one costs
        stock: the shop's own prices and rates
    """
    now = price(worked, stock)
    hour = rate(stock, "hour")
    covers = math.fsum(one.money for one in now.of("cover"))
    cover = covers / now.branch_points if now.branch_points else 0.0
    minutes = {per: _minutes(per, stock) for per in ("branch_points", "sections", "branches", "sheath_m")}
    branch = sum(minutes[per] for per in BRANCH_STEPS) / PER_HOUR * hour.value + cover
    tie = default_price("tie")
    piece = tie.of(0.0).value if tie else 0.0
    each = piece + FASTEN_MIN.value / PER_HOUR * hour.value
    beside = piece + _minutes("co_run_ties", stock) / PER_HOUR * hour.value
    mark = Source(Mark.MEMORY, "minutes of the table of work")
    kind = sleeve(worked.job.shop.sleeve)
    work = minutes["sheath_m"] / PER_HOUR * hour.value
    steps, least = [], 0.0
    for size in kind.sizes:
        need = Need("", "sleeve", kind.name, "", 1, 1000.0, size.label, measure=size.expanded_id_mm)
        known = unit_price(need, stock)
        metre = (known.value if known else 0.0) * (1 + worked.job.shop.sleeve_extra.value) + work
        least = max(least, metre / 1000)
        steps.append(Step(size.expanded_id_mm, least))
    return MapPrices(
        Figure(branch + rate(stock, "branch_point").value, mark),
        Figure(minutes["branches"] / PER_HOUR * hour.value + rate(stock, "breakout").value, mark),
        Figure(each * 1000 / FASTEN_MM.value, mark),
        Figure(min(beside * 1000 / CO_RUN_TIE_MM.value, each * 1000 / FASTEN_MM.value), mark),
        tuple(sorted(steps, key=lambda one: one.up_to_mm)),
        kind.name,
        kind.class_c,
        hour,
    )


def _minutes(per: str, stock: Stock) -> float:
    """Return the minutes of all steps that go by a count, for one; the shop's own where it has any."""
    own = dict(stock.minutes)
    found = 0.0
    for row in table("effort"):
        if row.name("per") == per and row.name("step") != "close boots":
            band = band_of(row)
            found += own.get(row.text("key"), (band.least + band.most) / 2)
    return found


def wire_mm_money(family: str, label: str, colour: str, area_mm2: float, stock: Stock) -> float:
    """Return what a wire costs a mm [money/mm]; 0 where nothing is known."""
    need = Need("", "wire", family, "", 1, 1000.0, label, colour, measure=area_mm2)
    known = unit_price(need, stock)
    return 0.0 if known is None else known.value / 1000
