"""Drawings written as PDF in full size: 100 mm in the drawing are 100 mm on paper.

The PDF is written here and not by a typesetter, so that no layout stands between a mark and its place: one
matrix per page turns millimetres into points. The reader program is asked not to scale (PrintScaling None).
"""

import hashlib
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from loomwright.pack.lettering import Face, face
from loomwright.pack.marks import DASHED, Box, Drawing, Group, Line, Mark, Text, placed
from loomwright.sheets.clip import clipped
from loomwright.sheets.pdf_content import Content

POINTS_PER_MM: Final = 72 / 25.4  # 1 inch = 25.4 mm = 72 points; exact
PAGE_LIMIT_MM: Final = 5080.0  # 14400 points, the largest page without a user unit, ISO 32000-1 annex C
STRIP_OVERLAP_MM: Final = 10.0


PACKED: Final = 5  # of 9: hardly larger and much sooner done


@dataclass(frozen=True, slots=True)
class PdfPage:
    """One page.

    Attributes:
        width_mm: width of the paper [mm]
        height_mm: height of the paper [mm]
        marks: marks in mm as they shall lie on the printed paper
        scale_x: what a printer that prints short across is corrected by; 1 for a true one
        scale_y: the same along the height
    """

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    scale_x: float = 1.0
    scale_y: float = 1.0


class _Document:
    """Numbers and collects the objects of one PDF."""

    def __init__(self) -> None:
        self.objects: list[bytes] = []

    def add(self, text: str, stream: bytes | None = None) -> int:
        body = text.encode("latin-1")
        if stream is not None:
            packed = zlib.compress(stream, PACKED)
            head = f"<< {text} /Filter /FlateDecode /Length {len(packed)} >>".encode("latin-1")
            body = head + b"\nstream\n" + packed + b"\nendstream"
        self.objects.append(body)
        return len(self.objects)

    def written(self, root: int, info: int) -> bytes:
        out = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
        places = []
        for index, body in enumerate(self.objects, start=1):
            places.append(len(out))
            out += f"{index} 0 obj\n".encode() + body + b"\nendobj\n"
        digest = hashlib.md5(out, usedforsecurity=False).hexdigest()
        table = "".join(f"{place:010} 00000 n \n" for place in places)
        size = len(places) + 1
        start = len(out)
        out += f"xref\n0 {size}\n0000000000 65535 f \n{table}trailer\n".encode()
        out += f"<< /Size {size} /Root {root} 0 R /Info {info} 0 R /ID [<{digest}> <{digest}>] >>\n".encode()
        out += f"startxref\n{start}\n%%EOF\n".encode()
        return bytes(out)


def _hex_text(text: str) -> str:
    return "<feff" + text.encode("utf-16-be").hex() + ">"


def _unicode_map(used: dict[int, str]) -> bytes:
    lines = [f"<{glyph:04x}> <{letter.encode('utf-16-be').hex()}>" for glyph, letter in sorted(used.items())]
    blocks = [lines[start : start + 100] for start in range(0, len(lines), 100)]
    pairs = "\n".join("\n".join((f"{len(block)} beginbfchar", *block, "endbfchar")) for block in blocks)
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        f"1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n{pairs}\n"
        "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode("ascii")


def _font(document: _Document, one: Face, used: dict[int, str]) -> int:
    """Add an embedded face and return its object number."""
    data = document.add(f"/Length1 {len(one.data)}", one.data)
    box = " ".join(f"{edge:.0f}" for edge in one.box)
    described = document.add(
        f"<< /Type /FontDescriptor /FontName /{one.name} /Flags 32 /FontBBox [{box}] /ItalicAngle 0 "
        f"/Ascent {one.ascent:.0f} /Descent {one.descent:.0f} /CapHeight 698 /StemV 80 "
        f"/FontFile2 {data} 0 R >>"
    )
    widths = " ".join(f"{glyph} [{one.advances[glyph]:.2f}]" for glyph in sorted(used))
    inner = document.add(
        f"<< /Type /Font /Subtype /CIDFontType2 /BaseFont /{one.name} /CIDToGIDMap /Identity "
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> "
        f"/FontDescriptor {described} 0 R /W [{widths}] >>"
    )
    letters = document.add("", _unicode_map(used))
    return document.add(
        f"<< /Type /Font /Subtype /Type0 /BaseFont /{one.name} /Encoding /Identity-H "
        f"/DescendantFonts [{inner} 0 R] /ToUnicode {letters} 0 R >>"
    )


