"""Place new keys and tables in a text, in the style the text has already."""

from collections.abc import Sequence
from typing import Final, Literal

from loomwright.edits import Path
from loomwright.jobfile.edit_words import Splice
from loomwright.jobfile.plain_edit import at
from loomwright.jobfile.toml_spans import ROOT, Plain, Statement, StatementKind
from loomwright.jobfile.toml_text import TomlDocument
from loomwright.jobfile.toml_write import key_text, written

Style = Literal["pair", "dotted", "head", "elements"]
_MARK: Final = len("\ufeff".encode())


def own_head(document: TomlDocument, path: Path) -> int | None:
    """Return the index of the head that opens just this table or element, or None."""
    return next(
        (
            number
            for number, one in enumerate(document.statements)
            if one.path == path and one.kind is not StatementKind.PAIR
        ),
        None,
    )


def insert(document: TomlDocument, holder: Path, items: dict[str, Plain]) -> list[Splice]:
    """Return the splices that add keys to a table outside of values.

    Args:
        document: the text
        holder: path of a table that exists
        items: new keys with their values, at least one
    """
    dotted = [
        one for one in document.statements if one.base < len(holder) < len(one.path) and _in(one, holder)
    ]
    dotted = [one for one in dotted if one.kind is StatementKind.PAIR]
    if dotted:
        last = dotted[-1]
        lines = [
            line for key, one in items.items() for line in _dotted(document, (*holder, key), one, last.base)
        ]
        return _in_order(document.raw, _lines_after(document, last, lines))
    styles = {key: style_of(document, (*holder, key), one) for key, one in items.items()}
    lines = [
        line
        for key, one in items.items()
        if styles[key] in ("pair", "dotted")
        for line in _pair_lines(document, (*holder, key), one, len(holder), styles[key])
    ]
    blocks = [
        block
        for key, one in items.items()
        if styles[key] in ("head", "elements")
        for block in _blocks(document, (*holder, key), one, styles[key])
    ]
    placed = [*_place_lines(document, holder, lines), *_place_blocks(document, holder, blocks)]
    return _in_order(document.raw, placed)


def append_element(document: TomlDocument, holder: Path, value: dict[str, Plain]) -> list[Splice]:
    """Return the splices that add a [[table]] to a list of tables.

    Args:
        document: the text
        holder: path of the list
        value: the new table
    """
    number = len(at(document.values, holder))  # type: ignore[arg-type]
    block = _block(document, (*holder, number), value, "[[", "]]")
    return _in_order(document.raw, _place_blocks(document, holder, [block]))


def style_of(document: TomlDocument, path: Path, value: Plain) -> Style:
    """Return how a new key is written: like its namesakes elsewhere, like its neighbours, or by depth.

    Args:
        document: the text
        path: path of the new key
        value: its value
    """
    if isinstance(value, list):
        tables = value and all(isinstance(one, dict) for one in value)
        return "elements" if tables and len(path) == 1 else "pair"
    if not isinstance(value, dict):
        return "pair"
    style = _seen_style(document, path)
    if style is None:
        names = sum(isinstance(step, str) for step in path)
        leaf = not any(isinstance(one, dict) for one in value.values())
        style = "dotted" if names >= 3 and names % 2 and leaf else "head"
    return "pair" if style == "dotted" and not value else style


def _seen_style(document: TomlDocument, path: Path) -> Style | None:
    size = len(path)
    neighbour: Style | None = None
    for one in reversed(document.statements):
        if len(one.path) < size or one.path[: size - 2] != path[: size - 2]:
            continue
        namesake = size > 1 and one.path[size - 1] == path[-1]
        if not namesake and (neighbour or one.path[: size - 1] != path[:-1]):
            continue
        if not isinstance(at(document.values, one.path[:size]), dict):
            continue
        style: Style = "head" if one.base >= size or one.kind is not StatementKind.PAIR else "dotted"
        if style == "dotted" and len(one.path) == size:
            style = "pair"
        if namesake:
            return style
        neighbour = style
    return neighbour


def _in(one: Statement, path: Path) -> bool:
    return one.path[: len(path)] == path


def _pair_lines(document: TomlDocument, path: Path, value: Plain, base: int, style: Style) -> list[str]:
    if style == "dotted":
        return _dotted(document, path, value, base)
    key = key_text(path, base)
    return [f"{key} = {written(value, len(key) + 3)}"]


def _dotted(document: TomlDocument, path: Path, value: Plain, base: int) -> list[str]:
    if isinstance(value, dict) and value and _seen_style(document, path) != "pair":
        return [line for key, one in value.items() for line in _dotted(document, (*path, key), one, base)]
    return _pair_lines(document, path, value, base, "pair")


def _blocks(document: TomlDocument, path: Path, value: Plain, style: Style) -> list[list[str]]:
    if style == "elements" and isinstance(value, list):
        return [
            _block(document, (*path, number), one, "[[", "]]")
            for number, one in enumerate(value)
            if isinstance(one, dict)
        ]
    return [_block(document, path, value, "[", "]")] if isinstance(value, dict) else []


