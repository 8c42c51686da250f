"""Which wires are cores of a cable, spare wires, and the order a pair of bus wires shares."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from loomwright.findings import Finding
from loomwright.model.circuit import Cable
from loomwright.model.words import CircuitKind, Side
from loomwright.routing import findings as say
from loomwright.routing.draft import Draft, DraftEnd, SpliceDraft, Terminal, WireDraft
from loomwright.routing.field import Field
from loomwright.routing.routed import EndKind


def with_cables(field: Field, wires: Sequence[WireDraft]) -> tuple[WireDraft, ...]:
    """Return the wires, cores marked with their cable.

    A wire is a core where all circuits of the cable have a wire between the same two spots; where the
    circuits share only one end, their wires from that end are cores, and a check tells that they part.
    """
    spots: dict[tuple[str, str], list[frozenset[str]]] = {}
    for wire in wires:
        spots.setdefault((wire.circuit, wire.loom), []).append(_spots(wire))
    cables_of: dict[str, list[Cable]] = {}
    for cable in field.job.cables:
        for name in cable.circuits:
            cables_of.setdefault(name, []).append(cable)
    return tuple(replace(w, cable=_cable_of(w, cables_of.get(w.circuit, ()), spots)) for w in wires)


def _spots(wire: WireDraft) -> frozenset[str]:
    return frozenset(_spot(end) for end in (wire.a, wire.b))


def _spot(end: DraftEnd) -> str:
    if isinstance(end, SpliceDraft):
        return end.spot or end.identity
    return end.point


def _leaving(wire: WireDraft) -> frozenset[str]:
    """Return the spots a wire may leave as a core; a shared wire home is no core at its giver pin."""
    terminals = [end for end in (wire.a, wire.b) if isinstance(end, Terminal)]
    return frozenset(t.point for t in terminals if len(terminals) == 2 or t.side is not Side.GIVES)


def _cable_of(
    wire: WireDraft, cables: Iterable[Cable], spots: dict[tuple[str, str], list[frozenset[str]]]
) -> str:
    own = _spots(wire)
    half = ""
    for cable in cables:
        rows = [spots.get((c, wire.loom), ()) for c in cable.circuits]
        if all(own in row for row in rows):
            return cable.name
        shared = frozenset.intersection(*(frozenset(s for pair in row for s in pair) for row in rows))
        if not half and shared & _leaving(wire):
            half = cable.name
    return half


def spares(field: Field) -> Draft:
    """Return the spare wires, sealed at both ends."""
    wires: list[WireDraft] = []
    findings: list[Finding] = []
    for spare in field.job.spares:
        looms = [field.loom_of.get(point, "") for point in (spare.a, spare.b)]
        unknown = [p for p, loom in zip((spare.a, spare.b), looms, strict=True) if not loom]
        if unknown or looms[0] != looms[1] or spare.a == spare.b:
            why = f"no rope leads to {unknown[0]}" if unknown else "they lie in different looms"
            why = "both ends are the same point" if spare.a == spare.b and not unknown else why
            findings.append(say.spare_not_routed(spare, why))
            continue
        a, b = (Terminal(EndKind.SEALED, point, point, point) for point in (spare.a, spare.b))
        wires.append(WireDraft(spare.name, CircuitKind.SPARE, looms[0], a, b, spare=True))
    return Draft(tuple(wires), findings=tuple(findings))


def bus_order(field: Field, name: str) -> tuple[str, ...]:
    """Return the order of a bus: its own, else that of a circuit in the same cable."""
    own = field.circuit(name).order
    if own:
        return own
    mates: Iterator[str] = (c for cable in field.job.cables if name in cable.circuits for c in cable.circuits)
    return next((order for c in mates if c in field.pins_of and (order := field.circuit(c).order)), ())
