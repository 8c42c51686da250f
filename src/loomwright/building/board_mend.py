"""Mend a board that is compact but not yet good: some of it is taken off and laid down again."""

import random
from typing import Final

import numpy as np

from loomwright.building.board_lie import Lie
from loomwright.building.board_plane import BOARD
from loomwright.building.board_search import OUTSIDE, TROUBLE, Aim, better, cost

WORSE: Final = 2.0  # sheets that a board may get worse for a while, at first; ours
LONELY: Final = 0.5  # how much a part alone on a sheet is worth laying anew; ours


def mend(lie: Lie, aim: Aim, chance: random.Random, rounds: int) -> None:
    """Take what is in trouble, or sticks out, off the board with its neighbours and lay it down again.

    A round that makes the board much worse is taken back; the best there was is left.

    Args:
        lie: laid in place
        aim: what for
        chance: with a fixed seed
        rounds: number of rounds
    """
    if len(aim.kept) == len(lie.frame.parts):
        return
    now = best = cost(lie, aim)
    found = lie.state()
    for n in range(rounds):
        before = lie.state()
        _lay_anew(lie, aim, _cluster(lie, aim, chance))
        then = cost(lie, aim)
        if then > now + WORSE * (1 - n / rounds) * chance.random():
            lie.restore(before)
            continue
        now = then
        if now < best - 1e-6:
            best, found = now, lie.state()
    lie.restore(found)


def _lay_anew(lie: Lie, aim: Aim, some: list[int]) -> None:
    """Take parts off the board, with all that hangs on them, and lay them down in this order."""
    for n in some:
        lie.lift(n, True)
    for n in some:
        lie.lift(n, False)
        better(lie, aim, n)
        inner = range(n + 1, lie.frame.after[n])
        for k in (*reversed(inner), *((n, *inner) if inner else ())):
            better(lie, aim, k)


def _cluster(lie: Lie, aim: Aim, chance: random.Random) -> list[int]:
    """Return a part that lies badly and some of those around it: what is laid down first comes first."""
    frame = lie.frame
    bad = TROUBLE * lie.troubles()
    ends = lie.rows[:, 1::2]
    bad += OUTSIDE * (np.maximum(0.0, ends - aim.high) + np.maximum(0.0, aim.low - ends)).sum(axis=1)
    piece = frame.dots[0]
    bad += LONELY * np.bincount(piece, 1.0 / lie.count[lie.cell], len(bad))
    weights = np.minimum(5.0, np.bincount(frame.owner, bad, len(frame.parts))) + 0.01
    weights[sorted(aim.kept)] = 0.0
    first = chance.choices(range(len(weights)), weights.tolist())[0]
    while chance.random() < 0.4 and frame.parts[first].on not in (BOARD, *aim.kept):
        first = frame.parts[first].on
    found, above = [first], set(frame.above(first))
    many = chance.randint(1, 5)
    for n in _around(lie, first):
        if len(found) > many:
            break
        up = {n, *frame.above(n)}
        if n in aim.kept or n in above or up & set(found) or chance.random() < 0.3:
            continue
        found.append(n)
        above |= up
    others = found[1:]
    chance.shuffle(others)
    return [first, *others]


def _around(lie: Lie, part: int) -> list[int]:
    """Return all parts, those that lie nearest to one first."""
    frame = lie.frame
    first, last = frame.pieces_of(part)
    middle = (lie.rows[:, :2] + lie.rows[:, 2:]) / 2
    to = middle[first:last]
    far = np.sqrt(((middle[:, None, :] - to) ** 2).sum(axis=-1)).min(axis=1) - frame.size / 2
    nearest = np.full(len(frame.parts), np.inf)
    np.minimum.at(nearest, frame.owner, far)
    return [int(n) for n in np.argsort(nearest, kind="stable")]
