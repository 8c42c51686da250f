"""Square codes (QR) with the short id of a part, as drawing marks; and what such an id says."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from loomwright.building.built import Label
from loomwright.model.job import Job
from loomwright.pack.marks import BLACK, WHITE, Drawing, Group, Mark, Point, Polygon

PREFIX: Final = "LW1"  # first form of the id; a later one gets another number
MARK_LETTERS: Final = 6
QUIET: Final = 4  # white modules around a code, ISO/IEC 18004
MASK: Final = 3  # one of the eight of the standard; trying all of them costs more than it makes clearer; ours


@dataclass(frozen=True, slots=True)
class Code:
    """What a code says.

    Attributes:
        mark: mark of the job, see `job_mark`
        name: what it is stuck on, "W12", "SP3", "INJ1", "B2"
    """

    mark: str
    name: str


def job_mark(job: Job) -> str:
    """Return the six letters that tell one job from another in the shop.

    They go by the title alone: a label shrunk on once must stay right after every later change.
    """
    return hashlib.sha256(job.title.encode()).hexdigest()[:MARK_LETTERS].upper()


def code_text(job: Job, name: str) -> str:
    """Return the id of a part: "LW1:5F0C2A:W12"."""
    return f"{PREFIX}:{job_mark(job)}:{name}"


def code_name(label: Label) -> str:
    """Return what a label's code names: the wire's number, the splice, the point, the plug, the loom."""
    return label.text.split()[0] if label.kind == "wire" else label.of


def read_code(text: str) -> Code | None:
    """Return what an id says, None where it is none of ours."""
    prefix, _, rest = text.partition(":")
    mark, _, name = rest.partition(":")
    ours = prefix == PREFIX and len(mark) == MARK_LETTERS and name
    return Code(mark, name) if ours else None


@lru_cache(maxsize=4096)
def code_rows(text: str) -> tuple[tuple[bool, ...], ...]:
    """Return the modules of a code from top to bottom, dark ones True, without the quiet zone.

    Source: ISO/IEC 18004 as the library segno writes it, error correction M or better.
    """
    import segno

    found = segno.make(text, error="m", micro=False, mask=MASK)
    return tuple(tuple(bool(module) for module in row) for row in found.matrix)


def code_mark(text: str, at: Point, size_mm: float) -> Group:
    """Return a code as black strips on white, its quiet zone included.

    Args:
        text: what it says
        at: lower left corner [mm]
        size_mm: width and height, quiet zone included; 10 mm and more can be read by a phone [mm]
    """
    rows = code_rows(text)
    module = size_mm / (len(rows) + 2 * QUIET)
    x, y = at
    ground = _box(x, y, x + size_mm, y + size_mm, WHITE)
    return Group(f"code {text}", (ground, *_strips(rows, x, y + size_mm, module)))


def code_drawing(text: str, size_mm: float) -> Drawing:
    """Return a code alone as a drawing."""
    return Drawing(f"code {text}", size_mm, size_mm, (code_mark(text, (0.0, 0.0), size_mm),))


def _strips(rows: tuple[tuple[bool, ...], ...], left: float, top: float, module: float) -> Iterator[Mark]:
    for down, row in enumerate(rows):
        high = top - (down + QUIET) * module
        start = 0
        while start < len(row):
            end = start
            while end < len(row) and row[end]:
                end += 1
            if end > start:
                x = left + (start + QUIET) * module
                yield _box(x, high - module, x + (end - start) * module, high, BLACK)
            start = max(end, start) + 1


def _box(left: float, bottom: float, right: float, top: float, fill: str) -> Polygon:
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    return Polygon(corners, None, fill)
