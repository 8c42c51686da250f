"""A loom's tree as stiff pieces on one plane: every part can be turned about the point it hangs on.

Parts are numbered so that all that hangs on one, near or far, follows it: so a part with what hangs on it is
one stretch of parts and one stretch of pieces. How near two pieces may come depends on no angle and is worked
out once.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from typing import Final

import numpy as np
import numpy.typing as npt

from loomwright.building.board_task import Corridor, Group, Task
from loomwright.building.shape import GAP_SHARE, LEAST_MM, MARGIN_MM, Floats, Rough
from loomwright.model.tree import Section

BOARD: Final = -1
BARE_REST_MM: Final = 1.0  # a co-run with less left beyond its parting is not turned; ours
TOUCH: Final = -1e9
DOT_MM: Final = 60.0
STEP_DEG: Final = 15.0
MOST_DEG: Final = 150.0  # a turn at most
FAR_MM: Final = 700.0  # what reaches further than this ...
FAR_DEG: Final = 90.0  # ... is not turned back; ours
SIDE_DEG: Final = 75.0  # at a datum with two sides each keeps to its own
LEAST_APART_DEG: Final = 14.0
Ints = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Part:
    """What turns as one: a section with the lanes of its co-runs, or what is left of a co-run that parted.

    Attributes:
        name: the section whose turn it is
        on: number of the part it hangs on, BOARD = the datum
        at: where it hangs, in that part's frame [mm]
        from_mm: the same, along the loom from the datum [mm]
        point: the branch point it leaves, "" where it parts from a co-run
        heading: at the datum: what its side of the board runs along, 0 or 180 [degrees]
        group: the group it leads; None for the rest of a co-run
        corridor: how the co-run ran before it parted
        rest_mm: length of its own line [mm]
        onward: it reaches furthest from its point
    """

    name: str
    on: int
    at: tuple[float, float]
    from_mm: float
    point: str
    heading: float = 0.0
    group: Group | None = None
    corridor: Corridor | None = None
    rest_mm: float = 0.0
    onward: bool = False

    @property
    def fan(self) -> tuple[float, float]:
        """Directions of its outermost lines against its first section's [degrees]."""
        fans = [0.0, *(c.fan_deg for _, c in self.group.beside)] if self.group else [0.0]
        return min(fans), max(fans)

    @property
    def stiff(self) -> bool:
        """It has no line of its own that could be turned."""
        return self.corridor is not None and self.rest_mm < BARE_REST_MM


@dataclass(slots=True)
class Pieces:
    """Straight pieces while they are collected, in the frames of their parts.

    Attributes:
        local: x1, y1, x2, y2 [mm]
        owner: number of the part
        half: half width [mm]
        stretch: where along the loom, from the datum [mm]
        stands: it stands beyond an end
        meeting: pieces that meet, by branch point or name of the co-run that parts
        tip: the piece that ends at a section's outer point, by section name
    """

    local: list[tuple[float, float, float, float]] = field(default_factory=list)
    owner: list[int] = field(default_factory=list)
    half: list[float] = field(default_factory=list)
    stretch: list[tuple[float, float]] = field(default_factory=list)
    stands: list[bool] = field(default_factory=list)
    meeting: dict[str, list[int]] = field(default_factory=dict)
    tip: dict[str, int] = field(default_factory=dict)

    def add(
        self,
        part: int,
        row: tuple[float, float, float, float],
        half: float,
        stretch: tuple[float, float],
        stands: bool = False,
    ) -> int:
        """Add a piece and return its number."""
        self.local.append(row)
        self.owner.append(part)
        self.half.append(half)
        self.stretch.append(stretch)
        self.stands.append(stands)
        return len(self.local) - 1

    def meet(self, junction: str, *pieces: int) -> None:
        """Note that pieces meet."""
        self.meeting.setdefault(junction, []).extend(pieces)


