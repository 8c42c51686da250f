"""Which papers of an issued pack are out of date: their content is compared, sheet by sheet."""

from collections import Counter
from dataclasses import dataclass

from loomwright.checks.worked import Worked
from loomwright.pack.draw_board import board_drawing
from loomwright.pack.pages import Sheet
from loomwright.pack.papers import papers
from loomwright.pack.view import View

COVER = "cover"


@dataclass(frozen=True, slots=True)
class Reprint:
    """One paper of either state.

    Attributes:
        state: "new", "changed", "gone" or "stays"
        rows: table rows on it that were not there before
    """

    key: str
    title: str
    state: str
    rows: int

    @property
    def prints(self) -> bool:
        """Whether it has to be printed."""
        return self.state in ("new", "changed")


@dataclass(frozen=True, slots=True)
class Reprints:
    """Every paper and board of two states.

    Attributes:
        sheets: papers in the order of the pack
        boards: looms whose board has to be printed
        boards_stay: looms whose board stays
        boards_gone: looms that have no board any more
    """

    sheets: tuple[Reprint, ...]
    boards: tuple[str, ...]
    boards_stay: tuple[str, ...]
    boards_gone: tuple[str, ...]


def reprints(before: View, after: View) -> Reprints:
    """Return what has to be printed again; digest, date and revision count for nothing but on the cover."""
    was, now = plain_papers(before), plain_papers(after)
    old, new = _boards(before.worked), _boards(after.worked)
    return Reprints(
        compared(was, now),
        tuple(name for name in new if old.get(name) != new[name]),
        tuple(name for name in new if old.get(name) == new[name]),
        tuple(name for name in old if name not in new),
    )


def plain_papers(view: View) -> tuple[Sheet, ...]:
    """Return all papers of a job without digest and date."""
    return papers(view.worked, view.findings, "", "")


def compared(before: tuple[Sheet, ...], after: tuple[Sheet, ...]) -> tuple[Reprint, ...]:
    """Return every paper with its state; the cover is printed again whenever another is.

    Args:
        before, after: papers without digest and date
    """
    was = {s.key: s for s in before}
    found = [_one(was.get(sheet.key), sheet) for sheet in after]
    names = {sheet.key for sheet in after}
    found += [Reprint(s.key, s.title, "gone", 0) for s in before if s.key not in names]
    if any(one.state != "stays" for one in found):
        found = [
            Reprint(one.key, one.title, "changed", one.rows)
            if (one.key, one.state) == (COVER, "stays")
            else one
            for one in found
        ]
    return tuple(found)


def _one(was: Sheet | None, now: Sheet) -> Reprint:
    state = "new" if was is None else "stays" if was == now else "changed"
    return Reprint(now.key, now.title, state, sum((_rows(now) - _rows(was)).values()))


def _rows(sheet: Sheet | None) -> Counter[object]:
    tables = sheet.tables if sheet is not None else ()
    return Counter(row for table in tables for row in table.rows)


def _boards(worked: Worked) -> dict[str, object]:
    return {board.loom: board_drawing(worked, board) for board in worked.built.boards}
