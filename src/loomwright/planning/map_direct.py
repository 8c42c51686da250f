"""Direct links between near points of a rope, guessed from their places: to be measured before use."""

import math
import statistics
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from loomwright.calc.priced_tree_places import Place
from loomwright.errors import RefusedEdit
from loomwright.mockup.graph import natural
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.planning.map_from_rope import Drawn
from loomwright.planning.map_lengths import places
from loomwright.sources import OURS, Figure

FACTOR: Final = Figure(1.25, OURS)
"""Length of a guessed link over the straight distance: it bends around what stands between."""
SHORTER: Final = 0.9
"""A guessed link is added where it is shorter than this share of the rope's way; ours."""
LEAST_STRAIGHT_MM: Final = 30.0  # nearer points tell nothing of how much the rope bends; ours


@dataclass(frozen=True, slots=True)
class Guess:
    """A link that nobody measured.

    Attributes:
        straight_mm: distance of its points [mm]
        mm: what is reckoned with [mm]
        rope_mm: the rope's way between them [mm]
    """

    a: str
    b: str
    straight_mm: float
    mm: float
    rope_mm: float

    @property
    def name(self) -> str:
        """Both points with a dash."""
        return f"{self.a}-{self.b}"


@dataclass(frozen=True, slots=True)
class Direct:
    """What could be added to a map of the rope.

    Attributes:
        at: places of the rope's points that have any, in the car [mm]
        guesses: links by name
        words: what the builder should know of them
    """

    at: tuple[tuple[str, Place], ...]
    guesses: tuple[Guess, ...]
    words: str


def direct_links(job: Job, tree: Tree, links: tuple[Drawn, ...]) -> Direct:
    """Return links between near points of a rope that would be shorter than the rope's way.

    Places are those of the points of the job's own maps, as told or from tapes. A pair is near where no third
    known point lies within the ball that has the two at its ends; pairs on both sides of the bulkhead hole,
    and connectors at both ends, are left out.

    Args:
        job: with maps that tell places
        tree: the loom's tree
        links: those drawn from it
    """
    at = _places(job, tree)
    if len(at) < 2:
        some = f"Only {next(iter(at))} has a place" if at else "No point of the rope has a place"
        words = (
            f"{some}, so no direct link is added: this map knows only the rope's own ways. "
            "Tell places of points in a [map] of the job (at, or four tapes), or add links by hand."
        )
        return Direct(tuple(at.items()), (), words)
    guesses = tuple(_guesses(job, tree, links, at))
    return Direct(tuple(at.items()), guesses, _words(at, links, guesses))


def _places(job: Job, tree: Tree) -> dict[str, Place]:
    """Return the places of the rope's points, the first map's first."""
    on_rope = {tree.datum, *tree.from_datum_mm}
    found: dict[str, Place] = {}
    for chart in job.maps:
        if chart.loom != tree.loom:
            continue
        try:
            told = places(chart)
        except RefusedEdit:
            continue
        if not set(told) & set(found):  # two maps may count from zeros of their own
            found.update({name: place for name, place in told.items() if name in on_rope})
    return dict(sorted(found.items(), key=lambda one: natural(one[0])))


def _guesses(job: Job, tree: Tree, links: tuple[Drawn, ...], at: Mapping[str, Place]) -> Iterator[Guess]:
    far = _ways(links)
    sides = _sides(job, tree)
    for a, b in combinations(at, 2):
        apart = a in job.connector and b in job.connector
        if apart or (sides[a] != sides[b] and tree.datum not in (a, b)) or not _near(a, b, at):
            continue
        straight = math.dist(at[a], at[b])
        mm = max(1.0, FACTOR.value * straight)
        if mm < SHORTER * far[a][b]:
            yield Guess(a, b, straight, mm, far[a][b])


def _near(a: str, b: str, at: Mapping[str, Place]) -> bool:
    across = math.dist(at[a], at[b]) ** 2
    return all(
        math.dist(at[a], place) ** 2 + math.dist(at[b], place) ** 2 >= across
        for name, place in at.items()
        if name not in (a, b)
    )


def _ways(links: tuple[Drawn, ...]) -> dict[str, dict[str, float]]:
    """Return the rope's way between every two points [mm]."""
    beside: dict[str, list[tuple[str, float]]] = {}
    for one in links:
        beside.setdefault(one.a, []).append((one.b, one.mm))
        beside.setdefault(one.b, []).append((one.a, one.mm))
    found: dict[str, dict[str, float]] = {}
    for start in beside:
        found[start] = {start: 0.0}
        waiting = [start]
        for point in waiting:
            for other, mm in beside[point]:
                if other not in found[start]:
                    found[start][other] = found[start][point] + mm
                    waiting.append(other)
    return found


def _sides(job: Job, tree: Tree) -> dict[str, frozenset[str]]:
    """Return for every point of the rope on which sides of the bulkhead what hangs from it sits."""
    found: dict[str, frozenset[str]] = {}
    for point in reversed([tree.datum, *(one.outer for one in tree.sections)]):
        own: set[str] = set()
        if point in job.connector:
            area = job.area.get(job.device[job.connector[point].device].area)
            own.add(area.side if area is not None else "")
        for one in tree.out_of.get(point, ()):
            own |= found[one.outer]
        found[point] = frozenset(own)
    return found


def _words(at: Mapping[str, Place], links: tuple[Drawn, ...], guesses: tuple[Guess, ...]) -> str:
    known = [
        one.mm / math.dist(at[one.a], at[one.b])
        for one in links
        if one.a in at and one.b in at and math.dist(at[one.a], at[one.b]) >= LEAST_STRAIGHT_MM
    ]
    bends = f"; the rope's own links are {statistics.median(known):.2f} times theirs" if known else ""
    reckoned = f"{FACTOR.value:g} times the straight distance [{FACTOR.source.mark}]{bends}"
    if not guesses:
        return (
            f"{len(at)} points have places; no direct link between them, taken as {reckoned}, is shorter "
            "than the rope's way."
        )
    names = ", ".join(one.name for one in guesses)
    return (
        f"Guessed direct links: {names}. Their length is {reckoned}. Nobody looked whether a loom "
        "fits there, stays cool and clear of what moves: hold the rope along each and "
        "measure it before it is used."
    )
