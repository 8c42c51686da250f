"""Colours that insulation comes in, with their IEC 60757 letters."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from loomwright.library.tables import by_name, packaged_rows, pick
from loomwright.sources import Source


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour of insulation.

    Attributes:
        code: IEC 60757 letters
        name: its name
        rgb: six hexadecimal digits for a screen; ours, not a match of any part
        stocked: whether sellers usually have it on the shelf
        source: where the letters come from
    """

    code: str
    name: str
    rgb: str
    stocked: bool
    source: Source


@cache
def colours() -> Mapping[str, Colour]:
    """Return the colours by their letters, in the standard's order."""
    read = (
        Colour(row.name("code"), row.name("name"), row.name("rgb"), row.yes("stocked"), row.source())
        for row in packaged_rows("colours.csv")
    )
    return by_name(read, lambda one: one.code)


def colour(code: str) -> Colour:
    """Return a colour by its letters, capitals or not.

    Raises:
        OutOfRange: there is no such code; the message gives the nearest.
    """
    return pick("colour code", code.upper(), colours())


def stripe(code: str) -> tuple[Colour, ...]:
    """Return base and stripe of a code such as "RD/WH", or the one colour of "RD".

    Raises:
        OutOfRange: a part is no colour code, or there are more than two.
    """
    parts = code.split("/")
    if len(parts) > 2:
        pick("colour code", code, colours())
    return tuple(colour(part.strip()) for part in parts)
