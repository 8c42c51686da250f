"""The reels of some wires as the papers look at them, and the title each is listed under."""

from collections.abc import Iterable

from loomwright.pack.view import View, many
from loomwright.planning import price_reels
from loomwright.planning.price_reels import Reel
from loomwright.routing.routed import Wire


def reels(view: View, wires: Iterable[Wire]) -> tuple[Reel, ...]:
    """Return the reels of some wires: single wires by family, size and colour, then bought cables."""
    return price_reels.reels(view.worked, wires)


def reel_title(reel: Reel, spare: float) -> str:
    """Return a reel as a title: what it is, how many pieces, metres with and without spare."""
    if reel.is_cable:
        what = "CUT ONE PIECE" if reel.pieces == 1 else f"CUT {reel.pieces} PIECES"
        what = f"{what}, its cores are not cut one by one"
    else:
        what = many(reel.pieces, "wire")
    return f"{reel.words}: {what}, {reel.length_mm / 1000:.2f} m ({reel.metres(spare):.1f} m with spare)"


__all__ = ["Reel", "reel_title", "reels"]
