"""What is lost with a line of the job file that can't be read: its table and key, and the names in it."""

import re
from typing import Final

from loomwright.jobfile.toml_spans import StatementKind, TextProblem
from loomwright.jobfile.toml_text import TomlDocument
from loomwright.jobfile.toml_write import path_words

_QUOTED: Final = re.compile(r'"([^"\n]+)"')
_UNSEEN: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
_WORD: Final = re.compile(r"[\w.+-]+")


def names_lost(document: TomlDocument, problem: TextProblem) -> tuple[str, ...]:
    """Return the names of what isn't used because of a problem in the text.

    Args:
        document: the text as it was read
        problem: one of its problems
    """
    if problem.path:
        return (path_words(problem.path), *_names(document, problem.line))
    return tuple(dict.fromkeys((*_place(document, problem.line), *_names(document, problem.line))))


def _line(document: TomlDocument, line: int) -> str:
    rows = document.text.split("\n")
    return _UNSEEN.sub("", rows[line - 1]) if line <= len(rows) else ""


def _names(document: TomlDocument, line: int) -> tuple[str, ...]:
    """Return the names in a line: what stands in quotes, the words, the value without its quotes."""
    text = _line(document, line)
    value = text.partition("=")[2].partition("#")[0].replace('"', "").strip()
    return tuple(dict.fromkeys((*_QUOTED.findall(text), *_WORD.findall(text), *filter(None, [value]))))


def _place(document: TomlDocument, line: int) -> tuple[str, ...]:
    """Return the key path a line stands at: of a table head the table, of another its key below its head."""
    text = _line(document, line).split("#")[0].strip()
    if text.startswith("["):
        return (text.strip("[] "), *_QUOTED.findall(text))
    before = sum(len(row) + 1 for row in document.raw.split(b"\n")[: line - 1])
    above = next(
        (
            one.path
            for one in reversed(document.statements)
            if one.kind is not StatementKind.PAIR and one.start < before
        ),
        (),
    )
    key = text.partition("=")[0].strip().replace(" ", "")
    place = f"{path_words(above)}.{key}" if above else key
    cavity = len(above) > 1 and above[0] == "device" and key.startswith("cavity")
    return (place, f"a cavity of {above[1]}") if cavity else (place,)
