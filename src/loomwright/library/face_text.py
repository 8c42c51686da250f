"""The text a face is described in, and its reader.

One thing a line; `#` starts a comment; distances in mm; seen from the wire side unless `seen mating` is said.

    face three in line          begins a face and names it
    words sealed, latch on top  what it is
    cell 1.5 4.0                a cavity of size 1.5 takes up 4.0 across (before the first face: for all)
    outline rect 18 10          or: outline round 22
    latch top                   edge of the latch: top, bottom, left or right; `key` likewise
    pitch 5 6                   between cavities, between rows
    row 1.5: 1-3                a row of size 1.5, left to right; `_` leaves a gap, `6-4` counts down
    row 1.5 shift 2.5: A1 A2    its middle shifted to the right
    block 20 0                  the rows that follow stand in a block of their own, its middle there
    ring 20 4.5 15: 1-9         a ring of radius 4.5, clockwise, first cavity 15 degrees past the top
"""

import math
import re
from dataclasses import dataclass, field, replace
from typing import Final, NoReturn

from loomwright.errors import Unreadable
from loomwright.library.face import MIRRORED, WIRE_SIDE, Face, FaceCavity, Outline, mating_side
from loomwright.library.tables import source_named, sources
from loomwright.sources import BUILDER, Source

EDGES: Final = ("top", "bottom", "left", "right")
RANGE: Final = re.compile(r"([A-Za-z]*)([0-9]{1,9})-([A-Za-z]*)([0-9]{1,9})")
TOUCH_MM: Final = 1e-6  # two cells that touch do not overlap
MOST_CAVITIES: Final = 500


@dataclass(slots=True)
class _Draft:
    """A face while its lines are read."""

    name: str
    line: int
    cells: dict[str, float]
    words: str = ""
    source: Source = BUILDER
    outline: Outline | None = None
    latch: str = ""
    key: str = ""
    mating: bool = False
    pitch: tuple[float, float] | None = None
    block: tuple[float, float] = (0.0, 0.0)
    next_y_mm: float = 0.0
    rows: list[tuple[int, FaceCavity]] = field(default_factory=list)
    placed: list[tuple[int, FaceCavity]] = field(default_factory=list)


def parse_faces(text: str, file: str, first_line: int = 1) -> tuple[Face, ...]:
    """Return the faces a text describes.

    Args:
        text: description in the form the module's docstring shows
        file: name for messages
        first_line: line of that file the text begins on
    Raises:
        Unreadable: a line can't be read, cavities overlap or leave the outline; says the line.
    """
    return _Reader(file).read(text, first_line)


