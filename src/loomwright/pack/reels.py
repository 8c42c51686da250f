"""Which reel a wire is cut from, and how much of each reel a loom takes."""

from collections.abc import Iterable
from dataclasses import dataclass

from loomwright.model.words import CableKind
from loomwright.pack.view import View, colour_words, many, size_words
from loomwright.routing.routed import Wire


@dataclass(frozen=True, slots=True)
class Reel:
    """One reel of wire or cable, and what is cut from it.

    Attributes:
        words: family, size in both systems, colour; or the cable as bought
        wires: wires cut from it, by number; cores of one bought cable together
        pieces: number of pieces cut
        length_mm: length of all pieces [mm]
        is_cable: bought as a cable: its cores are not cut one by one
    """

    words: str
    wires: tuple[Wire, ...]
    pieces: int
    length_mm: float
    is_cable: bool

    def metres(self, spare: float) -> float:
        """Return what to take from the shelf [m], with spare as a share."""
        return self.length_mm / 1000 * (1 + spare)


def reels(view: View, wires: Iterable[Wire]) -> tuple[Reel, ...]:
    """Return the reels of some wires: single wires by family, size and colour, then bought cables."""
    found: dict[tuple[bool, str, float, str], list[Wire]] = {}
    for wire in wires:
        found.setdefault(_key(view, wire), []).append(wire)
    return tuple(_reel(view, key, tuple(found[key])) for key in sorted(found))


def _key(view: View, wire: Wire) -> tuple[bool, str, float, str]:
    cable = view.cables.get(wire.cable)
    if cable is not None and (cable.stock or cable.kind is CableKind.SCREENED):
        return True, cable.stock, 0.0, cable.name
    size = view.size(wire)
    return False, size.family, size.area_mm2, wire.colour


def _reel(view: View, key: tuple[bool, str, float, str], wires: tuple[Wire, ...]) -> Reel:
    is_cable, family, _, name = key
    lengths = [view.sized.length[w.identity].cut_mm for w in wires]
    if is_cable:
        cable = view.cables[name]
        words = f"{cable.stock or f'{cable.kind} of {size_words(view.size(wires[0]))}'} for {name}"
        return Reel(words, wires, 1, max(lengths), True)
    words = f"{family}, {size_words(view.size(wires[0]))}, {colour_words(name)}"
    return Reel(words, wires, len(wires), sum(lengths), False)


def reel_title(reel: Reel, spare: float) -> str:
    """Return a reel as a title: what it is, how many pieces, metres with and without spare."""
    what = "one piece" if reel.is_cable else many(reel.pieces, "wire")
    return f"{reel.words}: {what}, {reel.length_mm / 1000:.2f} m ({reel.metres(spare):.1f} m with spare)"
