"""Where everything of a loom's map goes: the tree in rows and columns, on the hands of the forming board.

The way that goes straight on runs along a row; what leaves to the left stands above it, what leaves to the
right below, what leaves first farthest out, so that nothing crosses. Lengths play no part.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from loomwright.building.built import Board
from loomwright.model.tree import Section, Tree


@dataclass(frozen=True, slots=True)
class Stretch:
    """A section on the map: a row from one column to another, joined to its inner point by a riser.

    Attributes:
        y: its row, left of the way positive [mm]
        x0, x1: where it starts and ends [mm]
        from_y: row of its inner point [mm]
        last: it ends here: an end, or drawn on on another map
    """

    section: str
    y: float
    x0: float
    x1: float
    from_y: float
    last: bool


@dataclass(frozen=True, slots=True)
class Block:
    """Stretches about a row at y = 0, with the room they take up above and below it [mm]."""

    stretches: tuple[Stretch, ...]
    above: float
    below: float

    @property
    def high_mm(self) -> float:
        """Height [mm]."""
        return self.above + self.below

    def moved(self, y: float) -> tuple[Stretch, ...]:
        """Return the stretches on another row."""
        return tuple(replace(s, y=s.y + y, from_y=s.from_y + y) for s in self.stretches)


@dataclass(frozen=True)
class Rows:
    """How large things are on the map.

    Attributes:
        tree: the loom
        board: its forming board, for hands
        wide_mm: width of a section that branches on, by name [mm]
        end_mm: length of the line of a section that ends, from the middle of its point [mm]
        half_end_mm, half_inner_mm: half the height of a row with an end, with a section that branches on [mm]
    """

    tree: Tree
    board: Board
    wide_mm: Callable[[Section], float]
    end_mm: Callable[[Section], float]
    half_end_mm: float
    half_inner_mm: float

    def of_section(self, section: Section, x: float, cut: frozenset[str]) -> Block:
        """Return a section and all beyond it, its row at y = 0, starting at a column."""
        if section.outer not in self.tree.out_of or section.name in cut:
            end = Stretch(section.name, 0.0, x, x + self.end_mm(section), 0.0, True)
            return Block((end,), self.half_end_mm, self.half_end_mm)
        right = x + self.wide_mm(section)
        own = Stretch(section.name, 0.0, x, right, 0.0, False)
        rest = self.of_point(self.tree.out_of[section.outer], self._angle(section, -1), right, cut)
        half = self.half_inner_mm
        return Block((own, *rest.stretches), max(rest.above, half), max(rest.below, half))

    def of_point(self, out: Iterable[Section], ahead_deg: float, x: float, cut: frozenset[str]) -> Block:
        """Return sections that leave one point, the point at (x, 0).

        Args:
            out: at least one section
            ahead_deg: direction on the board of what leads to the point [degrees]
            x: column of the point [mm]
            cut: sections drawn on on another map
        """
        turn = {s.name: _turn(self._angle(s, 0) - ahead_deg) for s in out}
        sections = sorted(out, key=lambda s: (turn[s.name], s.name))
        straight = min(sections, key=lambda s: (round(abs(turn[s.name]), 3), s.name))
        at = sections.index(straight)
        block = self.of_section(straight, x, cut)
        for s in sections[at + 1 :]:
            block = self._stacked(block, self.of_section(s, x, cut), 1)
        for s in reversed(sections[:at]):
            block = self._stacked(block, self.of_section(s, x, cut), -1)
        return block

    def _stacked(self, block: Block, part: Block, side: int) -> Block:
        """Return a block with a part laid above (1) or below (-1) it, joined to the row of the block."""
        y = block.above + part.below if side > 0 else -(block.below + part.above)
        first, *others = part.moved(y)
        joined = (*block.stretches, replace(first, from_y=0.0), *others)
        if side > 0:
            return Block(joined, block.above + part.high_mm, block.below)
        return Block(joined, block.above, block.below + part.high_mm)

    def _angle(self, section: Section, piece: int) -> float:
        """Direction of the first (0) or last (-1) piece of a section on the board [degrees]."""
        name = f"{section.loom}/{section.name}"
        line = next(s.line for s in self.board.sections if s.section == name)
        (x1, y1), (x2, y2) = (line[0], line[1]) if piece == 0 else (line[-2], line[-1])
        return math.degrees(math.atan2(y2 - y1, x2 - x1))


def _turn(deg: float) -> float:
    return (deg + 180.0) % 360.0 - 180.0


def both_ways(tree: Tree, board: Board) -> tuple[tuple[Section, ...], tuple[Section, ...]]:
    """Return the sections that leave the datum to the left of the board and to the right."""
    starts = {s.section: (s.line[0][0], s.line[1][0]) for s in board.sections}
    out = tree.out_of.get(tree.datum, ())
    to_left = tuple(
        s for s in out if starts[f"{s.loom}/{s.name}"][1] < starts[f"{s.loom}/{s.name}"][0] - 1e-6
    )
    return to_left, tuple(s for s in out if s not in to_left)


def below(tree: Tree, section: str) -> frozenset[str]:
    """Return a section and all sections beyond it."""
    found = {section}
    points = {tree.by_name[section].outer}
    for s in tree.sections:
        if s.inner in points:
            found.add(s.name)
            points.add(s.outer)
    return frozenset(found)
