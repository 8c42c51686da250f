"""A least and a most, and the tables the estimates rest on."""

from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from loomwright.errors import Unreadable
from loomwright.library.tables import Row, rows
from loomwright.sources import BUILDER, Source


@dataclass(frozen=True, slots=True)
class Band:
    """A least and a most with where they come from; the unit is part of the name that holds it."""

    least: float
    most: float
    source: Source

    @property
    def middle(self) -> float:
        """Half-way between the two."""
        return (self.least + self.most) / 2

    @property
    def half(self) -> float:
        """Half the way from least to most."""
        return (self.most - self.least) / 2


def stated(value: float) -> Band:
    """Return a figure the builder gave, as a band of no width."""
    return Band(value, value, BUILDER)


def band_of(row: Row, least: str = "least", most: str = "most") -> Band:
    """Return two columns of a table as a band with the row's mark and note.

    Raises:
        Unreadable: the least is above the most, or a cell is no number.
    """
    low, high = row.number(least), row.number(most)
    if low > high:
        what = f"The least is {low:g}, the most {high:g}."
        raise Unreadable(row.file, row.line, what, "The least comes first.", "Correct the row.")
    return Band(low, high, Source(row.source().mark, row.text("source").partition(":")[2].strip()))


@cache
def table(name: str) -> tuple[Row, ...]:
    """Return the rows of one of the estimate's tables, by file name without ".csv"."""
    file = f"{name}.csv"
    text = files("loomwright.planning").joinpath("data", file).read_text("utf-8")
    return rows(text, file)
