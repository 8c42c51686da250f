"""The two faces of a plug as drawings: wire side and mating side, each with caption, latch and key inside.

The symbols are our own: a cavity is a square, in a round plug or under a ring a circle; the latch is a
plate outside the housing, the key a black wedge on its edge; a crossed cavity stays empty.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.library.faces import WIRE_SIDE, Face, FaceCavity, mating_side
from loomwright.model.device import Connector
from loomwright.pack.draw_place import folded
from loomwright.pack.lettering import shortened, width_mm
from loomwright.pack.marks import (
    BLACK,
    BOLD_PEN,
    FULL,
    GREY,
    THIN,
    WHITE,
    Box,
    Circle,
    Drawing,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Text,
)
from loomwright.pack.pages import UNCHECKED
from loomwright.routing.routed import Routed

WIDEST_MM: Final = 174.0  # of the drawing: an A4 sheet's own width, less its margins
TALLEST_MM: Final = 150.0  # ours, so that a face and its table share a page
BARE_MM: Final = 3.0
CELL_SHARE: Final = 0.46  # half of what a cavity takes up, less a gap
LINE_PITCH: Final = 1.45
LEAST_SHARE: Final = 0.7  # words shrink to this where a cavity is full of them; ours
PLAIN_CELL_MM: Final = 8.0  # wanted width of a cavity that shows only its number; ours
USED: Final = "#d9d9d9"
HOUSING: Final = Pen(width_mm=0.6)


@dataclass(frozen=True, slots=True)
class _Form:
    """Measures of a drawing; ours [mm].

    Attributes:
        narrowest: takes the caption's words
        edge: room for latch or key and its word
        lettered: widths of a cavity that takes its wires' words, the first that does is taken
        number, small: height of a cavity's number and of its words
        is_card: for a card: caption and foot without what the card says
    """

    narrowest: float
    edge: float
    caption: float
    foot: float
    lettered: tuple[float, ...]
    number: float
    small: float
    is_card: bool = False


PAGE_FORM: Final = _Form(62.0, 11.0, 20.0, 9.5, (13.0, 15.0, 18.0, 22.0, 27.0), 4.0, 2.2)
CARD_FORM: Final = _Form(25.0, 4.5, 5.5, 0.6, (8.4,), 2.8, 1.7, True)
CARD_EDGE_MM: Final = 1.4  # of the housing round the outermost cavities on a card, before scaling
CARD_KEY_MM: Final = 3.0  # more room for the word at a key
CARD_LINE_MM: Final = 3.4  # a further line of words
CARD_BARE_MM: Final = 0.8
CARD_WIDE_MM: Final = 76.0  # of a face on a card, at most


@dataclass(frozen=True, slots=True)
class _View:
    """One side of a face, ready to draw.

    Attributes:
        form: measures
        scale: drawn over true size
        middle: where the middle of the face is [mm of the drawing]
        words: text of the filled cavities
        lettered: cavities are wide enough for their text
    """

    form: _Form
    face: Face
    title: str
    scale: float
    middle: Point
    words: Mapping[str, str]
    lettered: bool
    unchecked: bool

    def at(self, x_mm: float, y_mm: float) -> Point:
        return self.middle[0] + x_mm * self.scale, self.middle[1] + y_mm * self.scale

    @property
    def housing(self) -> Box:
        wide, high = (side * self.scale / 2 for side in _outline(self.form, self.face))
        x, y = self.middle
        return Box(x - wide, y - high, x + wide, y + high)


def _outline(form: _Form, face: Face) -> tuple[float, float]:
    """Return width and height of the housing as drawn; on a card it lies close round the cavities [mm]."""
    whole = face.outline.width_mm, face.outline.height_mm
    if not form.is_card or face.outline.shape == "round":
        return whole
    reach = [
        2
        * max(abs(at) + one.cell_mm / 2 + CARD_EDGE_MM for at, one in zip(places, face.cavities, strict=True))
        for places in ([c.x_mm for c in face.cavities], [c.y_mm for c in face.cavities])
    ]
    return min(whole[0], reach[0]), min(whole[1], reach[1])


def wire_words(routed: Routed, connector: Connector) -> dict[str, str]:
    """Return number and colour letters of the wires in every filled cavity, "W12 RD", one wire a line.

    Args:
        routed: for the wires
        connector: the plug
    """
    found: dict[str, str] = {}
    for pin in connector.pins:
        wires = sorted(routed.at_pin.get(pin.id, ()), key=lambda one: one.number)
        found[pin.cavity] = "\n".join(f"{wire.label} {wire.colour}".strip() for wire in wires)
    return found


def face_drawings(
    face: Face | None, connector: Connector, words: Mapping[str, str], for_card: bool = False
) -> tuple[Drawing, Drawing] | None:
    """Return a plug's face from the wire side and from the mating side; None where no face is known.

    Args:
        face: from the plug's own wire side, as `face_of_half` gives it
        connector: the plug
        words: text of every cavity in use, "W12 RD", lines kept; a cavity without an entry is drawn as empty
        for_card: small and close round the cavities, for a card that says beside it what plug it is

    Returns:
        Wire side and mating side. Where cavities are too close for words, only their numbers are drawn and
        the used ones are grey.
    """
    if face is None:
        return None
    form = CARD_FORM if for_card else PAGE_FORM
    scale, lettered = _scale(form, face, words)
    unchecked = not (connector.face_checked or face.checked)
    edges = {face.latch, face.key}
    edge = form.edge + (CARD_KEY_MM if form.is_card and face.key else 0.0)
    bare = CARD_BARE_MM if form.is_card else BARE_MM
    aside, above, below = (
        edge if edges & some else bare for some in ({"left", "right"}, {"top"}, {"bottom"})
    )
    outline = _outline(form, face)
    wide = max(outline[0] * scale + 2 * aside, form.narrowest)
    foot, caption = form.foot + below, form.caption
    if form.is_card:
        foot += CARD_LINE_MM * (not lettered or (not any(edges) and len(face.cavities) > 1))
        caption += CARD_LINE_MM * unchecked
    high = outline[1] * scale + foot + above + caption
    middle = (wide / 2, foot + outline[1] * scale / 2)
    views = [
        _View(form, side, connector.end, scale, middle, words, lettered, unchecked)
        for side in (face, mating_side(face))
    ]
    one, other = (
        Drawing(f"{view.title} {view.face.view}", wide, high, tuple(_marks(view, wide, high)))
        for view in views
    )
    return one, other


def _scale(form: _Form, face: Face, words: Mapping[str, str]) -> tuple[float, bool]:
    """Return how much larger a face is drawn, and whether its cavities take words."""
    least = min(one.cell_mm for one in face.cavities)
    outline = _outline(form, face)
    widest = CARD_WIDE_MM if form.is_card else WIDEST_MM
    most = min((widest - 2 * form.edge) / outline[0], TALLEST_MM / outline[1])
    if least * most < form.lettered[0]:
        return min(most, PLAIN_CELL_MM / least), False
    wanted = form.lettered[0]
    for size in form.lettered:
        if size / least <= most:
            wanted = size
            if all(_fits(form, face, one, words.get(one.id, ""), size / least) for one in face.cavities):
                break
    return wanted / least, True


def _is_round(face: Face, cavity: FaceCavity) -> bool:
    return face.outline.shape == "round" or cavity.size_class.startswith("ring")


def _room(face: Face, cavity: FaceCavity, scale: float) -> tuple[float, float]:
    """Return width and height there is for words in a cavity [mm]."""
    size = cavity.cell_mm * scale * 2 * CELL_SHARE
    if _is_round(face, cavity):
        return size * 0.75, size * 0.66  # a rectangle inside the circle
    return size - 1.0, size - 1.0


def _lines(form: _Form, text: str, room: float) -> list[str]:
    return [line for part in text.split("\n") for line in folded(part, room, form.small)]


def _fits(form: _Form, face: Face, cavity: FaceCavity, text: str, scale: float) -> bool:
    wide, high = _room(face, cavity, scale)
    lines = _lines(form, text, wide)
    fits = all(width_mm(line, form.small) <= wide for line in lines)
    return fits and form.number + len(lines) * form.small * LINE_PITCH <= high


def _marks(view: _View, wide: float, high: float) -> Iterator[Mark]:
    face = view.face
    yield from (_card_words if view.form.is_card else _page_words)(view, wide, high)
    yield from _housing(view)
    for where, what in ((face.latch, "latch"), (face.key, "key")):
        if where:
            yield from _edge_piece(view, where, what, both=face.latch == face.key)
    for cavity in face.cavities:
        yield from _cavity(view, cavity)


def _page_words(view: _View, wide: float, high: float) -> Iterator[Mark]:
    face, middle = view.face, wide / 2
    yield Text((middle, high - 7.0), face.view.upper(), 5.0, "middle", bold=True)
    name = f"{view.title} · {UNCHECKED}" if view.unchecked else view.title
    yield Text((middle, high - 13.0), shortened(name, wide - 2.0, 3.5, True), 3.5, "middle", bold=True)
    if view.unchecked:
        yield Text((middle, high - 17.5), "hold it against the numbers in the plug", 2.5, "middle")
    seen = "where the wires go in" if face.view == WIRE_SIDE else "where the plug mates"
    yield Text((middle, 1.6), f"seen from {seen}", 2.5, "middle")
    if not view.lettered:
        yield Text((middle, 6.0), "grey: wired, see the table; crossed: empty", 2.5, "middle")
    elif not (face.latch or face.key) and len(face.cavities) > 1:
        yield Text((middle, 6.0), "no latch or key given: go by the numbers", 2.5, "middle")


def _card_words(view: _View, wide: float, high: float) -> Iterator[Mark]:
    face, middle = view.face, wide / 2
    yield Text((middle, high - 3.6), face.view.upper(), 3.0, "middle", bold=True)
    if view.unchecked:
        yield Text((middle, high - 7.4), UNCHECKED, 2.4, "middle", bold=True)
    words = ["go by the numbers"] if not (face.latch or face.key) and len(face.cavities) > 1 else []
    words += [] if view.lettered else ["grey: wired"]
    yield Text((middle, 1.0), ", ".join(words), 2.0, "middle")


def _housing(view: _View) -> Iterator[Mark]:
    box = view.housing
    if view.face.outline.shape == "round":
        yield Circle(view.middle, box.width_mm / 2, HOUSING, layer="housing")
        return
    c = 2.0
    points = (
        (box.left + c, box.bottom),
        (box.right - c, box.bottom),
        (box.right, box.bottom + c),
        (box.right, box.top - c),
        (box.right - c, box.top),
        (box.left + c, box.top),
        (box.left, box.top - c),
        (box.left, box.bottom + c),
    )
    yield Polygon(points, HOUSING, layer="housing")


def _edge_piece(view: _View, where: str, name: str, both: bool) -> Iterator[Mark]:
    """Yield latch or key on an edge with its name; both on one edge stand side by side."""
    box = view.housing
    aside = 0.0
    if both:
        aside = (
            0.25
            * (box.width_mm if where in ("top", "bottom") else box.height_mm)
            * (1 if name == "key" else -1)
        )
    x, y = view.middle
    edge: Point
    u: Point
    match where:
        case "top":
            edge, u = (x + aside, box.top), (0.0, 1.0)
        case "bottom":
            edge, u = (x + aside, box.bottom), (0.0, -1.0)
        case "left":
            edge, u = (box.left, y + aside), (-1.0, 0.0)
        case _:
            edge, u = (box.right, y + aside), (1.0, 0.0)

    def local(out: float, along: float) -> Point:
        return edge[0] + out * u[0] - along * u[1], edge[1] + out * u[1] + along * u[0]

    if name == "latch":
        out, half = (3.6, 5.5) if view.form.is_card else (4.0, 8.0)
        plate = (local(0, -half), local(out, 2 - half), local(out, half - 2), local(0, half))
        yield Polygon(plate, BOLD_PEN, WHITE, layer="latch")
    else:
        yield Polygon((local(0, -2.5), local(4, 0), local(0, 2.5)), FULL, BLACK, layer="key")
    turned = 90.0 if where in ("left", "right") else 0.0
    inside = view.form.is_card and name == "latch"
    place, tall = (local(1.8, 0.0), 2.0) if inside else (local(7.2, 0.0), 3.0)
    if view.form.is_card and not inside:
        place, tall = local(5.6, 0.0), 2.0
    yield Text(place, name, tall, "middle", "middle", turned, True, layer="latch")


def _cavity(view: _View, cavity: FaceCavity) -> Iterator[Mark]:
    centre = view.at(cavity.x_mm, cavity.y_mm)
    half = cavity.cell_mm * view.scale * CELL_SHARE
    used = cavity.id in view.words
    fill, pen = (USED if used and not view.lettered else ""), (FULL if used else THIN)
    if _is_round(view.face, cavity):
        yield Circle(centre, half, pen, fill, layer="cavity")
    else:
        yield Polygon(_rectangle(centre, half, half), pen, fill, layer="cavity")
    if used:
        yield from _used(view, cavity, centre)
    else:
        yield from _empty(view, cavity, centre, half)


def _rectangle(centre: Point, half_x: float, half_y: float) -> tuple[Point, ...]:
    (x, y), a, b = centre, half_x, half_y
    return (x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)


def _number_mm(view: _View, cavity: FaceCavity) -> float:
    """Return the height of a cavity's number [mm]."""
    wide, high = _room(view.face, cavity, view.scale)
    return min(view.form.number, high * 0.72, wide / width_mm(cavity.id, 1.0, True))


