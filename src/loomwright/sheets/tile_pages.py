"""The printed sheets of a tiled drawing: windows, cut and glue lines, bars, names, and an overview."""

from collections.abc import Iterator
from typing import Final

from loomwright.pack.lettering import shortened
from loomwright.pack.marks import (
    BLACK,
    DASHED,
    FULL,
    GREY,
    PALE,
    THIN,
    WHITE,
    Box,
    Drawing,
    Group,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Text,
    bounds,
    placed,
    reach_mm,
)
from loomwright.sheets.clip import clipped
from loomwright.sheets.pdf_drawing import PdfPage, pages_pdf
from loomwright.sheets.tiles import (
    BAR_MM,
    FOOT_BAND_MM,
    SIDE_BAND_MM,
    TRUE_PRINTER,
    Tile,
    TilePlan,
    row_letters,
)

CROSS_MM: Final = 3.0  # half a cross
WORDS_AT: Final = 0.375  # share of a seam; off its middle, where a trunk likes to run
SMALL_MM: Final = 1.9
NOTE_PEN: Final = Pen(width_mm=0.18, ink=GREY)
GRID_PEN: Final = Pen(width_mm=0.5, ink=GREY)
LAYER: Final = "sheet"


def _rectangle(box: Box, pen: Pen | None, fill: str = "") -> Polygon:
    corners = ((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top))
    return Polygon(corners, pen, fill, layer=LAYER)


def bar(start: Point, upright: bool, words: str) -> tuple[Mark, ...]:
    """Return a 100 mm bar with end strokes and its words, level or upright."""
    x, y = start
    if upright:
        end = (x, y + BAR_MM)
        ticks = [Line((x - 1.5, at), (x + 1.5, at), FULL, LAYER) for at in (y, end[1])]
        label = Text((x - 0.9, y + BAR_MM / 2), words, SMALL_MM, "middle", angle_deg=90.0, layer=LAYER)
    else:
        end = (x + BAR_MM, y)
        ticks = [Line((at, y - 1.5), (at, y + 1.5), FULL, LAYER) for at in (x, end[0])]
        label = Text((x + BAR_MM / 2, y + 0.9), words, SMALL_MM, "middle", layer=LAYER)
    return (Line(start, end, FULL, LAYER), *ticks, label)


def _cross(at: Point) -> tuple[Line, Line]:
    x, y = at
    return (
        Line((x - CROSS_MM, y), (x + CROSS_MM, y), THIN, LAYER),
        Line((x, y - CROSS_MM), (x, y + CROSS_MM), THIN, LAYER),
    )


def _seams(plan: TilePlan, tile: Tile, window: Box) -> Iterator[Mark]:
    """Yield cut lines, glue lines and crosses towards the neighbours, in page millimetres."""
    lap = plan.overlap_mm
    ys = [window.bottom + share * window.height_mm for share in (0.25, 0.75)]
    xs = [window.left + share * window.width_mm for share in (0.25, 0.75)]
    words_y = window.bottom + WORDS_AT * window.height_mm
    words_x = window.left + WORDS_AT * window.width_mm
    sides = (
        (plan.neighbour(tile, 1, 0), window.right, True, True),
        (plan.neighbour(tile, -1, 0), window.left, True, False),
        (plan.neighbour(tile, 0, -1), window.top, False, True),
        (plan.neighbour(tile, 0, 1), window.bottom, False, False),
    )
    for other, edge, upright, cuts in sides:
        if other is None:
            continue
        at = edge if cuts else edge + lap
        pen = THIN if cuts else DASHED
        words = f"cut here, lay over {other.name}" if cuts else f"edge of {other.name} lies on this line"
        if upright:
            yield Line((at, window.bottom), (at, window.top), pen, LAYER)
            place = (at - 0.8, words_y)
            yield Text(place, words, SMALL_MM, "middle", angle_deg=90.0, ink=GREY, layer=LAYER)
            spots = [(edge - lap / 2 if cuts else edge + lap / 2, y) for y in ys]
        else:
            yield Line((window.left, at), (window.right, at), pen, LAYER)
            yield Text((words_x, at - 0.9), words, SMALL_MM, "middle", "top", ink=GREY, layer=LAYER)
            spots = [(x, edge - lap / 2 if cuts else edge + lap / 2) for x in xs]
        for spot in spots:
            yield from _cross(spot)


