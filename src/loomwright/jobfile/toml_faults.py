"""Say in plain words what is wrong with a stretch of a job file that can't be read."""

import re
from collections.abc import Callable
from typing import Final, NamedTuple

_STRINGS: Final = re.compile(
    r'"(?:[^"\\\n]|\\[btnfr"\\]|\\u[0-9A-Fa-f]{4}|\\U[0-9A-Fa-f]{8})*"|' + r"'[^'\n]*'"
)
_PART: Final = r"""(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')"""
_SOUND_KEY: Final = re.compile(rf"{_PART}(?:\s*\.\s*{_PART})*")
_COMMENT: Final = re.compile(r"#[^\n]*")
_DECIMAL_COMMA: Final = re.compile(r"([+-]?\d+),(\d+)\s*$")
_BARE_WORD: Final = re.compile(r"[A-Za-z0-9_+-][^\"'\[\]{}#=]*$")
_FLAGS: Final = ("true", "false", "yes", "no")
_QUOTE_INSIDE: Final = re.compile(r'"[^"\\]*"[^",\]}#]+"')
_CURLY: Final = re.compile("[\u201c\u201d\u201e\u2018\u2019\u201a\u00ab\u00bb]")
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]|\r(?!\n)")


class Fault(NamedTuple):
    """What is wrong: how many characters into the stretch, what is, what should be."""

    offset: int
    words: str
    remedy: str


def fault_in(text: str) -> Fault:
    """Return what is wrong with a faulty stretch.

    Args:
        text: the stretch, from the start of its statement
    """
    for look in _LOOKS:
        found = look(text)
        if found:
            return found
    start = len(text) - len(text.lstrip())
    return Fault(start, f"{_shown(text)} can't be read", 'Write it as key = value, with texts in " "')


def _shown(text: str) -> str:
    lines = text.strip().splitlines() or [""]
    return lines[0] if len(lines[0]) <= 40 else lines[0][:39] + "…"


def _bare(text: str) -> str:
    """Return the text with sound strings and comments blanked out, at equal length."""
    blanked = _STRINGS.sub(lambda one: "_" * len(one.group()), text)
    return _COMMENT.sub(lambda one: " " * len(one.group()), blanked)


def _key_and_value(text: str) -> tuple[str, int, str] | None:
    """Return the key, where the value starts and the value's first line, or None without an = sign."""
    bare = _bare(text)
    equals = bare.find("=")
    if equals < 0 or "[" in bare[:equals] or "\n" in bare[:equals].strip():
        return None
    end = text.find("\n", equals)
    line = text[equals + 1 : end if end >= 0 else len(text)]
    value = line.strip(" \t\r")
    return text[:equals].strip(), equals + 1 + len(line) - len(line.lstrip(" \t")), value


def _control(text: str) -> Fault | None:
    found = _CONTROL.search(text)
    if not found:
        return None
    return Fault(
        found.start(), f"An unprintable character (code {ord(found.group()[0])}) stands here", "Delete it"
    )


def _head(text: str) -> Fault | None:
    bare = text.lstrip()
    if not bare.startswith("["):
        return None
    at = len(text) - len(bare)
    name = _shown(text).lstrip("[ ").split("]")[0].strip()
    if re.fullmatch(r"[^\"'\[\]]*[^\"'\[\].\w\s-][^\"'\[\]]*|[^\"'\[\]]*\s[^\"'\[\]]*", name):
        return Fault(
            at,
            f"The table head {_shown(text)} holds a name with a space or sign in it",
            f'Put such a name in " ", as in [circuit."{name.split(".")[-1].strip()}"]',
        )
    return Fault(
        at, f"The table head {_shown(text)} can't be read", "Write it as [kind.name] on a line of its own"
    )


