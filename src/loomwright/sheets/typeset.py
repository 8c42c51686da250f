"""The sheets of a pack set as one PDF: data and figures are handed to the shipped template in memory."""

import io
import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, replace
from itertools import groupby
from pathlib import Path
from typing import Any, Final

from loomwright.errors import LoomwrightError
from loomwright.pack.lettering import CAP_HEIGHT, FONT_FOLDER, clean, shortened
from loomwright.pack.pages import (
    Beside,
    Block,
    Card,
    Caution,
    Contents,
    Facts,
    Figure,
    FigureRow,
    FindingLine,
    FindingList,
    Flow,
    Heading,
    PackHead,
    PageBreak,
    Paragraph,
    Sheet,
    Table,
)
from loomwright.sheets.paper import A4, Paper
from loomwright.sheets.svg import svg_text
from loomwright.sheets.table_layout import MM_PER_POINT, PAD_EM, TableLayout, breakable, layout, shown
from loomwright.sheets.tallness import at_most_mm

LEFT_MM: Final = 20.0  # room for the holes of a folder
RIGHT_MM: Final = 12.0
TALL_MM: Final = 38.0  # head, foot and margins together
BODY_PT: Final = 9.5
BIG_PT: Final = 13.0
NOTE_PT: Final = 7.5
HEAD_LETTERS: Final = 120  # of a head that comes again on every page
GUTTER_MM: Final = 5.0  # between blocks side by side
DROP_EM: Final = {(False, False): 0.42, (False, True): 0.75, (True, False): 0.28, (True, True): 0.5}
"""Room above and below the words of a row, by whether the table is close and whether it is written in."""
TALL_LINES: Final = 30  # a row with more lines may run over to the next page
TEMPLATE: Final = Path(__file__).with_name("template") / "pack.typ"
BARS_PT: Final = (("fault", 4.0), ("caution", 2.0), ("note", 0.6))

Json = dict[str, Any]


class NotSet(LoomwrightError):
    """The typesetter refused a pack; the message says what it said."""


