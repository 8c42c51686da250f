"""Reading the library's tables: one CSV per table, each row with the key of its source.

A table file is plain CSV: lines that start with # are comments, the first other line names the columns,
every later line is one row. The column `source` holds a key of `sources.csv`; after a colon stands what is
peculiar to that row ("WIRE-PAGES: TXL page"). Where a row's figures come from several, the weakest stands
first and gives the mark ("MEM + PETBRAID: wall and class from memory"). A builder's own file in the same form
is read the same way.
"""

import csv
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Final, NoReturn, TypeVar

from loomwright.errors import OutOfRange, Unreadable
from loomwright.sources import Mark, Source

T = TypeVar("T")
E = TypeVar("E", bound=StrEnum)
FEW: Final = 15  # names that still read well in one message


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table with the place it was read from.

    Attributes:
        file: name of the file, for messages
        line: line in that file, from 1
        cells: column name to cell text, blanks stripped
    """

    file: str
    line: int
    cells: Mapping[str, str]

    def text(self, column: str) -> str:
        """Return the cell; a column the file doesn't have reads as empty."""
        return self.cells.get(column, "")

    def name(self, column: str) -> str:
        """Return the cell, which must not be empty."""
        return self.text(column) or self._refuse(column, "is empty", "must be filled in")

    def number(self, column: str) -> float:
        """Return the cell as a finite number.

        Raises:
            Unreadable: the cell is no number.
        """
        value = self.number_or_none(column)
        return self._refuse(column, "is empty", "must be a number") if value is None else value

    def number_or_none(self, column: str) -> float | None:
        """Return the cell as a finite number, None when it is empty."""
        text = self.text(column)
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            return self._refuse(column, f"is {text!r}", "must be a number with a decimal point")
        return value if abs(value) < 1e12 else self._refuse(column, f"is {text!r}", "must be a finite number")

    def whole(self, column: str) -> int:
        """Return the cell as a whole number; empty reads as 0."""
        value = self.number_or_none(column) or 0.0
        if value != int(value):
            self._refuse(column, f"is {value}", "must be a whole number")
        return int(value)

    def yes(self, column: str) -> bool:
        """Return True for "yes", False for "no" or an empty cell."""
        text = self.text(column)
        if text not in ("yes", "no", ""):
            self._refuse(column, f"is {text!r}", "must be yes, no or empty")
        return text == "yes"

    def choice(self, column: str, kind: type[E]) -> E:
        """Return the cell as a member of an enumeration of the trade's words."""
        text = self.text(column)
        try:
            return kind(text)
        except ValueError:
            return self._refuse(column, f"is {text!r}", f"must be one of: {', '.join(kind)}")

    def words(self, column: str) -> tuple[str, ...]:
        """Return a cell of words parted by blanks."""
        return tuple(self.text(column).split())

    def source(self, column: str = "source") -> Source:
        """Return the source a cell names, as `source_named` reads it."""
        text = self.name(column)
        found = source_named(text)
        if found is None:
            self._refuse(column, f"is {text!r}", f"must start with one of: {', '.join(sources())}")
        return found

    def _refuse(self, column: str, what: str, should: str) -> NoReturn:
        told = f"Column {column} {what};", f"it {should}.", "Correct that cell."
        raise Unreadable(self.file, self.line, *told)


@cache
def source_named(text: str) -> Source | None:
    """Return the source "KEY", "KEY: note" or "WEAKEST + KEY: note" names; None if a key is unknown.

    The mark is that of the first key, which a row with figures of several kinds gives to its weakest.
    """
    keys, _, note = text.partition(":")
    found = [sources().get(key.strip()) for key in keys.split("+")]
    known = [one for one in found if one is not None]
    if len(known) < len(found):
        return None
    return Source(
        known[0].mark, "; ".join(part for part in (*(one.text for one in known), note.strip()) if part)
    )


def rows(text: str, file: str) -> tuple[Row, ...]:
    """Return the rows of a table.

    Args:
        text: the file's text
        file: its name, for messages
    Raises:
        Unreadable: no column line, or a row with another number of cells; says the line.
    """
    reader = csv.reader(text.splitlines())
    header: tuple[str, ...] = ()
    found: list[Row] = []
    for cells in reader:
        if not cells or cells[0].lstrip().startswith("#"):
            continue
        if not header:
            header = tuple(cell.strip() for cell in cells)
        elif len(cells) != len(header):
            what = f"This row has {len(cells)} cells;"
            should = f"it should have {len(header)}: {', '.join(header)}."
            remedy = "Put a cell that holds a comma in double quotes."
            raise Unreadable(file, reader.line_num, what, should, remedy)
        else:
            pairs = zip(header, (cell.strip() for cell in cells), strict=True)
            found.append(Row(file, reader.line_num, dict(pairs)))
    if not header:
        raise Unreadable(file, None, "No line names the columns;", "the first line must name them.", "")
    return tuple(found)


def packaged(name: str) -> str:
    """Return the text of one of the library's own data files."""
    from importlib.resources import files

    return files("loomwright.library").joinpath("data", name).read_text("utf-8")


def packaged_rows(name: str) -> tuple[Row, ...]:
    """Return the rows of one of the library's own tables."""
    return rows(packaged(name), name)


@cache
def sources() -> Mapping[str, Source]:
    """Return every source the library's tables name, by key."""
    read = packaged_rows("sources.csv")
    named = {row.name("key"): Source(row.choice("mark", Mark), row.text("text")) for row in read}
    return MappingProxyType(named)


def by_name(found: Iterable[T], name: Callable[[T], str]) -> Mapping[str, T]:
    """Return things by their name, in the order given; a name met twice is the later thing.

    Putting a builder's own things after the library's so replaces those of the same name.
    """
    return MappingProxyType({name(one): one for one in found})


def nearest(name: str, names: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """Return the known names that look most like a misspelt one, best first."""
    from difflib import SequenceMatcher

    wanted = " ".join(name.lower().replace(",", " ").split())
    scored = []
    for known in names:
        plain = " ".join(known.lower().replace(",", " ").split())
        shared = len(set(wanted.split()) & set(plain.split()))
        likeness = SequenceMatcher(None, wanted, plain).ratio() + 0.2 * shared
        if likeness >= 0.55:
            scored.append((-likeness, known))
    return tuple(known for _, known in sorted(scored)[:most])


def pick(what: str, name: str, table: Mapping[str, T]) -> T:
    """Return the thing of that name.

    Raises:
        OutOfRange: there is none; the message gives the nearest names, or all if they are few.
    """
    found = table.get(name)
    if found is not None:
        return found
    like = nearest(name, table)
    remedy = "see the list in docs/library.md"
    if like:
        remedy = f"did you mean {' or '.join(repr(one) for one in like)}"
    all_names = f"one of the {len(table)} names known" if len(table) > FEW else f"one of: {', '.join(table)}"
    raise OutOfRange(what, repr(name), all_names, remedy)
