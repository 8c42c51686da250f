"""What a sheet consists of, as frozen data: blocks, sheets and the head they share."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Final, Literal

from loomwright.pack.marks import Drawing

Cell = str | int | float | bool | None
Row = tuple[Cell, ...]
Align = Literal["left", "middle", "right"]
Kind = Literal["text", "number", "tick", "blank"]

NOT_FOR_BUILD: Final = "NOT FOR BUILD"
UNCHECKED: Final = "UNCHECKED"
NOT_PRINTED: Final = "–"  # stands where a table has no value


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    Attributes:
        head: column head
        unit: unit of every number in it, shown under the head
        kind: text; number (right aligned); tick (an empty box to tick, crossed where the cell is True,
            none where it is "");
            blank (room to write in; a cell's text is shown pale as a hint)
        align: where text sits; numbers always sit right
        decimals: decimals of numbers; None shows up to 6 significant digits
        width_mm: fixed width; None lets the sheet choose [mm]
        bold: bold face, for the one thing looked up in the row
    """

    head: str
    unit: str = ""
    kind: Kind = "text"
    align: Align = "left"
    decimals: int | None = None
    width_mm: float | None = None
    bold: bool = False


@dataclass(frozen=True, slots=True)
class RowGroup:
    """Rows under one title; the title is printed again where the group runs over a page."""

    rows: tuple[Row, ...]
    title: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table; its column heads are printed again on every page.

    Attributes:
        columns: columns from left to right
        groups: groups of rows; every row has as many cells as there are columns
        title: printed above
        note: printed below
        close: closer rows in smaller type, for long lists
        name: what it is about where a heading on paper says so already, for spreadsheets
        headless: without column heads on paper, since it goes on where a table above left off
    """

    columns: tuple[Column, ...]
    groups: tuple[RowGroup, ...]
    title: str = ""
    note: str = ""
    close: bool = False
    name: str = ""
    headless: bool = False

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows, groups taken apart."""
        return tuple(row for group in self.groups for row in group.rows)


@dataclass(frozen=True, slots=True)
class Facts:
    """Names with values beside them; an empty value prints as a line to write on.

    Attributes:
        across: pairs side by side; 0 runs them on like a sentence
    """

    pairs: tuple[tuple[str, str], ...]
    across: int = 2


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading inside a sheet."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Caution:
    """A framed safety caution."""

    text: str
    head: str = "Caution"


@dataclass(frozen=True, slots=True)
class FindingLine:
    """One finding, or several equal ones, as printed."""

    code: str
    severity: str
    place: str
    what_is: str
    should: str
    remedy: str
    places: int = 1
    accepted: str = ""


@dataclass(frozen=True, slots=True)
class FindingList:
    """Findings one below the other."""

    lines: tuple[FindingLine, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo as it lies in a file; `media` is "image/png" or "image/jpeg"."""

    data: bytes = field(repr=False)
    media: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing inside a sheet.

    Attributes:
        drawing: composed drawing
        caption: printed below; says which side is seen where a face is shown
        scale: 1.0 prints full size; None shrinks to the width of the sheet where needed, never enlarges
        max_height_mm: limit of the printed height where `scale` is None [mm]
        under: photo that fills the drawing's extent beneath its marks
    """

    drawing: Drawing
    caption: str = ""
    scale: float | None = None
    max_height_mm: float = 220.0
    under: Picture | None = None


@dataclass(frozen=True, slots=True)
class FigureRow:
    """Small drawings side by side, each at its own size, running over to further lines as needed."""

    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """Blocks that stay together on one page, as far as they fit one; a thin line above."""

    blocks: "tuple[Block, ...]"


@dataclass(frozen=True, slots=True)
class Beside:
    """Blocks side by side.

    Attributes:
        parts: blocks of each part, from left to right
        widths_mm: width of each part, 0 takes an equal share of what is left [mm]
    """

    parts: "tuple[tuple[Block, ...], ...]"
    widths_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Flow:
    """Blocks in columns like a newspaper's, page after page."""

    blocks: "tuple[Block, ...]"
    across: int = 2


@dataclass(frozen=True, slots=True)
class Contents:
    """The list of all sheets of the pack with their pages."""


@dataclass(frozen=True, slots=True)
class PageBreak:
    """What follows starts on a new page."""


Block = (
    Table
    | Facts
    | Heading
    | Paragraph
    | Caution
    | FindingList
    | Figure
    | FigureRow
    | Card
    | Beside
    | Flow
    | Contents
    | PageBreak
)


def every_block(blocks: Iterable[Block]) -> Iterator[Block]:
    """Yield blocks and what stands inside them, in reading order."""
    for block in blocks:
        yield block
        match block:
            case Card() | Flow():
                yield from every_block(block.blocks)
            case Beside():
                for part in block.parts:
                    yield from every_block(part)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One paper of the pack, of one or more pages.

    Attributes:
        key: stable short key, also used in file names, e.g. "cut-list"
        title: what the paper is called
        blocks: content from top to bottom
        intro: one or two sentences: what it is for, how to read it
        cautions: safety cautions, printed before anything else
        stamps: words stamped across every page, e.g. `NOT_FOR_BUILD`
        big: type to read from an arm's length at the bench
        landscape: long side across
    """

    key: str
    title: str
    blocks: tuple[Block, ...]
    intro: str = ""
    cautions: tuple[str, ...] = ()
    stamps: tuple[str, ...] = ()
    big: bool = False
    landscape: bool = False

    @property
    def tables(self) -> tuple[Table, ...]:
        """All its tables in reading order, those on cards too."""
        return tuple(b for b in every_block(self.blocks) if isinstance(b, Table))


@dataclass(frozen=True, slots=True)
class PackHead:
    """What stands on every page of a pack.

    Attributes:
        job: title of the job
        revision: revision label; empty while nothing is issued
        digest: digest of the job the pack was made from
        issued: date as text, given by the caller; empty while nothing is issued
        foot: one line at the foot of every page
    """

    job: str
    revision: str
    digest: str
    issued: str = ""
    foot: str = "Figures are a design aid. The builder checks them against the parts in hand."