class _Setter:
    """Turns sheets into the template's data and collects their figures."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        self.figures: dict[str, str] = {}  # SVG text -> file name
        self.room_mm = self.tall_mm = self.size_pt = 0.0
        self.big = self.exact = False

    def words(self, text: str, less_mm: float = 0.0, bold: bool = False) -> str:
        room = (self.room_mm - less_mm) / (self.size_pt * MM_PER_POINT)
        return breakable(text, room, bold)

    def table(self, table: Table, form: TableLayout | None = None) -> Json:
        form = form or layout(table, self.room_mm, self.big)
        em = form.size_pt * MM_PER_POINT
        rooms = [wide / em - 2 * PAD_EM for wide in form.widths_mm]
        columns = tuple(zip(table.columns, rooms, strict=True))
        written = any(column.kind == "blank" for column in table.columns)

        def cells(row: Sequence[Any]) -> list[str]:
            return [
                ("" if cell == "" else "1" if cell is True else "0")
                if column.kind == "tick"
                else breakable(shown(cell, column), room, column.bold)
                for cell, (column, room) in zip(row, columns, strict=True)
            ]

        groups = [
            {"title": self.words(_cut(group.title), 10.0, True), "rows": [cells(row) for row in group.rows]}
            for group in table.groups
        ]
        tall = any(
            len(cell) > TALL_LINES * room
            for group in groups
            for row in group["rows"]
            for cell, room in zip(row, rooms, strict=True)
        )
        aligns = {"left": "l", "middle": "c", "right": "r"}
        kinds = {"text": "x", "number": "x", "tick": "t", "blank": "w"}
        fixed = {"number": "r", "tick": "c"}
        return {
            "kind": "table",
            "headless": table.headless,
            "title": self.words(table.title, bold=True),
            "note": self.words(table.note),
            "size": form.size_pt,
            "drop": DROP_EM[table.close, written],
            "widths": [round(wide, 4) for wide in form.widths_mm],
            "aligns": [fixed.get(column.kind, aligns[column.align]) for column in table.columns],
            "kinds": [kinds[column.kind] for column in table.columns],
            "bolds": [column.bold for column in table.columns],
            "heads": [
                {"head": breakable(_cut(column.head), room, True), "unit": clean(column.unit)}
                for column, room in columns
            ],
            "breaks": tall,
            "groups": groups,
        }

    def facts(self, facts: Facts) -> Json:
        if not facts.across:
            told = [[self.words(name, 10.0), self.words(value, 10.0, True)] for name, value in facts.pairs]
            return {"kind": "run", "pairs": told}
        part = self.room_mm / facts.across
        name_mm, value_mm = 0.4 * part, 0.6 * part - 6.0
        pairs = [
            [self.words(name, self.room_mm - name_mm), self.words(value, self.room_mm - value_mm, True)]
            for name, value in facts.pairs
        ]
        pairs += [["", " "]] * (-len(pairs) % facts.across)
        return {"kind": "facts", "pairs": pairs, "across": facts.across}

    def finding(self, line: FindingLine) -> Json:
        told = {name: self.words(str(value), 12.0) for name, value in asdict(line).items()}
        told["places"] = f"({line.places} places)" if line.places > 1 else ""
        return {**told, "bar": dict(BARS_PT).get(line.severity, 0.6)}

    def figure(self, figure: Figure, most_mm: float) -> Json:
        wide, high = figure.drawing.width_mm, figure.drawing.height_mm
        scale = figure.scale
        self.exact = self.exact or scale is not None
        if scale is None:
            scale = min(1.0, most_mm / wide, min(figure.max_height_mm, self.tall_mm - 25) / high)
        if wide * scale > most_mm + 0.01 or high * scale > self.tall_mm:
            raise NotSet(
                f"The drawing {figure.drawing.title} is {wide * scale:.0f} x {high * scale:.0f} mm on paper; "
                f"the page holds {most_mm:.0f} x {self.tall_mm:.0f} mm. Print it as tiles, or let it shrink."
            )
        text = svg_text(figure.drawing, under=figure.under)
        file = self.figures.setdefault(text, f"figure-{len(self.figures)}.svg")
        return {
            "kind": "figure",
            "file": file,
            "width": round(wide * scale, 4),
            "height": round(high * scale, 4),
            "caption": self.words(figure.caption, self.room_mm - max(wide * scale, 25.0)),
        }

    def block(self, block: Block) -> Json:
        match block:
            case Table():
                return self.table(block)
            case Facts():
                return self.facts(block)
            case Heading():
                return {"kind": "heading", "text": self.words(block.text, 8.0, True)}
            case Paragraph():
                return {"kind": "paragraph", "text": self.words(block.text), "bold": block.bold}
            case Caution():
                return self.cautions((block,))
            case FindingList():
                return {"kind": "findings", "lines": [self.finding(line) for line in block.lines]}
            case Figure():
                return self.figure(block, self.room_mm)
            case FigureRow():
                return {"kind": "row", "figures": [self.figure(one, self.room_mm) for one in block.figures]}
            case Card():
                told = self.blocks(block.blocks)
                fits = at_most_mm(told, self.room_mm) <= self.tall_mm
                size = {"width": self.room_mm, "tall": self.tall_mm}
                return {"kind": "card", "fits": fits, **size, "blocks": told}
            case Beside():
                return self.beside(block)
            case Flow():
                return self.flow(block)
            case Contents():
                return {"kind": "contents"}
            case PageBreak():
                return {"kind": "break"}

    def cautions(self, several: Sequence[Caution]) -> Json:
        """Cautions under one head share a frame."""
        lines = [self.words(one.text, 45.0) for one in several]
        return {"kind": "caution", "lines": lines, "head": clean(several[0].head)}

    def blocks(self, blocks: Iterable[Block]) -> list[Json]:
        found: list[Json] = []
        for head, run in groupby(blocks, key=lambda b: b.head if isinstance(b, Caution) else None):
            several = tuple(run)
            if head is None:
                found += map(self.block, several)
            else:
                found.append(self.cautions([b for b in several if isinstance(b, Caution)]))
        return found

    @contextmanager
    def within(self, room_mm: float) -> Iterator[None]:
        """Set what follows in a narrower room."""
        whole, self.room_mm = self.room_mm, room_mm
        yield
        self.room_mm = whole

    def beside(self, block: Beside) -> Json:
        gaps = GUTTER_MM * (len(block.parts) - 1)
        shared = self.room_mm - gaps - sum(block.widths_mm)
        share = shared / max(1, block.widths_mm.count(0))
        widths = [wide or share for wide in block.widths_mm]
        alike = _alike(block)
        parts = []
        for part, wide in zip(block.parts, widths, strict=True):
            with self.within(wide):
                if alike is None:
                    parts.append(self.blocks(part))
                else:
                    form = layout(alike, wide, self.big)
                    parts.append([self.table(table, form) for table in part if isinstance(table, Table)])
        return {"kind": "beside", "widths": widths, "gutter": GUTTER_MM, "parts": parts}

    def flow(self, block: Flow) -> Json:
        with self.within((self.room_mm - GUTTER_MM * (block.across - 1)) / block.across):
            told = self.blocks(block.blocks)
        return {"kind": "flow", "across": block.across, "gutter": GUTTER_MM, "blocks": told}

    def sheet(self, sheet: Sheet) -> Json:
        paper = self.paper.turned() if sheet.landscape else self.paper
        self.room_mm = paper.width_mm - LEFT_MM - RIGHT_MM
        self.tall_mm = paper.height_mm - TALL_MM
        self.size_pt, self.big = (BIG_PT if sheet.big else BODY_PT), sheet.big
        cautions = tuple(Caution(text) for text in sheet.cautions)
        head_pt, title_pt = 8.5, 19.0
        return {
            "head": _fitted(sheet.title, self.room_mm * 0.26, head_pt, True),
            "title": breakable(sheet.title, self.room_mm / (title_pt * MM_PER_POINT), True),
            "width": paper.width_mm,
            "height": paper.height_mm,
            "stamps": [clean(stamp) for stamp in sheet.stamps],
            "big": sheet.big,
            "intro": self.words(sheet.intro),
            "blocks": self.blocks((*cautions, *sheet.blocks)),
        }


def _alike(block: Beside) -> Table | None:
    """One table with the rows of all parts, where each part is a table of the same columns."""
    tables = [one for part in block.parts for one in part if isinstance(one, Table)]
    alone = all(len(part) <= 1 for part in block.parts) and len(set(block.widths_mm)) == 1
    if not alone or len(tables) != sum(map(len, block.parts)) or len({t.columns for t in tables}) != 1:
        return None
    return replace(tables[0], groups=tuple(group for table in tables for group in table.groups))


def _cut(text: str) -> str:
    """Return a head short enough to be printed again on every page."""
    return text if len(text) <= HEAD_LETTERS else f"{text[:HEAD_LETTERS]} …"


def _fitted(text: str, room_mm: float, size_pt: float, bold: bool = False) -> str:
    """Return one line of a page's head or foot, its end left out where it would not fit."""
    return shortened(clean(text), room_mm, size_pt * MM_PER_POINT * CAP_HEIGHT, bold)


