"""Where things stand in a text: key parts, statements and their spans.

Offsets inside are bytes of the UTF-8 text, because the parser counts bytes; `Span`, what other
files see, counts characters.
"""

from enum import IntEnum
from typing import NamedTuple, Union

from loomwright.edits import Path, Scalar

Plain = Union[Scalar, "list[Plain]", "dict[str, Plain]"]  # a decoded value; dates are ISO 8601 strings
ROOT = -1  # the section of statements above the first table head


class StatementKind(IntEnum):
    """What a statement is."""

    PAIR = 0  # key = value
    TABLE = 1  # [key]
    ELEMENT = 2  # [[key]]


class KeyPart(NamedTuple):
    """One part of a dotted key: its decoded name and its bytes, quotes included."""

    name: str
    start: int
    end: int


class Statement(NamedTuple):
    """One statement of the text, in file order.

    Attributes:
        kind: pair, table head or head of an array element
        keys: the parts of its key, at least one
        path: its whole key path with array indexes; empty when it was rejected (stands twice, clashes)
        base: how many elements of the path come from the head above it (0 for heads)
        start: first byte, the key's or the bracket's
        value: first byte of the value (pairs), else the same as `end`
        end: byte after the value or the closing bracket
        section: index of the head it stands under, or ROOT
    """

    kind: StatementKind
    keys: tuple[KeyPart, ...]
    path: Path
    base: int
    start: int
    value: int
    end: int
    section: int


class Span(NamedTuple):
    """A stretch of the text in characters: first one, and the one after the last."""

    start: int
    end: int


class Spans(NamedTuple):
    """Where a key path stands: the whole statement, the key, the value (characters), the line (from 1)."""

    statement: Span
    key: Span
    value: Span
    line: int


class TextProblem(NamedTuple):
    """Something in the text that can't be taken as it stands.

    Attributes:
        line: line, from 1
        column: column in characters, from 1
        words: what is, a sentence
        remedy: what should be or what to do, a sentence
        path: what is not used because of it, () = can't be told
    """

    line: int
    column: int
    words: str
    remedy: str
    path: Path = ()
