"""The slower search: disturb good packings, press and squeeze again, keep what is tighter."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from loomwright.calc.packing_relax import press
from loomwright.calc.packing_squeeze import exact_reach, squeeze
from loomwright.calc.packing_starts import first_guess_mm, starts

Array = NDArray[np.float64]
SEED: Final = 1  # fixed: same discs, same packing
TRIED: Final = 16  # disturbed packings a round
FRESH: Final = 3  # of them scattered anew
SQUEEZED: Final = 8  # of them squeezed
FINISHED: Final = 2  # of them squeezed to the end
ROUGH: Final = 6  # steps before that choice
KEPT: Final = 6  # packings kept to disturb
ROUNDS: Final = 1300.0  # times the cost of a round; about a second
SAME: Final = 1e-4  # two packings nearer than this share in radius are taken as one


@dataclass(slots=True)
class _Kept:
    """The tightest packings met so far, with their enclosing radii."""

    centres: list[Array]
    reach: list[float]

    def offer(self, centres: Array, reach: float) -> None:
        """Take a packing in if it is new and tighter than the worst one kept."""
        if any(abs(reach - one) < SAME * one for one in self.reach):
            near = int(np.argmin([abs(reach - one) for one in self.reach]))
            if reach < self.reach[near]:
                self.centres[near], self.reach[near] = centres, reach
        elif len(self.reach) < KEPT:
            self.centres.append(centres)
            self.reach.append(reach)
        elif reach < max(self.reach):
            worst = self.reach.index(max(self.reach))
            self.centres[worst], self.reach[worst] = centres, reach

    def sort(self) -> None:
        """Put the tightest first."""
        order = sorted(range(len(self.reach)), key=self.reach.__getitem__)
        self.centres = [self.centres[k] for k in order]
        self.reach = [self.reach[k] for k in order]


def refined(radii: Array, best: Array) -> Array:
    """Return centres of a longer search.

    Args:
        radii: shape (discs,), largest first, scaled so that radii are about 1
        best: centres of the quick search, one of the packings to start from
    Source: basin hopping over a few packings (exchange discs, move a disc into a gap, shuffle a
    neighbourhood,
        shake all); number of rounds and seed are fixed, no clock decides.
    """
    kept = _first(radii, best)
    random = np.random.default_rng(SEED)
    equal = radii[0] - radii[-1] < 1e-9 * radii[0]  # nothing to exchange: found in half the rounds
    for _ in range(rounds(len(radii)) // (2 if equal else 1)):
        kept.sort()
        centres, reach = _next_tries(kept, radii, random)
        centres, reach = press(centres, radii, reach, 10, 0.3)
        centres, reach = press(centres, radii, reach, 20, 0.05)
        near = np.argsort(reach, kind="stable")[:SQUEEZED]
        rough = squeeze(centres[near], radii, ROUGH)
        near = np.argsort(exact_reach(rough, radii), kind="stable")[:FINISHED]
        tight = squeeze(rough[near], radii, 7, 0.01)
        for one, far in zip(tight, exact_reach(tight, radii).tolist(), strict=True):
            kept.offer(one, far)
    kept.sort()
    final = np.concatenate([[kept.centres[0]], squeeze(np.array(kept.centres[:1]), radii, 16, 0.002)])
    tightest: Array = final[int(np.argmin(exact_reach(final, radii)))]
    return tightest


def rounds(count: int) -> int:
    """Return the number of rounds for so many discs, so that all of them take about a second."""
    cost = 1.5 + 0.0055 * count**2 + 2e-5 * count**3
    return max(4, min(300, int(ROUNDS / cost)))


def _first(radii: Array, best: Array) -> _Kept:
    """Return the packings to begin with."""
    many = max(4, min(36, 60000 // len(radii) ** 2))
    centres = starts(radii, many)
    centres, reach = press(centres, radii, np.full(many, first_guess_mm(radii)), 25, 0.5)
    centres, reach = press(centres, radii, reach, 30, 0.1)
    near = np.argsort(reach, kind="stable")[:12]
    tight = squeeze(centres[near], radii, 12)
    kept = _Kept([best], [float(exact_reach(best[None], radii)[0])])
    for one, far in zip(tight, exact_reach(tight, radii).tolist(), strict=True):
        kept.offer(one, far)
    return kept


def _next_tries(kept: _Kept, radii: Array, random: Generator) -> tuple[Array, Array]:
    """Return disturbed copies of kept packings, tighter ones more often, and a few fresh scatterings."""
    several = len(kept.reach)
    parents = np.minimum(random.integers(several, size=TRIED), random.integers(several, size=TRIED))
    centres = np.array([_disturbed(kept.centres[k], radii, kept.reach[k], random) for k in parents])
    reach = np.array([kept.reach[k] for k in parents])
    far = np.sqrt(random.random((FRESH, len(radii)))) * reach[0]
    angle = random.random((FRESH, len(radii))) * 2 * np.pi
    centres[:FRESH] = np.stack([far * np.cos(angle), far * np.sin(angle)], axis=2)
    return centres, reach


def _disturbed(centres: Array, radii: Array, reach: float, random: Generator) -> Array:
    """Return a disturbed copy of a packing."""
    count, moved = len(radii), centres.copy()
    equal = radii[0] - radii[-1] < 1e-9 * radii[0]
    kind = random.integers(2, 6) if equal else random.integers(6)
    if kind < 2:
        for _ in range(random.integers(1, 4)):
            one = int(random.integers(count))
            step = int(random.integers(1, 5)) * (1 if random.random() < 0.5 else -1)
            _exchange(moved, one, min(count - 1, max(0, one + step)))
    elif kind == 2:
        gaps = _gaps(centres, radii, reach, random)
        smallish = int(count - 1 - abs(random.normal()) * count / 3) % count
        moved[smallish] = gaps[random.integers(len(gaps))]
    elif kind == 3 and not equal:
        _exchange(moved, int(random.integers(count)), int(random.integers(count)))
    elif kind == 3:
        moved += random.normal(size=moved.shape) * 0.3
    else:
        about = np.square(centres - centres[random.integers(count)]).sum(axis=1)
        near = np.argsort(about)[: max(3, count // 4)]
        shuffle = not equal and random.random() < 0.5
        moved[near] = (
            moved[random.permutation(near)]
            if shuffle
            else moved[near] + random.normal(size=(len(near), 2)) * 0.6
        )
    return moved


def _exchange(centres: Array, one: int, other: int) -> None:
    centres[[one, other]] = centres[[other, one]]


def _gaps(centres: Array, radii: Array, reach: float, random: Generator) -> Array:
    """Return the six emptiest of many random places inside the enclosing circle."""
    far, angle = np.sqrt(random.random(300)) * reach, random.random(300) * 2 * np.pi
    place = np.stack([far * np.cos(angle), far * np.sin(angle)], axis=1)
    away = place[:, None] - centres
    room = np.minimum((np.hypot(away[..., 0], away[..., 1]) - radii).min(axis=1), reach - far)
    emptiest: Array = place[np.argsort(-room)[:6]]
    return emptiest
