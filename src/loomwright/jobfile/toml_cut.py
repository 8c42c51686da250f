"""Cut a text into statements, and keep going past what can't be read.

A sound text is parsed once. In a faulty one the parser's own recovery may swallow sound lines, so
the text is cut at its table heads and, inside a faulty part, at its lines; each sound piece is used,
each faulty one is named.
"""

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from tree_sitter import Node, Parser

from loomwright.jobfile.toml_spans import KeyPart, Plain, StatementKind
from loomwright.jobfile.toml_values import (
    COMMENT,
    ELEMENT,
    PAIR,
    TABLE,
    BadValue,
    key_parts,
    parser,
    value_of,
)

_HEAD: Final = re.compile(
    rb"""^[ \t]*(?:
        \[+[ \t]*[A-Za-z][^\n=,]*$                                    # opened, then like a name
        | \[+[ \t]*(?:[^\[\],="'\#\r\n]|"[^"\n]*"|'[^'\n]*')+\]{0,2}[ \t]*(?:\#.*)?\r?$
        | [^\s\[\]{},="'\#](?:[^\],="'\#\r\n]|"[^"\n]*"|'[^'\n]*')*\]\]?[ \t]*(?:\#.*)?\r?$     # not opened
    )""",
    re.MULTILINE | re.VERBOSE,
)
_LINE: Final = re.compile(rb"^[ \t]*(?=[^ \t\r\n#])", re.MULTILINE)
_PAIR: Final = re.compile(
    rb"""[ \t]*[^\s\[\]{}=,#"'][^=,\[\]{}"']*=|[ \t]*(?:"[^"\n]*"|'[^'\n]*')[ \t]*[.=]"""
)
_BLANKED: Final = re.compile(rb"""\"(?:[^"\\\n]|\\.)*\"|'[^'\n]*'|\#[^\n]*""")
TWO_ON_ONE_LINE: Final = "Two statements stand on one line"
_MOST_JOINED: Final = 60  # how many lines or heads one many-line value may span in a faulty text (ours)
_MOST_TRIES: Final = 2000  # tries to find the end of many-line values in one faulty text (ours)


class Rough(NamedTuple):
    """A statement as found, before table rules are applied; a head without keys is one that can't be read."""

    kind: StatementKind
    keys: tuple[KeyPart, ...]
    start: int
    value_start: int
    end: int
    value: Plain

    def moved(self, by: int) -> "Rough":
        """The same, further on in the text [bytes]."""
        keys = tuple(KeyPart(name, start + by, end + by) for name, start, end in self.keys)
        return Rough(self.kind, keys, self.start + by, self.value_start + by, self.end + by, self.value)


class Unsound(NamedTuple):
    """A stretch of bytes that can't be read; `words` is empty where only the grammar knows."""

    start: int
    end: int
    words: str

    def moved(self, by: int) -> "Unsound":
        """The same, further on in the text [bytes]."""
        return Unsound(self.start + by, self.end + by, self.words)


class _Trial(NamedTuple):
    """The parser, and how many longer pieces may still be tried in this text."""

    parser: Parser
    left: Iterator[int]


def cut(raw: bytes) -> Iterator[Rough | Unsound]:
    """Yield the statements of a text in order, with what can't be read between them.

    Args:
        raw: the text in UTF-8
    """
    parse = parser()
    tree = parse.parse(raw)
    if not tree.root_node.has_error:
        yield from _walk(tree.root_node, raw, 0)
        return
    trial = _Trial(parse, iter(range(_MOST_TRIES)))
    for start, end, root in _pieces(raw, 0, len(raw), _HEAD, trial):
        if root is not None:
            yield from _walk(root, raw, start)
        else:
            yield from _lines(raw, start, end, trial)


def _lines(raw: bytes, start: int, end: int, trial: _Trial) -> Iterator[Rough | Unsound]:
    waiting: Unsound | None = None
    for first, after, root in _pieces(raw, start, end, _LINE, trial):
        if root is None and waiting and not _HEAD.match(raw, first) and not _PAIR.match(raw, first):
            waiting = Unsound(waiting.start, after, "")  # goes on from the faulty line above
            continue
        if waiting:
            yield from _unsound(raw, waiting)
        waiting = Unsound(first, after, "") if root is None else None
        if root is not None:
            yield from _walk(root, raw, first)
    if waiting:
        yield from _unsound(raw, waiting)


