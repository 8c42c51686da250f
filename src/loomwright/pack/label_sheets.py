"""Labels for shops without a label printer: sheets of paper with cut lines, in the order of the bench."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.building.built import Label
from loomwright.pack.draw_place import folded
from loomwright.pack.label_codes import code_mark, code_name, code_text
from loomwright.pack.lettering import shortened, width_mm
from loomwright.pack.marks import DASHED, GREY, Drawing, Line, Mark, Pen, Text
from loomwright.pack.pages import NOT_FOR_BUILD
from loomwright.pack.reels import reels
from loomwright.pack.view import View, by_loom

CODE_MM: Final = 11.0  # a code of 21 modules and its white edge: 0.38 mm a module; ours
LETTER_MM: Final = 2.5  # least height that can be read, common practice
PITCH_MM: Final = 3.6
EDGE_MM: Final = 1.5
SIDE_MM: Final = 12.0  # white edge of the paper that no printer reaches; ours
HEAD_MM: Final = 16.0
FOOT_MM: Final = 12.0
HEIGHT_MM: Final = (("wire", 12.0), ("splice", 12.0), ("branch point", 12.0), ("plug", 16.0), ("loom", 20.0))
TITLES: Final = (
    ("wire", "wires, in the order of the cut list"),
    ("splice", "splices"),
    ("branch point", "branch points"),
    ("plug", "plugs"),
    ("loom", "plates of the looms"),
)
CUT: Final = Pen(width_mm=0.12, ink=GREY)
HOW: Final = (
    "Print at 100 %. Cut along the full lines; the words go under a clear sleeve, the code stays as a flag "
    "or is cut off at the dashed line."
)


@dataclass(frozen=True, slots=True)
class _Place:
    label: Label
    name: str
    left: float
    top: float
    width: float
    height: float


def label_sheets(view: View, width_mm: float, height_mm: float) -> tuple[Drawing, ...]:
    """Return the label sheets at full size.

    Args:
        view: the worked job
        width_mm: width of the paper [mm]
        height_mm: height of the paper [mm]
    """
    stamp = NOT_FOR_BUILD if view.stamps("labels") else ""
    pages: list[Drawing] = []
    for kind, title in TITLES:
        labels = [(x, code_name(x)) for x in _ordered(view) if x.kind == kind]
        rows = list(_rows(labels, width_mm - 2 * SIDE_MM))
        high = dict(HEIGHT_MM)[kind]
        each = int((height_mm - 2 * SIDE_MM - HEAD_MM - FOOT_MM) // high)
        for start in range(0, len(rows), each):
            part = rows[start : start + each]
            places = [
                _Place(x, name, SIDE_MM + left, height_mm - SIDE_MM - HEAD_MM - n * high, wide, high)
                for n, row in enumerate(part)
                for x, name, left, wide in row
            ]
            words = f"Labels: {title}, sheet {start // each + 1} of {-(-len(rows) // each)}"
            marks = (*_head(view, words, stamp, width_mm, height_mm), *_cells(view, places))
            pages.append(Drawing(words, width_mm, height_mm, marks))
    return tuple(pages)


def _ordered(view: View) -> tuple[Label, ...]:
    """Labels as the bench needs them: wires as they come off the reels, both ends together."""
    cut = [w.identity for _, own in by_loom(view) for reel in reels(view, own) for w in reel.wires]
    order = {identity: n for n, identity in enumerate(cut)}
    return tuple(sorted(view.built.labels, key=lambda x: order.get(x.of, len(order))))


def _rows(labels: list[tuple[Label, str]], room_mm: float) -> Iterator[list[tuple[Label, str, float, float]]]:
    """Labels side by side until the paper is full, all as wide as the widest, to be cut in straight lines."""
    wide = max((label.width_mm for label, _ in labels), default=0.0) + CODE_MM
    abreast = max(1, int(room_mm // wide))
    for start in range(0, len(labels), abreast):
        row = labels[start : start + abreast]
        yield [(label, name, n * wide, wide) for n, (label, name) in enumerate(row)]


def _head(view: View, words: str, stamp: str, wide: float, high: float) -> Iterator[Mark]:
    top = high - SIDE_MM
    room = wide - 2 * SIDE_MM
    yield Text((SIDE_MM, top - 4.0), words, 4.0, bold=True)
    demo = "invented data, " if view.job.demo else ""
    tail = f"{demo}{view.job.title}, {view.digest}"
    yield Text((SIDE_MM, top - 9.0), shortened(tail, room, 2.2), 2.2)
    yield Text((SIDE_MM, top - 12.5), shortened(HOW, room, 2.0), 2.0)
    if stamp:
        yield Text((wide - SIDE_MM, top - 4.0), stamp, 4.0, "right", bold=True)
    low = SIDE_MM
    yield Line((SIDE_MM, low + 2.0), (SIDE_MM + 100.0, low + 2.0))
    yield Line((SIDE_MM, low), (SIDE_MM, low + 4.0))
    yield Line((SIDE_MM + 100.0, low), (SIDE_MM + 100.0, low + 4.0))
    yield Text((SIDE_MM + 102.0, low + 1.0), "100 mm: measure before cutting", 2.0)


def _cells(view: View, places: list[_Place]) -> Iterator[Mark]:
    for place in places:
        yield from _outline(place)
        yield from _words(place)
        low = place.top - place.height
        at = (place.left + place.width - CODE_MM, low + (place.height - CODE_MM) / 2)
        yield code_mark(code_text(view.job, place.name), at, CODE_MM)
        seam = place.left + place.width - CODE_MM
        yield Line((seam, low), (seam, place.top), Pen(0.12, DASHED.dash_mm, ink=GREY))


def _outline(place: _Place) -> Iterator[Mark]:
    right, low = place.left + place.width, place.top - place.height
    yield Line((place.left, place.top), (right, place.top), CUT)
    yield Line((place.left, low), (right, low), CUT)
    yield Line((place.left, low), (place.left, place.top), CUT)
    yield Line((right, low), (right, place.top), CUT)


def _words(place: _Place) -> Iterator[Mark]:
    """The text in lines; what a label cannot hold in readable letters ends in an ellipsis."""
    room = place.width - CODE_MM - 2 * EDGE_MM
    most = int((place.height - EDGE_MM) // PITCH_MM)
    lines = folded(place.label.text, room, LETTER_MM)
    if len(lines) > most:
        lines = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    big = len(lines) == 1 and width_mm(lines[0], 2 * LETTER_MM, True) <= room
    high = 2 * LETTER_MM if big else LETTER_MM
    middle = place.top - place.height / 2
    for n, line in enumerate(lines):
        y = middle + ((len(lines) - 1) / 2 - n) * PITCH_MM
        words = shortened(line, room, high, big)
        yield Text((place.left + EDGE_MM, y), words, high, level="middle", bold=big)