@dataclass(frozen=True)
class Frame:
    """Parts and pieces of a loom.

    Attributes:
        parts: parts, each before all that hangs on it
        after: for each part the first one that doesn't hang on it
        first: number of each part's first piece, and at the end the number of pieces
        local: x1, y1, x2, y2 of every piece in its part's frame [mm]
        owner: the part of every piece
        half, size: half width and length of every piece [mm]
        wanted: how far every two pieces should be apart [mm]; below 0 = they may touch
        choices: turns each part may have, whatever its neighbours leave free [degrees]
    """

    parts: tuple[Part, ...]
    after: tuple[int, ...]
    first: tuple[int, ...]
    local: Floats
    owner: Ints
    half: Floats
    size: Floats
    wanted: Rough
    choices: tuple[Floats, ...]

    @cached_property
    def fan(self) -> tuple[tuple[float, float], ...]:
        """Directions of each part's outermost lines against its first section's [degrees]."""
        return tuple(part.fan for part in self.parts)

    @cached_property
    def beside(self) -> tuple[tuple[int, ...], ...]:
        """For each part the others that leave the same point."""
        at: dict[str, list[int]] = {}
        for n, part in enumerate(self.parts):
            if part.point:
                at.setdefault(part.point, []).append(n)
        return tuple(tuple(m for m in at.get(part.point, ()) if m != n) for n, part in enumerate(self.parts))

    @cached_property
    def hanging(self) -> tuple[tuple[int, ...], ...]:
        """For each part those that hang on it."""
        found: list[list[int]] = [[] for _ in self.parts]
        for n, part in enumerate(self.parts):
            if part.on != BOARD:
                found[part.on].append(n)
        return tuple(map(tuple, found))

    def above(self, part: int) -> tuple[int, ...]:
        """What a part hangs on, nearest first."""
        found = []
        while (part := self.parts[part].on) != BOARD:
            found.append(part)
        return tuple(found)

    @cached_property
    def trunk(self) -> frozenset[int]:
        """The parts of the trunk: from the datum along what reaches furthest."""
        found: set[int] = set()
        for n, part in enumerate(self.parts):
            if part.onward and (part.on == BOARD or part.on in found):
                found.add(n)
        return frozenset(found)

    @cached_property
    def bends(self) -> tuple[bool, ...]:
        """For each part whether it can turn alone: something leaves its far end, nothing runs beside it."""
        return tuple(
            bool(some) and all(self.parts[n].point for n in some) and self.first[k + 1] == self.first[k] + 1
            for k, some in enumerate(self.hanging)
        )

    @cached_property
    def dots(self) -> tuple[Ints, Floats, Ints]:
        """Places that tell what is printed on: piece, share of its length; first one of each piece."""
        count = np.maximum(2, np.ceil(self.size / DOT_MM).astype(np.intp) + 1)
        piece = np.repeat(np.arange(len(count)), count)
        first = np.concatenate(([0], np.cumsum(count)))
        share = (np.arange(len(piece)) - first[piece]) / (count[piece] - 1)
        return piece, share, first

    @cached_property
    def length_mm(self) -> float:
        """Length of all pieces [mm]."""
        return float(self.size.sum())

    @cached_property
    def widest_mm(self) -> float:
        """The largest distance wanted between two pieces [mm]."""
        return max(0.0, float(self.wanted.max()))

    def pieces_of(self, part: int) -> tuple[int, int]:
        """The pieces of a part with all that hangs on it: first, and first that isn't."""
        return self.first[part], self.first[self.after[part]]


def frame(task: Task, clear_mm: float) -> Frame:
    """Return parts and pieces of a loom.

    Args:
        task: the tree
        clear_mm: wanted between centre lines, above 0 [mm]
    """
    parts: list[Part] = []
    first: list[int] = []
    pieces = Pieces()
    waiting = list(reversed(list(_roots(task))))
    while waiting:
        part = waiting.pop()
        first.append(len(pieces.local))
        _own_pieces(task, pieces, len(parts), part)
        waiting += reversed(list(_hanging(task, len(parts), part)))
        parts.append(part)
    after = list(range(1, len(parts) + 1))
    for n in range(len(parts) - 1, -1, -1):
        if parts[n].on != BOARD:
            after[parts[n].on] = max(after[parts[n].on], after[n])
    first.append(len(pieces.local))
    rows = np.array(pieces.local)
    half = np.array(pieces.half)
    size = np.hypot(rows[:, 2] - rows[:, 0], rows[:, 3] - rows[:, 1])
    gap = _gaps(parts, after, first, np.array(pieces.stretch))
    wanted = _wanted(pieces, half, gap, clear_mm)
    some = tuple(_choices(task, part) for part in parts)
    owner = np.array(pieces.owner)
    return Frame(tuple(parts), tuple(after), tuple(first), rows, owner, half, size, wanted, some)


def _roots(task: Task) -> Iterator[Part]:
    seen: set[float] = set()
    for g in task.groups.get(task.tree.datum, ()):
        heading = 180.0 if g.lead.name in task.to_left else 0.0
        yield Part(
            g.lead.name,
            BOARD,
            (0.0, 0.0),
            0.0,
            task.tree.datum,
            heading,
            g,
            rest_mm=g.lead.length_mm,
            onward=heading not in seen,
        )
        seen.add(heading)


def _hanging(task: Task, number: int, part: Part) -> Iterator[Part]:
    """Yield what hangs on a part: the rests of its co-runs, then what leaves the outer points."""
    if part.group:
        for s, c in part.group.beside:
            along, rest = _parting(s, c)
            at = (along, c.offset_mm)
            yield Part(s.name, number, at, part.from_mm + along, "", 0.0, None, c, rest)
    outer = _outer(task, part.name)
    out = task.groups.get(outer, ())
    for g in out:
        at, from_mm = (part.rest_mm, 0.0), part.from_mm + part.rest_mm
        yield Part(g.lead.name, number, at, from_mm, outer, 0.0, g, None, g.lead.length_mm, g is out[0])