def _key(plan: TilePlan, here: Tile | None, box: Box) -> Iterator[Mark]:
    """Yield a small map of the tiles, this one filled."""
    side_x, side_y = plan.window_mm
    size = min(box.width_mm / (plan.columns * side_x), box.height_mm / (plan.rows * side_y))
    wide, high = size * side_x, size * side_y
    left = box.right - plan.columns * wide
    for tile in plan.tiles:
        x, y = left + tile.column * wide, box.top - (tile.row + 1) * high
        fill = BLACK if tile == here else WHITE
        yield _rectangle(Box(x, y, x + wide, y + high).grown(-0.1), NOTE_PEN, fill)


def _foot(plan: TilePlan, tile: Tile, title: str, page: Box) -> Iterator[Mark]:
    """Yield what stands below the window."""
    left, low = page.left + SIDE_BAND_MM, page.bottom
    yield from bar((left, low + 10.5), False, "100 mm: measure both bars before gluing")
    number = plan.tiles.index(tile) + 1
    count = f"tile {number} of {len(plan.tiles)}"
    yield Text((left, low + 5.0), shortened(title, BAR_MM, 2.2), 2.2, layer=LAYER)
    scale = plan.scale
    fixed = "no correction"
    if scale != type(scale)():
        fixed = f"corrected for {scale.printer}: {plan.scale_xy[0]:.4f} across, {plan.scale_xy[1]:.4f} up"
    line = f"{count}, {plan.paper.name}, {fixed}"
    yield Text((left, low + 1.0), shortened(line, BAR_MM, SMALL_MM), SMALL_MM, ink=GREY, layer=LAYER)
    x = left + BAR_MM + 4.0
    yield Text((x, low + 7.2), tile.name, 6.5, bold=True, layer=LAYER)
    yield Text((x + 15.0, low + 11.2), "Print at 100 %,", 2.2, bold=True, layer=LAYER)
    yield Text((x + 15.0, low + 7.4), "do not scale or fit.", 2.2, bold=True, layer=LAYER)
    around = (("left", -1, 0), ("right", 1, 0), ("above", 0, -1), ("below", 0, 1))
    found = ((word, plan.neighbour(tile, right, down)) for word, right, down in around)
    names = "   ".join(f"{word} {other.name}" for word, other in found if other is not None)
    yield Text((x, low + 1.0), names, SMALL_MM, layer=LAYER)
    yield from _key(plan, tile, Box(page.right - 26.0, low + 0.5, page.right, low + FOOT_BAND_MM - 2.0))


def _page_box(plan: TilePlan) -> Box:
    """Return the printable rectangle in printed millimetres, its size as the window asks."""
    x, y = plan.scale_xy
    left, low = plan.margin_mm / x, plan.margin_mm / y
    wide, high = plan.window_mm
    return Box(left, low, left + wide + SIDE_BAND_MM, low + high + FOOT_BAND_MM)


def _page(plan: TilePlan, marks: tuple[Mark, ...]) -> PdfPage:
    return PdfPage(plan.paper.width_mm, plan.paper.height_mm, marks, *plan.scale_xy)


def tile_page(drawing: Drawing, plan: TilePlan, tile: Tile) -> PdfPage:
    """Return one tile as a page."""
    return _tile_page(drawing.title, _boxed(drawing), plan, tile)


def _boxed(drawing: Drawing) -> tuple[tuple[Mark, Box], ...]:
    """Return every mark with the rectangle around it, worked out once for all tiles."""
    return tuple((mark, bounds(mark)) for mark in drawing.marks)


def _tile_page(title: str, boxed: tuple[tuple[Mark, Box], ...], plan: TilePlan, tile: Tile) -> PdfPage:
    page = _page_box(plan)
    window = Box(page.left + SIDE_BAND_MM, page.bottom + FOOT_BAND_MM, page.right, page.top)
    reach = max((reach_mm(mark) for mark, _ in boxed), default=0.0)
    around = tile.window.grown(reach)  # a wide line may reach in from outside
    inner = clipped((mark for mark, box in boxed if around.meets(box)), around)
    seen = Group(f"tile {tile.name}", inner, tile.window)
    shown = placed(seen, window.left - tile.window.left, window.bottom - tile.window.bottom)
    frame = _rectangle(window, Pen(width_mm=0.1, ink=PALE))
    upright = bar((page.left + 3.5, window.bottom + 2.0), True, "100 mm")
    marks = (frame, shown, *_seams(plan, tile, window), *upright, *_foot(plan, tile, title, page))
    return _page(plan, marks)


