"""Steps and what has to come before what, put into one order.

Each step has a place it would take if nothing stood against it (phase, loom, turn); a step that waits
for another comes later. The order is the same every time.
"""

import heapq
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

PHASES: Final = (
    "cut",
    "prepare",
    "lay up",
    "bare fit",
    "sheath",
    "ends",
    "bench test",
    "close",
    "install",
    "power up",
)


@dataclass(frozen=True, slots=True)
class Draft:
    """A step before it has its number.

    Attributes:
        key: name within the plan, "engine/slide B1-B2"
        families: families of the devices it touches, for cautions
    """

    key: str
    loom: str
    phase: str
    words: str
    items: tuple[str, ...] = ()
    irreversible: bool = False
    families: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What it does, without the loom: "slide B1-B2"."""
        return self.key.split("/", 1)[1]


@dataclass(frozen=True, slots=True)
class Before:
    """Step `first` has to be done before step `then`, by a rule."""

    first: str
    then: str
    rule: str


@dataclass(slots=True)
class Plan:
    """Steps and rules as they are collected; a builder, used once."""

    drafts: list[Draft] = field(default_factory=list)
    rules: list[Before] = field(default_factory=list)

    def step(self, draft: Draft) -> str:
        """Add a step and return its key."""
        self.drafts.append(draft)
        return draft.key

    def before(self, first: Iterable[str], then: Iterable[str], rule: str) -> None:
        """Every step of `first` has to be done before every step of `then`."""
        after = tuple(then)
        self.rules += [Before(a, b, rule) for a in first for b in after if a != b]


@dataclass(frozen=True, slots=True)
class Ordered:
    """Steps in order, and those that wait for each other in a ring (then they stand last, by phase)."""

    drafts: tuple[Draft, ...]
    ring: tuple[Draft, ...]


def ordered(plan: Plan) -> Ordered:
    """Return the steps in an order that keeps every rule.

    Source: topological order by Kahn's method with a queue by phase; rules that name an unknown step
    are passed over. Exact.
    """
    place = {d.key: (PHASES.index(d.phase), n) for n, d in enumerate(plan.drafts)}
    draft = {d.key: d for d in plan.drafts}
    pairs = sorted({(r.first, r.then) for r in plan.rules if r.first in draft and r.then in draft})
    waits = dict.fromkeys(draft, 0)
    after: dict[str, list[str]] = {key: [] for key in draft}
    for first, then in pairs:
        waits[then] += 1
        after[first].append(then)
    queue = [(place[key], key) for key, count in waits.items() if not count]
    heapq.heapify(queue)
    found = []
    while queue:
        _, key = heapq.heappop(queue)
        found.append(draft[key])
        for then in after[key]:
            waits[then] -= 1
            if not waits[then]:
                heapq.heappush(queue, (place[then], then))
    left = sorted((place[key], key) for key, count in waits.items() if count)
    rest = tuple(draft[key] for _, key in left)
    return Ordered((*found, *rest), _ring(rest, pairs))


def _ring(rest: tuple[Draft, ...], pairs: list[tuple[str, str]]) -> tuple[Draft, ...]:
    """One ring among the steps that are left: follow what each waits for until a step comes round again."""
    if not rest:
        return ()
    keys = {d.key: d for d in rest}
    waits_for = {then: first for first, then in reversed(pairs) if first in keys and then in keys}
    way, at = [], rest[0].key
    while at not in way:
        way.append(at)
        at = waits_for[at]
    ring = way[way.index(at) :]
    return tuple(keys[key] for key in reversed(ring))
