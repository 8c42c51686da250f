"""Finding room for words on a drawing: labels try several places and take the first that is free.

Words, ink of the drawing and small symbols are kept apart as kinds, because words over words can't be read,
words over a line can, with trouble.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from loomwright.pack.lettering import width_mm
from loomwright.pack.marks import THIN, Box, Line, Point, Side, Text

Corners = tuple[Point, ...]

WORDS: Final = 100.0  # what it costs to lie over other words; all costs are ours
INK: Final = 20.0
DENSE: Final = 60.0  # hatching, housings
SYMBOL: Final = 6.0
OUTSIDE: Final = 2000.0
LEADER_SHARE: Final = 0.06  # of what it would cost a label, for the line that leads to one
CELL_MM: Final = 40.0
TOUCH: Final = 1e-9  # of a mm: sharing an edge is no overlap
PITCH: Final = 1.55  # from base line to base line, in capital heights
LOW: Final = 0.35  # below the lowest base line, in capital heights
ASIDE_MM: Final = 1.0  # kept free left and right of words; ours
LEADER_FROM_MM: Final = 11.0  # words farther off than this get a line to what they name
DISTANCES_MM: Final = (0.0, 6.0, 14.0, 26.0, 42.0, 62.0, 90.0, 130.0)


@dataclass(frozen=True, slots=True)
class Words:
    """One line of a label.

    Attributes:
        text: the line
        height_mm: height of a capital [mm]
        bold: bold face
    """

    text: str
    height_mm: float = 3.5
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text in one place, with the rectangle they take up and a line to what they name."""

    texts: tuple[Text, ...]
    corners: Corners
    leader: Line | None = None


def block_mm(lines: Sequence[Words]) -> tuple[float, float]:
    """Return width and height of a label's lines [mm]."""
    wide = max(width_mm(line.text, line.height_mm, line.bold) for line in lines)
    return wide, sum(PITCH * line.height_mm for line in lines)


def folded(text: str, room_mm: float, height_mm: float) -> list[str]:
    """Return a text as lines that fit a width, broken between words; a word that is wider stands alone."""
    found: list[str] = []
    for word in text.split():
        longer = f"{found[-1]} {word}" if found else word
        if found and width_mm(longer, height_mm) <= room_mm:
            found[-1] = longer
        else:
            found.append(word)
    return found


def block(lines: Sequence[Words], centre: Point, side: Side = "middle", angle_deg: float = 0.0) -> Label:
    """Return a label whose rectangle has its middle at a point.

    Args:
        lines: from top to bottom, at least one
        centre: middle of the rectangle [mm]
        side: which side the lines are flush with
        angle_deg: turned about the middle, anticlockwise [degrees]
    """
    wide, high = block_mm(lines)
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))

    def at(along: float, up: float) -> Point:
        return centre[0] + along * c - up * s, centre[1] + along * s + up * c

    x = {"left": -wide / 2, "middle": 0.0, "right": wide / 2}[side]
    texts, top = [], high / 2
    for line in lines:
        top -= PITCH * line.height_mm
        place = at(x, top + LOW * line.height_mm)
        texts.append(Text(place, line.text, line.height_mm, side, "base", angle_deg, line.bold))
    w, h = wide / 2 + ASIDE_MM, high / 2
    return Label(tuple(texts), (at(-w, -h), at(w, -h), at(w, h), at(-w, h)))


def around(
    lines: Sequence[Words], anchor: Point, clear_mm: float, first_deg: float = 90.0, step_deg: float = 30.0
) -> Iterator[Label]:
    """Yield a label upright beside a point: near before far, the wanted direction before the others.

    Args:
        lines: from top to bottom
        anchor: what it names [mm]
        clear_mm: least distance from the anchor [mm]
        first_deg: direction tried first [degrees]
        step_deg: step between directions [degrees]
    """
    wide, high = block_mm(lines)
    turns = [0.0]
    for n in range(1, int(180 / step_deg) + 1):
        turns += [n * step_deg, -n * step_deg]
    for off in DISTANCES_MM:
        reach = clear_mm + off
        for turn in turns[: -1 if 360 % step_deg == 0 else None]:
            c, s = math.cos(math.radians(first_deg + turn)), math.sin(math.radians(first_deg + turn))
            centre = anchor[0] + c * (reach + wide / 2), anchor[1] + s * (reach + high / 2)
            side: Side = "left" if c > 0.3 else "right" if c < -0.3 else "middle"
            found = block(lines, centre, side)
            yield Label(found.texts, found.corners, leader(anchor, found.corners, clear_mm))