def _open_quote(text: str) -> Fault | None:
    bare = _bare(text)
    for many in ('"""', "'''"):
        if text.count(many) % 2:
            return Fault(
                text.index(many), f"A text opened with {many} is not closed", f"Close it with {many}"
            )
    at = min((one for one in (bare.find('"'), bare.find("'")) if one >= 0), default=-1)
    if at < 0:
        return None
    if "\\" in text[at : (text.find("\n", at) + 1 or len(text))]:
        return Fault(
            at,
            "A text is not closed, or holds a \\ sequence that does not exist",
            "Write \\\\ for one \\, and close the text with its quote",
        )
    return Fault(at, f"A text opened with {text[at]} is not closed on its line", f"Close it with {text[at]}")


def _no_equals(text: str) -> Fault | None:
    first = _bare(text).strip().splitlines()
    if first and "=" in first[0]:
        return None
    at = len(text) - len(text.lstrip())
    return Fault(
        at,
        f"{_shown(text)} is neither a table head nor a key with a value",
        "Write key = value, or put # before a remark",
    )


def _key(text: str) -> Fault | None:
    found = _key_and_value(text)
    if not found or _SOUND_KEY.fullmatch(found[0]):
        return None
    if not found[0]:
        return Fault(text.find("="), "An = stands here without a key before it", "Write key = value")
    words = f"The key {_shown(found[0])} holds a space or a sign that needs quotes"
    return Fault(text.find(found[0]), words, 'Put such a name in " "; letters, digits, - and _ need none')


def _value(text: str) -> Fault | None:
    found = _key_and_value(text)
    if not found:
        return None
    key, at, written = found
    value = _COMMENT.sub("", written).strip()
    if not value:
        return Fault(at, f"The key {key} has no value", "Write one after the =, or delete the line")
    decimal = _DECIMAL_COMMA.match(value)
    if decimal:
        return Fault(at, f"{value} has a comma in it", f"Write the decimal point: {decimal[1]}.{decimal[2]}")
    if value.lower() in _FLAGS:
        right = "true" if value.lower() in ("true", "yes") else "false"
        return Fault(at, f"The value {value} is no value of a job file", f"Write {right}, in small letters")
    if _BARE_WORD.match(value):
        words = f"The value {value} is no number and stands without quotes"
        return Fault(at, words, f'Write "{value}" if it is a text, or the number alone')
    return None


def _typographic(text: str) -> Fault | None:
    found = _key_and_value(text)
    if not found or not _CURLY.search(found[2]) or _STRINGS.fullmatch(found[2]):
        return None
    inside = _CURLY.sub("", found[2]).strip("\"' ")
    words = f"The value of {found[0]} stands in printed quotes"
    return Fault(found[1], words, f'Write straight ones: "{inside}"')


def _quote_inside(text: str) -> Fault | None:
    found = _key_and_value(text)
    if not found or not _QUOTE_INSIDE.match(found[2]):
        return None
    inside = found[2].replace('"', "")
    return Fault(
        found[1],
        f"In the value of {found[0]} a quote stands inside the text",
        f'Take the inner quotes out: "{inside}"',
    )


def _open_bracket(text: str) -> Fault | None:
    bare = _bare(text)
    waiting: list[tuple[int, str]] = []
    for at, sign in enumerate(bare):
        if sign in "[{":
            waiting.append((at, sign))
        elif sign in "]}":
            if not waiting or waiting[-1][1] != {"]": "[", "}": "{"}[sign]:
                return Fault(
                    at, f"A {sign} stands here with nothing open for it", "Delete it, or open what it closes"
                )
            waiting.pop()
    if not waiting:
        return None
    at, sign = waiting[-1]
    return Fault(
        at, f"A {sign} is opened here and not closed", f"Close it with {']' if sign == '[' else '}'}"
    )


def _inside(text: str) -> Fault | None:
    found = _key_and_value(text)
    if not found or found[2][:1] not in ("[", "{"):
        return None
    key, at, value = found
    what = "brackets" if value[0] == "[" else "braces"
    remedy = 'Put a comma between its parts, and each text in " "; braces stay on one line'
    return Fault(at, f"The part in {what} of {key} can't be read", remedy)


_LOOKS: Final[tuple[Callable[[str], Fault | None], ...]] = (
    _control,
    _head,
    _typographic,
    _quote_inside,
    _open_quote,
    _no_equals,
    _key,
    _value,
    _open_bracket,
    _inside,
)
