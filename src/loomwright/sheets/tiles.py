"""A large drawing split into sheets of office paper: how many, which, and what each one shows."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.errors import OutOfRange
from loomwright.pack.marks import Box, Drawing, Mark, Text, bounds, extent, flat, reach_mm
from loomwright.sheets.clip import clipped
from loomwright.sheets.paper import A4, Paper

MARGIN_MM: Final = 8.0  # common practice: what an office printer can't reach, with some to spare
OVERLAP_MM: Final = 10.0  # common practice
SIDE_BAND_MM: Final = 7.0  # left of the window: the upright bar
FOOT_BAND_MM: Final = 16.0  # below the window: the level bar, tile name, key
BAR_MM: Final = 100.0
MOST_OFF: Final = 0.025  # ours: a print further off was fitted to the page, by 3 to 6 %
SHIFTS: Final = (0.5, 0.0, 1.0)  # shares of the spare room tried on either side


@dataclass(frozen=True, slots=True)
class PrinterScale:
    """What a printer's output is corrected by; the caller keeps it under the printer's name.

    Attributes:
        printer: name of the printer; empty for none
        short_side: factor along the short side of the paper
        long_side: factor along the long side of the paper
    """

    printer: str = ""
    short_side: float = 1.0
    long_side: float = 1.0

    def measured(self, printer: str, level_mm: float, upright_mm: float, landscape: bool) -> "PrinterScale":
        """Return the scale corrected by the bars of a tile that was printed with this one.

        Args:
            printer: name of the printer
            level_mm: measured length of the level 100 mm bar, 97.5 to 102.5 [mm]
            upright_mm: measured length of the upright 100 mm bar, 97.5 to 102.5 [mm]
            landscape: True where the tile lies with its long side across

        Raises:
            OutOfRange: a bar is so far off that the print was fitted to the page.
        """
        for name, value in (("the level bar [mm]", level_mm), ("the upright bar [mm]", upright_mm)):
            if not abs(value / BAR_MM - 1) <= MOST_OFF:
                remedy = "print again at 100 %, with fitting to the page switched off, and measure again"
                raise OutOfRange(name, value, "97.5 to 102.5 mm", remedy)
        level, upright = BAR_MM / level_mm, BAR_MM / upright_mm
        short, long = (upright, level) if landscape else (level, upright)
        return PrinterScale(printer, self.short_side * short, self.long_side * long)


TRUE_PRINTER: Final = PrinterScale()


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet of the plan.

    Attributes:
        name: row letter and column number, "B3": second row from the top, third column from the left
        column: counted from 0 at the left
        row: counted from 0 at the top
        window: what of the drawing it shows, overlaps included [mm of the drawing]
        cell: its own share, up to the middle of the overlaps [mm of the drawing]
    """

    name: str
    column: int
    row: int
    window: Box
    cell: Box


@dataclass(frozen=True, slots=True)
class TilePlan:
    """Which sheets a drawing prints on.

    Attributes:
        paper: paper as it lies
        columns: columns of the grid
        rows: rows of the grid
        tiles: tiles that have something on them, row by row
        window_mm: width and height of what one tile shows [mm]
        margin_mm: unprinted edge [mm]
        overlap_mm: what neighbours share [mm]
        scale: correction of the printer
    """

    paper: Paper
    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    window_mm: tuple[float, float]
    margin_mm: float
    overlap_mm: float
    scale: PrinterScale

    @property
    def landscape(self) -> bool:
        """True where the long side lies across."""
        return self.paper.width_mm > self.paper.height_mm

    @property
    def sheets(self) -> int:
        """Sheets of paper that will come out: the tiles and one overview."""
        return len(self.tiles) + 1

    @property
    def scale_xy(self) -> tuple[float, float]:
        """Correction across and up the paper as it lies."""
        short, long = self.scale.short_side, self.scale.long_side
        return (long, short) if self.landscape else (short, long)

    def neighbour(self, tile: Tile, right: int, down: int) -> Tile | None:
        """Return the tile so many columns to the right and rows further down, None where there is none."""
        wanted = (tile.column + right, tile.row + down)
        return next((one for one in self.tiles if (one.column, one.row) == wanted), None)


def row_letters(row: int) -> str:
    """Return the letters of a row: 0 is A, 25 is Z, 26 is AA."""
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


