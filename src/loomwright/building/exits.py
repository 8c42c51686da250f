"""How every section leaves its point: hand, lean and words, from the exits noted on the rope."""

import math
from dataclasses import dataclass
from typing import Final

from loomwright.building.compass import AXES, Hand, Vector, direction, hand, sight
from loomwright.model.corridor import CorridorMap
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree

BAY: Final = "bay"
CABIN: Final = "cabin"
LEAST_MM: Final = 1.0  # points of a map nearer to each other tell no direction
STRAIGHT: Final = 0.7  # share straight on from which an exit goes on; ours
LEAN_DEG: Final = 30.0  # that a lean brings an exit forward or back; ours, for its order only


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
        clock: hour from the witness line, None = straight on, straight back or not noted; without twist 12
            is up
        words: as noted, with the hour: "left up, outward (10 o'clock)"; "" = nothing noted
        angle_deg: direction seen from above, 0 = straight on, left positive, -180 to 180 [degrees]; None =
            not known, or neither left nor right
        seen: where it points, from the witness line; None = not noted
    """

    section: str
    side: int
    leans_to: int
    lean: str
    clock: int | None
    words: str
    angle_deg: float | None = None
    seen: Hand | None = None


def half(job: Job, section: Section) -> str:
    """Return "bay", "cabin" or "" for the area a section lies in."""
    area = job.area.get(section.area)
    return area.side if area else ""


def leavings(job: Job, tree: Tree) -> dict[str, Leaving]:
    """Return how every section leaves its inner point, by section name.

    The way one looks at a point is the way the section into it was noted to go; where that was not noted,
    the way of the section before it; at the datum front, and back for what goes to the cabin. Where nobody
    noted an exit, the map's coordinates tell it. Twist on the way is taken out, as on board and bench.
    Source: clock as seen looking outward from the datum, common practice.
    """
    noted = {(e.point, e.to): e for e in tree.exits}
    mapped, twist = _mapped(job, tree), twists(tree)
    back = cabin_half(job, tree)
    ahead: dict[str, Vector] = {}
    found: dict[str, Leaving] = {}
    for s in tree.sections:
        into = tree.into.get(s.inner)
        look = (
            ahead[into.name] if into else AXES["back" if s.name in back or half(job, s) == CABIN else "front"]
        )
        one = noted.get((s.inner, s.outer))
        way = direction(one.axes) if one else mapped.get(s.name)
        ahead[s.name] = way or look
        seen = hand(sight(look), way) if way else None
        if seen and not one:
            seen = seen.rounded()
        words = (*one.axes, one.lean) if one else ("by the map", "") if way else ("", "")
        found[s.name] = _leaving(s.name, words, seen, twist.get(s.inner, 0.0))
    return found


def twists(tree: Tree) -> dict[str, float]:
    """Return how far the loom has turned on its way from the datum, by point [degrees clockwise]."""
    found = {tree.datum: 0.0}
    for s in tree.sections:
        found[s.outer] = found[s.inner] + (s.passes.twist_deg if s.passes else 0.0)
    return found


def _mapped(job: Job, tree: Tree) -> dict[str, Vector]:
    """Return by section where it goes, straight between the coordinates of its points on a map."""
    found = {}
    for one in job.maps:
        at = _places(one) if one.loom == tree.loom else {}
        for s in tree.sections:
            if s.inner in at and s.outer in at and (mm := math.dist(at[s.inner], at[s.outer])) >= LEAST_MM:
                x, y, z = ((b - a) / mm for a, b in zip(at[s.inner], at[s.outer], strict=True))
                found[s.name] = (x, y, z)
    return found


def _places(one: CorridorMap) -> dict[str, Vector]:
    """Return the known places of a map as front, left, up [mm]."""
    return {p.name: (p.at_mm[1], -p.at_mm[0], p.at_mm[2]) for p in one.points if p.at_mm}


def cabin_half(job: Job, tree: Tree) -> frozenset[str]:
    """Return the sections that leave the datum to the cabin's side, where the datum has two sides.

    At a hole with nothing noted of the cabin, those not noted to go front; of two alike, the shorter way.
    """
    out = tree.out_of.get(tree.datum, ())
    sides = {s.name: _side_by_axis(tree, s) or half(job, s) for s in out}
    cabin = frozenset(name for name, side in sides.items() if side == CABIN)
    loom = next((x for x in job.looms if x.name == tree.loom), None)
    if cabin or len(out) < 2 or loom is None or not loom.hole_mm:
        return cabin if len(cabin) < len(out) else frozenset()
    told = {s.name for s in out if _side_by_axis(tree, s) or (half(job, s) and s.area != loom.area)}
    others = frozenset(s.name for s in out if s.name not in told)
    if told and others:
        return others
    if len(out) == 2 and not told:
        return frozenset({min(out, key=lambda s: (_depth(tree, s), s.name)).name})
    return frozenset()


def _depth(tree: Tree, s: Section) -> float:
    """The longest way from a section's inner point outward [mm]."""
    beyond = [x for x in tree.sections if s in tree.to_datum(x.outer)]
    return max(tree.from_datum_mm[x.outer] for x in beyond) - tree.from_datum_mm[s.inner]


def _side_by_axis(tree: Tree, s: Section) -> str:
    for e in tree.exits:
        if (e.point, e.to) == (s.inner, s.outer):
            return BAY if "front" in e.axes else CABIN if "back" in e.axes else ""
    return ""


def _leaving(name: str, noted: tuple[str, ...], in_car: Hand | None, twist_deg: float) -> Leaving:
    *axes, lean = noted
    if in_car is None:
        return Leaving(name, 0, 0, lean, None, lean)
    seen = in_car.untwisted(twist_deg)
    words = ", ".join(w for w in (" ".join(axes), lean) if w)
    if seen.clock is not None:
        words += f" ({seen.clock} o'clock)"
    if seen.clock != in_car.clock:
        words += f" from the witness line, {in_car.clock} o'clock in the car"
    leans_to = (seen.above > 1e-9) - (seen.above < -1e-9) if seen.side == 0 else 0
    return Leaving(name, seen.side, leans_to, lean, seen.clock, words, _angle_deg(seen, lean), seen)


def _angle_deg(seen: Hand, lean: str) -> float | None:
    """Return the direction seen from above; the lean brings it forward or back."""
    if not seen.side:
        return 0.0 if seen.onward > STRAIGHT else None
    leans = {"outward": -LEAN_DEG, "back": LEAN_DEG}.get(lean, 0.0)
    deg = abs(math.degrees(math.atan2(seen.left, seen.onward)))
    return seen.side * min(175.0, max(5.0, deg + leans))
