"""Short names side by side, each with its box to tick."""

from collections.abc import Sequence
from typing import Final

from loomwright.pack.pages import Column, RowGroup, Table

ABREAST: Final = 4


def ticks_abreast(words: str, head: str, names: Sequence[str], abreast: int = ABREAST) -> Table:
    """Return names in rows of a few.

    Args:
        words: what to look at or do, printed above them
        head: column head of a name
        names: at least one
        abreast: names in a row
    """
    columns = (Column(head, bold=True), Column("ok", kind="tick")) * abreast
    full = [*names, *[""] * (-len(names) % abreast)]
    rows = tuple(
        tuple(cell for name in full[n : n + abreast] for cell in (name, None if name else ""))
        for n in range(0, len(full), abreast)
    )
    return Table(columns, (RowGroup(rows, words),), close=True)
