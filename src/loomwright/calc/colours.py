"""Wire colours: names and their letters."""

from dataclasses import dataclass
from functools import cache

from loomwright.calc.tables import rows, source_of
from loomwright.errors import OutOfRange
from loomwright.sources import Source


@dataclass(frozen=True, slots=True)
class Colour:
    """One colour with its two letters."""

    letters: str
    name: str
    source: Source


@cache
def colours() -> tuple[Colour, ...]:
    """Return the single colours of IEC 60757 in printed order (green-and-yellow is its own entry)."""
    return tuple(Colour(row["code"], row["colour"], source_of(row)) for row in rows("colours_iec60757"))


@cache
def colour(text: str) -> Colour:
    """Return the colour meant by a name or by its letters, whatever the case.

    Args:
        text: "red", "RD", "gray", "purple"
    Raises:
        OutOfRange: no colour of IEC 60757 has this name or these letters.
    Source: IEC 60757 letter codes; the two other spellings are common English.
    """
    sought = {"gray": "grey", "purple": "violet"}.get(text.strip().lower(), text.strip().lower())
    for one in colours():
        if sought in (one.name, one.letters.lower()):
            return one
    known = ", ".join(f"{one.name} {one.letters}" for one in colours())
    raise OutOfRange("colour", text, f"one of {known}", "write its name or letters; two colours as RD/WH")


def colour_letters(text: str) -> str:
    """Return the letters of a wire's colours, ground colour first.

    Args:
        text: one colour or several parted by "/", "-" or " with ": "red/white", "BK-YE"
    Returns:
        the letters run together: "RDWH"
    Raises:
        OutOfRange: a part is no colour of IEC 60757.
    Source: IEC 60757, letters of a combination stand side by side without a break.
    """
    whole = text.strip().lower()
    if whole in ("green-and-yellow", "gnye", "green/yellow", "green-yellow"):
        return "GNYE"
    parts = whole.replace(" with ", "/").replace("-", "/").split("/")
    return "".join(colour(part).letters for part in parts)
