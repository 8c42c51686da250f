"""From measured lengths to one tree: which lengths are taken, which close a loop, what hangs loose."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import hypot

from loomwright.findings import Finding, Severity
from loomwright.mockup.tape import Measured, fault

_PARTS = re.compile(r"([0-9]{1,18})")


def natural(name: str) -> tuple[tuple[int, str], ...]:
    """Return a key that sorts "B2" before "B10"."""
    parts = (part for part in _PARTS.split(name) if part)
    return tuple((int(part), "") if _PARTS.fullmatch(part) else (-1, part) for part in parts)


@dataclass(frozen=True, slots=True)
class Grown:
    """A tree grown from its datum.

    Attributes:
        steps: (inner, outer, length) so that a step comes after the one that leads to it
        findings: loops, lengths that disagree, what is not joined to the datum
    """

    steps: tuple[tuple[str, str, Measured], ...]
    findings: tuple[Finding, ...]


class _Joined:
    """Points joined so far."""

    def __init__(self) -> None:
        self.next_to: dict[str, list[tuple[str, Measured]]] = {}
        self._root: dict[str, str] = {}

    def root(self, point: str) -> str:
        while (above := self._root.get(point, point)) != point:
            point = above
        return point

    def join(self, one: Measured) -> None:
        self._root[self.root(one.b)] = self.root(one.a)
        self.next_to.setdefault(one.a, []).append((one.b, one))
        self.next_to.setdefault(one.b, []).append((one.a, one))

    def way(self, a: str, b: str) -> tuple[Measured, ...]:
        """Return the lengths between two joined points."""
        before: dict[str, tuple[str, Measured] | None] = {a: None}
        waiting = [a]
        for point in waiting:
            for other, one in self.next_to.get(point, ()):
                if other not in before:
                    before[other] = (point, one)
                    waiting.append(other)
        found = []
        step = before[b]
        while step is not None:
            found.append(step[1])
            step = before[step[0]]
        return tuple(found)


def best_of_pairs(lengths: Iterable[Measured]) -> tuple[tuple[Measured, ...], tuple[Finding, ...]]:
    """Return one length for every pair of points, the one of least doubt, and what disagrees with it."""
    pairs: dict[tuple[str, str], list[Measured]] = {}
    for one in lengths:
        pairs.setdefault(one.pair, []).append(one)
    taken, findings = [], []
    for pair in sorted(pairs):
        best, *others = sorted(pairs[pair], key=_least_doubt)
        taken.append(best)
        findings += [found for one in others if (found := _disagreement(one, (best,)))]
    return tuple(taken), tuple(findings)


def _least_doubt(one: Measured) -> tuple[float, float, str, str]:
    return one.own_mm + one.common_mm, -one.mm, one.tape, one.origin


def _disagreement(one: Measured, way: tuple[Measured, ...]) -> Finding | None:
    """Return the finding that a length and the way between its points differ by more than their doubt."""
    way_mm = sum(step.mm for step in way)
    difference = one.mm - way_mm
    own = hypot(one.own_mm, *(step.own_mm for step in way))
    doubt = own + one.common_mm + sum(step.common_mm for step in way)
    if abs(difference) <= doubt:
        return None
    built = next((step for step in way if step.built), None)
    pair = "-".join(one.pair)
    other = "; ".join(step.origin for step in way)
    if built is not None:
        return fault(
            "ROPE-07",
            built.path,
            pair,
            f"{pair} is to be built {way_mm:g} mm long; the rope says {one.mm:g} ({one.origin}), "
            f"{abs(difference):.0f} {'more' if difference > 0 else 'less'}.",
            f"The two should agree within their doubt of {doubt:.0f} mm.",
            "Nothing to do while the reason holds."
            if built.reason
            else "Give the [build] table a reason if it is to differ from the rope; else correct it.",
            Severity.NOTE if built.reason else Severity.CAUTION,
        )
    return fault(
        "ROPE-01",
        one.path,
        pair,
        f"{pair} has two lengths: {one.mm:g} mm ({one.origin}) and {way_mm:g} mm ({other}); "
        f"they differ by {abs(difference):.0f} mm.",
        f"Measured twice, a way agrees within the doubt of {doubt:.0f} mm; a loom is a tree without loops.",
        "Measure it again, or correct the point's name where two places share it.",
    )


def grow(
    datum: str,
    lengths: tuple[Measured, ...],
    built: tuple[Measured, ...],
    ends: Mapping[str, object],
    loom: str,
) -> Grown:
    """Return the tree from the datum outwards.

    Lengths to be built are taken first, then the measured ones from the shortest on; a length whose points
    are joined already is not taken: it measures a way again, or closes a loop. An end that a built length
    reaches is reached by it alone.

    Args:
        datum: the loom's datum
        lengths: measured, one for each pair of points
        built: to be built, one for each pair of points
        ends: rope ends by name
        loom: name for the findings
    """
    joined = _Joined()
    disagreeing: list[tuple[Measured, Finding]] = []
    moved = {point for one in built for point in one.pair if point in ends and point != datum}
    built_pairs = {one.pair for one in built}
    order = sorted(built, key=lambda one: (one.mm, one.pair)) + sorted(
        lengths, key=lambda one: (one.mm, one.pair)
    )
    for one in order:
        if not one.built and one.pair not in built_pairs and moved & set(one.pair):
            continue
        if joined.root(one.a) == joined.root(one.b):
            found = _disagreement(one, joined.way(one.a, one.b))
            disagreeing += [(one, found)] if found else []
        else:
            joined.join(one)
    steps = _outward(datum, joined)
    if built:
        steps = _without_left_over(steps, lengths, ends)
    points = {datum, *(step[1] for step in steps)}
    findings = [found for one, found in disagreeing if points.issuperset(one.pair)]
    findings += _loose(datum, loom, (*lengths, *built), joined)
    return Grown(steps, tuple(findings))


def _outward(datum: str, joined: _Joined) -> tuple[tuple[str, str, Measured], ...]:
    """Return the steps from the datum outwards: each way to its end before the next begins."""
    steps: list[tuple[str, str, Measured]] = []
    waiting = _around(datum, datum, joined)
    while waiting:
        step = waiting.pop()
        steps.append(step)
        waiting += _around(step[1], step[0], joined)
    return tuple(steps)


def _around(point: str, before: str, joined: _Joined) -> list[tuple[str, str, Measured]]:
    """Return the steps that leave a point but for the one back, the first to take last."""
    onward = [one for one in joined.next_to.get(point, ()) if one[0] != before]
    return [
        (point, outer, one) for outer, one in sorted(onward, key=lambda one: natural(one[0]), reverse=True)
    ]


def _without_left_over(
    steps: tuple[tuple[str, str, Measured], ...], lengths: tuple[Measured, ...], ends: Mapping[str, object]
) -> tuple[tuple[str, str, Measured], ...]:
    """Return the steps without branch points that lead nowhere since the built lengths go elsewhere."""
    meets: dict[str, int] = {}
    for one in lengths:
        for point in one.pair:
            meets[point] = meets.get(point, 0) + 1
    while True:
        inner = {step[0] for step in steps}
        kept = tuple(s for s in steps if s[1] in inner or s[1] in ends or meets.get(s[1], 0) < 2)
        if len(kept) == len(steps):
            return steps
        steps = kept


def _loose(datum: str, loom: str, lengths: tuple[Measured, ...], joined: _Joined) -> list[Finding]:
    """Return a finding for every part of the rope that is not joined to the datum."""
    home = joined.root(datum)
    parts: dict[str, list[Measured]] = {}
    for one in lengths:
        if (root := joined.root(one.a)) != home:
            parts.setdefault(root, []).append(one)
    findings = []
    for items in sorted(parts.values(), key=lambda some: min(one.pair for one in some)):
        points = sorted({point for one in items for point in one.pair}, key=natural)
        tapes = ", ".join(dict.fromkeys(one.origin.split(":")[0] for one in items))
        first = items[0]
        findings.append(
            fault(
                "ROPE-02",
                first.path,
                f"loom {loom}",
                f"{', '.join(points)} ({tapes}) hang loose: nothing joins them to the datum {datum}.",
                "Every point should be reached from the datum.",
                "Measure the section that joins them, or correct the name of the point they start from.",
                leaves_out=tuple(points),
                misses=tuple(points),
            )
        )
    return findings
