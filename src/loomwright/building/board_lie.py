"""How the parts of a loom lie on the board now, and what happens when one is turned."""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from loomwright.building.board_plane import BOARD, Frame, Ints
from loomwright.building.board_task import Task, Turn
from loomwright.building.shape import Floats, trouble, troubles

SHEET_MM: Final = (264.0, 168.0)  # what one A4 sheet shows without what it shares
SHARED_MM: Final = 10.0  # what neighbouring sheets share, common practice
BORDER_MM: Final = 40.0  # kept free round the board; ours
CELLS: Final = 48  # sheets each way before the count begins anew; ours
State = tuple[list[float], Floats, Floats, Floats, Ints, Ints]


class Lie:
    """Parts as they lie; turned in place.

    Attributes:
        deg: turn of every part against what it hangs on, at the datum its direction [degrees]
        facing: its direction on the board [degrees]
        pivot: where it hangs on the board [mm]
        rows: x1, y1, x2, y2 of every piece on the board [mm]
        corner: lower left corner of the board when sheets were counted last [mm]
        cell: the sheet every dot is on
        count: dots on every sheet
        lifted: pieces that are not on the board now
        away: parts that are not on the board now
        habits: what was worked out of a part's direction among its neighbours [sheets]
        moved: where something was turned so far: x, y, radius [mm]
    """

    def __init__(self, task: Task, frame: Frame, deg: Sequence[float]) -> None:
        self.task, self.frame, self.deg = task, frame, list(deg)
        count = len(frame.parts)
        self.facing, self.pivot = np.zeros(count), np.zeros((count, 2))
        self.rows = np.zeros_like(frame.local)
        self.corner = (0.0, 0.0)
        self.habits: dict[tuple[float, ...], float] = {}
        self.moved: list[tuple[float, float, float]] = []
        self.lifted = np.zeros(len(frame.local), dtype=bool)
        self.away = [False] * count
        self._stand()
        self.anchor()

    def anchor(self) -> None:
        """Count sheets anew from the corner the board has now."""
        piece, share, _ = self.frame.dots
        left, low, _, _ = self.box
        self.corner = (left - BORDER_MM, low - BORDER_MM)
        self.cell = self._cells(self.rows[piece], share)
        self.count = np.bincount(self.cell[~self.lifted[piece]], minlength=CELLS * CELLS)

    def _cells(self, rows: Floats, share: Floats) -> Ints:
        """Return the sheet each dot is on, numbered."""
        (left, low), (wide, high) = self.corner, SHEET_MM
        x = rows[..., 0] + share * (rows[..., 2] - rows[..., 0]) - left - SHARED_MM / 2
        y = rows[..., 1] + share * (rows[..., 3] - rows[..., 1]) - low - SHARED_MM / 2
        column = np.floor(x / wide).astype(np.intp) % CELLS
        return np.asarray(column + np.floor(y / high).astype(np.intp) % CELLS * CELLS)

    def lift(self, part: int, away: bool) -> None:
        """Take a part, with all that hangs on it, off the board, or lay it down again."""
        first, last = self.frame.pieces_of(part)
        self.lift_pieces(first, last, away)
        for n in range(part, self.frame.after[part]):
            self.away[n] = away
        if not away:
            self._note(part)

    def lift_pieces(self, first: int, last: int, away: bool) -> None:
        """Take pieces off the board or lay them down again."""
        self.lifted[first:last] = away
        _, _, start = self.frame.dots
        some = np.bincount(self.cell[start[first] : start[last]], minlength=CELLS * CELLS)
        self.count += -some if away else some

    def _marked(self, part: int) -> None:
        """Note on which sheets a part lies now."""
        first, last = self.frame.pieces_of(part)
        piece, share, start = self.frame.dots
        a, b = start[first], start[last]
        now = self._cells(self.rows[piece[a:b]], share[a:b])
        here = ~self.lifted[piece[a:b]]
        self.count -= np.bincount(self.cell[a:b][here], minlength=CELLS * CELLS)
        self.count += np.bincount(now[here], minlength=CELLS * CELLS)
        self.cell[a:b] = now

    def sheets(self, part: int, layers: Floats) -> Floats:
        """Return how many sheets are printed on, for every way of laying a part."""
        first, last = self.frame.pieces_of(part)
        piece, share, start = self.frame.dots
        a, b = start[first], start[last]
        own = np.bincount(self.cell[a:b], minlength=CELLS * CELLS)
        free = self.count == (0 if self.lifted[first] else own)
        new = np.zeros((len(layers), CELLS * CELLS), dtype=bool)
        new[np.arange(len(layers))[:, None], self._cells(layers[:, piece[a:b] - first], share[a:b])] = True
        return np.asarray((new & free).sum(axis=1) + (CELLS * CELLS - free.sum()), dtype=np.float64)

    def _stand(self) -> None:
        parts, owner, local = self.frame.parts, self.frame.owner, self.frame.local
        for n, part in enumerate(parts):
            self.facing[n] = self.deg[n] + (0.0 if part.on == BOARD else self.facing[part.on])
            if part.on != BOARD:
                base = self.facing[part.on]
                self.pivot[n] = self.pivot[part.on] + _turned(np.array(part.at), base)
        way, start = np.radians(self.facing)[owner], self.pivot[owner]
        c, s = np.cos(way), np.sin(way)
        for k in (0, 2):
            x, y = local[:, k], local[:, k + 1]
            self.rows[:, k], self.rows[:, k + 1] = start[:, 0] + x * c - y * s, start[:, 1] + x * s + y * c

    def turn(self, part: int, deg: float) -> None:
        """Turn a part with all that hangs on it."""
        by = deg - self.deg[part]
        self.deg[part] = deg
        self.rows[slice(*self.frame.pieces_of(part))] = self.turned(part, np.array([by]))[0]
        some = slice(part, self.frame.after[part])
        self.facing[some] += by
        self.pivot[some] = self.pivot[part] + _turned(self.pivot[some] - self.pivot[part], by)
        self._note(part)

    def shift(self, part: int, deg: float) -> None:
        """Turn a part's own line; what hangs on its far end is moved and keeps its direction."""
        by = deg - self.deg[part]
        first = self.frame.first[part]
        layer = self.shifted(part, np.array([by]))[0]
        step = layer[0, 2:] - self.rows[first, 2:]
        self.rows[slice(*self.frame.pieces_of(part))] = layer
        self.pivot[part + 1 : self.frame.after[part]] += step
        self.deg[part] = deg
        self.facing[part] += by
        for n in self.frame.hanging[part]:
            self.deg[n] -= by
        self._note(part)

    def _note(self, part: int) -> None:
        self._marked(part)
        x, y = self.pivot[part].tolist()
        self.moved.append((x, y, self.radius(part)))

    def radius(self, part: int) -> float:
        """Return how far a part reaches from where it hangs, with all that hangs on it [mm]."""
        points = self.rows[slice(*self.frame.pieces_of(part))].reshape(-1, 2) - self.pivot[part]
        return float(np.sqrt((points * points).sum(axis=1).max()))

    def turned(self, part: int, by_deg: Floats) -> Floats:
        """Return the pieces of a part, and what hangs on it, turned further: a layer for every turn."""
        rows = self.rows[slice(*self.frame.pieces_of(part))]
        return _about(rows, self.pivot[part], by_deg)

    def shifted(self, part: int, by_deg: Floats) -> Floats:
        """Return the same with only the part's own line turned, and what hangs on it moved."""
        first, last = self.frame.pieces_of(part)
        own = self.frame.first[part + 1]
        line = _about(self.rows[first:own], self.pivot[part], by_deg)
        step = line[:, 0, 2:] - self.rows[first, 2:]
        rest = self.rows[None, own:last] + np.concatenate((step, step), axis=1)[:, None, :]
        return np.concatenate((line, rest), axis=1)

    def trouble(self, part: int, layers: Floats) -> Floats:
        """Return how much a part gets in the way of what doesn't hang on it, layer by layer."""
        first, last = self.frame.pieces_of(part)
        x, y = self.pivot[part]
        points = layers.reshape(-1, 2)
        reach = math.sqrt(float(((points[:, 0] - x) ** 2 + (points[:, 1] - y) ** 2).max()))
        rows = self.rows
        middle_x, middle_y = (rows[:, 0] + rows[:, 2]) / 2 - x, (rows[:, 1] + rows[:, 3]) / 2 - y
        near = np.hypot(middle_x, middle_y) < reach + self.frame.widest_mm + self.frame.size / 2
        near[first:last] = False
        near &= ~self.lifted
        others = np.nonzero(near)[0]
        return trouble(layers, rows[others], self.frame.wanted[first:last, others])

    def troubles(self) -> Floats:
        """Return for every piece how much it gets in the way of others."""
        return troubles(self.rows, self.frame.wanted)

    def state(self) -> State:
        """Return how everything lies, to come back to."""
        lies = self.facing.copy(), self.pivot.copy(), self.rows.copy()
        return list(self.deg), *lies, self.cell.copy(), self.count.copy()

    def restore(self, state: State) -> None:
        """Lay everything as it was, with nothing lifted."""
        self.deg, self.facing, self.pivot, self.rows, self.cell, self.count = state

    def room(self, part: int, deg: Floats) -> Floats:
        """Return the least angle to what else leaves the same point [degrees], for every turn."""
        low, high = self.frame.fan[part]
        taken = self._taken(part)
        if not len(taken):
            return np.full(len(deg), 360.0)
        a, b = taken.T
        one = (low + deg[:, None] - b) % 360.0
        two = (a - high - deg[:, None]) % 360.0
        free = one + two + (high - low) + (b - a) <= 360.0 + 1e-6
        return np.asarray(np.where(free, np.minimum(one, two), 0.0).min(axis=1))

    def _taken(self, part: int) -> Floats:
        one = self.frame.parts[part]
        found = [] if one.on == BOARD else [(180.0, 180.0)]
        if one.corridor:
            found.append((0.0, 0.0))
        for n in self.frame.beside[part]:
            if self.away[n]:
                continue
            low, high = self.frame.fan[n]
            found.append((low + self.deg[n], high + self.deg[n]))
        return np.array(found)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of what lies there [mm]."""
        x, y = self.rows[:, 0::2], self.rows[:, 1::2]
        return float(x.min()), float(y.min()), float(x.max()), float(y.max())

    @property
    def turns(self) -> dict[str, Turn]:
        """The turn of every section, by section name."""
        pairs = zip(self.frame.parts, self.deg, strict=True)
        return {part.name: Turn(deg, part.corridor) for part, deg in pairs}


def _turned(points: Floats, by_deg: float) -> Floats:
    c, s = math.cos(math.radians(by_deg)), math.sin(math.radians(by_deg))
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


def _about(rows: Floats, pivot: Floats, by_deg: Floats) -> Floats:
    """Rows turned about a pivot: a layer for every turn."""
    c, s = np.cos(np.radians(by_deg))[:, None], np.sin(np.radians(by_deg))[:, None]
    found = np.empty((len(by_deg), *rows.shape))
    for k in (0, 2):
        x, y = rows[:, k] - pivot[0], rows[:, k + 1] - pivot[1]
        found[..., k], found[..., k + 1] = pivot[0] + x * c - y * s, pivot[1] + x * s + y * c
    return found
