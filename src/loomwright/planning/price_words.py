"""How goods are called: the same words in the price, on the parts list and on the cut list."""

from typing import Final

from loomwright.errors import OutOfRange
from loomwright.library.colours import stripe
from loomwright.library.contacts import contacts_of_size
from loomwright.library.wires import WireSize
from loomwright.model.device import Connector

ON_STUD: Final = ("ground", "stud")  # families of devices that take rings


def size_words(size: WireSize) -> str:
    """Return a size in both systems, the one on the reel first; an AWG beside mm² goes by true copper."""
    if size.system == "AWG":
        return f"{size.label} AWG / {size.area_mm2:.2f} mm²"
    return f"{size.label} mm² / {size.awg_by_area:.1f} AWG"


def colour_words(code: str) -> str:
    """Return a colour's letters and name: "RD/WH red, white stripe"."""
    try:
        found = stripe(code)
    except OutOfRange:
        return code
    return f"{code} {found[0].name}" + (f", {found[1].name} stripe" if len(found) > 1 else "")


def plugged_cavity(plug: Connector, size: str) -> bool:
    """Return whether an empty cavity of that size gets a sealing plug: its contacts seal, the job asks."""
    return plug.empty_plugged and any(kind.sealed for kind in contacts_of_size(size))


def many(count: int, one: str, more: str = "") -> str:
    """Return "1 wire", "3 wires"."""
    return f"{count} {one if count == 1 else more or one + 's'}"
