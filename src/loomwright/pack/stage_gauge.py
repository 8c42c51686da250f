"""A gauge for bends and rope thickness, printed at 1:1: arcs of 10 to 100 mm, circles, two 100 mm bars."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.rope import STOCK_ROPES_MM
from loomwright.model.shop import Shop
from loomwright.pack.marks import BOLD_PEN, FULL, THIN, Arc, Circle, Drawing, Line, Mark, Text

SIZE_MM: Final = (186.0, 258.0)  # fits A4 and Letter with an office printer's margins
CENTRE: Final = (20.0, 118.0)  # of all arcs
RADII_MM: Final = tuple(range(10, 101, 10))
BETWEEN_MM: Final = tuple(range(15, 100, 10))
BAR_MM: Final = 100.0
LEVEL_BAR_Y: Final = 104.0
UPRIGHT_BAR_X: Final = 6.0
COLUMN_X: Final = 128.0
STEPS: Final = (
    "Measure both bars first: 100 mm,",
    "else print again at 100 %.",
    "",
    "Bend: cut along an arc, or hold the",
    "page behind the rope. The inner side",
    "of the bend lies on one arc: read it.",
    "",
    "Centre-line radius = arc read",
    "+ half the rope's thickness.",
    "That is radius_mm of a bend in",
    "the job.",
    "",
    "Thickness: lay the rope on the",
    "circles below; it just covers one.",
)


def gauge_drawing(shop: Shop) -> Drawing:
    """Return the gauge; full size, 186 by 258 mm.

    Args:
        shop: its least bend in bundle diameters is printed beside the circles
    """
    marks = (*_head(), *_arcs(), *_bars(), *_circles(shop))
    return Drawing("bend and rope gauge", *SIZE_MM, marks)


def _head() -> Iterator[Mark]:
    yield Text((0.0, SIZE_MM[1] - 6.0), "Bend and rope gauge", 5.0, bold=True)
    told = "Print at 100 %, do not scale or fit. Radii and diameters in mm; exact by geometry."
    yield Text((0.0, SIZE_MM[1] - 13.0), told, 2.3)
    for n, line in enumerate(STEPS):
        if line:
            yield Text((COLUMN_X, 214.0 - 5.0 * n), line, 2.3, bold=n == 0)


def _arcs() -> Iterator[Mark]:
    x, y = CENTRE
    yield Line((x - 4.0, y), (x + 104.0, y), THIN)
    yield Line((x, y - 4.0), (x, y + 104.0), THIN)
    for radius in RADII_MM:
        yield Arc(CENTRE, float(radius), 0.0, 90.0, FULL, layer="arcs")
        yield Text((x + radius, y - 5.0), str(radius), 2.6, "middle", bold=True)
        yield Text((x - 1.5, y + radius), str(radius), 2.6, "right", "middle", bold=True)
    for radius in BETWEEN_MM:
        yield Arc(CENTRE, float(radius), 0.0, 90.0, THIN, layer="arcs")


def _bars() -> Iterator[Mark]:
    x, y = CENTRE
    yield Line((x, LEVEL_BAR_Y), (x + BAR_MM, LEVEL_BAR_Y), FULL, layer="bars")
    yield Line((UPRIGHT_BAR_X, y), (UPRIGHT_BAR_X, y + BAR_MM), FULL, layer="bars")
    for at in (x, x + BAR_MM):
        yield Line((at, LEVEL_BAR_Y - 2.0), (at, LEVEL_BAR_Y + 2.0), FULL, layer="bars")
    for at in (y, y + BAR_MM):
        yield Line((UPRIGHT_BAR_X - 2.0, at), (UPRIGHT_BAR_X + 2.0, at), FULL, layer="bars")
    yield Text((x + BAR_MM / 2, LEVEL_BAR_Y - 4.0), "100 mm: measure it", 2.3, "middle", "top")
    yield Text((UPRIGHT_BAR_X - 2.0, y + BAR_MM / 2), "100 mm: measure it", 2.3, "middle", angle_deg=90.0)


def _circles(shop: Shop) -> Iterator[Mark]:
    """Yield a circle for every rope thickness with the least bend of a bundle as thick."""
    times = shop.bend_bundle_x
    head = f"Least centre-line radius of a bundle: {times.value:g} x its diameter {times.source}"
    yield Text((0.0, 84.0), "Rope thickness", 3.2, bold=True)
    yield Text((0.0, 78.0), head, 2.3)
    x, y = 8.0, 60.0
    for size in STOCK_ROPES_MM:
        wide = max(size, 17.0) + 9.0
        if x + wide > SIZE_MM[0]:
            x, y = 8.0, y - 40.0
        centre = (x + wide / 2 - 4.0, y)
        yield Circle(centre, size / 2, FULL, layer="circles")
        yield Text((centre[0], y - 17.0), f"{size:g}", 3.0, "middle", bold=True)
        yield Text((centre[0], y - 21.5), f"bend {times.value * size:g}", 2.3, "middle")
        x += wide
    yield Line((0.0, 88.0), (SIZE_MM[0], 88.0), BOLD_PEN)