@dataclass(frozen=True, slots=True)
class _Grid:
    """Equal windows laid over the drawing from its upper left."""

    left: float
    top: float
    wide: float
    high: float
    columns: int
    rows: int
    overlap: float

    def column_at(self, x: float) -> int:
        place = math.floor((x - self.left - self.overlap / 2) / (self.wide - self.overlap))
        return min(max(place, 0), self.columns - 1)

    def row_at(self, y: float) -> int:
        place = math.floor((self.top - self.overlap / 2 - y) / (self.high - self.overlap))
        return min(max(place, 0), self.rows - 1)

    def tile(self, column: int, row: int) -> Tile:
        left = self.left + column * (self.wide - self.overlap)
        top = self.top - row * (self.high - self.overlap)
        window = Box(left, top - self.high, left + self.wide, top)
        half = self.overlap / 2
        cell = Box(
            window.left + (half if column else 0.0),
            window.bottom + (half if row < self.rows - 1 else 0.0),
            window.right - (half if column < self.columns - 1 else 0.0),
            window.top - (half if row else 0.0),
        )
        return Tile(f"{row_letters(row)}{column + 1}", column, row, window, cell)

    def reached(self, around: Box) -> Iterator[tuple[int, int]]:
        """Yield the cells an upright rectangle touches, (row, column)."""
        for row in range(self.row_at(around.top), self.row_at(around.bottom) + 1):
            for column in range(self.column_at(around.left), self.column_at(around.right) + 1):
                yield row, column

    def used(self, marks: Iterable[tuple[Mark, Box]], most: float = math.inf) -> tuple[Tile, ...] | None:
        """Return the tiles with something in their own cell; None as soon as there are `most` of them."""
        full: set[tuple[int, int]] = set()
        for mark, around in marks:
            if len(full) >= most:
                return None
            cells = [place for place in self.reached(around) if place not in full]
            if len(cells) == 1 or isinstance(mark, Text):
                full.update(cells)
            else:
                reach = reach_mm(mark)
                found = ((c, self.tile(c[1], c[0]).cell.grown(reach)) for c in cells)
                full.update(c for c, cell in found if clipped((mark,), cell))
        return tuple(self.tile(column, row) for row, column in sorted(full))


def _window(paper: Paper, margin_mm: float, scale: tuple[float, float]) -> tuple[float, float]:
    """Return how much of a drawing one sheet shows; a print made larger by a correction shows less."""
    wide = (paper.width_mm - 2 * margin_mm) / max(scale[0], 1.0) - SIDE_BAND_MM
    high = (paper.height_mm - 2 * margin_mm) / max(scale[1], 1.0) - FOOT_BAND_MM
    return wide, high


def _grids(around: Box, window: tuple[float, float], overlap: float) -> Iterator[_Grid]:
    wide, high = window
    columns = max(1, math.ceil((around.width_mm - overlap) / (wide - overlap) - 1e-9))
    rows = max(1, math.ceil((around.height_mm - overlap) / (high - overlap) - 1e-9))
    spare_x = columns * (wide - overlap) + overlap - around.width_mm
    spare_y = rows * (high - overlap) + overlap - around.height_mm
    for up in SHIFTS:
        for along in SHIFTS:
            left, top = around.left - along * spare_x, around.top + up * spare_y
            yield _Grid(left, top, wide, high, columns, rows, overlap)


def tile_plan(
    drawing: Drawing,
    paper: Paper = A4,
    margin_mm: float = MARGIN_MM,
    overlap_mm: float = OVERLAP_MM,
    scale: PrinterScale = TRUE_PRINTER,
) -> TilePlan:
    """Return on which sheets a drawing prints, before anything is printed.

    Args:
        drawing: composed drawing; only what has marks counts
        paper: paper in the tray
        margin_mm: edge the printer can't reach, 3 to 25 [mm]
        overlap_mm: what neighbours share, 5 to 30 [mm]
        scale: correction of the printer

    Returns:
        The plan with the fewest sheets: upright or landscape, the spare room left, right or on both sides.

    Raises:
        OutOfRange: margin or overlap is out of its range.
    """
    if not 3.0 <= margin_mm <= 25.0:
        raise OutOfRange("margin [mm]", margin_mm, "3 to 25 mm", "take the printer's own unprintable edge")
    if not 5.0 <= overlap_mm <= 30.0:
        raise OutOfRange("overlap [mm]", overlap_mm, "5 to 30 mm", "10 mm glues well")
    marks = [(mark, bounds(mark).grown(reach_mm(mark))) for mark in flat(drawing.marks)]
    around = extent(drawing.marks) if marks else drawing.box
    best: TilePlan | None = None
    for lying in sorted((paper, paper.turned()), key=lambda one: -one.width_mm):
        landscape = lying.width_mm > lying.height_mm
        factors = (scale.short_side, scale.long_side)
        window = _window(lying, margin_mm, factors[::-1] if landscape else factors)
        for grid in _grids(around, window, overlap_mm):
            if best is not None and len(best.tiles) == 1:
                return best
            tiles = grid.used(marks, len(best.tiles) if best else math.inf)
            if tiles == ():
                tiles = (grid.tile(0, 0),)
            if tiles is not None and (best is None or len(tiles) < len(best.tiles)):
                best = TilePlan(lying, grid.columns, grid.rows, tiles, window, margin_mm, overlap_mm, scale)
    assert best is not None
    return best
