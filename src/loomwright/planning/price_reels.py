"""Which reel a wire is cut from, and how much of each reel a loom takes."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from loomwright.checks.worked import Worked
from loomwright.library.wires import WireSize
from loomwright.model.circuit import Cable
from loomwright.model.words import CableKind
from loomwright.planning.price_words import colour_words, size_words
from loomwright.routing.routed import Wire


@dataclass(frozen=True, slots=True)
class Reel:
    """One reel of wire or cable, and what is cut from it.

    Attributes:
        words: family, size in both systems, colour; or the cable as bought
        size: conductor of a wire, or of a core
        colour: IEC 60757 letters, "" of a cable
        cable: name of the stock cable, "" = single wire, or a screened cable of no stock name
        wires: wires cut from it, by number; cores of one bought cable together
        pieces: number of pieces cut
        length_mm: length of all pieces [mm]
        is_cable: bought as a cable: its cores are not cut one by one
    """

    words: str
    size: WireSize
    colour: str
    cable: str
    wires: tuple[Wire, ...]
    pieces: int
    length_mm: float
    is_cable: bool

    def metres(self, spare: float) -> float:
        """Return what to take from the shelf [m], with spare as a share."""
        return self.length_mm / 1000 * (1 + spare)


def reels(worked: Worked, wires: Iterable[Wire]) -> tuple[Reel, ...]:
    """Return the reels of some wires: single wires by family, size and colour, then bought cables.

    Args:
        worked: the job worked out
        wires: some of its wires, in the order they are to stand in
    """
    cables = {one.name: one for one in worked.job.cables}
    found: dict[tuple[bool, str, float, str], list[Wire]] = {}
    for wire in wires:
        found.setdefault(_key(worked, cables, wire), []).append(wire)
    return tuple(_reel(worked, cables, key, tuple(found[key])) for key in sorted(found))


def _key(worked: Worked, cables: dict[str, Cable], wire: Wire) -> tuple[bool, str, float, str]:
    cable = cables.get(wire.cable)
    if cable is not None and (cable.stock or cable.kind is CableKind.SCREENED):
        return True, cable.stock, 0.0, cable.name
    size = worked.sized.conductor[wire.identity].size
    return False, size.family, size.area_mm2, wire.colour


def _reel(
    worked: Worked, cables: dict[str, Cable], key: tuple[bool, str, float, str], wires: tuple[Wire, ...]
) -> Reel:
    is_cable, family, _, name = key
    size = worked.sized.conductor[wires[0].identity].size
    if is_cable:
        cable = cables[name]
        words = f"{cable.stock or f'{cable.kind} of {size_words(size)}'} for {name}"
        longest: dict[str, float] = {}  # a cable that goes on in another loom is cut in two pieces
        for wire in wires:
            mm = worked.sized.length[wire.identity].cut_mm
            longest[wire.loom] = max(mm, longest.get(wire.loom, 0.0))
        return Reel(words, size, "", cable.stock, wires, len(longest), math.fsum(longest.values()), True)
    lengths = [worked.sized.length[w.identity].cut_mm for w in wires]
    words = f"{family}, {size_words(size)}, {colour_words(name)}"
    return Reel(words, size, name, "", wires, len(wires), sum(lengths), False)
