"""A branch point's card as a drawing: the clock as seen looking outward, an arrow for each exit."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.building.compass import AXES, Hand, Sight, Vector, direction, hand, sight
from loomwright.building.exits import CABIN, half
from loomwright.checks.worked import Worked
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree
from loomwright.pack.draw_place import Words, block, block_mm
from loomwright.pack.lettering import shortened
from loomwright.pack.marks import (
    BLACK,
    BOLD_PEN,
    FULL,
    GREY,
    WHITE,
    Box,
    Circle,
    Drawing,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Text,
    placed,
)
from loomwright.routing.routed import section_key

WIDE_MM: Final = 128.0
LEAST_HIGH_MM: Final = 80.0
HEAD_MM: Final = 14.0
FOOT_MM: Final = 15.0
RADIUS_MM: Final = 20.0
COLUMN_MM: Final = 29.0  # width of the words beside the dial
NAME_MM: Final = 3.5
WORDS_MM: Final = 2.5
SMALL_MM: Final = 2.8
EXIT_MM: Final = 18.5  # height of one exit's words
AXIS_SHARE: Final = 0.38  # a part of a direction smaller than this (22 degrees off) isn't named; ours
SHORTEST: Final = 0.5  # of the radius, for an arrow that points mostly outward; ours
AHEAD_MM: Final = 2.6
LEADER: Final = Pen(width_mm=0.18, ink=GREY)


@dataclass(frozen=True, slots=True)
class _Exit:
    """An exit as seen on one dial."""

    outer: str
    hand: Hand | None
    words: tuple[Words, ...]


def branch_drawing(worked: Worked, loom: str, point: str) -> Drawing:
    """Return the card of a branch point.

    Args:
        worked: job with everything derived from it
        loom: name of the loom
        point: branch point or datum of the loom

    Returns:
        One dial, or two one above the other for a datum whose loom runs both ways: each looks outward its own
        way.
    """
    dials = [_Dial(point, *one) for one in _seen(worked, worked.routed.tree[loom], point)]
    high = max((one.high_mm for one in dials), default=LEAST_HIGH_MM)
    marks = [placed(mark, 0.0, n * high) for n, one in enumerate(reversed(dials)) for mark in one.marks(high)]
    return Drawing(f"{point}, looking outward", WIDE_MM, max(1, len(dials)) * high, tuple(marks))


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


def _seen(worked: Worked, tree: Tree, point: str) -> list[tuple[Vector, str, list[_Exit]]]:
    """Return what is seen: the way one looks, the section one looks along, the exits."""
    look = looks(worked.job, tree)
    leaving = worked.built.leaving[tree.loom]
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
        lines = [" ".join(one.axes), clock] if one and seen else []
        lines += [", ".join(part for part in (how.lean, f"OD {_od(worked, s):.1f}") if part)]
        words = tuple(Words(shortened(line, COLUMN_MM, WORDS_MM), WORDS_MM) for line in lines if line)
        name = Words(shortened(s.outer, COLUMN_MM, NAME_MM, True), NAME_MM, True)
        found.setdefault(look[s.name], []).append(_Exit(s.outer, seen, (name, *words)))
    return [(way, into.name if into else "", exits) for way, exits in found.items()]


def _od(worked: Worked, section: Section) -> float:
    key = section_key(section.loom, section.name)
    piece, bundle = worked.sized.sleeve.get(key), worked.sized.bundle.get(key)
    return (piece.finished_mm if piece else 0.0) or (bundle.as_laid_mm if bundle else 0.0)


def axis_words(way: Vector) -> str:
    """Return a direction in car axes, one or two words."""
    shares = ((sum(a * b for a, b in zip(way, axis, strict=True)), name) for name, axis in AXES.items())
    return " ".join(name for share, name in shares if share > AXIS_SHARE)


@dataclass(frozen=True, slots=True)
class _Dial:
    """One dial of a card: where one stands, the way one looks, the section one looks along, the exits."""

    point: str
    look: Vector
    into: str
    exits: Sequence[_Exit]

    @property
    def columns(self) -> tuple[list[_Exit], list[_Exit]]:
        """Exits whose words stand left and right of the dial, from top to bottom."""
        noted = [one for one in self.exits if one.hand is not None]
        left = [one for one in noted if _tip(one)[0] < -1e-6]
        right = [one for one in noted if _tip(one)[0] > 1e-6]
        for one in (one for one in noted if abs(_tip(one)[0]) <= 1e-6):
            (right if len(right) <= len(left) else left).append(one)
        for column in (left, right):
            column.sort(key=lambda one: (-_tip(one)[1], one.outer))
        return left, right

    @property
    def high_mm(self) -> float:
        """Height the dial needs [mm]."""
        return max(LEAST_HIGH_MM, HEAD_MM + FOOT_MM + EXIT_MM * max(map(len, self.columns)))

    def marks(self, high: float) -> Iterator[Mark]:
        """Yield the dial in a card of a height."""
        seen = sight(self.look)
        along = f"looking outward along {self.into}" if self.into else "looking outward from the datum"
        yield Text((2.0, high - 7.0), self.point, 5.0, bold=True)
        sentence = f"{along}: towards the car's {axis_words(self.look)}"
        yield Text((2.0, high - 12.0), shortened(sentence, WIDE_MM - 4.0, SMALL_MM), SMALL_MM)
        centre = (WIDE_MM / 2, FOOT_MM + (high - HEAD_MM - FOOT_MM) / 2)
        yield Circle(centre, RADIUS_MM, FULL, WHITE)
        for hour in range(12):
            yield Line(_at(centre, hour, RADIUS_MM), _at(centre, hour, RADIUS_MM - 1.6), FULL)
        room = Box(2.0, FOOT_MM, WIDE_MM - 2.0, high - HEAD_MM)
        for side, column in zip((-1, 1), self.columns, strict=True):
            yield from _column(centre, side, column, room)
        yield from _axes(centre, seen)
        yield from self._foot(seen)

    def _foot(self, seen: Sight) -> Iterator[Mark]:
        crown = "front, because the loom runs upright here" if axis_words(seen.twelve) == "front" else "up"
        lines = [f"12 o'clock is {crown}. OD in mm.", "Crossed circle: straight on, away from you."]
        missing = [one.outer for one in self.exits if one.hand is None]
        if missing:
            words = "exit not noted: " + ", ".join(missing)
            lines[-1] += "  " + shortened(words, WIDE_MM - 60.0, WORDS_MM)
        for n, line in enumerate(lines):
            yield Text((2.0, 6.4 - 4.2 * n), line, WORDS_MM)


def _column(centre: Point, side: int, column: Sequence[_Exit], room: Box) -> Iterator[Mark]:
    """Yield arrows and words of the exits on one side, each joined by a thin line."""
    step = room.height_mm / max(1, len(column))
    edge = room.left + COLUMN_MM if side < 0 else room.right - COLUMN_MM
    labels: list[Mark] = []
    for n, one in enumerate(column):
        x, y = _tip(one)
        tip = (centre[0] + x, centre[1] + y)
        wide, _ = block_mm(one.words)
        middle = (edge + side * wide / 2, room.top - (n + 0.5) * step)
        label = block(one.words, middle, "right" if side < 0 else "left")
        labels += label.texts
        yield Line(tip, (edge - side * 1.0, middle[1] + block_mm(one.words)[1] / 2 - NAME_MM), LEADER)
    for one in column:
        yield from _arrow(centre, one)
    yield from labels


def _at(centre: Point, hour: float, radius: float) -> Point:
    turn = math.radians(90.0 - 30.0 * hour)
    return centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)


def _axes(centre: Point, seen: Sight) -> Iterator[Mark]:
    """Yield the car axes beside 12, 3, 6 and 9 o'clock, on white, over the thin lines."""
    ways = (seen.twelve, seen.three, _turned(seen.twelve), _turned(seen.three))
    for hour, way in zip((12, 3, 6, 9), ways, strict=True):
        words = axis_words(way)
        parts = [f"{hour} {words}"] if hour in (12, 6) else [str(hour), *words.split()]
        lines = [Words(part, WORDS_MM, True) for part in parts]
        wide, high = block_mm(lines)
        x, y = _at(centre, hour, RADIUS_MM + 1.2)
        place = {
            12: (x, y + high / 2),
            3: (x + wide / 2, y),
            6: (x, y - high / 2),
            9: (x - wide / 2, y),
        }[hour]
        label = block(lines, place)
        yield Polygon(label.corners, None, WHITE)
        yield from label.texts


