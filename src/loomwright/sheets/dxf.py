"""A drawing written as DXF R2010 in millimetres, one layer per layer name, same bytes each time."""

import io
import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, Final

from loomwright.pack.lettering import clean, width_mm
from loomwright.pack.marks import (
    BLACK,
    Arc,
    Circle,
    Drawing,
    Line,
    Mark,
    Pen,
    Polygon,
    Polyline,
    Text,
    flat,
)
from loomwright.sheets.clip import hatch_lines

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

FACE_FILE: Final = "arial.ttf"  # DXF names a font, it can't carry one; any program has this or a twin of it
THIN_WEIGHTS: Final = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50)
WEIGHTS: Final = (*THIN_WEIGHTS, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211)  # DXF group 370
_NOT_IN_NAMES: Final = '<>/\\":;?*|=,`'


def layer_name(name: str) -> str:
    """Return a layer name as DXF allows it: the forbidden signs become underlines."""
    return "".join("_" if letter in _NOT_IN_NAMES else letter for letter in clean(name)).strip() or "drawing"


def _weight(width: float) -> int:
    """Return the nearest line weight DXF knows, in 1/100 mm."""
    return min(WEIGHTS, key=lambda weight: (abs(weight - 100 * width), weight))


class _Writer:
    """Adds marks to one document."""

    def __init__(self, document: "Document") -> None:
        self.document = document
        self.space: Any = document.modelspace()
        self.dashes: dict[tuple[float, ...], str] = {}

    def _dash(self, dash_mm: tuple[float, ...]) -> str:
        """Return the line type of a dash pattern, made where it is new."""
        if dash_mm not in self.dashes:
            name = f"DASH{len(self.dashes) + 1}"
            signed = [length if place % 2 == 0 else -length for place, length in enumerate(dash_mm)]
            self.document.linetypes.add(name, [sum(dash_mm), *signed], description="dashes in mm")
            self.dashes[dash_mm] = name
        return self.dashes[dash_mm]

    def _inked(self, ink: str) -> dict[str, Any]:
        if ink == BLACK:
            return {"color": 7}  # black on paper, white on a dark screen
        return {"true_color": int(ink[1:], 16)}

    def _style(self, layer: str, pen: Pen) -> dict[str, Any]:
        name = self._dash(pen.dash_mm) if pen.dash_mm else "CONTINUOUS"
        weight = _weight(pen.width_mm)
        return {"layer": layer_name(layer), "linetype": name, "lineweight": weight, **self._inked(pen.ink)}

    def _fill(self, points: Iterable[tuple[float, float]], layer: str, ink: str) -> None:
        hatch = self.space.add_hatch(dxfattribs={"layer": layer_name(layer), **self._inked(ink)})
        hatch.paths.add_polyline_path(list(points), is_closed=True)

    def _line(self, mark: Line) -> None:
        self.space.add_line(mark.start, mark.end, dxfattribs=self._style(mark.layer, mark.pen))

    def _circle(self, mark: Circle) -> None:
        if mark.fill:
            x, y, r = *mark.centre, mark.radius_mm
            hatch = self.space.add_hatch(
                dxfattribs={"layer": layer_name(mark.layer), **self._inked(mark.fill)}
            )
            halves = [(x - r, y, 1.0), (x + r, y, 1.0)]
            hatch.paths.add_polyline_path(halves, is_closed=True)
        if mark.pen is not None:
            self.space.add_circle(mark.centre, mark.radius_mm, dxfattribs=self._style(mark.layer, mark.pen))

    def _arc(self, mark: Arc) -> None:
        if mark.sweep_deg >= 360.0:
            self._circle(Circle(mark.centre, mark.radius_mm, mark.pen, layer=mark.layer))
            return
        end = mark.start_deg + mark.sweep_deg
        style = self._style(mark.layer, mark.pen)
        self.space.add_arc(mark.centre, mark.radius_mm, mark.start_deg, end, dxfattribs=style)

    def _polygon(self, mark: Polygon) -> None:
        if mark.fill:
            self._fill(mark.points, mark.layer, mark.fill)
        if mark.hatch is not None:
            for line in hatch_lines(mark.points, mark.hatch, mark.layer):
                self._line(line)
        if mark.pen is not None:
            style = self._style(mark.layer, mark.pen)
            self.space.add_lwpolyline(mark.points, close=True, dxfattribs=style)

    def _text(self, mark: Text) -> None:
        words = clean(mark.text).replace("\u200b", "")
        if not words.strip():
            return
        style = {
            "layer": layer_name(mark.layer),
            "style": "SHEET",
            "height": mark.height_mm,
            "rotation": mark.angle_deg,
            **self._inked(mark.ink),
        }
        text = self.space.add_text(words, dxfattribs=style)
        wide = width_mm(words, mark.height_mm, mark.bold)
        turn = math.radians(mark.angle_deg)
        x, y = mark.base
        share = {"left": 0.0, "middle": 0.5, "right": 1.0}[mark.side]
        from ezdxf.enums import TextEntityAlignment

        sides = {"left": "LEFT", "middle": "CENTER", "right": "RIGHT"}
        anchor = (x + share * wide * math.cos(turn), y + share * wide * math.sin(turn))
        text.set_placement(anchor, align=TextEntityAlignment[sides[mark.side]])

    def add(self, mark: Mark) -> None:
        match mark:
            case Line():
                self._line(mark)
            case Polyline():
                style = self._style(mark.layer, mark.pen)
                self.space.add_lwpolyline(mark.points, dxfattribs=style)
            case Arc():
                self._arc(mark)
            case Circle():
                self._circle(mark)
            case Polygon():
                self._polygon(mark)
            case Text():
                self._text(mark)


def _new_document() -> "Document":
    """Return an empty document whose dates and ids are fixed ones.

    The library has a switch for that, for the whole process; it stays on, so that writers in two threads
    can't turn it off for each other.
    """
    from ezdxf import units
    from ezdxf._options import options
    from ezdxf.filemanagement import new

    options.write_fixed_meta_data_for_testing = True
    return new("R2010", setup=False, units=units.MM)


def _list_classes(document: "Document") -> None:
    """List the classes the file needs in one order; the library takes them from sets when it writes."""
    from ezdxf.sections.classes import REQ_R2004, REQUIRED_CLASSES

    needed = REQUIRED_CLASSES.get(document.dxfversion, REQ_R2004)
    for name in (*sorted(needed), *sorted(document.entitydb.dxf_types_in_use())):
        document.classes.add_class(name)


def dxf_text(drawing: Drawing) -> str:
    """Return a drawing as the text of a DXF file, R2010, one unit per mm.

    Args:
        drawing: composed drawing

    Returns:
        The file. Coordinates are not rounded. Groups are taken apart; a `Group.window` is not cut, so clip
        before where it matters. Text names a common face and may run a little wider or narrower than
        on paper.
    """
    document = _new_document()
    document.styles.add("SHEET", font=FACE_FILE)
    document.header["$MEASUREMENT"] = 1
    writer = _Writer(document)
    marks = tuple(flat(drawing.marks))
    for name in sorted({layer_name(mark.layer) for mark in marks}):
        if name != "0":
            document.layers.add(name)
    for mark in marks:
        writer.add(mark)
    box = drawing.box
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (0, 0, 0), (box.right, box.top, 0)
    _list_classes(document)
    out = io.StringIO()
    document.write(out)
    return out.getvalue()
