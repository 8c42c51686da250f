"""How a net was joined before, read from the wires it had."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from loomwright.routing.draft import Net
from loomwright.routing.naming import natural

Row = tuple[int, str, str]  # number of a wire and the keys of its ends


@dataclass(frozen=True, slots=True)
class KeptNet:
    """Splices a net had before, with the wires at them that still lead to something.

    Attributes:
        shares: keys of the terminals at every splice, by part
        links: parts of the splices a wire joins
        following: number for the next part; no part there ever was has it
    """

    shares: tuple[tuple[str, tuple[str, ...]], ...]
    links: tuple[tuple[str, str], ...]
    following: int


def kept_net(net: Net, wired: Iterable[Row], most: int) -> KeptNet | None:
    """Return how a net was joined before, None = without a splice, or its splices can't stay.

    The wires kept include those that are gone. Where two tell a different tale the later number holds: a
    pin has one wire, and the wires of a net make no ring. A splice with less than two wires left is gone;
    one with two stays as a joint.

    Args:
        net: with the terminals it has now
        wired: wires the circuit had before
        most: wires one splice takes; what is above it at a splice is given up, the latest wire first
    """
    rows = _parted(net, wired)
    parts = {end for _, a, b in rows for end in (a, b) if isinstance(end, _Part)}
    edges = _pruned(_standing(rows))
    shares: dict[_Part, list[tuple[int, str]]] = {
        p: [] for _, a, b in edges for p in (a, b) if type(p) is _Part
    }
    links = []
    for number, a, b in edges:
        if isinstance(a, _Part) and isinstance(b, _Part):
            links.append((a, b))
        elif isinstance(a, _Part):
            shares[a].append((number, b))
        elif isinstance(b, _Part):
            shares[b].append((number, a))
    for part, row in shares.items():
        row.sort()
        joins = sum(part in link for link in links)
        if len(row) + joins > most:
            if joins >= most:
                return None
            del row[most - 1 - joins :]
    if not shares:
        return None
    following = 1 + max(_count(net, part) for part in parts)
    given = tuple((str(p), tuple(key for _, key in shares[p])) for p in sorted(shares, key=natural))
    return KeptNet(given, tuple((str(a), str(b)) for a, b in links), following)


class _Part(str):
    """The part of a splice, told apart from a terminal's key."""

    __slots__ = ()


def _parted(net: Net, wired: Iterable[Row]) -> list[Row]:
    """Return the wires between terminals and splices of the net, latest first."""
    own = {t.key for t in net.terminals}
    splice = re.compile(re.escape(f"splice {net.loom} ") + f"({re.escape(net.part)}(?:\\.[0-9]+)?)")

    def end(key: str) -> str | None:
        match = None if key in own else splice.fullmatch(key)
        return _Part(match.group(1)) if match else key if key in own else None

    found = []
    for number, a, b in sorted(wired, reverse=True):
        one, other = end(a), end(b)
        if one is not None and other is not None:
            found.append((number, one, other))
    return found


def _standing(rows: Iterable[Row]) -> list[Row]:
    """Return the wires that can stand together: a pin has one, and they make no ring."""
    group: dict[str, str] = {}
    held: set[str] = set()
    found = []
    for number, a, b in rows:
        one, other = _root(group, a), _root(group, b)
        pins = [end for end in (a, b) if not isinstance(end, _Part)]
        if one == other or held.intersection(pins):
            continue
        group[one] = other
        held.update(pins)
        found.append((number, a, b))
    return found


def _root(group: dict[str, str], end: str) -> str:
    while group.setdefault(end, end) != end:
        end = group[end]
    return end


def _pruned(rows: list[Row]) -> list[Row]:
    """Return the wires without those at splices that have less than two left, and those between two pins."""
    left = [row for row in rows if isinstance(row[1], _Part) or isinstance(row[2], _Part)]
    while True:
        ends = [end for _, a, b in left for end in (a, b)]
        lone = {end for end in ends if isinstance(end, _Part) and ends.count(end) < 2}
        if not lone:
            return left
        left = [row for row in left if row[1] not in lone and row[2] not in lone]


def _count(net: Net, part: str) -> int:
    """Return the number a part stands for: the net's own is 1."""
    return int(part[len(net.part) + 1 :] or 1)
