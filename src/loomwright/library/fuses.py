"""Fuses, links and breakers the trade stocks: ratings, colours, what they can clear."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from loomwright.library.tables import Row, by_name, packaged_rows, pick
from loomwright.sources import Source


@dataclass(frozen=True, slots=True)
class FuseRating:
    """One rating of one type.

    Attributes:
        type: name of the fuse type
        amps: rating
        colour: colour of the body, "" where none is known
        mohm_cold: cold resistance, typical, None if not known
        i2t_a2s: melting integral, typical, None if not known
        source: where the figures come from
    """

    type: str
    amps: float
    colour: str
    mohm_cold: float | None
    i2t_a2s: float | None
    source: Source

    @property
    def words(self) -> str:
        """Rating and colour as a builder says it: "10 A red"."""
        return f"{self.amps:g} A {self.colour}".rstrip()


@dataclass(frozen=True, slots=True)
class FuseType:
    """A type of fuse, link or breaker in its ratings, smallest first.

    Attributes:
        name: short name, as the job file gives it
        words: what it is
        letter: type letter of ISO 8820-3, "" if none
        how: "fuse", "link" or "breaker"
        interrupts_a: highest fault current it clears
        volts: highest voltage it clears it at
        cavity: contact size its holder takes
        ratings: by amperes
        source: where these figures come from
    """

    name: str
    words: str
    letter: str
    how: str
    interrupts_a: float
    volts: float
    cavity: str
    ratings: tuple[FuseRating, ...]
    source: Source

    def rating(self, amps: float) -> FuseRating | None:
        """Return the stocked rating of that many amperes, None if it isn't stocked."""
        return next((one for one in self.ratings if one.amps == amps), None)


@cache
def fuse_types() -> Mapping[str, FuseType]:
    """Return fuses, links and breakers by type."""
    ratings = tuple(map(_rating, packaged_rows("fuses.csv")))
    return by_name((_type(row, ratings) for row in packaged_rows("fuse_types.csv")), lambda one: one.name)


def fuse_type(name: str) -> FuseType:
    """Return a type of fuse.

    Raises:
        OutOfRange: there is none of that name; the message gives the nearest names.
    """
    return pick("fuse type", name, fuse_types())


def _rating(row: Row) -> FuseRating:
    return FuseRating(
        type=row.name("type"),
        amps=row.number("amps"),
        colour=row.text("colour"),
        mohm_cold=row.number_or_none("mohm_cold"),
        i2t_a2s=row.number_or_none("i2t_a2s"),
        source=row.source(),
    )


def _type(row: Row, ratings: tuple[FuseRating, ...]) -> FuseType:
    name = row.name("name")
    return FuseType(
        name=name,
        words=row.text("words"),
        letter=row.text("letter"),
        how=row.name("how"),
        interrupts_a=row.number("interrupts_a"),
        volts=row.number("volts"),
        cavity=row.name("cavity"),
        ratings=tuple(sorted((one for one in ratings if one.type == name), key=lambda one: one.amps)),
        source=row.source(),
    )
