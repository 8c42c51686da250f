"""A branch point's card as a drawing: the clock as seen looking outward, an arrow for each exit."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.building.compass import AXES, Hand, Sight, Vector, direction, hand, sight
from loomwright.building.exits import CABIN, half, leavings
from loomwright.checks.worked import Worked
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree
from loomwright.pack.draw_place import INK, WORDS, Room, Words, around, folded, nearest, outline, square
from loomwright.pack.lettering import shortened
from loomwright.pack.marks import (
    BLACK,
    BOLD_PEN,
    FULL,
    GREY,
    THIN,
    WHITE,
    Box,
    Circle,
    Drawing,
    Level,
    Line,
    Mark,
    Point,
    Polygon,
    Side,
    Text,
    bounds,
    placed,
)
from loomwright.routing.routed import section_key

WIDE_MM: Final = 116.0
HIGH_MM: Final = 104.0
RADIUS_MM: Final = 22.0
CENTRE: Final = (WIDE_MM / 2, 52.0)
NAME_MM: Final = 3.5
WORDS_MM: Final = 2.5
AXIS_SHARE: Final = 0.38  # a part of a direction smaller than this (22 degrees off) isn't named; ours
SHORTEST: Final = 0.5  # of the radius, for an arrow that points mostly outward; ours
AHEAD_MM: Final = 2.6
AXIS_CLEAR_MM: Final = 1.5


@dataclass(frozen=True, slots=True)
class _Exit:
    """An exit as seen on one dial."""

    section: Section
    hand: Hand | None
    words: tuple[Words, ...]


def branch_drawing(worked: Worked, loom: str, point: str) -> Drawing:
    """Return the card of a branch point.

    Args:
        worked: job with everything derived from it
        loom: name of the loom
        point: branch point or datum of the loom

    Returns:
        One dial, or two side by side for a datum whose loom runs both ways: each looks outward its own way.
    """
    tree = worked.routed.tree[loom]
    dials = _dials(worked, tree, point)
    marks: list[Mark] = []
    for n, (look, into, exits) in enumerate(dials):
        marks += [placed(mark, n * WIDE_MM, 0.0) for mark in _dial(point, look, into, exits)]
    return Drawing(f"{point}, looking outward", max(1, len(dials)) * WIDE_MM, HIGH_MM, tuple(marks))


def looks(job: Job, tree: Tree) -> dict[str, Vector]:
    """Return the way one looks where a section leaves, by section name: outward, along what leads there.

    Source: as the clock of the exits, see `building.exits`.
    """
    noted = {(e.point, e.to): e for e in tree.exits}
    ahead: dict[str, Vector] = {}
    found: dict[str, Vector] = {}
    for s in tree.sections:
        into = tree.into.get(s.inner)
        found[s.name] = ahead[into.name] if into else AXES["back" if half(job, s) == CABIN else "front"]
        one = noted.get((s.inner, s.outer))
        ahead[s.name] = (direction(one.axes) if one else None) or found[s.name]
    return found


def _dials(worked: Worked, tree: Tree, point: str) -> list[tuple[Vector, str, list[_Exit]]]:
    """Return what is seen: the way one looks, the section one looks along, the exits."""
    look = looks(worked.job, tree)
    leaving = leavings(worked.job, tree)
    noted = {(e.point, e.to): e for e in tree.exits}
    into = tree.into.get(point)
    found: dict[Vector, list[_Exit]] = {}
    for s in tree.out_of.get(point, ()):
        one = noted.get((s.inner, s.outer))
        way = direction(one.axes) if one else None
        seen = hand(sight(look[s.name]), way) if way else None
        how = leaving[s.name]
        straight = "straight on" if seen and seen.onward > 0 else "straight back"
        clock = f"{how.clock} o'clock" if how.clock else straight
        lines = [", ".join(word for word in (clock, how.lean) if word)] if seen else []
        lines += [" ".join(one.axes)] if one else []
        lines += [f"OD {_od(worked, s):.1f} mm"]
        words = tuple(Words(shortened(line, 34.0, WORDS_MM), WORDS_MM) for line in lines if line)
        found.setdefault(look[s.name], []).append(_Exit(s, seen, (Words(s.outer, NAME_MM, True), *words)))
    return [(way, into.name if into else "", exits) for way, exits in found.items()]


def _od(worked: Worked, section: Section) -> float:
    key = section_key(section.loom, section.name)
    piece, bundle = worked.sized.sleeve.get(key), worked.sized.bundle.get(key)
    return (piece.finished_mm if piece else 0.0) or (bundle.as_laid_mm if bundle else 0.0)


def axis_words(way: Vector) -> str:
    """Return a direction in car axes, one or two words."""
    shares = ((sum(a * b for a, b in zip(way, axis, strict=True)), name) for name, axis in AXES.items())
    return " ".join(name for share, name in shares if share > AXIS_SHARE)


def _dial(point: str, look: Vector, into: str, exits: Sequence[_Exit]) -> Iterator[Mark]:
    seen = sight(look)
    room = Room(Box(1.0, 11.0, WIDE_MM - 1.0, HIGH_MM - 12.5))
    along = f"looking outward along {into}" if into else "looking outward from the datum"
    yield Text((2.0, HIGH_MM - 6.5), point, 5.0, bold=True)
    sentence = f"{along}: towards the car's {axis_words(look)}"
    yield Text((2.0, HIGH_MM - 11.0), shortened(sentence, WIDE_MM - 4.0, 2.8), 2.8)
    axes = _axes(seen)
    yield from _rim(axes)
    room.take(square(CENTRE, RADIUS_MM * 0.74), INK)
    for hour in range(12):
        room.take(square(_at(hour * 30.0, RADIUS_MM * 0.9), 4.5), INK)
    for text in axes.values():
        around_it = bounds(text).grown(AXIS_CLEAR_MM)
        room.take(outline(around_it), WORDS)
    missing = []
    for one in exits:
        if one.hand is None:
            missing.append(one.section.outer)
            continue
        tip = _tip(one.hand)
        yield from _arrow(one.hand, tip)
        deg = math.degrees(math.atan2(tip[1] - CENTRE[1], tip[0] - CENTRE[0])) if tip != CENTRE else 45.0
        label = room.place(around(one.words, _at(90.0 - deg, RADIUS_MM), 2.5, deg, 15.0))
        if label.leader or tip == CENTRE:
            yield Line(tip, nearest(tip, label.corners), THIN)
        yield from label.texts
    yield from _foot(missing, seen)


def _at(deg_from_twelve: float, radius: float) -> Point:
    """Return a point of the dial, degrees clockwise from 12 o'clock."""
    turn = math.radians(90.0 - deg_from_twelve)
    return CENTRE[0] + radius * math.cos(turn), CENTRE[1] + radius * math.sin(turn)


