"""A drawing written as SVG: millimetres on paper and in the view box, y turned downward."""

import base64
import math
from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape, quoteattr

from loomwright.pack.lettering import CAP_HEIGHT, FAMILIES, clean
from loomwright.pack.marks import (
    Arc,
    Box,
    Circle,
    Drawing,
    Group,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
    Text,
)
from loomwright.pack.pages import Picture
from loomwright.sheets.clip import hatch_lines

_ANCHOR = (("left", "start"), ("middle", "middle"), ("right", "end"))
_FONT = ",".join(f"'{name}'" if " " in name else name for name in (*FAMILIES, "sans-serif"))


def number(value: float) -> str:
    """Return a number to 0.0001, without trailing zeros and never "-0"."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class _Writer:
    """Writes marks of one drawing; holds its height for turning y and a count for window names."""

    def __init__(self, drawing: Drawing, name: str) -> None:
        self.high = drawing.height_mm
        self.name = name
        self.windows = 0

    def at(self, point: Point) -> tuple[str, str]:
        return number(point[0]), number(self.high - point[1])

    def points(self, points: Iterable[Point]) -> str:
        return " ".join(f"{x},{y}" for x, y in map(self.at, points))

    def stroke(self, pen: Pen | None) -> str:
        if pen is None:
            return ' stroke="none"'
        dash = ""
        if pen.dash_mm:
            dash = f' stroke-dasharray="{" ".join(map(number, pen.dash_mm))}"'
            dash += f' stroke-dashoffset="{number(pen.start_mm)}"' if pen.start_mm else ""
        ink = "" if pen.ink == "#000000" else f" stroke={quoteattr(pen.ink)}"
        return f' stroke-width="{number(pen.width_mm)}"{ink}{dash}'

    def arc(self, mark: Arc) -> str:
        if mark.sweep_deg >= 360.0:
            return self.circle(Circle(mark.centre, mark.radius_mm, mark.pen))
        (x0, y0) = self.at(mark.at(mark.start_deg))
        (x1, y1) = self.at(mark.at(mark.start_deg + mark.sweep_deg))
        r, large = number(mark.radius_mm), int(mark.sweep_deg > 180.0)
        return f'<path d="M{x0} {y0}A{r} {r} 0 {large} 0 {x1} {y1}"{self.stroke(mark.pen)}/>'

    def circle(self, mark: Circle) -> str:
        x, y = self.at(mark.centre)
        fill = f" fill={quoteattr(mark.fill)}" if mark.fill else ""
        return f'<circle cx="{x}" cy="{y}" r="{number(mark.radius_mm)}"{fill}{self.stroke(mark.pen)}/>'

    def polygon(self, mark: Polygon) -> Iterator[str]:
        fill = f" fill={quoteattr(mark.fill)}" if mark.fill else ""
        hatch = tuple(hatch_lines(mark.points, mark.hatch, mark.layer)) if mark.hatch else ()
        if hatch and mark.fill:
            yield f'<polygon points="{self.points(mark.points)}"{fill} stroke="none"/>'
            fill = ""
        for line in hatch:
            yield self.line(line)
        if mark.pen is not None or fill:
            yield f'<polygon points="{self.points(mark.points)}"{fill}{self.stroke(mark.pen)}/>'

    def line(self, mark: Line) -> str:
        (x0, y0), (x1, y1) = self.at(mark.start), self.at(mark.end)
        return f'<line x1="{x0}" y1="{y0}" x2="{x1}" y2="{y1}"{self.stroke(mark.pen)}/>'

    def text(self, mark: Text) -> str:
        up = {"base": 0.0, "middle": -0.5, "top": -1.0, "bottom": 0.3}[mark.level] * mark.height_mm
        turn = math.radians(mark.angle_deg)
        x, y = self.at((mark.at[0] - up * math.sin(turn), mark.at[1] + up * math.cos(turn)))
        turned = f' transform="rotate({number(-mark.angle_deg)} {x} {y})"' if mark.angle_deg else ""
        bold = ' font-weight="700"' if mark.bold else ""
        ink = f' fill={quoteattr(mark.ink)} stroke="none"'
        anchor = dict(_ANCHOR)[mark.side]
        anchor = "" if anchor == "start" else f' text-anchor="{anchor}"'
        size = number(mark.height_mm / CAP_HEIGHT)
        words = escape(clean(mark.text).replace("\u200b", ""))
        return f'<text x="{x}" y="{y}" font-size="{size}"{anchor}{bold}{ink}{turned}>{words}</text>'

    def group(self, mark: Group) -> Iterator[str]:
        seen = ""
        if mark.window is not None:
            self.windows += 1
            name = f"{self.name}-window-{self.windows}"
            yield f"<clipPath id={quoteattr(name)}>{self.rect(mark.window)}</clipPath>"
            seen = f' clip-path="url(#{escape(name)})"'
        yield f"<g data-name={quoteattr(clean(mark.name))}{seen}>"
        yield from self.marks(mark.marks)
        yield "</g>"

    def rect(self, box: Box) -> str:
        x, y = self.at((box.left, box.top))
        return f'<rect x="{x}" y="{y}" width="{number(box.width_mm)}" height="{number(box.height_mm)}"/>'

    def marks(self, marks: Iterable[Mark]) -> Iterator[str]:
        for mark in marks:
            match mark:
                case Line():
                    yield self.line(mark)
                case Polyline():
                    yield f'<polyline points="{self.points(mark.points)}"{self.stroke(mark.pen)}/>'
                case Arc():
                    yield self.arc(mark)
                case Circle():
                    yield self.circle(mark)
                case Polygon():
                    yield from self.polygon(mark)
                case Text():
                    yield self.text(mark)
                case Group():
                    yield from self.group(mark)


def svg_text(drawing: Drawing, name: str = "drawing", under: Picture | None = None) -> str:
    """Return a drawing as the text of an SVG file.

    Args:
        drawing: composed drawing
        name: start of the ids inside, so that two drawings can stand in one page
        under: photo beneath the marks, over the whole extent

    Returns:
        SVG with width and height in mm and one user unit per mm, to 0.0001 mm. A `Group` is a `g` element
        with `data-name`. The face is named, not embedded; a reader without it takes its own sans.
    """
    wide, high = number(drawing.width_mm), number(drawing.height_mm)
    size = f'width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>'
    style = (
        f'<g fill="none" stroke="#000000" stroke-linecap="round" stroke-linejoin="round" '
        f'font-family="{_FONT}" font-stretch="condensed">'
    )
    body = "\n".join(_Writer(drawing, name).marks(drawing.marks))
    title = f"<title>{escape(clean(drawing.title))}</title>"
    return f"{head}\n{title}\n{_photo(drawing, under)}{style}\n{body}\n</g>\n</svg>\n"


def _photo(drawing: Drawing, under: Picture | None) -> str:
    if under is None:
        return ""
    size = f'width="{number(drawing.width_mm)}" height="{number(drawing.height_mm)}"'
    data = base64.b64encode(under.data).decode()
    return f'<image {size} preserveAspectRatio="none" href="data:{under.media};base64,{data}"/>\n'
