"""Decode TOML keys and values from the syntax tree.

Usual values are decoded here; rare spellings (escapes, hexadecimal, dates, several lines) go one by
one through `tomllib`, so that they mean what the standard reader says they mean.
"""

import datetime
import json
import re
import tomllib
from typing import Final, NamedTuple

from tree_sitter import Language, Node, Parser
from tree_sitter_toml import language

from loomwright.edits import Path
from loomwright.jobfile.toml_spans import KeyPart, Plain

TOML: Final = Language(language())
_kind = TOML.id_for_node_kind
PAIR: Final = _kind("pair", True)
TABLE: Final = _kind("table", True)
ELEMENT: Final = _kind("table_array_element", True)
COMMENT: Final = _kind("comment", True)
_BARE: Final = _kind("bare_key", True)
_STRING: Final = _kind("string", True)
_INTEGER: Final = _kind("integer", True)
_FLOAT: Final = _kind("float", True)
_BOOLEAN: Final = _kind("boolean", True)
_ARRAY: Final = _kind("array", True)
_INLINE: Final = _kind("inline_table", True)
_PUNCTUATION: Final = frozenset(_kind(one, False) for one in "[]{},=")
_KEY_PART: Final = re.compile(rb"""[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*'""", re.DOTALL)
_HARD: Final = re.compile(rb"[\\\x00-\x08\x0a-\x1f\x7f]")


class BadValue(ValueError):
    """A value the grammar allows and TOML does not; carries its first byte and what is wrong."""

    def __init__(self, start: int, words: str) -> None:
        self.start, self.words = start, words
        super().__init__(words)


class Inner(NamedTuple):
    """A value with the parts inside it.

    Attributes:
        start: first byte
        end: byte after the last
        value: decoded value
        items: values of an array, in order
        pairs: keys and values of an inline table, in order
    """

    start: int
    end: int
    value: Plain
    items: tuple["Inner", ...] = ()
    pairs: tuple["InnerPair", ...] = ()


class InnerPair(NamedTuple):
    """A key and its value inside an inline table; `path` is relative to that table."""

    keys: tuple[KeyPart, ...]
    path: Path
    value: Inner


def parser() -> Parser:
    """Return a parser for TOML."""
    return Parser(TOML)


def key_parts(node: Node, raw: bytes, base: int) -> tuple[KeyPart, ...]:
    """Return the parts of a key.

    Args:
        node: the key's node
        raw: the whole text
        base: first byte of the piece the tree was made from
    Errors: BadValue when a quoted part can't be decoded.
    """
    start, end = node.start_byte + base, node.end_byte + base
    if node.kind_id == _BARE:
        return (KeyPart(raw[start:end].decode(), start, end),)
    return tuple(
        KeyPart(_key_name(raw, one.start(), one.end()), one.start(), one.end())
        for one in _KEY_PART.finditer(raw, start, end)
    )


def _key_name(raw: bytes, start: int, end: int) -> str:
    if raw[start] not in b"\"'":
        return raw[start:end].decode()
    return str(_string(raw, start, end))


def value_of(node: Node, raw: bytes, base: int) -> Plain:
    """Return the decoded value of a value node; errors: BadValue."""
    kind = node.kind_id
    start, end = node.start_byte + base, node.end_byte + base
    if kind == _STRING:
        return _string(raw, start, end)
    if kind in (_INTEGER, _FLOAT):
        return _number(raw, start, end, kind == _FLOAT)
    if kind == _BOOLEAN:
        return raw[start] == 116  # the t of true
    if kind == _ARRAY and raw.find(b"\\", start, end) < 0 and raw.find(b"\x7f", start, end) < 0:
        try:  # arrays of plain strings and numbers are spelt alike in JSON
            return json.loads(raw[start:end])  # type: ignore[no-any-return]
        except (ValueError, RecursionError):
            pass
    return inner_of(node, raw, base).value