def pages_pdf(title: str, pages: Iterable[PdfPage]) -> bytes:
    """Return pages of marks as one PDF; same input, same bytes.

    Args:
        title: title of the document
        pages: pages in order, each at most 5080 mm long

    Raises:
        ValueError: a page is longer than a PDF page can be.
    """
    document = _Document()
    used: dict[str, dict[int, str]] = {}
    streams: list[tuple[PdfPage, int]] = []
    for page in pages:
        if max(page.width_mm, page.height_mm) > PAGE_LIMIT_MM:
            raise ValueError(f"a PDF page is at most {PAGE_LIMIT_MM:.0f} mm long")
        x, y = POINTS_PER_MM * page.scale_x, POINTS_PER_MM * page.scale_y
        operators = "\n".join((f"{x:.10f} 0 0 {y:.10f} 0 0 cm 1 J 1 j", *Content(used).marks(page.marks)))
        streams.append((page, document.add("", operators.encode("ascii"))))
    fonts = {name: _font(document, face(name), used[name]) for name in sorted(used)}
    resources = " ".join(f"/{name} {number} 0 R" for name, number in fonts.items())
    parent = len(document.objects) + len(streams) + 1
    kids = [
        document.add(
            f"<< /Type /Page /Parent {parent} 0 R /MediaBox [0 0 {page.width_mm * POINTS_PER_MM:.4f} "
            f"{page.height_mm * POINTS_PER_MM:.4f}] /Contents {stream} 0 R "
            f"/Resources << /Font << {resources} >> >> >>"
        )
        for page, stream in streams
    ]
    listed = " ".join(f"{kid} 0 R" for kid in kids)
    document.add(f"<< /Type /Pages /Count {len(kids)} /Kids [{listed}] >>")
    root = document.add(
        f"<< /Type /Catalog /Pages {parent} 0 R /ViewerPreferences "
        "<< /PrintScaling /None /DisplayDocTitle true >> >>"
    )
    return document.written(root, document.add(f"<< /Title {_hex_text(title)} >>"))


def strips(drawing: Drawing, limit_mm: float = PAGE_LIMIT_MM) -> tuple[PdfPage, ...]:
    """Return a drawing as one page, or as pages side by side where it is longer than a page can be.

    Args:
        drawing: composed drawing
        limit_mm: longest page, above 20 [mm]

    Returns:
        Pages that overlap by 10 mm; a dashed line on each inner edge shows where the next one begins. A
        drawing higher than the limit is not cut; turn it first.
    """
    if drawing.width_mm <= limit_mm:
        return (PdfPage(drawing.width_mm, drawing.height_mm, drawing.marks),)
    step = limit_mm - STRIP_OVERLAP_MM
    count = -(-int(drawing.width_mm - STRIP_OVERLAP_MM) // int(step))
    pages = []
    for index in range(count):
        left = index * step
        right = min(left + limit_mm, drawing.width_mm)
        window = Box(left, 0.0, right, drawing.height_mm)
        inner = Group(f"strip {index + 1}", clipped(drawing.marks, window), window)
        marks: list[Mark] = [placed(inner, -left, 0.0)]
        if index + 1 < count:
            seam = limit_mm - STRIP_OVERLAP_MM
            marks.append(Line((seam, 0.0), (seam, drawing.height_mm), DASHED))
            note = f"page {index + 2} begins at this line"
            marks.append(Text((seam - 2.0, 3.0), note, 2.5, angle_deg=90.0))
        pages.append(PdfPage(right - left, drawing.height_mm, tuple(marks)))
    return tuple(pages)


def drawing_pdf(drawing: Drawing) -> bytes:
    """Return a drawing as PDF in full size, for a roll printer or a print shop.

    Args:
        drawing: composed drawing, at most 5080 mm high

    Returns:
        One page of the drawing's own size. A drawing longer than 5080 mm comes out as several pages (see
        `strips`) and not as one page with a user unit, since a program that ignores the unit prints it
        at a wrong scale without a word.

    Raises:
        ValueError: the drawing is higher than a PDF page can be.
    """
    return pages_pdf(drawing.title, strips(drawing))
