"""How every section leaves its point: hand, lean and words, from the exits noted on the rope."""

from dataclasses import dataclass
from typing import Final

from loomwright.building.compass import AXES, Hand, Vector, direction, hand, sight
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree

BAY: Final = "bay"
CABIN: Final = "cabin"


@dataclass(frozen=True, slots=True)
class Leaving:
    """How one section leaves its inner point, seen looking outward from the datum.

    Attributes:
        section: its name
        side: 1 = it is drawn to the left of the direction of travel, -1 = to the right, 0 = wherever there
            is room
        leans_to: where `side` is 0: the side taken first, 1 for up (12 o'clock), -1 for down (6 o'clock),
            else 0
        lean: "outward", "square", "back" or "" where nothing was noted
        clock: hour, None = straight on, straight back or not noted
        words: as noted, with the hour: "left up, outward (10 o'clock)"; "" = nothing noted
    """

    section: str
    side: int
    leans_to: int
    lean: str
    clock: int | None
    words: str


def half(job: Job, section: Section) -> str:
    """Return "bay", "cabin" or "" for the area a section lies in."""
    area = job.area.get(section.area)
    return area.side if area else ""


def leavings(job: Job, tree: Tree) -> dict[str, Leaving]:
    """Return how every section leaves its inner point, by section name.

    The way one looks at a point is the way the section into it was noted to go; where that was not noted,
    the way of the section before it; at the datum front, and back for what lies in the cabin.
    Source: clock as seen looking outward from the datum, common practice.
    """
    noted = {(e.point, e.to): e for e in tree.exits}
    ahead: dict[str, Vector] = {}
    found: dict[str, Leaving] = {}
    for s in tree.sections:
        into = tree.into.get(s.inner)
        look = ahead[into.name] if into else AXES["back" if half(job, s) == CABIN else "front"]
        one = noted.get((s.inner, s.outer))
        way = direction(one.axes) if one else None
        ahead[s.name] = way or look
        seen = hand(sight(look), way) if way else None
        found[s.name] = _leaving(s.name, one.axes if one else (), one.lean if one else "", seen)
    return found


def _leaving(name: str, axes: tuple[str, ...], lean: str, seen: Hand | None) -> Leaving:
    if seen is None:
        return Leaving(name, 0, 0, lean, None, lean)
    words = ", ".join(w for w in (" ".join(axes), lean) if w)
    if seen.clock is not None:
        words += f" ({seen.clock} o'clock)"
    leans_to = (seen.above > 1e-9) - (seen.above < -1e-9) if seen.side == 0 else 0
    return Leaving(name, seen.side, leans_to, lean, seen.clock, words)