def inner_of(node: Node, raw: bytes, base: int) -> Inner:
    """Return a value node with the parts inside it; errors: BadValue."""
    start, end = node.start_byte + base, node.end_byte + base
    try:
        if node.kind_id == _ARRAY:
            items = tuple(inner_of(one, raw, base) for one in _parts(node))
            return Inner(start, end, [one.value for one in items], items)
        if node.kind_id == _INLINE:
            return _inline(node, raw, base)
    except RecursionError as deep:
        raise BadValue(start, "The value is nested too deeply") from deep
    if node.kind_id in (_STRING, _INTEGER, _FLOAT, _BOOLEAN):
        return Inner(start, end, value_of(node, raw, base))
    return Inner(start, end, _reference(raw, start, end))


def inner_at(raw: bytes, start: int, end: int) -> Inner:
    """Return the value that stands at raw[start:end] with the parts inside it; errors: BadValue."""
    head = b"v="
    tree = parser().parse(head + raw[start:end])
    pair = tree.root_node.child(0)
    if tree.root_node.has_error or pair is None:
        raise BadValue(start, "The value can't be read")
    values = [one for one in _parts(pair) if one.kind_id != _BARE]
    return inner_of(values[0], raw, start - len(head))


def _parts(node: Node) -> list[Node]:
    return [one for one in node.children if one.kind_id not in _PUNCTUATION and one.kind_id != COMMENT]


def _inline(node: Node, raw: bytes, base: int) -> Inner:
    value: dict[str, Plain] = {}
    closed: set[Path] = set()
    pairs: list[InnerPair] = []
    for pair in _parts(node):
        key, held = _parts(pair)
        keys = key_parts(key, raw, base)
        one = InnerPair(keys, tuple(part.name for part in keys), inner_of(held, raw, base))
        _place(value, closed, one)
        pairs.append(one)
    return Inner(node.start_byte + base, node.end_byte + base, value, (), tuple(pairs))


def _place(table: dict[str, Plain], closed: set[Path], pair: InnerPair) -> None:
    where, names = table, pair.path
    for depth, name in enumerate(names[:-1]):
        below = where.setdefault(str(name), {})
        if not isinstance(below, dict) or names[: depth + 1] in closed:
            raise BadValue(pair.keys[0].start, f"Inside the braces the key {name} has a value already")
        where = below
    last = str(names[-1])
    if last in where:
        raise BadValue(pair.keys[0].start, f"Inside the braces the key {last} stands twice")
    where[last] = pair.value.value
    closed.add(names)


def _string(raw: bytes, start: int, end: int) -> Plain:
    quote = raw[start]
    if raw[start + 1] == quote and end - start > 2:
        return _reference(raw, start, end)
    text = raw[start + 1 : end - 1]
    if _HARD.search(text):
        return _reference(raw, start, end)
    return text.decode()


def _number(raw: bytes, start: int, end: int, is_float: bool) -> Plain:
    text = raw[start:end]
    try:
        if is_float:
            return float(text)
        if text.isdigit():
            return int(text)
    except ValueError:
        pass
    return _reference(raw, start, end)


def _reference(raw: bytes, start: int, end: int) -> Plain:
    try:
        found = tomllib.loads("v=" + raw[start:end].decode())["v"]
    except (ValueError, RecursionError) as fault:
        raise BadValue(start, _plain_words(raw, start, end)) from fault
    if isinstance(found, datetime.date | datetime.time):  # a datetime is a date, too
        return found.isoformat()
    return found  # type: ignore[no-any-return]


def _plain_words(raw: bytes, start: int, end: int) -> str:
    text = raw[start:end].decode(errors="replace")
    shown = text if len(text) <= 40 else text[:39] + "…"
    if raw[start] in b"\"'":
        return f"The text {shown} holds a character or a \\ sequence that TOML does not know"
    return f"{shown} is not a date, time or number"
