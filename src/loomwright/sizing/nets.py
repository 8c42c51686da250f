"""Every circuit as a tree of wires from where its current comes from (or goes home to)."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from loomwright.model.device import Pin
from loomwright.model.job import Job
from loomwright.model.words import Side
from loomwright.routing.routed import Routed, Wire


@dataclass(frozen=True, slots=True)
class Link:
    """A node of a circuit's tree and how it hangs on its parent.

    Attributes:
        node: pin id, splice name or sealed point
        parent: node nearer the root, "" at the root
        wire: identity of the wire between them, "" for a bus bar or a mated pair of cavities
    """

    node: str
    parent: str
    wire: str


@dataclass(frozen=True, slots=True)
class Net:
    """One connected part of a circuit, root first, parents before children."""

    circuit: str
    links: tuple[Link, ...]

    @property
    def root(self) -> str:
        """The node its current comes from or goes home to."""
        return self.links[0].node


def nets_of(job: Job, routed: Routed) -> dict[str, tuple[Net, ...]]:
    """Return the connected parts of every circuit, each as a tree hung on a giving pin."""
    edges = _edges(job, routed)
    return {c.name: tuple(_parts(c.name, job.pins_of.get(c.name, ()), edges[c.name])) for c in job.circuits}


def _edges(job: Job, routed: Routed) -> dict[str, list[tuple[str, str, str]]]:
    edges: dict[str, list[tuple[str, str, str]]] = defaultdict(list)
    for wire in routed.wires:
        if not wire.screen:
            edges[wire.circuit].append((*_node_names(wire), wire.identity))
    for common in routed.commons:
        edges[common.circuit] += [(common.pins[0], other, "") for other in common.pins[1:]]
    for name, pins in job.pins_of.items():
        edges[name] += [(a, b, "") for a, b in _mated(job, pins)]
    return edges


def _node_names(wire: Wire) -> tuple[str, str]:
    return wire.a.name, wire.b.name


def _mated(job: Job, pins: Iterable[Pin]) -> Iterator[tuple[str, str]]:
    by_id = {pin.id: pin for pin in pins}
    for pin in by_id.values():
        connector = job.connector.get(pin.end)
        if connector is not None and connector.mates:
            other = f"{connector.mates}:{pin.cavity}"
            if other in by_id and pin.id < other:
                yield pin.id, other


def _parts(circuit: str, pins: tuple[Pin, ...], edges: list[tuple[str, str, str]]) -> Iterator[Net]:
    beside: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for a, b, wire in edges:
        beside[a].append((b, wire))
        beside[b].append((a, wire))
    givers = [p.id for p in pins if p.side is Side.GIVES]
    others = [p.id for p in pins if p.side is not Side.GIVES]
    seen: set[str] = set()
    for start in (*givers, *others, *beside):
        if start not in seen:
            yield Net(circuit, tuple(_walk(start, beside, seen)))


def _walk(start: str, beside: dict[str, list[tuple[str, str]]], seen: set[str]) -> Iterator[Link]:
    seen.add(start)
    waiting = [Link(start, "", "")]
    for link in waiting:
        yield link
        for node, wire in beside.get(link.node, ()):
            if node not in seen:
                seen.add(node)
                waiting.append(Link(node, link.node, wire))
