"""Carry out edits on the text of a job file; comments, order and spacing stay.

Every edit is checked after it was carried out: the changed text is read again, and what it says must
be what the edit means. Otherwise the edit is refused and the text stays as it was.
"""

from collections.abc import Iterable

from loomwright.edits import Edit, Path, Verb
from loomwright.errors import RefusedEdit
from loomwright.jobfile import edit_insert, edit_remove
from loomwright.jobfile.edit_inner import implied_inside, locate, remove_inside, rename_inside, set_inside
from loomwright.jobfile.edit_words import Applied, Splice, WrittenEdit, spliced
from loomwright.jobfile.plain_edit import at, checked, depth_there, plain_edit, same, wrapped
from loomwright.jobfile.toml_spans import Plain, Statement
from loomwright.jobfile.toml_text import TomlDocument, read_text
from loomwright.jobfile.toml_values import BadValue, Inner, inner_at
from loomwright.jobfile.toml_write import path_words, written

_Back = tuple[Splice, ...]


def apply(document: TomlDocument, edits: Iterable[Edit]) -> Applied:
    """Return the text after edits, with what brings the former text back.

    Args:
        document: the text
        edits: what to do, in order; all or none
    Errors: RefusedEdit, in words, when one can't be carried out or the text would say something else.
    """
    work = _Work(document)
    inverse: list[Edit] = []
    waiting = list(edits)
    while waiting:
        together = waiting[: work.replaceable(waiting) or 1]
        expected = work.document.values
        for edit in together:
            expected = plain_edit(expected, edit, work.implied)
            inverse[:0] = _inverse(work.document, edit)
        work.carry_out(together)
        if not same(expected, work.document.values):
            raise RefusedEdit(_no_fit(document, together[0]))
        del waiting[: len(together)]
    if len(work.document.problems) > len(document.problems):
        line = work.document.problems[0].line
        raise RefusedEdit(f"The edits would leave a fault in line {line}; nothing was changed.")
    return Applied(work.document, tuple(inverse), tuple(reversed(work.back)))


def _no_fit(document: TomlDocument, edit: Edit) -> str:
    line = document.line_of(edit.path)
    what = path_words(edit.path)
    words = f"{what} can't be changed here without changing other things; edit line {line} by hand."
    if document.problems:
        words += f" First mend line {document.problems[0].line}: {document.problems[0].words}"
    return words


