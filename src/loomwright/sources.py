"""Where a figure comes from: its mark, printed beside it wherever the figure decides something."""

from dataclasses import dataclass
from enum import StrEnum


class Mark(StrEnum):
    """How far a figure can be trusted."""

    STANDARD = "standard"  # read in a published text, which `text` names
    MAKER = "maker's sheet"  # read in a maker's data sheet
    PRACTICE = "common practice"  # a fact of the trade without a published source
    MEMORY = "from memory"  # recalled; check against the part in hand
    OURS = "ours"  # worked out or chosen here
    BUILDER = "builder"  # entered in the job by the builder


@dataclass(frozen=True, slots=True)
class Source:
    """A mark and, where there is one, the text it points to."""

    mark: Mark
    text: str = ""

    def __str__(self) -> str:
        return f"{self.text} [{self.mark}]" if self.text else f"[{self.mark}]"


@dataclass(frozen=True, slots=True)
class Figure:
    """A number together with where it comes from; the unit is part of the field name that holds it."""

    value: float
    source: Source


BUILDER = Source(Mark.BUILDER)
PRACTICE = Source(Mark.PRACTICE)
MEMORY = Source(Mark.MEMORY)
OURS = Source(Mark.OURS)
