"""The map of a loom: its tree fitted to a page, not to scale, hands as on the forming board."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.building.ends import function_of
from loomwright.checks.worked import Worked
from loomwright.model.tree import Section, Tree
from loomwright.pack.draw_map_layout import Block, Rows, Stretch, below, both_ways
from loomwright.pack.lettering import shortened, width_mm
from loomwright.pack.marks import BLACK, FULL, WHITE, Circle, Drawing, Line, Mark, Pen, Polygon, Side, Text
from loomwright.routing.routed import section_key

WIDE_MM: Final = 264.0  # an A4 sheet on its side, less its margins
HIGH_MM: Final = 146.0  # ... less its head, title and foot
HEAD_MM: Final = 11.0
FOOT_MM: Final = 16.0
NAME_MM: Final = 2.5
WORDS_MM: Final = 2.1
PILL_MM: Final = 4.2
END_MM: Final = 4.5
LEAST_WIDE_MM: Final = 142.0  # takes the key
HALF_END_MM: Final = 2.15
HALF_INNER_MM: Final = 4.4
LEAST_WORDS_MM: Final = 48.0  # room an end's words get at least; ours
MOST_WORDS_MM: Final = 120.0
THICKNESS: Final = ((5.0, 0.4), (10.0, 0.8), (16.0, 1.4), (25.0, 2.0), (1e9, 2.8))
"""Finished diameter up to [mm] and the line it is drawn with [mm]; ours."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One drawing's share: the sections it starts with on either side, and what is drawn on elsewhere.

    Attributes:
        start: name of the point it starts from
        cut: sections drawn as ends here
    """

    start: str
    left: tuple[Section, ...]
    right: tuple[Section, ...]
    cut: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Page:
    """How large a drawing may be, and what it is of."""

    worked: Worked
    tree: Tree
    rows: Rows
    wide_mm: float
    high_mm: float


def map_drawings(
    worked: Worked, loom: str, wide_mm: float = WIDE_MM, high_mm: float = HIGH_MM
) -> tuple[Drawing, ...]:
    """Return the map of a loom, on as many drawings as it takes.

    Args:
        worked: job with everything derived from it
        loom: name of the loom
        wide_mm: width of a drawing at most, 150 and more [mm]
        high_mm: height of a drawing at most, 100 and more [mm]

    Returns:
        Drawings in full size, each section on one of them; one that leads to another drawing is on both. A
        loom of only one long straight way may come out wider than asked.
    """
    tree, board = worked.routed.tree[loom], worked.built.board[loom]
    if not tree.sections:
        return ()
    rows = Rows(
        tree,
        board,
        lambda s: _inner_mm(worked, s),
        lambda s: END_MM + _pill_mm(s.inner),
        HALF_END_MM,
        HALF_INNER_MM,
    )
    page = _Page(worked, tree, rows, wide_mm, high_mm)
    left, right = both_ways(tree, board)
    whole = _Part(tree.datum, left, right, frozenset())
    if left and right and not _fits(page, whole):
        parts = [*_split(page, _Part(tree.datum, (), right, frozenset()))]
        parts += _split(page, _Part(tree.datum, left, (), frozenset()))
    else:
        parts = [*_split(page, whole)]
    return tuple(_drawing(page, parts, n) for n in range(len(parts)))


def _split(page: _Page, part: _Part) -> Iterator[_Part]:
    """Yield parts that fit a page: what is cut off is the largest piece that fits by itself."""
    further: list[_Part] = []
    while not _fits(page, part):
        own = [s for s in _sections(page, part) if s.outer in page.tree.out_of and s.name not in part.cut]
        tried = [(s, _Part(s.inner, (), (s,), part.cut & below(page.tree, s.name))) for s in own]
        tried = [(s, one) for s, one in tried if s not in (*part.left, *part.right)]
        fitting = [(s, one) for s, one in tried if _fits(page, one)]
        if not fitting:
            break
        gone = frozenset().union(*(below(page.tree, name) for name in part.cut))
        s, one = max(fitting, key=lambda x: (len(below(page.tree, x[0].name) - gone), x[0].name))
        further.append(one)
        part = _Part(part.start, part.left, part.right, (part.cut - below(page.tree, s.name)) | {s.name})
    yield part
    yield from further


def _sections(page: _Page, part: _Part) -> list[Section]:
    """Return the sections drawn in a part."""
    names = frozenset().union(*(below(page.tree, s.name) for s in (*part.left, *part.right)))
    hidden = frozenset().union(*(below(page.tree, name) - {name} for name in part.cut))
    return [s for s in page.tree.sections if s.name in names - hidden]


def _blocks(page: _Page, part: _Part) -> tuple[Block | None, Block | None]:
    left = page.rows.of_point(part.left, 180.0, 0.0, part.cut) if part.left else None
    if part.start == page.tree.datum:
        right = page.rows.of_point(part.right, 0.0, 0.0, part.cut) if part.right else None
    else:
        right = page.rows.of_section(part.right[0], 0.0, part.cut)
    return left, right


def _reach(page: _Page, block: Block | None, least: bool) -> float:
    """Return how far a block reaches, words of ends included [mm]."""
    if block is None:
        return 0.0
    room = LEAST_WORDS_MM if least else MOST_WORDS_MM
    return max(s.x1 + (min(room, _end_mm(page, s.section)) if s.last else 0.0) for s in block.stretches) + 2.0


def _size(page: _Page, part: _Part, least: bool) -> tuple[float, float, float]:
    """Return what a part takes: to the left of its start, to the right, and its height [mm]."""
    left, right = _blocks(page, part)
    start = width_mm(part.start, WORDS_MM, True) / 2 + 3.0
    above = max(left.below if left else 0.0, right.above if right else 0.0)
    under = max(left.above if left else 0.0, right.below if right else 0.0)
    return max(start, _reach(page, left, least)), max(start, _reach(page, right, least)), above + under


def _fits(page: _Page, part: _Part) -> bool:
    left, right, high = _size(page, part, True)
    return left + right <= page.wide_mm and high <= page.high_mm - HEAD_MM - FOOT_MM


def _figures(worked: Worked, section: Section) -> str:
    key = section_key(section.loom, section.name)
    wires = sum(1 for wire in worked.routed.in_section.get(key, ()) if not wire.screen)
    return f"{section.length_mm:.0f} · {wires} w · {_od(worked, section):.1f}"


def _od(worked: Worked, section: Section) -> float:
    key = section_key(section.loom, section.name)
    piece, bundle = worked.sized.sleeve.get(key), worked.sized.bundle.get(key)
    return (piece.finished_mm if piece else 0.0) or (bundle.as_laid_mm if bundle else 0.0)


def _inner_mm(worked: Worked, section: Section) -> float:
    name, figures = width_mm(section.name, NAME_MM, True), width_mm(_figures(worked, section), WORDS_MM)
    pills = _pill_mm(section.inner) + _pill_mm(section.outer) + 1.0
    return max(name, figures) + pills + 2.0


def _end_words(page: _Page, name: str) -> tuple[str, str]:
    """Return what stands at an end: its name, and the rest."""
    section = page.tree.by_name[name]
    connector = page.worked.job.connector.get(section.outer)
    device = page.worked.job.device.get(connector.device) if connector else None
    longest = max(section.co_runs, key=lambda run: (run.until_mm, run.section), default=None)
    beside = f"beside {longest.section} to {longest.until_mm:.0f}" if longest else ""
    words = (section.name, _figures(page.worked, section), function_of(device) if device else "", beside)
    return section.outer, " · ".join(word for word in words if word)


def _end_mm(page: _Page, name: str) -> float:
    end, rest = _end_words(page, name)
    return width_mm(end, NAME_MM, True) + 2.0 + width_mm(rest, WORDS_MM) + 2.0


def _drawing(page: _Page, parts: Sequence[_Part], number: int) -> Drawing:
    """Return one part as a drawing."""
    part = parts[number]
    left, right = _blocks(page, part)
    least = _size(page, part, True)
    most = _size(page, part, False)
    spare = max(0.0, page.wide_mm - least[0] - least[1])
    more_left = min(most[0] - least[0], spare if not right else spare / 2)
    wide_left, wide_right = least[0] + more_left, min(most[1], least[1] + spare - more_left)
    wide = max(wide_left + wide_right, LEAST_WIDE_MM)
    base = FOOT_MM + max(left.above if left else 0.0, right.below if right else 0.0)
    marks: list[Mark] = []
    for block, side, room in ((left, -1, wide_left), (right, 1, wide_right)):
        if block is not None:
            view = _View(page, parts, part, wide_left, base, side, room)
            marks += view.lines(block.stretches)
            marks += view.words(block.stretches)
    high = FOOT_MM + least[2] + HEAD_MM
    loom = page.tree.loom
    of = f", map {number + 1} of {len(parts)}" if len(parts) > 1 else ""
    title = f"Map of loom {loom}{of}"
    head = Text((0.0, high - 5.0), f"{title}: not to scale", 4.0, bold=True)
    return Drawing(title, wide, high, (head, *marks, *_pill(part.start, wide_left, base), *_key(wide)))


@dataclass(frozen=True, slots=True)
class _View:
    """A block as it lies on the drawing.

    Attributes:
        x, y: the block's start [mm]
        side: 1 = it runs to the right, -1 = to the left, turned by half
        room: how far it may reach [mm]
    """

    page: _Page
    parts: Sequence[_Part]
    part: _Part
    x: float
    y: float
    side: int
    room: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.x + self.side * x, self.y + self.side * y

    def lines(self, stretches: Sequence[Stretch]) -> Iterator[Mark]:
        for one in stretches:
            pen = Pen(width_mm=line_mm(_od(self.page.worked, self.page.tree.by_name[one.section])))
            if one.from_y != one.y:
                yield Line(self.at(one.x0, one.from_y), self.at(one.x0, one.y), pen, layer="section")
            yield Line(self.at(one.x0, one.y), self.at(one.x1, one.y), pen, layer="section")

    def words(self, stretches: Sequence[Stretch]) -> Iterator[Mark]:
        for one in stretches:
            if one.last:
                yield from self._end(one)
                continue
            section = self.page.tree.by_name[one.section]
            free = one.x0 + _pill_mm(section.inner), one.x1 - _pill_mm(section.outer)
            x, y = self.at(sum(free) / 2, one.y)
            off = line_mm(_od(self.page.worked, section)) / 2 + 1.0
            yield Text((x, y + off), section.name, NAME_MM, "middle", bold=True)
            figures = _figures(self.page.worked, section)
            yield Text((x, y - off), figures, WORDS_MM, "middle", "top")
            yield from _pill(section.outer, *self.at(one.x1, one.y))

    def _end(self, one: Stretch) -> Iterator[Mark]:
        x, y = self.at(one.x1, one.y)
        side: Side = "left" if self.side > 0 else "right"
        name, rest = _end_words(self.page, one.section)
        if one.section in self.part.cut:
            rest = f"see map {self._map_of(one.section)} · {rest}"
        yield Circle((x, y), 0.9, FULL, BLACK)
        wide = width_mm(name, NAME_MM, True)
        room = self.room - one.x1 - wide - 5.0
        yield Text((x + self.side * 2.0, y), name, NAME_MM, side, "middle", bold=True)
        place = (x + self.side * (wide + 4.0), y)
        yield Text(place, shortened(rest, room, WORDS_MM), WORDS_MM, side, "middle")

    def _map_of(self, section: str) -> int:
        datum = self.page.tree.datum
        firsts = [one.right[0].name if one.start != datum else "" for one in self.parts]
        return firsts.index(section) + 1


def line_mm(od_mm: float) -> float:
    """Return the width of the line a section is drawn with, by its finished diameter [mm]."""
    return next(line for most, line in THICKNESS if od_mm <= most)


def _pill_mm(name: str) -> float:
    """Return half the width of a point's name on the map [mm]."""
    return width_mm(name, WORDS_MM, True) / 2 + 1.0


def _pill(name: str, x: float, y: float) -> Iterator[Mark]:
    half, high = _pill_mm(name), PILL_MM / 2
    yield Polygon(
        ((x - half, y - high), (x + half, y - high), (x + half, y + high), (x - half, y + high)), FULL, WHITE
    )
    yield Text((x, y), name, WORDS_MM, "middle", "middle", bold=True)


def _key(wide: float) -> Iterator[Mark]:
    """Yield what lines and figures mean."""
    lines = (
        "figures: length mm · w wires · finished outside diameter mm",
        "hands as on the forming board: looking outward from the datum 9 o'clock is left",
    )
    for n, text in enumerate(lines):
        yield Text((0.0, 5.4 - 4.0 * n), shortened(text, wide, WORDS_MM), WORDS_MM)
    x, low = 0.0, 0.0
    for most, thick in THICKNESS:
        words = f"{low:.0f} to {most:.0f} mm" if most < 1e6 else f"over {low:.0f} mm"
        yield Line((x + 2.0, 10.5), (x + 9.0, 10.5), Pen(width_mm=thick))
        yield Text((x + 11.5, 10.5), words, WORDS_MM, level="middle")
        x += 13.5 + width_mm(words, WORDS_MM)
        low = most