def _outer(task: Task, section: str) -> str:
    return task.tree.by_name[section].outer


def _parting(s: Section, c: Corridor) -> tuple[float, float]:
    """Where along its companion a co-run leaves it, and what it has left beyond [mm]."""
    return min(c.until_mm, c.fan_mm + s.length_mm - c.slant_mm), max(0.0, s.length_mm - c.run_mm)


def _own_pieces(task: Task, pieces: Pieces, number: int, part: Part) -> None:
    """Add a part's line, the lanes beside it and what stands beyond its end."""
    at, rest, half = part.from_mm, part.rest_mm, task.half_mm[part.name]
    if not part.stiff:
        line = pieces.add(number, (0.0, 0.0, rest, 0.0), half, (at, at + rest))
        pieces.meet(part.point or f"{part.name} parts", line)
        pieces.tip[part.name] = line
    for s, c in part.group.beside if part.group else ():
        along, own = _parting(s, c)[0], task.half_mm[s.name]
        fan = pieces.add(number, (0.0, 0.0, c.fan_mm, c.offset_mm), own, (at, at + c.fan_mm))
        lane = pieces.add(
            number, (c.fan_mm, c.offset_mm, along, c.offset_mm), own, (at + c.fan_mm, at + along)
        )
        pieces.meet(part.point, fan)
        pieces.meet(f"{s.name} parts", lane)
        pieces.tip[s.name] = lane
    outer = _outer(task, part.name)
    pieces.meet(outer, pieces.tip[part.name])
    beyond = task.beyond.get(outer)
    if beyond and outer not in task.tree.out_of:
        end, x = at + rest, rest + beyond.trim_mm
        if beyond.trim_mm:
            pieces.add(number, (rest, 0.0, x, 0.0), max(half, beyond.trim_half_mm), (end, end), True)
        pieces.add(number, (x, 0.0, rest + beyond.mm, 0.0), beyond.half_mm, (end, end), True)


def _gaps(parts: list[Part], after: list[int], first: list[int], stretch: Floats) -> Rough:
    """How far along the loom every two pieces of different parts are from each other [mm]."""
    count = len(stretch)
    gap = np.zeros((count, count), dtype=np.float32)
    below: dict[int, list[int]] = {}
    for n, part in enumerate(parts):
        below.setdefault(part.on, []).append(n)
    for on, some in below.items():
        for n in some:
            at = parts[n].from_mm
            mine = slice(first[n], first[after[n]])
            off = np.maximum(0.0, stretch[mine, 0] - at)
            if on != BOARD:
                own = slice(first[on], first[on + 1])
                to = np.maximum(0.0, np.maximum(stretch[own, 0] - at, at - stretch[own, 1]))
                _both(gap, mine, own, off[:, None] + to)
        for n, m in combinations(some, 2):
            a, b = parts[n].from_mm, parts[m].from_mm
            mine, other = slice(first[n], first[after[n]]), slice(first[m], first[after[m]])
            one, two = np.maximum(0.0, stretch[mine, 0] - a), np.maximum(0.0, stretch[other, 0] - b)
            _both(gap, mine, other, one[:, None] + two + abs(a - b))
    return gap


def _both(gap: Rough, one: slice, two: slice, block: Floats) -> None:
    gap[one, two] = block
    gap[two, one] = block.T


def _wanted(pieces: Pieces, half: Floats, gap: Rough, clear_mm: float) -> Rough:
    """How far every two pieces should be apart: less for those close along the loom, never for what stands.

    Pieces that meet are kept apart by their angles; pieces of one part are stiff.
    """
    both = (half[:, None] + half + MARGIN_MM).astype(np.float32)
    wanted = np.maximum(LEAST_MM, np.minimum(np.maximum(clear_mm, both), GAP_SHARE * gap))
    stands = np.array(pieces.stands)
    wanted = np.where(stands[:, None] | stands, np.maximum(wanted, both), wanted)
    owner = np.array(pieces.owner)
    wanted[owner[:, None] == owner] = TOUCH
    for some in pieces.meeting.values():
        wanted[np.ix_(some, some)] = TOUCH
    return np.asarray(wanted, dtype=np.float32)


def _choices(task: Task, part: Part) -> Floats:
    """Return the turns a part may have, whatever its neighbours leave free [degrees]."""
    if part.stiff:
        return np.array([0.0])
    if part.on == BOARD and part.onward:
        return np.array([part.heading])
    leaving = task.leaving[part.name]
    only = (1 if part.corridor.offset_mm > 0 else -1) if part.corridor else leaving.side
    most = FAR_DEG if part.group and task.reach(part.group) > FAR_MM else MOST_DEG
    if part.on == BOARD and task.to_left:
        most = SIDE_DEG
    steps = np.arange(STEP_DEG, most + 1.0, STEP_DEG)
    some = [side * steps for side in ((only,) if only else (1, -1))]
    if not part.corridor and (part.onward or not only):
        some.append(np.array([0.0]))
    return part.heading + np.concatenate(some)