def _empty(view: _View, cavity: FaceCavity, centre: Point, half: float) -> Iterator[Mark]:
    (x, y), r = centre, half * (0.7 if _is_round(view.face, cavity) else 0.95)
    yield Line((x - r, y - r), (x + r, y + r), THIN, layer="empty")
    yield Line((x - r, y + r), (x + r, y - r), THIN, layer="empty")
    tall = min(view.form.number, half * 0.85, half * 1.1 / width_mm(cavity.id, 1.0))
    patch = _rectangle(centre, width_mm(cavity.id, tall) / 2 + 0.3, tall * 0.65)
    yield Polygon(patch, None, WHITE, layer="empty")
    yield Text(centre, cavity.id, tall, "middle", "middle", ink=GREY)


def _used(view: _View, cavity: FaceCavity, centre: Point) -> Iterator[Mark]:
    tall = _number_mm(view, cavity)
    if not view.lettered:
        yield Text(centre, cavity.id, tall, "middle", "middle", bold=True)
        return
    wide, high = _room(view.face, cavity, view.scale)
    small_mm = view.form.small
    lines = _lines(view.form, view.words[cavity.id], wide)
    shrunk = max(LEAST_SHARE, min(1.0, high / (tall + len(lines) * small_mm * LINE_PITCH)))
    tall, letters = tall * shrunk, small_mm * shrunk
    pitch = letters * LINE_PITCH
    lines = lines[: max(1, int((high - tall) / pitch + 1e-9))]
    x, level = centre[0], centre[1] + (tall + len(lines) * pitch) / 2
    yield Text((x, level), cavity.id, tall, "middle", "top", bold=True)
    for n, line in enumerate(lines):
        small = min(letters, wide / width_mm(line, 1.0))
        yield Text((x, level - tall - (n + 1) * pitch + letters), line, small, "middle", "top")
