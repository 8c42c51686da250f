"""Read the text of a job file to values that know where they stand.

`read_text` never raises: doubled keys and what can't be read become problems, each with its line, and
the sound tables are there all the same.
"""

import hashlib
import re
from bisect import bisect_right
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from loomwright.edits import Path
from loomwright.jobfile.toml_cut import TWO_ON_ONE_LINE, Unsound, cut
from loomwright.jobfile.toml_faults import fault_in
from loomwright.jobfile.toml_spans import Plain, Span, Spans, Statement, StatementKind, TextProblem
from loomwright.jobfile.toml_tables import Clash, Gathered, gather
from loomwright.jobfile.toml_values import Inner, inner_at

_BOM: Final = "\ufeff".encode()
_ALLOWED_ANYTHING: Final = re.compile(
    rb"""\"{3}(?:[^\\]|\\.)*?\"{3}|'{3}.*?'{3}|\"(?:[^"\\\n]|\\.)*\"|'[^'\n]*'|\#[^\n]*""", re.DOTALL
)
_MOST_PROBLEMS: Final = 200  # nobody mends more before reading the file again (ours)


@dataclass(frozen=True, slots=True)
class TomlDocument:
    """The text of a job file, decoded, with the place of everything in it.

    Attributes:
        text: the text as it stands in the file
        digest: SHA-256 of its UTF-8 bytes, in hex
        values: decoded values; dates and times as ISO 8601 texts. Not to be changed
        problems: what can't be taken as it stands, in order
        raw: the text's UTF-8 bytes
        statements: all statements in order; those left out have an empty path
        index: the first statement of every key path outside of values
    """

    text: str
    digest: str
    values: dict[str, Plain]
    problems: tuple[TextProblem, ...]
    raw: bytes = field(repr=False)
    statements: tuple[Statement, ...] = field(repr=False)
    index: dict[Path, int] = field(repr=False)

    def line_of(self, path: Path) -> int:
        """Return the line (from 1) of a key path or of its nearest existing ancestor, else 1."""
        for depth in range(len(path), 0, -1):
            found = self.span_of(path[:depth])
            if found:
                return found.line
        return 1

    def span_of(self, path: Path) -> Spans | None:
        """Return where a key path stands, or None when it is not in the text.

        A table with several statements is told by its first one.
        """
        at = self.index.get(path)
        if at is not None:
            one = self.statements[at]
            key = one.keys[min(_part_of(one, path), len(one.keys) - 1)]
            whole = one.kind is not StatementKind.PAIR or len(path) == len(one.path)
            value = (one.value, one.end) if whole else (one.start, one.end)
            return self._spans((one.start, one.end), (key.start, key.end), value)
        inner = self.inner_of(path)
        if inner is None:
            return None
        start, held = inner
        return self._spans((start, held.end), (start, held.start), (held.start, held.end))

    def inner_of(self, path: Path) -> tuple[int, Inner] | None:
        """Return the first byte and the value of a path inside an array or an inline table, or None."""
        one = self.pair_above(path)
        if one is None:
            return None
        held = inner_at(self.raw, one.value, one.end)
        return _find(held, one.start, path[len(one.path) :])

    def pair_above(self, path: Path) -> Statement | None:
        """Return the pair that holds a path: its own or the one whose value it is inside of."""
        for depth in range(len(path), 0, -1):
            at = self.index.get(path[:depth])
            if at is not None:
                one = self.statements[at]
                return one if one.kind is StatementKind.PAIR and len(one.path) == depth else None
        return None

    def _spans(self, statement: tuple[int, int], key: tuple[int, int], value: tuple[int, int]) -> Spans:
        return Spans(
            Span(*map(self.character, statement)),
            Span(*map(self.character, key)),
            Span(*map(self.character, value)),
            self.raw.count(b"\n", 0, statement[0]) + 1,
        )

    def character(self, byte: int) -> int:
        """Return the place in the text, in characters, of a place in bytes."""
        if len(self.raw) == len(self.text):
            return byte
        return len(self.raw[:byte].decode(errors="replace"))


def _part_of(one: Statement, path: Path) -> int:
    names = sum(isinstance(name, str) for name in path[one.base :])
    return names - 1


