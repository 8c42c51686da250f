"""The faces every sheet is set in: how wide a text is, which face has a character, what can't be printed.

Two weights of one condensed sans carry all words; a third face stands in for characters they lack
(other scripts, symbols). All three are shipped in `fonts/`; fonts of the system are never used.
"""

import struct
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

FONT_FOLDER: Final = Path(__file__).with_name("fonts")
PLAIN: Final = "IBMPlexSansCondensed-Regular"
BOLD: Final = "IBMPlexSansCondensed-Bold"
STAND_IN: Final = "DejaVuSansCondensed"
FAMILIES: Final = ("IBM Plex Sans Condensed", "IBM Plex Sans", "DejaVu Sans")
CAP_HEIGHT: Final = 0.698  # of the em; OS/2 table of the shipped face
GAP_SIGN: Final = "□"  # set in place of a character no shipped face has


@dataclass(frozen=True, slots=True)
class Face:
    """One font file, with what is needed to measure and embed it.

    Attributes:
        name: PostScript name
        data: the whole file
        units_per_em: design units of one em
        ascent: above the base line, in 1/1000 em
        descent: below the base line, negative, in 1/1000 em
        box: bounding box of all glyphs, in 1/1000 em
        advances: width of each glyph, in 1/1000 em
        glyphs: glyph number of each character code
    """

    name: str
    data: bytes
    units_per_em: int
    ascent: float
    descent: float
    box: tuple[float, float, float, float]
    advances: tuple[float, ...]
    glyphs: Mapping[int, int]

    def width_em(self, text: str) -> float:
        """Return the width of a text in ems, without kerning; characters it lacks count as glyph 0."""
        return sum(self.advances[self.glyphs.get(ord(letter), 0)] for letter in text) / 1000


def _tables(data: bytes) -> dict[str, bytes]:
    """Return the tables of an sfnt file by tag."""
    count = struct.unpack_from(">H", data, 4)[0]
    found: dict[str, bytes] = {}
    for index in range(count):
        tag, _, offset, length = struct.unpack_from(">4sIII", data, 12 + 16 * index)
        found[tag.decode("ascii")] = data[offset : offset + length]
    return found


def _segments(cmap: bytes, offset: int) -> dict[int, int]:
    """Return the characters of a format 4 subtable, the one every face of this folder has."""
    count = struct.unpack_from(">H", cmap, offset + 6)[0] // 2
    words = struct.unpack_from(f">{4 * count + 1}H", cmap, offset + 14)
    ends, starts = words[:count], words[count + 1 : 2 * count + 1]
    deltas, ranges = words[2 * count + 1 : 3 * count + 1], words[3 * count + 1 :]
    place = offset + 16 + 6 * count
    glyphs: dict[int, int] = {}
    for index, (start, end, delta, jump) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
        for code in range(start, min(end, 0xFFFE) + 1):
            glyph = code
            if jump:
                glyph = struct.unpack_from(">H", cmap, place + 2 * index + jump + 2 * (code - start))[0]
            if jump == 0 or glyph:
                glyphs[code] = (glyph + delta) & 0xFFFF
    return {code: glyph for code, glyph in glyphs.items() if glyph}


def _characters(cmap: bytes) -> dict[int, int]:
    """Return glyph numbers by character code from the Unicode subtable."""
    count = struct.unpack_from(">H", cmap, 2)[0]
    for index in range(count):
        platform, encoding, offset = struct.unpack_from(">HHI", cmap, 4 + 8 * index)
        if (platform, encoding) == (3, 1):
            return _segments(cmap, offset)
    return {}


@cache
def face(name: str) -> Face:
    """Return a shipped face, read once.

    Args:
        name: `PLAIN`, `BOLD` or `STAND_IN`
    """
    data = (FONT_FOLDER / f"{name}.ttf").read_bytes()
    tables = _tables(data)
    per_em = struct.unpack_from(">H", tables["head"], 18)[0]
    box = struct.unpack_from(">4h", tables["head"], 36)
    ascent, descent = struct.unpack_from(">2h", tables["hhea"], 4)
    measured = struct.unpack_from(">H", tables["hhea"], 34)[0]
    total = struct.unpack_from(">H", tables["maxp"], 4)[0]
    pairs = struct.unpack_from(f">{2 * measured}H", tables["hmtx"])[::2]
    scale = 1000 / per_em
    widths = tuple(width * scale for width in pairs)
    return Face(
        name=name,
        data=data,
        units_per_em=per_em,
        ascent=ascent * scale,
        descent=descent * scale,
        box=(box[0] * scale, box[1] * scale, box[2] * scale, box[3] * scale),
        advances=widths + (widths[-1],) * (total - measured),
        glyphs=MappingProxyType(_characters(tables["cmap"])),
    )


@cache
def _face_of(letter: str, bold: bool) -> Face | None:
    """Return the face a character is set in, None where no shipped face has it."""
    for name in (BOLD if bold else PLAIN, STAND_IN):
        if ord(letter) in face(name).glyphs:
            return face(name)
    return None


@cache
def _letter_em(letter: str, bold: bool) -> float:
    found = _face_of(letter, bold)
    return found.width_em(letter) if found else _letter_em(GAP_SIGN, bold)


def clean(text: str) -> str:
    """Return a text with every character printable: control characters become a space, unknown ones a box."""
    if text.isascii() and text.isprintable():
        return text
    shown = (letter if letter.isprintable() or letter == "\u200b" else " " for letter in text)
    return "".join(letter if letter == "\u200b" or _face_of(letter, False) else GAP_SIGN for letter in shown)


def unprintable(texts: Iterable[str]) -> tuple[str, ...]:
    """Return the characters no shipped face has, sorted, so that a caller can say so before printing."""
    letters = {letter for text in texts for letter in text if not letter.isascii() and letter.isprintable()}
    return tuple(sorted(letter for letter in letters if _face_of(letter, False) is None))


def runs(text: str, bold: bool) -> tuple[tuple[Face, str], ...]:
    """Return a text as stretches that each sit in one face."""
    found: list[tuple[Face, str]] = []
    for letter in clean(text):
        one = _face_of(letter, bold) or face(STAND_IN)
        if found and found[-1][0] is one:
            found[-1] = (one, found[-1][1] + letter)
        else:
            found.append((one, letter))
    return tuple(found)


@lru_cache(maxsize=16384)
def width_em(text: str, bold: bool = False) -> float:
    """Return the width of a text in ems, without kerning (kerning only narrows or leaves it, within 1 %)."""
    return sum(_letter_em(letter, bold) for letter in clean(text))


def width_mm(text: str, height_mm: float, bold: bool = False) -> float:
    """Return the width of a text.

    Args:
        text: one line
        height_mm: height of a capital letter, above 0 [mm]
        bold: bold face
    """
    return width_em(text, bold) * height_mm / CAP_HEIGHT


def shortened(text: str, room_mm: float, height_mm: float, bold: bool = False) -> str:
    """Return a text that fits a width, its end left out where it has to be.

    Args:
        text: one line
        room_mm: width there is [mm]
        height_mm: height of a capital letter, above 0 [mm]
        bold: bold face
    """
    if width_mm(text, height_mm, bold) <= room_mm:
        return text
    while text and width_mm(f"{text} …", height_mm, bold) > room_mm:
        text = text[:-1]
    return f"{text.rstrip()} …"