def check_length(plan: TilePlan) -> tuple[str, float] | None:
    """Return what to measure across the glued sheets, in words and in mm; None where no row has two seams."""
    longest: list[Tile] = []
    for row in range(plan.rows):
        seams = [tile for tile in plan.tiles if tile.row == row and plan.neighbour(tile, 1, 0)]
        if len(seams) > 1 and (not longest or seams[-1].column - seams[0].column > _spread(longest)):
            longest = seams
    if not longest:
        return None
    ends = (longest[0], longest[-1])
    names = (f"{tile.name}/{row_letters(tile.row)}{tile.column + 2}" for tile in ends)
    return " to ".join(names), ends[1].window.left - ends[0].window.left


def _spread(seams: list[Tile]) -> int:
    return seams[-1].column - seams[0].column


def _steps(plan: TilePlan) -> tuple[str, ...]:
    checked = check_length(plan)
    last = "5  Measure once across the glued sheets."
    bars = "If one is off, enter what you read for this printer and print again."
    if plan.scale != TRUE_PRINTER:
        across, up = plan.scale_xy
        told = f"Corrected for {plan.scale.printer}: {across:.4f} across, {up:.4f} up."
        bars = f"{told} If one is off, measure anew."
    if checked is not None:
        last = f"5  Measure once across, from the crosses of seam {checked[0]}: {checked[1]:.1f} mm."
    return (
        f"{len(plan.tiles)} tiles on {plan.paper.name} and this overview: {plan.sheets} sheets.",
        "1  Print at 100 %. Switch off every kind of scaling or fitting to the page.",
        f"2  Measure both 100 mm bars of the first tile. {bars}",
        "3  Cut each tile along the full lines at its right and upper edge.",
        "4  Glue: the cut edge lies on its neighbour's dashed line, cross on cross.",
        last,
    )


def overview_page(drawing: Drawing, plan: TilePlan) -> PdfPage:
    """Return the overview: how to put the tiles together, and where each one lies."""
    page = _page_box(plan)
    y = page.top - 6.0
    title = shortened(drawing.title, page.width_mm, 5.0, True)
    marks: list[Mark] = [Text((page.left, y), title, 5.0, bold=True)]
    for step in _steps(plan):
        y -= 5.0
        marks.append(Text((page.left, y), shortened(step, page.width_mm, 2.3), 2.3))
    room = Box(page.left, page.bottom, page.right, y - 5.0)
    cells = [tile.cell for tile in plan.tiles]
    left, low = min(cell.left for cell in cells), min(cell.bottom for cell in cells)
    wide, high = max(cell.right for cell in cells) - left, max(cell.top for cell in cells) - low
    factor = min(room.width_mm / wide, room.height_mm / high)
    dx, dy = room.left - left * factor, room.top - (low + high) * factor
    marks += [placed(mark, dx, dy, factor) for mark in drawing.marks]
    for tile in plan.tiles:
        cell = tile.cell
        corners = Box(cell.left, cell.bottom, cell.right, cell.top)
        marks.append(placed(_rectangle(corners, Pen(GRID_PEN.width_mm / factor, ink=GREY)), dx, dy, factor))
        size = min(7.0, cell.height_mm * factor / 4)
        at = (cell.left * factor + dx + 1.5, cell.top * factor + dy - 1.5)
        marks.append(Text(at, tile.name, size, "left", "top", bold=True, ink=GREY))
    return _page(plan, tuple(marks))


def tiles_pdf(drawing: Drawing, plan: TilePlan) -> bytes:
    """Return the overview and all tiles of a drawing as one PDF that asks not to be scaled.

    Args:
        drawing: the drawing the plan was made for
        plan: from `tile_plan`
    """
    boxed = _boxed(drawing)
    tiles = (_tile_page(drawing.title, boxed, plan, tile) for tile in plan.tiles)
    pages = (overview_page(drawing, plan), *tiles)
    return pages_pdf(drawing.title, pages)