class _Reader:
    def __init__(self, file: str) -> None:
        self.file = file
        self.line = 0
        self.common: dict[str, float] = {}
        self.draft: _Draft | None = None
        self.done: list[Face] = []

    def read(self, text: str, first_line: int) -> tuple[Face, ...]:
        for number, raw in enumerate(text.splitlines(), first_line):
            self.line = number
            line = raw.partition("#")[0].strip()
            if line:
                self._take(line)
        self._finish()
        return tuple(self.done)

    def refuse(self, what: str, should: str, remedy: str = "") -> NoReturn:
        raise Unreadable(self.file, self.line, what, should, remedy)

    def _take(self, line: str) -> None:
        word, _, rest = line.partition(" ")
        rest = rest.strip()
        if word == "face":
            self._finish()
            name = rest or self.refuse("The face has no name;", "a name must follow the word face.")
            self.draft = _Draft(name, self.line, dict(self.common))
        elif word == "cell":
            size, across = self._words(rest, 2, "cell SIZE MM")
            cells = self.common if self.draft is None else self.draft.cells
            cells[size] = self._mm(across, above_zero=True)
        elif self.draft is None:
            self.refuse(f"{word!r} stands before any face;", "a line `face NAME` must come first.")
        else:
            self._into(self.draft, word, rest)

    def _into(self, draft: _Draft, word: str, rest: str) -> None:
        if word == "words":
            draft.words = rest
        elif word == "source":
            draft.source = self._source(rest)
        elif word == "outline":
            draft.outline = self._outline(rest)
        elif word == "latch":
            draft.latch = self._edge(word, rest)
        elif word == "key":
            draft.key = self._edge(word, rest)
        elif word == "seen":
            draft.mating = self._seen(rest)
        elif word == "pitch":
            across, down = self._words(rest, 2, "pitch ACROSS DOWN")
            draft.pitch = (self._mm(across, above_zero=True), self._mm(down, above_zero=True))
        elif word == "block":
            self._close_block(draft)
            x, y = self._words(rest, 2, "block X Y")
            draft.block = (self._mm(x), self._mm(y))
        elif word == "row":
            self._row(draft, rest)
        elif word == "ring":
            self._ring(draft, rest)
        else:
            known = "face, words, source, cell, outline, latch, key, seen, pitch, block, row, ring"
            self.refuse(f"{word!r} begins no line of a face;", f"a line must begin with one of: {known}.")

    def _row(self, draft: _Draft, rest: str) -> None:
        head, ids = self._split_ids(rest)
        if len(head) not in (1, 3) or (len(head) == 3 and head[1] != "shift"):
            self.refuse("The row can't be read;", "it must be `row SIZE: IDS` or `row SIZE shift MM: IDS`.")
        if draft.pitch is None:
            self.refuse("The row comes before the pitch;", "a line `pitch ACROSS DOWN` must come before it.")
        shift = self._mm(head[2]) if len(head) == 3 else 0.0
        across, down = draft.pitch
        cell = self._cell(draft, head[0])
        for n, cavity_id in enumerate(ids):
            if cavity_id != "_":
                x = shift + (n - (len(ids) - 1) / 2) * across
                draft.rows.append((self.line, FaceCavity(cavity_id, x, draft.next_y_mm, head[0], cell)))
        draft.next_y_mm -= down

    def _ring(self, draft: _Draft, rest: str) -> None:
        head, ids = self._split_ids(rest)
        if len(head) not in (2, 3):
            self.refuse(
                "The ring can't be read;", "it must be `ring SIZE RADIUS: IDS` or with a start angle."
            )
        radius, start = self._mm(head[1]), self._mm(head[2]) if len(head) == 3 else 0.0
        cell = self._cell(draft, head[0])
        for n, cavity_id in enumerate(ids):
            if cavity_id != "_":
                angle = math.radians(start + 360 * n / len(ids))
                x, y = radius * math.sin(angle), radius * math.cos(angle)
                draft.placed.append((self.line, FaceCavity(cavity_id, x, y, head[0], cell)))

    def _close_block(self, draft: _Draft) -> None:
        if draft.rows:
            heights = [cavity.y_mm for _, cavity in draft.rows]
            middle = (min(heights) + max(heights)) / 2
            dx, dy = draft.block[0], draft.block[1] - middle
            for line, one in draft.rows:
                draft.placed.append((line, replace(one, x_mm=one.x_mm + dx, y_mm=one.y_mm + dy)))
        draft.rows, draft.next_y_mm = [], 0.0

    def _finish(self) -> None:
        draft, self.draft = self.draft, None
        if draft is None:
            return
        self._close_block(draft)
        self.line = draft.line
        if draft.outline is None:
            self.refuse(f"Face {draft.name!r} has no outline;", "a line `outline rect W H` must give it.")
        if not draft.placed:
            self.refuse(f"Face {draft.name!r} has no cavity;", "at least one row or ring must name some.")
        self._check(draft.placed, draft.outline)
        cavities = tuple(cavity for _, cavity in draft.placed)
        face = Face(
            draft.name,
            draft.words,
            cavities,
            draft.outline,
            draft.latch,
            draft.key,
            False,
            WIRE_SIDE,
            draft.source,
        )
        self.done.append(replace(mating_side(face), view=WIRE_SIDE) if draft.mating else face)

    def _check(self, placed: list[tuple[int, FaceCavity]], outline: Outline) -> None:
        seen: dict[str, int] = {}
        for self.line, one in placed:
            if not _inside(one, outline):
                should = "it must lie inside."
                self.refuse(f"Cavity {one.id} reaches outside the outline;", should, "Enlarge the outline.")
            if one.id in seen:
                should = "each name stands for one cavity."
                self.refuse(f"Cavity {one.id} is already on line {seen[one.id]};", should, "Rename one.")
            seen[one.id] = self.line
        self._check_overlaps(sorted((cavity for _, cavity in placed), key=_xy), seen)

    def _check_overlaps(self, by_x: list[FaceCavity], lines: dict[str, int]) -> None:
        largest = max(one.cell_mm for one in by_x)
        for n, one in enumerate(by_x):
            for other in by_x[n + 1 :]:
                if other.x_mm - one.x_mm >= largest:
                    break
                need = (one.cell_mm + other.cell_mm) / 2
                if math.dist(_xy(one), _xy(other)) < need - TOUCH_MM:
                    self.line = max(lines[one.id], lines[other.id])
                    should = f"their middles must be {need:.2f} mm apart."
                    self.refuse(f"Cavities {one.id} and {other.id} overlap;", should, "Widen the pitch.")

    def _split_ids(self, rest: str) -> tuple[list[str], list[str]]:
        head, colon, tail = rest.partition(":")
        if not colon or not head.split() or not tail.split():
            self.refuse("The cavities are missing;", "a size, a colon and then their names must follow.")
        ids = [one for part in tail.replace(",", " ").split() for one in self._ids(part)]
        if len(ids) > MOST_CAVITIES:
            self.refuse(f"There are {len(ids)} cavities in one line;", f"it must be {MOST_CAVITIES} at most.")
        return head.split(), ids

    def _ids(self, part: str) -> list[str]:
        span = RANGE.fullmatch(part)
        if span is None:
            return [part]
        first, last = int(span[2]), int(span[4])
        if span[3] not in ("", span[1]):
            self.refuse(
                f"{part!r} changes its letter;", f"both ends must begin alike, as in {span[1]}1-{span[1]}8."
            )
        if abs(last - first) >= MOST_CAVITIES:
            self.refuse(f"{part!r} is too long;", f"a line takes {MOST_CAVITIES} cavities at most.")
        step = 1 if last >= first else -1
        return [f"{span[1]}{n}" for n in range(first, last + step, step)]

    def _cell(self, draft: _Draft, size: str) -> float:
        if size not in draft.cells:
            known = ", ".join(sorted(draft.cells)) or "none yet"
            should = f"it must be given by a line `cell {size} MM` before. Known: {known}."
            self.refuse(f"How much a cavity of size {size} takes up isn't known;", should)
        return draft.cells[size]

    def _outline(self, rest: str) -> Outline:
        parts = rest.split()
        if parts[:1] == ["rect"] and len(parts) == 3:
            return Outline("rect", self._mm(parts[1], above_zero=True), self._mm(parts[2], above_zero=True))
        if parts[:1] != ["round"] or len(parts) != 2:
            self.refuse(f"The outline is {rest!r};", "it must be `rect WIDTH HEIGHT` or `round DIAMETER`.")
        across = self._mm(parts[1], above_zero=True)
        return Outline("round", across, across)

    def _source(self, rest: str) -> Source:
        found = source_named(rest)
        if found is None:
            self.refuse(f"The source is {rest!r};", f"it must start with one of: {', '.join(sources())}.")
        return found

    def _edge(self, word: str, rest: str) -> str:
        if rest not in EDGES or rest not in MIRRORED:
            self.refuse(f"The {word} is at {rest!r};", f"it must be one of: {', '.join(EDGES)}.")
        return rest

    def _seen(self, rest: str) -> bool:
        if rest not in ("wire", "mating"):
            self.refuse(f"The face is seen from {rest!r};", "it must be wire or mating.")
        return rest == "mating"

    def _words(self, rest: str, count: int, form: str) -> list[str]:
        parts = rest.split()
        if len(parts) != count:
            self.refuse(f"{rest!r} can't be read;", f"it must be `{form}`.")
        return parts

    def _mm(self, text: str, above_zero: bool = False) -> float:
        try:
            value = float(text)
        except ValueError:
            self.refuse(f"{text!r} is no number;", "it must be a number with a decimal point.")
        if not abs(value) < 1e4 or (above_zero and value <= 0):
            limit = "above 0 and below 10000" if above_zero else "below 10000"
            self.refuse(f"{text} is out of range;", f"it must be {limit}.")
        return value


def _xy(one: FaceCavity) -> tuple[float, float]:
    return one.x_mm, one.y_mm


def _inside(one: FaceCavity, outline: Outline) -> bool:
    half = one.cell_mm / 2 - TOUCH_MM
    if outline.shape == "round":
        return math.hypot(one.x_mm, one.y_mm) + half <= outline.width_mm / 2
    return abs(one.x_mm) + half <= outline.width_mm / 2 and abs(one.y_mm) + half <= outline.height_mm / 2