def _unsound(raw: bytes, one: Unsound) -> Iterator[Rough | Unsound]:
    yield one
    if _HEAD.match(raw, one.start):
        yield Rough(StatementKind.TABLE, (), one.start, one.end, one.end, False)


def _pieces(
    raw: bytes, start: int, end: int, border: re.Pattern[bytes], trial: _Trial
) -> Iterator[tuple[int, int, Node | None]]:
    borders = sorted({start, *(one.start() for one in border.finditer(raw, start, end)), end})
    at = 0
    while at < len(borders) - 1:
        first = borders[at]
        step, root = _shortest_sound(raw, borders, at, trial)
        yield first, borders[at + step], root
        at += step


def _shortest_sound(raw: bytes, borders: list[int], at: int, trial: _Trial) -> tuple[int, Node | None]:
    first = borders[at]
    for step in range(1, min(_MOST_JOINED, len(borders) - 1 - at) + 1):
        piece = raw[first : borders[at + step]]
        root = trial.parser.parse(piece).root_node
        if not root.has_error:
            return step, root
        if (step == 1 and not _left_open(piece)) or next(trial.left, None) is None:
            break
    return 1, None


def _left_open(piece: bytes) -> bool:
    """Say whether a many-line text or array may go on after a piece."""
    if piece.count(b'"""') % 2 or piece.count(b"'''") % 2:
        return True
    bare = _BLANKED.sub(b"", piece)
    return bare.count(b"[") > bare.count(b"]") or bare.count(b"{") > bare.count(b"}")


def _walk(root: Node, raw: bytes, base: int) -> Iterator[Rough | Unsound]:
    line_end = -1
    for node in root.children:
        kind = node.kind_id
        if kind == PAIR:
            yield from _pairs((node,), raw, base, line_end)
            line_end = node.end_byte + base
        elif kind in (TABLE, ELEMENT):
            start = node.start_byte + base
            piece = raw[start : node.end_byte + base].rstrip()
            if line_end >= 0 and raw.find(b"\n", line_end, start) < 0:
                yield from _crowded(node.children, kind, raw, base)
            else:
                for one in _table(piece):
                    yield one.moved(start)
            line_end = start + len(piece)
        elif kind != COMMENT:
            yield Unsound(node.start_byte + base, node.end_byte + base, "")


@lru_cache(maxsize=16384)
def _table(piece: bytes) -> tuple[Rough | Unsound, ...]:
    """Return the statements of one sound table, offsets from its bracket; remembered."""
    node = parser().parse(piece).root_node.children[0]
    parts = node.children
    return (*_head(parts, node.kind_id, piece), *_pairs(parts[3:], piece, 0, parts[2].end_byte))


def _crowded(parts: Sequence[Node], kind: int, raw: bytes, base: int) -> Iterator[Rough | Unsound]:
    """Yield a table whose head stands on a line with something else: what is in it has no place."""
    start, end = parts[0].start_byte + base, parts[2].end_byte + base
    yield Unsound(start, end, TWO_ON_ONE_LINE)
    yield Rough(_which(kind), (), start, end, end, False)
    yield from _pairs(parts[3:], raw, base, end)


def _head(parts: Sequence[Node], kind: int, piece: bytes) -> Iterator[Rough | Unsound]:
    start, end = parts[0].start_byte, parts[2].end_byte
    keys: tuple[KeyPart, ...] = ()
    try:
        keys = key_parts(parts[1], piece, 0)
    except BadValue as bad:
        yield Unsound(bad.start, end, bad.words)
    yield Rough(_which(kind), keys, start, end, end, False)


def _which(kind: int) -> StatementKind:
    return StatementKind.TABLE if kind == TABLE else StatementKind.ELEMENT


def _pairs(nodes: Sequence[Node], raw: bytes, base: int, line_end: int) -> Iterator[Rough | Unsound]:
    for node in nodes:
        if node.kind_id != PAIR:
            continue
        parts = node.children
        key, held = parts[0], parts[2]
        start, end = key.start_byte + base, held.end_byte + base
        if line_end >= 0 and raw.find(b"\n", line_end, start) < 0:
            yield Unsound(start, end, TWO_ON_ONE_LINE)
            continue
        line_end = end
        try:
            keys = key_parts(key, raw, base)
            value = value_of(held, raw, base)
        except BadValue as bad:
            yield Unsound(bad.start, end, bad.words)
            continue
        yield Rough(StatementKind.PAIR, keys, start, held.start_byte + base, end, value)
