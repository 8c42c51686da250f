"""Apply TOML's rules on tables to the statements of a text, and keep going past what breaks them.

Of a key that stands twice the first is kept; of a table that stands twice the first is kept with all
below it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from loomwright.edits import Path
from loomwright.jobfile.toml_cut import Rough, Unsound
from loomwright.jobfile.toml_spans import ROOT, Plain, Statement, StatementKind
from loomwright.jobfile.toml_write import path_words

_Table = dict[str, Plain]


class _Clash(Exception):
    """A key breaks a table rule; carries the part of the path that was there first."""

    def __init__(self, first: Path, words: str) -> None:
        self.first, self.words = first, words
        super().__init__(words)


@dataclass(frozen=True, slots=True)
class Clash:
    """A statement that was left out: where it starts, where the first one is, what is wrong."""

    start: int
    first: int | None
    words: str


@dataclass(slots=True)
class Gathered:
    """Values, statements and faults of a text while its statements are gathered.

    Attributes:
        values: decoded tables
        statements: all statements in order, rejected ones with an empty path
        index: first statement of every key path outside values
        clashes: statements left out
        unsound: stretches that can't be read
    """

    values: _Table = field(default_factory=dict)
    statements: list[Statement] = field(default_factory=list)
    index: dict[Path, int] = field(default_factory=dict)
    clashes: list[Clash] = field(default_factory=list)
    unsound: list[Unsound] = field(default_factory=list)
    _closed: set[Path] = field(default_factory=set)  # arrays and inline tables: nothing may be added
    _headed: set[Path] = field(default_factory=set)  # tables that may not be opened again
    _dotted: set[Path] = field(default_factory=set)  # tables opened by dotted keys in this section


def gather(found: Iterable[Rough | Unsound]) -> Gathered:
    """Return the tables and statements of a text.

    Args:
        found: its statements in order
    """
    done = Gathered()
    table: _Table | None = done.values
    path: Path = ()
    section = ROOT
    for one in found:
        if isinstance(one, Unsound):
            done.unsound.append(one)
        elif one.kind is StatementKind.PAIR:
            _pair(done, one, table, path, section)
        else:
            section = len(done.statements)
            table, path = _section(done, one, section)
    return done


def _section(done: Gathered, one: Rough, section: int) -> tuple[_Table | None, Path]:
    done._headed |= done._dotted
    done._dotted.clear()
    table: _Table | None = None
    path: Path = ()
    if one.keys:
        try:
            table, path = _open(done, one.kind, [part.name for part in one.keys])
        except _Clash as clash:
            done.clashes.append(Clash(one.start, done.index.get(clash.first), clash.words))
    done.statements.append(
        Statement(one.kind, one.keys, path, 0, one.start, one.value_start, one.end, section)
    )
    for depth in range(1, len(path) + 1):
        done.index.setdefault(path[:depth], section)
    return table, path


def _open(done: Gathered, kind: StatementKind, names: list[str]) -> tuple[_Table, Path]:
    above, path = _below(done, done.values, (), names[:-1])
    last = names[-1]
    path = (*path, last)
    there = above.get(last)
    if kind is StatementKind.TABLE:
        if path in done._headed or path in done._closed or isinstance(there, list):
            raise _Clash(path, f"The table {path_words(path)} stands twice")
        if there is None:
            there = above[last] = {}
        elif not isinstance(there, dict):
            raise _Clash(path, f"{path_words(path)} is a table here and has a value already")
        done._headed.add(path)
        return there, path
    if path in done._closed or (there is not None and not isinstance(there, list)):
        raise _Clash(path, f"{path_words(path)} is a list of tables here and something else already")
    listed: list[Plain] = there if isinstance(there, list) else []
    above[last] = listed
    table: _Table = {}
    listed.append(table)
    done._headed.add(path)
    done._headed.add((*path, len(listed) - 1))
    return table, (*path, len(listed) - 1)


def _below(done: Gathered, table: _Table, path: Path, names: list[str]) -> tuple[_Table, Path]:
    for name in names:
        path = (*path, name)
        there = table.get(name)
        if there is None:
            there = table[name] = {}
        if path in done._closed:
            raise _Clash(path, f"{path_words(path)} is closed already; nothing can be added to it")
        if isinstance(there, list):
            path = (*path, len(there) - 1)
            there = there[-1]
        if not isinstance(there, dict):
            raise _Clash(path, f"{path_words(path)} has a value already and can't be a table, too")
        table = there
    return table, path


def _pair(done: Gathered, one: Rough, table: _Table | None, above: Path, section: int) -> None:
    names = [part.name for part in one.keys]
    path = (*above, *names)
    if table is None:
        path = ()  # the table it stands in was left out
    else:
        try:
            if len(names) > 1:
                table = _dotted(done, table, above, names)
            if names[-1] in table:
                raise _Clash(path, f"The key {path_words(path)} stands twice")
            table[names[-1]] = one.value
            if isinstance(one.value, list | dict):
                done._closed.add(path)
        except _Clash as clash:
            done.clashes.append(Clash(one.start, done.index.get(clash.first), clash.words))
            path = ()
    done.statements.append(
        Statement(one.kind, one.keys, path, len(above), one.start, one.value_start, one.end, section)
    )
    for depth in range(len(above) + 1, len(path) + 1):
        done.index.setdefault(path[:depth], len(done.statements) - 1)


def _dotted(done: Gathered, table: _Table, above: Path, names: list[str]) -> _Table:
    opened = [(*above, *names[:depth]) for depth in range(1, len(names))]
    for path in opened:
        if path in done._headed:
            raise _Clash(path, f"The table {path_words(path)} has a head of its own")
    below, _ = _below(done, table, above, names[:-1])
    done._dotted.update(opened)
    return below
