"""Wires and splices as planned, before splices have a place and wires a number."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from loomwright.findings import Finding
from loomwright.model.circuit import LoomPlace
from loomwright.model.words import CircuitKind, Side
from loomwright.routing.naming import natural, wire_identity
from loomwright.routing.routed import CircuitJoin, Common, EndKind
from loomwright.routing.ways import Ways


@dataclass(frozen=True, slots=True)
class Terminal:
    """Where a wire may end: a pin, a stud, a pigtail's joint, a sealed end or a cut screen.

    Attributes:
        key: how a wire's identity names it
        name: pin id, or the point's name
        end, device: rope end and device it belongs to
        lead_mm: length of the lead that comes with the plug [mm]
        turn: its turn among all pins of the job
        rings: how many rings its stud takes, 0 = it is no stud or that isn't told
        metal: its stud sits on the engine or body, which joins it to the others
    """

    kind: EndKind
    key: str
    name: str
    point: str
    end: str = ""
    device: str = ""
    lead_mm: float = 0.0
    turn: int = 0
    side: Side = Side.EITHER
    group: str = ""
    crosses: bool = False
    rings: int = 0
    metal: bool = False


@dataclass(frozen=True, slots=True)
class SpliceDraft:
    """A splice without a place yet.

    Attributes:
        part: which of the circuit's splices in the loom it is: "1", a group, a bus node
        targets: points its wires lead to
        reach: point it must stay near, "" = none; reach_mm how near [mm]
        fixed: place the builder wants
        spot: what splices of circuits that run together share, "" = nothing
    """

    circuit: str
    loom: str
    part: str
    targets: tuple[str, ...]
    reach: str = ""
    reach_mm: float = math.inf
    fixed: LoomPlace | None = None
    spot: str = ""

    @property
    def identity(self) -> str:
        """What the splice is known by; never changes."""
        return f"{self.circuit}|{self.loom}|{self.part}"

    @property
    def key(self) -> str:
        """How a wire's identity names it."""
        return f"splice {self.loom} {self.part}"


DraftEnd = Terminal | SpliceDraft


@dataclass(frozen=True, slots=True)
class WireDraft:
    """A wire without way and number yet."""

    circuit: str
    kind: CircuitKind
    loom: str
    a: DraftEnd
    b: DraftEnd
    cable: str = ""
    screen: bool = False
    spare: bool = False

    @property
    def identity(self) -> str:
        """What the wire is known by."""
        return wire_identity(self.circuit, self.a.key, self.b.key)


@dataclass(frozen=True, slots=True)
class Draft:
    """What one step of routing adds."""

    wires: tuple[WireDraft, ...] = ()
    splices: tuple[SpliceDraft, ...] = ()
    commons: tuple[Common, ...] = ()
    joins: tuple[CircuitJoin, ...] = ()
    findings: tuple[Finding, ...] = ()


def together(drafts: Iterable[Draft]) -> Draft:
    """Return several drafts as one."""
    items = tuple(drafts)
    return Draft(
        tuple(x for d in items for x in d.wires),
        tuple(x for d in items for x in d.splices),
        tuple(x for d in items for x in d.commons),
        tuple(x for d in items for x in d.joins),
        tuple(x for d in items for x in d.findings),
    )


@dataclass(frozen=True, slots=True)
class Net:
    """Terminals of one circuit in one loom that are to be joined.

    Attributes:
        part: name of its splice; numbered on where it takes several
        fixed: place the builder wants the splice at
    """

    circuit: str
    kind: CircuitKind
    loom: str
    part: str
    terminals: tuple[Terminal, ...]
    fixed: LoomPlace | None = None


def joined(net: Net, ways: Ways, most: int) -> Draft:
    """Return the wires that join a net: one wire for two terminals, else a splice or a row of splices.

    Args:
        net: what is to be joined
        ways: its loom
        most: wires one splice takes, 3 or more
    """
    if len(net.terminals) < 2:
        return Draft()
    if len(net.terminals) == 2:
        return Draft((WireDraft(net.circuit, net.kind, net.loom, *net.terminals),))
    shares = _shares(net, ways, most)
    parts = [net.part if i == 0 else f"{net.part}.{i + 1}" for i in range(len(shares))]
    return spliced(net, ways, dict(zip(parts, shares, strict=True)), tuple(pairwise(parts)))


def spliced(
    net: Net, ways: Ways, shares: Mapping[str, tuple[Terminal, ...]], links: Sequence[tuple[str, str]]
) -> Draft:
    """Return the wires of a net whose splices are known.

    Args:
        net: what is joined; the builder's place goes to its first splice
        ways: its loom
        shares: terminals at every splice, by part, in the order of the splices; one of links alone has none
        links: parts of the splices a wire joins
    """
    points = {part: centre([t.point for t in share], ways) for part, share in shares.items() if share}
    middle = centre([t.point for t in net.terminals], ways)
    splices: dict[str, SpliceDraft] = {}
    for part, share in shares.items():
        beside = [b if a == part else a for a, b in links if part in (a, b)]
        targets = (*(t.point for t in share), *(points.get(other, middle) for other in beside))
        fixed = None if splices else net.fixed
        splices[part] = SpliceDraft(net.circuit, net.loom, part, targets, fixed=fixed)
    wires = [
        WireDraft(net.circuit, net.kind, net.loom, splices[part], t)
        for part, share in shares.items()
        for t in share
    ]
    between = [WireDraft(net.circuit, net.kind, net.loom, splices[a], splices[b]) for a, b in links]
    return Draft((*wires, *between), tuple(splices.values()))


def _shares(net: Net, ways: Ways, most: int) -> list[tuple[Terminal, ...]]:
    """Return the terminals shared out to as few splices as can hold them, neighbours together."""
    left = sorted(net.terminals, key=lambda t: (ways.order[t.point], natural(t.key)))
    if len(left) <= most:
        return [tuple(left)]
    count = math.ceil((len(left) - 2) / (most - 2))
    caps = [most - 1, *[most - 2] * (count - 2), most - 1]
    shares = []
    for i, cap in enumerate(caps):
        size = min(cap, math.ceil(len(left) / (count - i)))
        size = max(size, len(left) - sum(caps[i + 1 :]))
        shares.append(tuple(left[:size]))
        left = left[size:]
    return shares


def centre(points: Sequence[str], ways: Ways) -> str:
    """Return the meeting point that needs the least wire to all points, one or more."""
    near = [ways.meeting(a, b) for a, b in pairwise(points)] or points
    return min(near, key=lambda p: (sum(ways.gap_mm(p, q) for q in points), ways.order[p]))