def _head(head: PackHead, room_mm: float) -> Json:
    """Return what stands in heads and feet; revision and digest come first in what is kept of them."""
    tail = (f"revision {head.revision}" if head.revision else "not issued", head.issued, head.digest)
    line = _fitted("  ·  ".join(clean(part) for part in tail if part), room_mm * 0.4, NOTE_PT)
    return {
        "title": clean(f"{head.job} {head.revision}"),
        "line": _fitted(head.job, room_mm * 0.3, NOTE_PT) + "  ·  " + line,
        "foot": _fitted(head.foot, room_mm * 0.8, NOTE_PT),
    }


def _compiled(files: dict[str, bytes]) -> bytes:
    import typst

    folders = [str(FONT_FOLDER)]
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=folders)
    virtual: Any = files  # the binding takes a dict of files; its type hints leave that out
    try:
        written, warnings = typst.compile_with_warnings(
            virtual, format="pdf", font_paths=fonts, timestamp=0, pdf_tags=False
        )
    except typst.TypstError as fault:
        raise NotSet(f"The sheets can't be set: {fault.message}") from fault
    if warnings:
        raise NotSet(f"The sheets can't be set cleanly: {warnings[0].message}")
    return bytes(written)


def _unscaled(written: bytes) -> bytes:
    """Return the PDF with the wish not to be scaled, added behind its end."""
    from pypdf import PdfWriter
    from pypdf.generic import DictionaryObject, NameObject

    writer = PdfWriter(io.BytesIO(written), incremental=True)
    wish = DictionaryObject({NameObject("/PrintScaling"): NameObject("/None")})
    writer.root_object[NameObject("/ViewerPreferences")] = wish
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def pack_pdf(head: PackHead, sheets: Iterable[Sheet], paper: Paper = A4) -> bytes:
    """Return the sheets of a pack as one PDF.

    Args:
        head: what stands on every page
        sheets: sheets in printing order, at least one
        paper: A4 or Letter, upright

    Returns:
        The PDF; same input, same bytes. Where a figure has a scale of its own, the PDF asks the reader
        program not to scale.

    Raises:
        NotSet: a full-size figure is larger than the page, or the typesetter found a fault.
    """
    setter = _Setter(paper)
    told = [setter.sheet(sheet) for sheet in sheets]
    room = paper.width_mm - LEFT_MM - RIGHT_MM
    margin = {"left": LEFT_MM, "right": RIGHT_MM}
    pack = json.dumps({"head": _head(head, room), "margin": margin, "sheets": told}, ensure_ascii=False)
    files = {"main.typ": TEMPLATE.read_bytes(), "pack.json": pack.encode()}
    files.update({name: text.encode() for text, name in setter.figures.items()})
    written = _compiled(files)
    return _unscaled(written) if setter.exact else written