def _block(
    document: TomlDocument, path: Path, value: dict[str, Plain], opening: str, closing: str
) -> list[str]:
    lines: list[str] = []
    below: list[list[str]] = []
    for key, one in value.items():
        style = style_of(document, (*path, key), one)
        if style in ("head", "elements"):
            below += _blocks(document, (*path, key), one, style)
        else:
            lines += _pair_lines(document, (*path, key), one, len(path), style)
    block = [f"{opening}{key_text(path)}{closing}", *lines] if lines or not below or opening == "[[" else []
    for more in below:
        block += ["", *more] if block else more
    return block


def _line(text: str, newline: bytes) -> bytes:
    return text.encode().replace(b"\n", newline) + newline


def _place_lines(document: TomlDocument, holder: Path, lines: Sequence[str]) -> list[Splice]:
    if not lines:
        return []
    head = own_head(document, holder) if holder else ROOT
    if head is not None:
        section = [one for one in document.statements if one.section == head]
        if section:
            last = section[-1]
            return _lines_after(document, last, lines)
        return _lines_on_top(document, lines)
    first = next(one for one in document.statements if _in(one, holder))
    block = [f"[{key_text(holder)}]", *lines, ""]
    return [_before(document, first, block)]


def _lines_after(document: TomlDocument, last: Statement, lines: Sequence[str]) -> list[Splice]:
    raw = document.raw
    line = raw.rfind(b"\n", 0, last.start) + 1
    indent = raw[line : last.start] if not raw[line : last.start].strip(b" \t") else b""
    place = _line_end(raw, last.end)
    newline = newline_of(raw)
    return [Splice(place, place, b"".join(indent + _line(one, newline) for one in lines))]


def _lines_on_top(document: TomlDocument, lines: Sequence[str]) -> list[Splice]:
    if document.statements:
        return [_before(document, document.statements[0], [*lines, ""])]
    end = len(document.raw)
    newline = newline_of(document.raw)
    return [Splice(end, end, b"".join(_line(one, newline) for one in lines))]


def _before(document: TomlDocument, first: Statement, block: Sequence[str]) -> Splice:
    """Place lines above a statement and the comment lines right above it."""
    raw = document.raw
    place = raw.rfind(b"\n", 0, first.start) + 1
    while place:
        above = raw.rfind(b"\n", 0, place - 1) + 1
        if not raw[above:place].lstrip(b" \t").startswith(b"#"):
            break
        place = above
    if place == 0 and raw.startswith("\ufeff".encode()):
        place = _MARK
    newline = newline_of(raw)
    return Splice(place, place, b"".join(_line(one, newline) for one in block))


def _place_blocks(document: TomlDocument, holder: Path, blocks: Sequence[Sequence[str]]) -> list[Splice]:
    if not blocks:
        return []
    raw, newline = document.raw, newline_of(document.raw)
    family = [number for number, one in enumerate(document.statements) if one.path and _in(one, holder)]
    if family and holder:
        section = document.statements[family[-1]].section
        ends = [one.end for one in document.statements if one.section == section]
        place = _past_comments(raw, _line_end(raw, ends[-1]))
    else:
        place = len(raw)
    text = b"".join(newline + b"".join(_line(line, newline) for line in block) for block in blocks)
    if not raw[:place].strip() or raw[:place].endswith((b"\n\n", b"\n\r\n")):
        text = text[len(newline) :]
    if place < len(raw) and raw[place : raw.find(b"\n", place) + 1 or len(raw)].strip():
        text += newline
    return [Splice(place, place, text)]


def _past_comments(raw: bytes, place: int) -> int:
    """Return the place after comment lines that follow right on and belong to the table above."""
    past = place
    while past < len(raw) and raw[past : raw.find(b"\n", past) + 1 or len(raw)].lstrip(b" \t").startswith(
        b"#"
    ):
        past = _line_end(raw, past)
    following = raw[past : raw.find(b"\n", past) + 1 or len(raw)].lstrip(b" \t")
    return place if following.startswith(b"[") else past


def _in_order(raw: bytes, splices: list[Splice]) -> list[Splice]:
    """Return splices in order, with a line ending before what is added to an unended last line."""
    splices = sorted(splices, key=lambda one: one.start)
    if raw.endswith(b"\n") or not raw.removeprefix("\ufeff".encode()):
        return splices
    done: list[Splice] = []
    for one in splices:
        at_end = one.start == one.end == len(raw) and not any(two.start == len(raw) for two in done)
        done.append(Splice(one.start, one.end, newline_of(raw) + one.new) if at_end else one)
    return done


def newline_of(raw: bytes) -> bytes:
    """Return the line ending a text uses: that of its first line."""
    first = raw.find(b"\n")
    return b"\r\n" if first > 0 and raw[first - 1] == 13 else b"\n"


def _line_end(raw: bytes, byte: int) -> int:
    return raw.find(b"\n", byte) + 1 or len(raw)