def _turned(way: Vector) -> Vector:
    return -way[0], -way[1], -way[2]


def _tip(one: _Exit) -> Point:
    """Return where an exit's arrow ends, from the middle of the dial [mm]."""
    seen = one.hand
    share = math.hypot(seen.left, seen.above) if seen else 0.0
    if seen is None or share < 1e-9:
        return 0.0, 0.0
    reach = RADIUS_MM * max(SHORTEST, share) * 0.97 / share
    return -seen.left * reach, seen.above * reach


def _arrow(centre: Point, one: _Exit) -> Iterator[Mark]:
    """Yield an arrow; for straight on a crossed circle (away from you), for straight back a dotted one."""
    (x, y), (a, b) = centre, _tip(one)
    size = math.hypot(a, b)
    if size < 1e-6:
        yield Circle(centre, AHEAD_MM, BOLD_PEN, WHITE)
        if one.hand is not None and one.hand.onward > 0:
            r = AHEAD_MM * math.sqrt(0.5)
            yield Line((x - r, y - r), (x + r, y + r), FULL)
            yield Line((x - r, y + r), (x + r, y - r), FULL)
        else:
            yield Circle(centre, 0.8, None, BLACK)
        return
    u, v = a / size, b / size
    tip, back = (x + a, y + b), (x + a - 4.0 * u, y + b - 4.0 * v)
    yield Line((x + AHEAD_MM * u, y + AHEAD_MM * v), back, BOLD_PEN)
    head = (tip, (back[0] - 1.6 * v, back[1] + 1.6 * u), (back[0] + 1.6 * v, back[1] - 1.6 * u))
    yield Polygon(head, None, BLACK)
