"""Write values and keys as TOML: texts quoted, keys bare where possible, cavity names always quoted."""

import math
import re
from types import MappingProxyType
from typing import Final

from loomwright.edits import Path
from loomwright.jobfile.toml_spans import Plain

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+\Z")
_ESCAPES: Final = MappingProxyType(
    {"\\": "\\\\", '"': '\\"', "\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}
)
_ESCAPED: Final = re.compile(r'[\\"\x00-\x1f\x7f]')
_UNSEEN: Final = re.compile(r"[\x00-\x09\x0b-\x1f\x7f]")
_LAST_OF_ROW: Final = re.compile(r'"(?="|\Z)')
_WIDE: Final = 100  # characters; a longer array gets one item per line (ours)
QUOTED_BELOW: Final = "cavity"  # names right below this key are always quoted


def written(value: Plain, key_width: int = 0) -> str:
    """Return a value in TOML.

    Args:
        value: what to write
        key_width: characters the line holds before it; an array too wide for one line gets a line per item

    A text of several lines is written on several lines.
    """
    if isinstance(value, str) and "\n" in value and not _UNSEEN.search(value):
        return '"""\n' + _LAST_OF_ROW.sub('\\\\"', value.replace("\\", "\\\\")) + '"""'
    text = _inline(value)
    if isinstance(value, list) and len(value) > 1 and key_width + len(text) > _WIDE:
        return "[\n" + "".join(f"    {_inline(one)},\n" for one in value) + "]"
    return text


def _inline(value: Plain) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return _float(value)
    if isinstance(value, list):
        return "[" + ", ".join(_inline(one) for one in value) + "]"
    if not value:
        return "{}"
    return "{ " + ", ".join(f"{key_text((key,))} = {_inline(one)}" for key, one in value.items()) + " }"


def _float(value: float) -> str:
    if math.isnan(value):
        return "nan"
    if math.isinf(value):
        return "inf" if value > 0 else "-inf"
    return repr(value)


def quoted(text: str) -> str:
    """Return a text in double quotes, with what must be escaped escaped."""
    return (
        '"' + _ESCAPED.sub(lambda one: _ESCAPES.get(one.group()) or f"\\u{ord(one.group()):04X}", text) + '"'
    )


def key_text(path: Path, base: int = 0) -> str:
    """Return the dotted key for a path, array indexes left out.

    Args:
        path: whole key path
        base: how many elements stand in the table head already
    """
    parts = []
    for at in range(base, len(path)):
        name = path[at]
        if isinstance(name, str):
            keep_bare = _BARE.match(name) and not (at and path[at - 1] == QUOTED_BELOW)
            parts.append(name if keep_bare else quoted(name))
    return ".".join(parts)


def path_words(path: Path) -> str:
    """Return a path for people: dotted, array items counted from 1."""
    words = ""
    for name in path:
        if isinstance(name, int):
            words += f" (no. {name + 1})"
        else:
            words += ("." if words else "") + (name if _BARE.match(name) else quoted(name))
    return words or "the file"
