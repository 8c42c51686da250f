"""Edits inside a value: items of an array, keys of an inline table. Comments between items stay."""

import re
from collections.abc import Sequence
from typing import Final

from loomwright.edits import Path
from loomwright.errors import RefusedEdit
from loomwright.jobfile.edit_words import Splice
from loomwright.jobfile.plain_edit import wrapped
from loomwright.jobfile.toml_spans import Plain
from loomwright.jobfile.toml_values import Inner, InnerPair
from loomwright.jobfile.toml_write import key_text, path_words, quoted, written

_TOKEN: Final = re.compile(rb"#[^\r\n]*|,|\r?\n|[ \t]+")


def locate(held: Inner, rest: Path) -> tuple[Inner, Path]:
    """Return the deepest value on a path that stands by itself, and what is left of the path."""
    while rest:
        first = rest[0]
        if isinstance(first, int):
            if not 0 <= first < len(held.items):
                break
            held, rest = held.items[first], rest[1:]
            continue
        pair = next((one for one in held.pairs if one.path == rest[: len(one.path)]), None)
        if pair is None:
            break
        held, rest = pair.value, rest[len(pair.path) :]
    return held, rest


def set_inside(raw: bytes, held: Inner, path: Path, base: int, value: Plain, spelling: str) -> list[Splice]:
    """Return the splices that give a path inside a value a value.

    Args:
        raw: the text
        held: the whole value of a pair
        path: whole key path
        base: how many elements of the path lead to that pair
        value: what to set
        spelling: how the value is written
    """
    found, rest = locate(held, path[base:])
    if not rest:
        return [Splice(found.start, found.end, spelling.encode())]
    if isinstance(found.value, list) and rest[0] == len(found.items):
        text = spelling if len(rest) == 1 else written(wrapped(rest[1:], value))
        return _appended(raw, found, text.encode())
    if not isinstance(found.value, dict) or not isinstance(rest[0], str):
        raise RefusedEdit(f"{path_words(path)} can't be set; what is above it holds a value of another kind.")
    names = _leading_names(rest)
    text = spelling if len(names) == len(rest) else written(wrapped(rest[len(names) :], value))
    kept = [one for one in found.pairs if one.path[: len(names)] != names]
    near = max(_shared(one.path, names) for one in kept) if kept else 0
    after = max((at for at, one in enumerate(kept) if _shared(one.path, names) == near), default=-1)
    if near == 0:
        after = len(kept) - 1
        text = spelling if len(rest) == 1 else written(wrapped(rest[1:], value))
        names = names[:1]
    key = key_text((*path[: len(path) - len(rest)], *names), len(path) - len(rest))
    return [_braces(raw, found, kept, f"{key} = {text}".encode(), after)]


def remove_inside(raw: bytes, held: Inner, rest: Path) -> list[Splice]:
    """Return the splices that take a path inside a value away."""
    found, names = locate(held, rest)
    if not names:
        found, names = _above(held, rest)
    if isinstance(names[0], int):
        return _item_taken(raw, found, names[0])
    kept = [one for one in found.pairs if one.path[: len(names)] != names]
    return [_braces(raw, found, kept, b"", -1)]


def rename_inside(raw: bytes, held: Inner, rest: Path, name: str) -> list[Splice]:
    """Return the splices that give the last key of a path inside a value another name."""
    found, names = _above(held, rest)
    splices = []
    for pair in found.pairs:
        if pair.path[: len(names)] == names:
            part = pair.keys[len(names) - 1]
            text = quoted(name) if raw[part.start] == 34 else key_text((*rest[:-1], name), len(rest) - 1)
            splices.append(Splice(part.start, part.end, text.encode()))
    return splices


def implied_inside(held: Inner, rest: Path) -> bool:
    """Return whether a table inside a value is there only through dotted keys."""
    return bool(locate(held, rest)[1])


def _above(held: Inner, rest: Path) -> tuple[Inner, Path]:
    """Return the array or table that holds the last step of a path, and the steps from there."""
    for depth in range(len(rest) - 1, -1, -1):
        found, left = locate(held, rest[:depth])
        if not left:
            return found, rest[depth:]
    return held, rest


