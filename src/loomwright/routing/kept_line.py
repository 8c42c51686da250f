"""The line of a bus as it was laid before, and where a newcomer comes into it."""

from collections.abc import Iterable, Sequence

from loomwright.routing.draft import Terminal
from loomwright.routing.ways import Ways

Row = tuple[int, str, str]  # number of a wire and the keys of its ends


def kept_line(
    loom: str, wired: Iterable[Row], shortest: Sequence[Terminal], ways: Ways
) -> tuple[tuple[Terminal, ...], frozenset[str]]:
    """Return the nodes of a bus in line as laid before, newcomers where they cost least, and its joints.

    Args:
        loom: the loom the line lies in
        wired: wires the bus had before
        shortest: all nodes in the shortest line; it tells the direction, and is taken where nothing was laid
        ways: the loom's ways
    Returns:
        the line, and the keys of end nodes whose splice stays as a joint
    """
    edges, stubs = _edges(loom, wired)
    node = {n.key: n for n in shortest}
    chain = _longest(edges, node)
    if len(chain) < 2:
        return tuple(shortest), frozenset()
    turn = {n.key: i for i, n in enumerate(shortest)}
    if turn[chain[0]] > turn[chain[-1]]:
        chain.reverse()
    line = [node[key] for key in chain]
    for newcomer in (n for n in shortest if n.key not in chain):
        spots = _open_spots(line, newcomer)
        if not spots:
            return tuple(shortest), frozenset()
        line.insert(min(spots, key=lambda i: (round(_extra_mm(line, i, newcomer, ways), 3), i)), newcomer)
    near = _neighbours(edges)
    ends = ((line[0], line[1]), (line[-1], line[-2]))
    joints = frozenset(e.key for e, n in ends if e.key in stubs and n.key in near.get(e.key, ()))
    return tuple(line), joints


def _edges(loom: str, wired: Iterable[Row]) -> tuple[list[tuple[str, str]], frozenset[str]]:
    """Return which nodes lay side by side, and the nodes with a stub; of two tales the later number holds."""
    start = f"splice {loom} at "
    group: dict[str, str] = {}
    count: dict[str, int] = {}
    pins: set[str] = set()
    edges, stubs = [], set()
    for _, *ends in sorted(wired, reverse=True):
        own = [end for end in ends if not end.startswith("splice ")]
        if pins.intersection(own) or any(not e.startswith(start) for e in ends if e not in own):
            continue
        a, b = (end.removeprefix(start) for end in ends)
        if a == b:
            stubs.add(a)
            pins.update(own)
        elif max(count.get(a, 0), count.get(b, 0)) < 2 and _root(group, a) != _root(group, b):
            group[_root(group, a)] = _root(group, b)
            count |= {key: count.get(key, 0) + 1 for key in (a, b)}
            pins.update(own)
            edges.append((a, b))
    return edges, frozenset(stubs)


def _root(group: dict[str, str], key: str) -> str:
    while group.setdefault(key, key) != key:
        key = group[key]
    return key


def _neighbours(edges: Iterable[tuple[str, str]]) -> dict[str, set[str]]:
    near: dict[str, set[str]] = {}
    for a, b in edges:
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    return near


def _longest(edges: Iterable[tuple[str, str]], live: Iterable[str]) -> list[str]:
    """Return the chain with the most nodes there still are, those that are gone left out."""
    near = _neighbours(edges)
    known = set(live)
    chains: list[list[str]] = []
    for first in sorted(key for key, others in near.items() if len(others) == 1):
        chain, before = [first], ""
        while ahead := sorted(near[chain[-1]] - {before}):
            before = chain[-1]
            chain.append(ahead[0])
        chains.append([key for key in chain if key in known])
    return max(chains, key=len, default=[])


def _open_spots(line: Sequence[Terminal], newcomer: Terminal) -> list[int]:
    """Return where a newcomer may come in: a node at which the bus leaves the loom stays at its end."""
    ends = [i for i, node in ((0, line[0]), (len(line), line[-1])) if not node.crosses]
    return ends if newcomer.crosses else [*ends, *range(1, len(line))]


def _extra_mm(line: Sequence[Terminal], spot: int, newcomer: Terminal, ways: Ways) -> float:
    """Return the line it takes to bring a newcomer in before a spot [mm]."""
    beside = [node.point for node in line[max(spot - 1, 0) : spot + 1]]
    extra = sum(ways.gap_mm(point, newcomer.point) for point in beside)
    return extra - (ways.gap_mm(beside[0], beside[1]) if len(beside) == 2 else 0.0)