class _Work:
    """A text while edits are carried out on it."""

    def __init__(self, document: TomlDocument) -> None:
        self.document = document
        self.back: list[_Back] = []

    def splice(self, splices: list[Splice]) -> None:
        raw, back = spliced(self.document.raw, sorted(splices, key=lambda one: (one.start, one.end)))
        if raw != self.document.raw:
            self.document = read_text(raw.decode())
            self.back.append(back)

    def implied(self, path: Path) -> bool:
        pair = self.document.pair_above(path)
        if pair is None:
            return edit_remove.implied(self.document, path)
        return implied_inside(_inner(self.document, pair), path[len(pair.path) :])

    def replaceable(self, edits: list[Edit]) -> int:
        """Return how many of the first edits only give single keys new values, each another key."""
        seen: set[Path] = set()
        for edit in edits:
            pair = self.document.pair_above(edit.path)
            if edit.verb is not Verb.SET or pair is None or pair.path != edit.path or edit.path in seen:
                break
            seen.add(edit.path)
        return len(seen)

    def carry_out(self, edits: list[Edit]) -> None:
        """Carry one edit out, or several that are replaceable in one go."""
        if len(edits) > 1:
            self.splice([one for edit in edits for one in self.replaced(edit)])
            return
        edit = edits[0]
        if edit.verb is Verb.SET:
            value = checked(edit.value)
            self.set(edit.path, value, _spelling(edit, value))
        elif edit.verb is Verb.REMOVE:
            self.remove(edit.path)
        else:
            self.rename(edit.path, str(edit.value))

    def rename(self, path: Path, name: str) -> None:
        pair = self.document.pair_above(path)
        if pair is None or len(pair.path) == len(path):
            self.splice(edit_remove.rename(self.document, path, name))
        else:
            self.splice(
                rename_inside(self.document.raw, _inner(self.document, pair), path[len(pair.path) :], name)
            )

    def remove(self, path: Path) -> None:
        pair = self.document.pair_above(path)
        if pair is None or len(pair.path) == len(path):
            self.splice(edit_remove.remove(self.document, [path]))
        else:
            self.splice(remove_inside(self.document.raw, _inner(self.document, pair), path[len(pair.path) :]))

    def replaced(self, edit: Edit) -> list[Splice]:
        pair = self.document.pair_above(edit.path)
        value = checked(edit.value)
        if pair is None:
            raise RefusedEdit(f"{path_words(edit.path)} is no single value.")
        text = self.in_manner(_spelling(edit, value))
        return [Splice(pair.value, pair.end, text.encode())]

    def in_manner(self, text: str) -> str:
        """Return a text with the line endings of the file."""
        return text.replace("\r\n", "\n").replace("\n", edit_insert.newline_of(self.document.raw).decode())

    def set(self, path: Path, value: Plain, spelling: str) -> None:
        document = self.document
        pair = document.pair_above(path)
        if pair is not None:
            held = _inner(document, pair)
            self.splice(set_inside(document.raw, held, path, len(pair.path), value, self.in_manner(spelling)))
        elif depth_there(document.values, path) == len(path):
            self.set_existing(path, value)
        elif document.problems:
            fault = document.problems[0]
            what = f"First mend line {fault.line}: {fault.words}"
            raise RefusedEdit(f"Nothing new can be put into a faulty text. {what}")
        else:
            self.set_missing(path, value)

    def set_existing(self, path: Path, value: Plain) -> None:
        old = at(self.document.values, path)
        keeps_its_place = bool(value) or not path or not edit_remove.implied(self.document, path)
        if isinstance(old, dict) and isinstance(value, dict) and keeps_its_place:
            self.set_table(path, old, value)
        elif (
            isinstance(old, list)
            and isinstance(value, list)
            and value
            and all(isinstance(one, dict) for one in value)
        ):
            self.set_elements(path, old, value)
        elif isinstance(path[-1], int):
            items = at(self.document.values, path[:-1])
            changed = [value if step == path[-1] else one for step, one in enumerate(items)]  # type: ignore[arg-type]
            self.set_existing(path[:-1], changed)
        else:
            self.remove(path)
            self.set_missing(path, value)

    def set_table(self, path: Path, old: dict[str, Plain], new: dict[str, Plain]) -> None:
        for key, value in new.items():
            if key in old and not same(old[key], value):
                self.set((*path, key), value, written(value))
        added = {key: value for key, value in new.items() if key not in old}
        if added:
            self.splice(edit_insert.insert(self.document, path, added))
        gone = [(*path, key) for key in old if key not in new]
        if gone:
            self.splice(edit_remove.remove(self.document, gone))

    def set_elements(self, path: Path, old: list[Plain], new: list[Plain]) -> None:
        for step, value in enumerate(new[: len(old)]):
            if not same(old[step], value):
                self.set((*path, step), value, written(value))
        for value in new[len(old) :]:
            if isinstance(value, dict):
                self.splice(edit_insert.append_element(self.document, path, value))
        for step in range(len(old) - 1, len(new) - 1, -1):
            self.splice(edit_remove.remove(self.document, [(*path, step)]))

    def set_missing(self, path: Path, value: Plain) -> None:
        values = self.document.values
        depth = depth_there(values, path)
        holder, step = path[:depth], path[depth]
        value = wrapped(path[depth + 1 :], value)
        above = at(values, holder)
        if isinstance(step, str):
            self.splice(edit_insert.insert(self.document, holder, {step: value}))
        elif isinstance(value, dict):
            self.splice(edit_insert.append_element(self.document, holder, value))
        elif isinstance(above, list):
            self.set_existing(holder, [*above, value])


def _inner(document: TomlDocument, pair: Statement) -> Inner:
    return inner_at(document.raw, pair.value, pair.end)


def _spelling(edit: Edit, value: Plain) -> str:
    if isinstance(edit, WrittenEdit) and edit.written:
        raw = edit.written.encode()
        try:
            if same(inner_at(raw, 0, len(raw)).value, value):
                return edit.written
        except BadValue:
            pass
    return written(value)


def _inverse(document: TomlDocument, edit: Edit) -> list[Edit]:
    """Return the edits that undo an edit on this text."""
    path, values = edit.path, document.values
    if edit.verb is Verb.RENAME:
        return [Edit(Verb.RENAME, (*path[:-1], str(edit.value)), path[-1], edit.reason)]
    depth = depth_there(values, path)
    if edit.verb is Verb.SET and depth < len(path):
        return [Edit(Verb.REMOVE, path[: depth + 1], None, edit.reason)]
    if edit.verb is Verb.REMOVE and isinstance(path[-1], int):
        path = path[:-1]  # an item comes back at its place only with its whole list
    return [_former(document, path, edit.reason)]


def _former(document: TomlDocument, path: Path, reason: str) -> Edit:
    value = at(document.values, path)
    pair = document.pair_above(path)
    if pair is not None:
        held, rest = locate(_inner(document, pair), path[len(pair.path) :])
        if not rest:
            text = document.raw[held.start : held.end].decode()
            return WrittenEdit(Verb.SET, path, value, reason, text)
    return Edit(Verb.SET, path, value, reason)