def beside(
    lines: Sequence[Words],
    line: Sequence[Point],
    half_mm: float,
    shares: Sequence[float] = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8),
) -> Iterator[Label]:
    """Yield a label that runs along a line, above or below it, never upside down.

    Args:
        lines: from top to bottom
        line: points of the line [mm]
        half_mm: half its width [mm]
        shares: where along it, of its length
    """
    _, high = block_mm(lines)
    for off in (1.5, 4.0, 9.0, 16.0, 25.0):
        for share in shares:
            at, deg = at_share(line, share)
            turned = readable(deg)
            up = math.radians(turned + 90.0)
            for hand in (1.0, -1.0):
                reach = hand * (half_mm + off + high / 2)
                centre = at[0] + reach * math.cos(up), at[1] + reach * math.sin(up)
                found = block(lines, centre, "middle", turned)
                yield Label(found.texts, found.corners, leader(at, found.corners, half_mm + 2.0))
    middle, deg = at_share(line, 0.5)
    yield from around(lines, middle, half_mm + 3.0, deg + 90.0)


def readable(deg: float) -> float:
    """Return the direction of text along a line: read from the left or from below, -90 to 90 [degrees]."""
    turned = (deg + 180.0) % 360.0 - 180.0
    if turned > 90.0 + 1e-6:
        return turned - 180.0
    return turned + 180.0 if turned <= -90.0 + 1e-6 else turned


def at_share(line: Sequence[Point], share: float) -> tuple[Point, float]:
    """Return the point at a share of a line's length, and the line's direction there [degrees]."""
    sizes = [math.dist(a, b) for a, b in pairwise(line)]
    return at_mm(line, share * sum(sizes))


def at_mm(line: Sequence[Point], mm: float) -> tuple[Point, float]:
    """Return the point `mm` along a line, and the line's direction there [degrees]."""
    pieces = [(a, b, math.dist(a, b)) for a, b in pairwise(line)]
    for n, (a, b, size) in enumerate(pieces):
        if mm <= size or n == len(pieces) - 1:
            t = mm / size if size else 0.0
            deg = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
            return (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])), deg
        mm -= size
    return line[0], 0.0


def leader(anchor: Point, corners: Corners, clear_mm: float) -> Line | None:
    """Return the thin line from what is named to its words, None where they stand close by."""
    near = nearest(anchor, corners)
    gap = math.dist(anchor, near)
    if gap < clear_mm + LEADER_FROM_MM:
        return None
    start = clear_mm * 0.8 / gap
    begin = anchor[0] + start * (near[0] - anchor[0]), anchor[1] + start * (near[1] - anchor[1])
    return Line(begin, near, THIN, layer="leader")