def _axes(seen: Sight) -> Mapping[int, Text]:
    """Return the car axes beside 12, 3, 6 and 9 o'clock."""
    up, right = seen.twelve, seen.three
    ways: dict[int, tuple[Vector, Side, Level]] = {
        12: (up, "middle", "bottom"),
        3: (right, "left", "middle"),
        6: ((-up[0], -up[1], -up[2]), "middle", "top"),
        9: ((-right[0], -right[1], -right[2]), "right", "middle"),
    }
    found = {}
    for hour, (way, side, level) in ways.items():
        place = _at(hour * 30.0, RADIUS_MM + 1.5)
        found[hour] = Text(place, f"{hour} {axis_words(way)}", 2.8, side, level, 0.0, True, GREY)
    return found


def _rim(axes: Mapping[int, Text]) -> Iterator[Mark]:
    yield Circle(CENTRE, RADIUS_MM, FULL, WHITE)
    for hour in range(1, 13):
        yield Line(_at(hour * 30.0, RADIUS_MM), _at(hour * 30.0, RADIUS_MM - 1.6), FULL)
    yield from axes.values()


def _tip(seen: Hand) -> Point:
    share = math.hypot(seen.left, seen.above)
    if share < 1e-9:
        return CENTRE
    reach = RADIUS_MM * max(SHORTEST, share) * 0.97
    return CENTRE[0] - seen.left / share * reach, CENTRE[1] + seen.above / share * reach


def _arrow(seen: Hand, tip: Point) -> Iterator[Mark]:
    """Yield an arrow, or for straight on a crossed circle (away from you), for straight back a dotted one."""
    x, y = CENTRE
    if tip == CENTRE:
        yield Circle(CENTRE, AHEAD_MM, BOLD_PEN, WHITE)
        if seen.onward > 0:
            r = AHEAD_MM * math.sqrt(0.5)
            yield Line((x - r, y - r), (x + r, y + r), FULL)
            yield Line((x - r, y + r), (x + r, y - r), FULL)
        else:
            yield Circle(CENTRE, 0.8, None, BLACK)
        return
    size = math.dist(tip, CENTRE)
    u, v = (tip[0] - x) / size, (tip[1] - y) / size
    back = (tip[0] - 4.0 * u, tip[1] - 4.0 * v)
    yield Line((x + AHEAD_MM * u, y + AHEAD_MM * v), back, BOLD_PEN)
    head = (tip, (back[0] - 1.6 * v, back[1] + 1.6 * u), (back[0] + 1.6 * v, back[1] - 1.6 * u))
    yield Polygon(head, None, BLACK)


def _foot(missing: Sequence[str], seen: Sight) -> Iterator[Mark]:
    crown = "front, because the loom runs upright here" if axis_words(seen.twelve) == "front" else "up"
    lines = [f"12 o'clock is {crown}. Crossed circle: straight on, away from you."]
    if missing:
        lines += folded("exit not noted: " + ", ".join(missing), WIDE_MM - 4.0, WORDS_MM)[:1]
    for n, line in enumerate(lines):
        yield Text((2.0, 6.0 - 4.2 * n), line, WORDS_MM)