def _find(held: Inner, start: int, rest: Path) -> tuple[int, Inner] | None:
    if not rest:
        return start, held
    first = rest[0]
    if isinstance(first, int):
        if not 0 <= first < len(held.items):
            return None
        item = held.items[first]
        return _find(item, item.start, rest[1:])
    for pair in held.pairs:
        shared = min(len(pair.path), len(rest))
        if pair.path[:shared] == rest[:shared]:
            if len(rest) < len(pair.path):  # a table made by dotted keys: told by its first pair
                return pair.keys[0].start, pair.value
            found = _find(pair.value, pair.keys[0].start, rest[shared:])
            if found:
                return found
    return None


@lru_cache(maxsize=4)
def read_text(text: str) -> TomlDocument:
    """Return the document of a text; never raises; the last few are remembered.

    Args:
        text: TOML; a byte order mark at its start is kept
    """
    raw = text.encode("utf-8", "replace")
    gathered = gather(cut(raw))
    starts = _line_starts(raw)
    problems = [_unsound_problem(raw, starts, one) for one in gathered.unsound]
    problems += [_clash_problem(raw, starts, gathered, one) for one in gathered.clashes]
    if raw.decode() != text:
        problems.append(_half_characters(text))
    if raw.find(_BOM, 1) > 0:
        problems += _stray_marks(raw, starts)
    return TomlDocument(
        text=text,
        digest=digest_of(raw),
        values=gathered.values,
        problems=tuple(sorted(problems)[:_MOST_PROBLEMS]),
        raw=raw,
        statements=tuple(gathered.statements),
        index=gathered.index,
    )


def digest_of(raw: bytes) -> str:
    """Return the SHA-256 of bytes, in hex."""
    return hashlib.sha256(raw).hexdigest()


def _line_starts(raw: bytes) -> list[int]:
    starts = [0]
    at = raw.find(b"\n") + 1
    while at:
        starts.append(at)
        at = raw.find(b"\n", at) + 1
    return starts


def _place(raw: bytes, starts: list[int], byte: int) -> tuple[int, int]:
    line = bisect_right(starts, byte)
    return line, len(raw[starts[line - 1] : byte].decode(errors="replace")) + 1


def _unsound_problem(raw: bytes, starts: list[int], one: Unsound) -> TextProblem:
    if one.words:
        remedy = "Put each on its own line" if one.words == TWO_ON_ONE_LINE else "Correct it"
        return TextProblem(*_place(raw, starts, one.start), one.words + ".", remedy + ".")
    fault = fault_in(raw[one.start : one.end].decode(errors="replace"))
    before = raw[one.start : one.end].decode(errors="replace")[: fault.offset]
    return TextProblem(
        *_place(raw, starts, one.start + len(before.encode())), fault.words + ".", fault.remedy + "."
    )


def _clash_problem(raw: bytes, starts: list[int], gathered: Gathered, one: Clash) -> TextProblem:
    line, column = _place(raw, starts, one.start)
    if one.first is None:
        return TextProblem(line, column, one.words + ".", "Delete one of the two.")
    kept = gathered.statements[one.first]
    first, _ = _place(raw, starts, kept.start)
    words = f"{one.words}: in line {first} and in line {line}; line {first} is kept."
    return TextProblem(line, column, words, "Delete one of the two, or give it another name.", kept.path)


def _stray_marks(raw: bytes, starts: list[int]) -> list[TextProblem]:
    bare = _ALLOWED_ANYTHING.sub(lambda one: b"_" * len(one.group()), raw)
    return [
        TextProblem(
            *_place(raw, starts, one.start()),
            "An invisible sign (byte order mark) stands here.",
            "Delete it.",
        )
        for one in re.finditer(_BOM, bare)
        if one.start() > 0
    ]


def _half_characters(text: str) -> TextProblem:
    at = next(at for at, sign in enumerate(text) if "\ud800" <= sign <= "\udfff")
    line = text.count("\n", 0, at) + 1
    return TextProblem(line, at - text.rfind("\n", 0, at), "Half a character stands here.", "Delete it.")