def nearest(point: Point, corners: Corners) -> Point:
    """Return the point of an outline nearest to a point outside it."""
    found = [_on_edge(point, a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]
    return min(found, key=lambda one: math.dist(one, point))


def _on_edge(point: Point, a: Point, b: Point) -> Point:
    ux, uy = b[0] - a[0], b[1] - a[1]
    size = ux * ux + uy * uy
    t = ((point[0] - a[0]) * ux + (point[1] - a[1]) * uy) / size if size else 0.0
    t = min(1.0, max(0.0, t))
    return a[0] + t * ux, a[1] + t * uy


def strip(a: Point, b: Point, half_mm: float) -> Corners:
    """Return the rectangle round a straight piece of a given half width."""
    size = math.dist(a, b) or 1.0
    nx, ny = -(b[1] - a[1]) / size * half_mm, (b[0] - a[0]) / size * half_mm
    return (a[0] - nx, a[1] - ny), (b[0] - nx, b[1] - ny), (b[0] + nx, b[1] + ny), (a[0] + nx, a[1] + ny)


def square(centre: Point, half_mm: float) -> Corners:
    """Return an upright square."""
    (x, y), r = centre, half_mm
    return (x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)


def outline(box: Box) -> Corners:
    """Return a rectangle's corners."""
    return (box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top)


def overlap(a: Corners, b: Corners) -> bool:
    """Return True if two convex outlines share more than an edge."""
    return not (_parted(a, b) or _parted(b, a))


def _parted(a: Corners, b: Corners) -> bool:
    """Whether a line along an edge of `a` parts it from `b`; the opposite edges of a rectangle are alike."""
    for n in range(2 if len(a) == 4 else len(a)):
        (x1, y1), (x2, y2) = a[n], a[(n + 1) % len(a)]
        nx, ny = y1 - y2, x2 - x1
        mine = [nx * x + ny * y for x, y in a]
        other = [nx * x + ny * y for x, y in b]
        if max(mine) <= min(other) + 1e-9 or max(other) <= min(mine) + 1e-9:
            return True
    return False


class Room:
    """What stands on a drawing so far; a builder, used while one drawing is composed."""

    def __init__(self, box: Box) -> None:
        self.box = box
        self._things: list[tuple[Corners, Box, float, bool]] = []
        self._cells: dict[tuple[int, int], list[int]] = {}

    def take(self, corners: Corners, cost: float) -> None:
        """Mark an outline as taken; `cost` is what it costs to lie over it."""
        around_it = _box(corners)
        self._things.append((corners, around_it, cost, _upright(corners)))
        for cell in _cells(around_it):
            self._cells.setdefault(cell, []).append(len(self._things) - 1)

    def cost(self, corners: Corners, least: float = 0.0, most: float = math.inf) -> float:
        """Return what lying here costs, counting only things that cost more than `least`.

        Counting ends where the sum reaches `most`.
        """
        mine, upright = _box(corners), _upright(corners)
        total = 0.0 if self.box.encloses(mine) else OUTSIDE
        if total >= most:
            return total
        seen: set[int] = set()
        for cell in _cells(mine):
            seen.update(self._cells.get(cell, ()))
        left, low, right, high = mine.left + TOUCH, mine.bottom + TOUCH, mine.right - TOUCH, mine.top - TOUCH
        for index in sorted(seen):
            other, their, cost, is_upright = self._things[index]
            if cost <= least or their.left >= right or their.right <= left:
                continue
            if their.bottom >= high or their.top <= low:
                continue
            if (upright and is_upright) or overlap(corners, other):
                total += cost
                if total >= most:
                    break
        return total

    def place(self, candidates: Iterable[Label], symbols: bool = True) -> Label:
        """Return the first label that lies free, else the one that disturbs least; its place is taken then.

        Args:
            candidates: at least one, the best first
            symbols: small symbols count as taken
        """
        best: Label | None = None
        least = math.inf
        for one in candidates:
            price = self.cost(one.corners, 0.0 if symbols else SYMBOL, least)
            if one.leader and price < least:
                thin = strip(one.leader.start, one.leader.end, 0.2)
                price += self.cost(thin, DENSE) + LEADER_SHARE * self.cost(thin)
            if price < least:
                best, least = one, price
            if price == 0.0:
                break
        assert best is not None
        self.take(best.corners, WORDS)
        if best.leader:
            self.take(strip(best.leader.start, best.leader.end, 0.3), INK)
        return best


def _upright(corners: Corners) -> bool:
    """Whether an outline is an upright rectangle."""
    if len(corners) != 4:
        return False
    (a, b), (c, d), (e, f), (g, h) = corners
    return (a == g and c == e and b == d and f == h) or (a == c and e == g and b == h and d == f)


def _box(corners: Corners) -> Box:
    xs, ys = zip(*corners, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for i in range(math.floor(box.left / CELL_MM), math.floor(box.right / CELL_MM) + 1):
        for j in range(math.floor(box.bottom / CELL_MM), math.floor(box.top / CELL_MM) + 1):
            yield i, j
