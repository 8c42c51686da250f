"""Flags for the rope: one for every end and branch point, to cut out and fold over, as full-size pages."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil
from typing import Final

from loomwright.building.ends import function_of
from loomwright.model.job import Job
from loomwright.pack.lettering import shortened, width_mm
from loomwright.pack.marks import DASHED, GREY, THIN, Drawing, Line, Mark, Text
from loomwright.pack.stage_devices import present

FLAG_MM: Final = (95.0, 33.0)  # length and height of one flag; ours: folded it is 40 mm a side
WRAP_MM: Final = 15.0  # middle of a flag, round the rope; ours
ACROSS: Final = 2
DOWN: Final = 8
PAGE_MM: Final = (
    ACROSS * FLAG_MM[0],
    DOWN * FLAG_MM[1],
)  # fits A4 and Letter with an office printer's margins
NAME_MM: Final = 10.0  # capital height of a name where it fits
SECOND_MM: Final = 6.5  # on the half that is written on
WORDS_MM: Final = 2.5
EDGE_MM: Final = 2.0
BRANCHES_PER_END: Final = 0.45  # the most of the estimate's share, so that no flag is missing; ours


@dataclass(frozen=True, slots=True)
class Flag:
    """One flag.

    Attributes:
        name: what is called out, big
        words: what it is
        lines: what to write down there, each with room behind it
    """

    name: str
    words: str
    lines: tuple[str, ...]


def rope_flags(job: Job) -> tuple[Flag, ...]:
    """Return the flags of a job: datums, branch points, then every end that has pins, in the job's order.

    Branch points are those the rope knows; where it knows none, B1, B2 ... as many as such a job has at most.
    """
    ends = {plug.end: function_of(one) for one in present(job) for plug in one.connectors if plug.pins}
    starts = tuple(dict.fromkeys(one.datum for one in job.looms if one.datum and one.datum not in ends))
    ends.update({one.datum: f"datum; {ends[one.datum]}" for one in job.looms if one.datum in ends})
    return (
        *(Flag(name, "datum: all lengths start here", ("place", "hole, mm")) for name in starts),
        *(Flag(name, "branch point", ("to datum", "exits", "running mm")) for name in branch_names(job)),
        *(Flag(name, words, ("exit", "latch to", "running mm")) for name, words in ends.items()),
    )


def branch_names(job: Job) -> tuple[str, ...]:
    """Return the names for branch points: the rope's own, else B1, B2 ... as many as may be needed."""
    ends = {plug.end for one in present(job) for plug in one.connectors if plug.pins}
    datums = {one.datum for one in job.looms}
    read = (one.point for run in job.runs for one in run.readings)
    known = tuple(dict.fromkeys(one for one in read if one not in ends and one not in datums))
    if known:
        return known
    count = ceil(BRANCHES_PER_END * len(ends))
    taken = {one.name for one in job.devices} | datums
    names = (f"B{n}" for n in range(1, 2 * count + len(taken) + 1))
    return tuple([one for one in names if one not in taken][:count])


def flag_pages(flags: Iterable[Flag], title: str) -> tuple[Drawing, ...]:
    """Return the flags as pages of 2 by 8, each 190 by 264 mm, to be printed at 1:1.

    Args:
        flags: in the order to print
        title: small print at the foot of every flag
    """
    found = list(flags)
    step = ACROSS * DOWN
    return tuple(
        _page(found[start : start + step], title, start, len(found)) for start in range(0, len(found), step)
    )


def _page(flags: list[Flag], title: str, start: int, total: int) -> Drawing:
    wide, high = FLAG_MM
    marks: list[Mark] = []
    for n, flag in enumerate(flags):
        left, low = (n % ACROSS) * wide, PAGE_MM[1] - (n // ACROSS + 1) * high
        marks += _flag(flag, left, low, f"{title} · {start + n + 1} of {total}")
    rows = ceil(len(flags) / ACROSS)
    bottom = PAGE_MM[1] - rows * high
    marks += [
        Line((0.0, PAGE_MM[1] - n * high), (PAGE_MM[0], PAGE_MM[1] - n * high), THIN) for n in range(rows + 1)
    ]
    marks += [Line((n * wide, bottom), (n * wide, PAGE_MM[1]), THIN) for n in range(ACROSS + 1)]
    return Drawing("rope flags", *PAGE_MM, tuple(marks))


def _flag(flag: Flag, left: float, low: float, foot: str) -> Iterator[Mark]:
    """Yield one flag: the name on both halves, words on the first, lines to write on the second."""
    wide, high = FLAG_MM
    half = (wide - WRAP_MM) / 2
    for x in (left + half, left + half + WRAP_MM):
        yield Line((x, low), (x, low + high), DASHED)
    room = half - 2 * EDGE_MM
    size = min(NAME_MM, NAME_MM * room / width_mm(flag.name, NAME_MM, True))
    first, second = left + EDGE_MM, left + half + WRAP_MM + EDGE_MM
    for x, tall in ((first, size), (second, min(size, SECOND_MM))):
        yield Text((x, low + high - 4.0), flag.name, tall, level="top", bold=True)
    for n, line in enumerate(_two_lines(flag.words, room)):
        yield Text((first, low + 11.0 - 4.0 * n), line, WORDS_MM)
    yield Text((first, low + 2.5), shortened(foot, room, 1.7), 1.7, ink=GREY)
    for n, word in enumerate(flag.lines):
        y = low + 15.0 - n * 6.2
        yield Text((second, y), word, 2.3)
        yield Line((second + width_mm(word, 2.3) + 1.5, y - 0.3), (second + room, y - 0.3), THIN)


def _two_lines(words: str, room_mm: float) -> tuple[str, ...]:
    """Return words in at most two lines, the end of the second left out where it has to be."""
    first, rest = "", words.split()
    while rest and width_mm(f"{first} {rest[0]}".strip(), WORDS_MM) <= room_mm:
        first = f"{first} {rest.pop(0)}".strip()
    lines = [first] if first else []
    return (*lines, shortened(" ".join(rest), room_mm, WORDS_MM)) if rest else tuple(lines)
