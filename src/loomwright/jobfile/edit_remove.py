"""Take statements and tables out of a text, and give keys another name."""

from collections.abc import Collection

from loomwright.edits import Path
from loomwright.jobfile.edit_insert import own_head
from loomwright.jobfile.edit_words import Splice
from loomwright.jobfile.toml_spans import Statement, StatementKind
from loomwright.jobfile.toml_text import TomlDocument
from loomwright.jobfile.toml_write import key_text, quoted


def remove(document: TomlDocument, paths: Collection[Path]) -> list[Splice]:
    """Return the splices that take away all statements of some paths outside of values.

    Args:
        document: the text
        paths: key paths of pairs or tables, each with all below it
    """
    doomed = [
        number
        for number, one in enumerate(document.statements)
        if one.path and any(one.path[: len(path)] == path for path in paths)
    ]
    heads = {number for number in doomed if document.statements[number].kind is not StatementKind.PAIR}
    doomed = sorted({*doomed, *(at for at, one in enumerate(document.statements) if one.section in heads)})
    runs: list[list[int]] = []
    for number in doomed:
        in_table = document.statements[number].section in heads
        if (
            runs
            and runs[-1][-1] == number - 1
            and in_table
            and document.statements[number - 1].section in heads
        ):
            runs[-1].append(number)
        else:
            runs.append([number])
    return [_run_taken(document, run, run[0] in heads) for run in runs]


def _run_taken(document: TomlDocument, run: list[int], is_table: bool) -> Splice:
    raw = document.raw
    first, last = document.statements[run[0]], document.statements[run[-1]]
    start = raw.rfind(b"\n", 0, first.start) + 1
    if raw[start : first.start].strip(b" \t"):
        start = first.start  # a byte order mark
    end = raw.find(b"\n", last.end) + 1 or len(raw)
    if not is_table:
        return Splice(start, end, b"")
    blank_above = not raw[:start].strip() or raw[:start].endswith((b"\n\n", b"\n\r\n"))
    while blank_above and end < len(raw):
        line = raw.find(b"\n", end) + 1 or len(raw)
        if raw[end:line].strip():
            break
        end = line
    return Splice(start, end, b"")


def rename(document: TomlDocument, path: Path, name: str) -> list[Splice]:
    """Return the splices that give the last key of a path outside of values another name.

    Args:
        document: the text
        path: key path
        name: the new name
    """
    splices = []
    for one in document.statements:
        if one.base < len(path) and one.path[: len(path)] == path:
            part = one.keys[_part(one, path)]
            bare = key_text((*path[:-1], name), len(path) - 1)
            text = quoted(name) if document.raw[part.start] == 34 else bare
            splices.append(Splice(part.start, part.end, text.encode()))
    return splices


def _part(one: Statement, path: Path) -> int:
    return sum(isinstance(step, str) for step in path[one.base :]) - 1


def implied(document: TomlDocument, path: Path) -> bool:
    """Return whether a table or list outside of values is there only through what it holds."""
    return own_head(document, path) is None
