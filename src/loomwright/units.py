"""Units at the edge: what a builder writes, turned into the one unit used inside, and back.

Inside the program: mm, mm2, ohm, A, V, degrees C, g, s. Other units live only here.
"""

import math
from typing import Final

from loomwright.errors import OutOfRange

MM_PER_INCH: Final = 25.4
MM_PER_FOOT: Final = 304.8


def mm_from_inches(inches: float) -> float:
    """Return millimetres. Source: definition of the inch, 25.4 mm; exact."""
    return inches * MM_PER_INCH


def inches_from_mm(mm: float) -> float:
    """Return inches. Source: definition of the inch, 25.4 mm; exact."""
    return mm / MM_PER_INCH


def mm2_from_circular_mils(cmil: float) -> float:
    """Return mm2 from circular mils. Source: 1 cmil = pi/4 * (0.0254 mm)^2; exact."""
    return cmil * math.pi / 4 * (MM_PER_INCH / 1000) ** 2


def awg_number(label: str) -> int:
    """Return the AWG number of a label; 0 is "0" or "1/0", -1 is "2/0", -2 "3/0", -3 "4/0".

    Args:
        label: "22", "1/0" ... "4/0"
    Raises:
        OutOfRange: the label is no AWG size.
    """
    text = label.strip()
    if text.endswith("/0") and text[:-2].isdigit():
        return 1 - int(text[:-2])
    if text.isdigit():
        return int(text)
    raise OutOfRange("AWG size", label, "a whole number, or 1/0 to 4/0", "write the size as on the reel")


def awg_label(number: int) -> str:
    """Return the printed label of an AWG number: 22 gives "22", -1 gives "2/0"."""
    return str(number) if number > 0 else f"{1 - number}/0"
