"""What an edit means: carried out on decoded values, without any text.

The text layer checks every edit against this before it hands back a changed text.
"""

import math
from collections.abc import Callable

from loomwright.edits import Edit, Path, Verb
from loomwright.errors import RefusedEdit
from loomwright.jobfile.toml_spans import Plain
from loomwright.jobfile.toml_write import path_words

_Branch = dict[str, Plain] | list[Plain]


def same(one: Plain, other: Plain) -> bool:
    """Return whether two values are the same in value and type (1, 1.0 and true differ; nan is nan)."""
    if isinstance(one, dict):
        return (
            isinstance(other, dict)
            and one.keys() == other.keys()
            and all(held is other[key] or same(held, other[key]) for key, held in one.items())
        )
    if isinstance(one, list):
        return isinstance(other, list) and len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return one == other or (math.isnan(one) and math.isnan(other))
    return type(one) is type(other) and one == other


def depth_there(values: dict[str, Plain], path: Path) -> int:
    """Return how many elements of a path exist.

    Args:
        values: decoded values of the whole text
        path: key path
    Errors: RefusedEdit when the path can't exist, as through a text or with a name in a list.
    """
    there: Plain = values
    for depth, step in enumerate(path):
        if isinstance(there, dict) and isinstance(step, str):
            if step not in there:
                return depth
            there = there[step]
        elif isinstance(there, list) and isinstance(step, int) and 0 <= step <= len(there):
            if step == len(there):
                return depth
            there = there[step]
        else:
            raise RefusedEdit(_no_way(path[:depth], there, step))
    return len(path)


def _no_way(path: Path, there: Plain, step: str | int) -> str:
    if isinstance(there, list):
        if isinstance(step, int):
            return f"{path_words(path)} has {len(there)} items; there is no item {step + 1} to work on."
        return f"{path_words(path)} is a list; name an item by its number, not by {step!r}."
    if isinstance(there, dict):
        return f"{path_words(path)} is a table; name its key, not a number."
    return f"{path_words(path)} holds {there!r} and can't hold {step!r} below it."


def at(values: Plain, path: Path) -> Plain:
    """Return the value at a path that exists."""
    for step in path:
        values = values[step]  # type: ignore[index]
    return values


def wrapped(steps: Path, value: Plain) -> Plain:
    """Return a value inside the tables and lists that a path still needs around it.

    Errors: RefusedEdit when a new list would not start at its first item.
    """
    for step in reversed(steps):
        if isinstance(step, int):
            if step != 0:
                raise RefusedEdit(f"A new list starts with its first item; there is no item {step + 1} yet.")
            value = [value]
        else:
            value = {step: value}
    return value


def checked(value: object) -> Plain:
    """Return a value when a job file can hold it; errors: RefusedEdit."""
    if isinstance(value, str):
        if any("\ud800" <= sign <= "\udfff" for sign in value):
            raise RefusedEdit(f"{value!r} holds half a character; write it anew.")
        return value
    if isinstance(value, bool | int | float):
        return value
    if isinstance(value, list | tuple):
        return [checked(one) for one in value]
    if isinstance(value, dict) and all(isinstance(key, str) for key in value):
        return {str(checked(key)): checked(one) for key, one in value.items()}
    takes = "texts, numbers, true and false, lists, tables"
    raise RefusedEdit(f"{value!r} can't stand in a job file; it takes {takes}.")


def plain_edit(values: dict[str, Plain], edit: Edit, implied: Callable[[Path], bool]) -> dict[str, Plain]:
    """Return the values after an edit; the values given stay as they are.

    Args:
        values: decoded values of the whole text
        edit: what to do
        implied: says of a table whether it is there only through what it holds, so that it goes
            when its last key goes
    Errors: RefusedEdit when the edit has nothing to work on or no sense.
    """
    path = edit.path
    if edit.verb is Verb.SET:
        value = checked(edit.value)
        depth = depth_there(values, path)
        if depth < len(path):
            path, value = path[: depth + 1], wrapped(path[depth + 1 :], value)
        if not path:
            return _table(value)
        return _table(_changed(values, path, lambda branch, step: _put(branch, step, value)))
    if not path:
        raise RefusedEdit("The whole file can't be removed or renamed; name a key.")
    if depth_there(values, path) < len(path):
        raise RefusedEdit(f"{path_words(path)} is not in the file; there is nothing to {edit.verb}.")
    if edit.verb is Verb.REMOVE:
        left = _table(_changed(values, path, _take))
        for depth in range(len(path) - 1, 0, -1):
            if at(left, path[:depth]) or not implied(path[:depth]):
                break
            left = _table(_changed(left, path[:depth], _take))
        return left
    return _renamed(values, path, edit.value)


def _renamed(values: dict[str, Plain], path: Path, name: object) -> dict[str, Plain]:
    if not isinstance(name, str) or not isinstance(path[-1], str):
        what = f"{path_words(path)} can't be renamed to {name!r}"
        raise RefusedEdit(f"{what}; only a key takes a name, and a name is a text.")
    checked(name)
    table = _table(at(values, path[:-1]))
    if name == path[-1]:
        return values
    if name in table:
        raise RefusedEdit(f"{path_words((*path[:-1], name))} is there already; choose another name.")
    new: Plain = {(name if key == path[-1] else key): held for key, held in table.items()}
    if len(path) == 1:
        return _table(new)
    return _table(_changed(values, path[:-1], lambda branch, step: _put(branch, step, new)))


def _table(value: Plain) -> dict[str, Plain]:
    if not isinstance(value, dict):
        raise RefusedEdit("The whole file can only be a table.")
    return value


def _changed(values: Plain, path: Path, change: Callable[[_Branch, str | int], None]) -> Plain:
    branch: _Branch = values.copy() if isinstance(values, dict | list) else {}
    if len(path) == 1:
        change(branch, path[0])
    else:
        _put(branch, path[0], _changed(at(branch, path[:1]), path[1:], change))
    return branch


def _put(branch: _Branch, step: str | int, value: Plain) -> None:
    if isinstance(branch, list) and step == len(branch):
        branch.append(value)
    else:
        branch[step] = value  # type: ignore[index]


def _take(branch: _Branch, step: str | int) -> None:
    del branch[step]  # type: ignore[arg-type]
