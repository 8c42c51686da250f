"""Paper sizes."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper.

    Attributes:
        name: name as printed on the box
        width_mm: width as it lies [mm]
        height_mm: height as it lies [mm]
    """

    name: str
    width_mm: float
    height_mm: float

    def turned(self) -> "Paper":
        """Return the same paper turned by a quarter."""
        return Paper(self.name, self.height_mm, self.width_mm)


A4: Final = Paper("A4", 210.0, 297.0)  # ISO 216
A3: Final = Paper("A3", 297.0, 420.0)  # ISO 216
LETTER: Final = Paper("Letter", 215.9, 279.4)  # 8.5 by 11 inches
TABLOID: Final = Paper("Tabloid", 279.4, 431.8)  # 11 by 17 inches
PAPERS: Final = (A4, A3, LETTER, TABLOID)
