"""What to unplug and unclip before the engine comes out."""

from dataclasses import dataclass
from itertools import product
from typing import Final

from loomwright.model.tree import Section, Tree
from loomwright.pack.view import ON_STUD, View

MOST_LOOMS: Final = 10  # ways to share looms between engine and car double with each; ours


@dataclass(frozen=True, slots=True)
class EngineOut:
    """The least work to part engine and loom.

    Attributes:
        with_engine: looms that come out with the engine
        plugs: plugs to part, "X1C from X1E", "INJ1"; "G1, ring", "IGN, a joint" for what has no plug
        clips: ties and clips to undo
    """

    with_engine: tuple[str, ...]
    plugs: tuple[str, ...]
    clips: tuple[str, ...]


def engine_out(view: View) -> EngineOut | None:
    """Return what to undo with the fewest plugs; None where no area of the job moves with the engine.

    Every loom either comes out with the engine or stays in the car; all ways are counted. A mating pair parts
    only where its two looms go different ways.
    """
    moving = frozenset(a.name for a in view.job.areas if a.moves_mm > 0)
    looms = [t.loom for t in view.trees][:MOST_LOOMS]
    if not moving or not looms:
        return None
    ways = (
        tuple(loom for loom, out in zip(looms, taken, strict=True) if out)
        for taken in product((False, True), repeat=len(looms))
    )
    return min((_undone(view, way, moving) for way in ways), key=lambda x: (len(x.plugs), x.with_engine))


def _undone(view: View, out: tuple[str, ...], moving: frozenset[str]) -> EngineOut:
    plugs: dict[str, None] = {}
    clips: list[str] = []
    for tree in view.trees:
        comes = tree.loom in out
        for end in tree.ends:
            words = _parts(view, end, comes, out, moving)
            if words:
                plugs[words] = None
        clips += (words for s in tree.sections if (_area(view, s) in moving) != comes for words in _ties(s))
    return EngineOut(out, tuple(plugs), tuple(clips))


def _parts(view: View, end: str, comes: bool, out: tuple[str, ...], moving: frozenset[str]) -> str:
    """What parts at an end, "" where nothing does."""
    plug = view.job.connector.get(end)
    if plug is None or not plug.pins:
        return ""
    if plug.mates:
        other = view.loom_of_end.get(plug.mates, "")
        pair = " from ".join(sorted((end, plug.mates)))
        return pair if (other in out) != comes else ""
    device = view.job.device[plug.device]
    if (device.area in moving) == comes:
        return ""
    if device.tap is not None:
        return f"{end}, a joint"
    return f"{end}, ring" if device.stud_rings > 1 or device.family in ON_STUD else end


def _area(view: View, section: Section) -> str:
    if section.area:
        return section.area
    return next((x.area for x in view.job.looms if x.name == section.loom), "")


def _ties(section: Section) -> list[str]:
    ties = section.passes.ties if section.passes else ()
    return [f"{section.name}, {t.at_mm:.0f} mm" for t in ties]


def pulled_through(view: View, found: EngineOut) -> tuple[Tree, ...]:
    """Return the looms that come out with the engine and go through a hole of the body."""
    holes = {x.name for x in view.job.looms if x.hole_mm}
    return tuple(t for t in view.trees if t.loom in found.with_engine and t.loom in holes)
