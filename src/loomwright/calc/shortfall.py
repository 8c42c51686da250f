"""How often measured ways come out longer than what was allowed for: many drawn measurements at once."""

import math
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Final

from loomwright.errors import OutOfRange

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Errors = NDArray[np.float64]

GIVE_IN_SIGMAS: Final = 2.0
"""A builder's give or take is taken as two standard deviations: about 95 of 100 readings within it; ours."""
BLOCK: Final = 4000  # draws made in one go; the same whoever carries them out


@dataclass(frozen=True, slots=True)
class Measurements:
    """What was read, and what every way is made of.

    Attributes:
        gives_mm: give or take of every reading, 0 or more, shape (readings,) [mm]
        signs: how often a way counts a reading, shape (ways, readings); a shared reading that cancels is 0
        commons_mm: give or take of the error common to all readings, per way, shape (ways,) [mm]
    """

    gives_mm: tuple[float, ...]
    signs: tuple[tuple[float, ...], ...]
    commons_mm: tuple[float, ...]

    def __post_init__(self) -> None:
        for name, values in (("gives_mm", self.gives_mm), ("commons_mm", self.commons_mm)):
            if any(not 0 <= one < math.inf for one in values):
                raise OutOfRange(
                    name, min(values), "0 or more, in mm", "enter the give or take as a plain number"
                )
        if len(self.signs) != len(self.commons_mm):
            raise OutOfRange("signs", len(self.signs), "one row a way", "give every way its readings")

    def sigma_mm(self, way: int) -> float:
        """Return the standard deviation of a way's length [mm].

        Source: variance of a sum of independent errors; exact.
        """
        own = math.fsum((s * g) ** 2 for s, g in zip(self.signs[way], self.gives_mm, strict=True))
        return math.sqrt(own + self.commons_mm[way] ** 2) / GIVE_IN_SIGMAS


def chance_above(slack_mm: float, sigma_mm: float) -> float:
    """Return the chance that a normal error of mean 0 is larger than a slack.

    Args:
        slack_mm: what is allowed for [mm]
        sigma_mm: standard deviation of the error, 0 or more [mm]
    Source: normal distribution, Q(x) = erfc(x / sqrt 2) / 2; exact.
    """
    if sigma_mm <= 0:
        return 1.0 if slack_mm < 0 else 0.0
    return 0.5 * math.erfc(slack_mm / sigma_mm / math.sqrt(2.0))


def drawn(
    told: Measurements,
    read_off: Callable[["Errors"], "Errors"],
    draws: int,
    seed: int = 0,
    executor: Executor | None = None,
) -> "Errors":
    """Return what is read off many drawn measurements, in the order of the draws.

    Args:
        told: readings and ways
        read_off: from errors of the ways, shape (draws, ways) [mm], what is wanted, shape (draws, values);
            a function at module level where another process carries it out
        draws: how many, 1 or more; rounded up to whole blocks of 4000
        seed: the same seed gives the same draws, whoever carries them out
        executor: who carries the blocks out, one after the other here if left out
    Raises:
        OutOfRange: no draws
    Source: simulation of independent normal errors; good to about 1 / sqrt(draws).
    """
    import numpy as np

    if draws < 1:
        raise OutOfRange("draws", draws, "1 or more", "take 100000")
    work = partial(_block, told, read_off, seed)
    blocks = range(math.ceil(draws / BLOCK))
    done: Iterable[Errors] = executor.map(work, blocks) if executor else map(work, blocks)
    return np.concatenate(list(done))


def _block(told: Measurements, read_off: Callable[["Errors"], "Errors"], seed: int, block: int) -> "Errors":
    import numpy as np

    chance = np.random.default_rng([seed, block])
    own = chance.standard_normal((BLOCK, len(told.gives_mm))) * (np.asarray(told.gives_mm) / GIVE_IN_SIGMAS)
    common = chance.standard_normal((BLOCK, 1)) * (np.asarray(told.commons_mm) / GIVE_IN_SIGMAS)
    signs = np.asarray(told.signs, dtype=float).reshape(len(told.commons_mm), len(told.gives_mm))
    return read_off(own @ signs.T + common)


def worst_of(groups: Sequence[Sequence[int]], slacks_mm: Sequence[float], errors: "Errors") -> "Errors":
    """Return, per draw and group of ways, by how much the worst way is too short; below 0 none is.

    Args:
        groups: indices of ways; none is empty
        slacks_mm: what every way can give [mm]
        errors: shape (draws, ways) [mm]
    """
    import numpy as np

    over = errors - np.asarray(slacks_mm)
    return np.stack([over[:, list(group)].max(axis=1) for group in groups], axis=1)