def _leading_names(rest: Path) -> Path:
    names: Path = ()
    for step in rest:
        if isinstance(step, int):
            break
        names = (*names, step)
    return names


def _shared(one: Path, other: Path) -> int:
    shared = 0
    while shared < min(len(one), len(other)) and one[shared] == other[shared]:
        shared += 1
    return shared


def _braces(raw: bytes, held: Inner, kept: Sequence[InnerPair], added: bytes, after: int) -> Splice:
    """Return an inline table anew: the kept pairs as they stand, one added after the given one."""
    first, last = (held.pairs[0], held.pairs[-1]) if held.pairs else (None, None)
    opening = raw[held.start + 1 : first.keys[0].start] if first else b" "
    closing = raw[last.value.end : held.end - 1] if last else b" "
    ends = {one.value.end: two.keys[0].start for one, two in zip(held.pairs, held.pairs[1:], strict=False)}
    before = {start: raw[end:start] for end, start in ends.items()}
    parts: list[bytes] = []
    for at, one in enumerate(kept):
        gap = before.get(one.keys[0].start, b", ") if at else b""
        parts += (gap, raw[one.keys[0].start : one.value.end])
        if added and at == after:
            parts += (b", ", added)
    if added and after < 0:
        parts.append(added)
    if not parts:
        return Splice(held.start, held.end, b"{}")
    return Splice(held.start, held.end, b"".join([b"{", opening, *parts, closing, b"}"]))


def _appended(raw: bytes, held: Inner, text: bytes) -> list[Splice]:
    close = held.end - 1
    if not held.items:
        return [Splice(close, close, text)]
    last = held.items[-1]
    before = raw[held.items[-2].end if len(held.items) > 1 else held.start : last.start]
    closing = raw[last.end : close]
    line = closing.rfind(b"\n")
    if b"\n" not in before or line < 0:
        return [Splice(last.end, last.end, b", " + text)]
    cut = last.end + line + 1
    indent = before.rpartition(b"\n")[2]
    newline = b"\r\n" if closing[:line].endswith(b"\r") else b"\n"
    comma = b"," if _has_comma(closing) else b""
    splices = [] if comma else [Splice(last.end, last.end, b",")]
    return [*splices, Splice(cut, cut, indent + text + comma + newline)]


def _has_comma(gap: bytes) -> bool:
    return any(one.group() == b"," for one in _TOKEN.finditer(gap))


def _item_taken(raw: bytes, held: Inner, at: int) -> list[Splice]:
    ends = [held.start + 1, *(one.end for one in held.items)]
    starts = [*(one.start for one in held.items), held.end - 1]
    before = raw[ends[at] : starts[at]]
    after = raw[ends[at + 1] : starts[at + 1]]
    rest = _own_part_dropped(after)
    if at < len(held.items) - 1:
        gap = before + rest.lstrip(b" \t\r\n") if b"#" in rest else before
        return [Splice(ends[at], starts[at + 1], gap)]
    lead = (before if _has_comma(after) else _comma_dropped(before)).rstrip(b" \t\r\n")
    in_comment = b"#" in lead.rpartition(b"\n")[2]
    if in_comment and not rest.lstrip(b" \t").startswith((b"\n", b"\r\n")):
        rest = (b"\r\n" if b"\r\n" in before else b"\n") + rest
    return [Splice(ends[at], starts[at + 1], lead + rest)]


def _own_part_dropped(gap: bytes) -> bytes:
    """Return the gap after an item without its comma, and without its comment on the same line."""
    kept: list[bytes] = []
    own_line = True
    for one in _TOKEN.finditer(gap):
        token = one.group()
        if token == b"," or (own_line and token.startswith(b"#")):
            continue
        if token.endswith(b"\n"):
            own_line = False
        kept.append(token)
    return b"".join(kept)


def _comma_dropped(gap: bytes) -> bytes:
    tokens = [one.group() for one in _TOKEN.finditer(gap)]
    return b"".join(token for token in tokens if token != b",")
