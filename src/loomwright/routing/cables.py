"""Which wires are cores of a cable, the screens beside them, and spare wires."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from loomwright.findings import Finding
from loomwright.model.circuit import Cable
from loomwright.model.words import CableKind, CircuitKind, Join
from loomwright.routing import findings as say
from loomwright.routing.draft import Draft, DraftEnd, SpliceDraft, Terminal, WireDraft, together
from loomwright.routing.field import Field
from loomwright.routing.routed import CircuitJoin, EndKind


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
        terminals = {end.point for end in (wire.a, wire.b) if isinstance(end, Terminal)}
        if not half and terminals & shared:
            half = cable.name
    return half


@dataclass(frozen=True, slots=True)
class _Screen:
    """One length of screen: beside which wire of the cable it runs."""

    cable: Cable
    beside: WireDraft


def screens(field: Field, wires: Sequence[WireDraft]) -> Draft:
    """Return the screens of all screened cables, drained where their drain circuit has pins.

    Args:
        wires: all wires, cores marked
    """
    rows: dict[tuple[str, str], list[_Screen]] = {}
    findings: list[Finding] = []
    for cable in (c for c in field.job.cables if c.kind is CableKind.SCREENED):
        if not cable.screen:
            findings.append(say.screen_not_drained(cable))
            continue
        for loom in field.looms:
            beside = _first_core(cable, loom, wires)
            rows.setdefault((cable.screen, loom), []).extend(_Screen(cable, w) for w in beside)
            if any(isinstance(end, SpliceDraft) for w in beside for end in (w.a, w.b)):
                findings.append(say.screened_cable_spliced(cable, beside[0].circuit, loom))
    drafts = [_laid(field, circuit, loom, row) for (circuit, loom), row in rows.items() if row]
    drained = {w.cable for d in drafts for w in d.wires for end in (w.a, w.b) if _drains(end)}
    cables = {s.cable.name: s.cable for row in rows.values() for s in row}
    findings += [say.screen_not_drained(c) for c in cables.values() if c.name not in drained]
    return together((*drafts, Draft(findings=tuple(findings))))


def _drains(end: DraftEnd) -> bool:
    if isinstance(end, SpliceDraft):
        return end.part.startswith("drain")
    return end.kind is not EndKind.DRAIN_CUT


def _first_core(cable: Cable, loom: str, wires: Sequence[WireDraft]) -> list[WireDraft]:
    """Return the wires of the first circuit of the cable that has any in the loom."""
    for circuit in cable.circuits:
        found = [w for w in wires if (w.circuit, w.loom, w.cable) == (circuit, loom, cable.name)]
        if found:
            return found
    return []


def _laid(field: Field, circuit: str, loom: str, row: Sequence[_Screen]) -> Draft:
    """Return the screens of one drain circuit in one loom, joined to its pins."""
    pins = [
        t
        for p in field.pins_of.get(circuit, ())
        if (t := field.terminal.get(p.id)) is not None and field.loom_of[t.point] == loom
    ]
    ends = [(n, side, getattr(s.beside, side)) for n, s in enumerate(row) for side in ("a", "b")]
    homes = _homes(field, loom, pins, [(n, side, end) for n, side, end in ends if isinstance(end, Terminal)])
    finals: dict[tuple[int, str], DraftEnd] = {}
    drafts = []
    for pin, served in homes.items():
        end, draft = _drain(field, circuit, loom, pin, served)
        drafts.append(draft)
        finals.update(dict.fromkeys(served, end))
    wires, splices = [], {}
    for n, screen in enumerate(row):
        both: list[DraftEnd] = []
        for side in ("a", "b"):
            own: DraftEnd = getattr(screen.beside, side)
            if isinstance(own, SpliceDraft):
                twin = replace(own, circuit=circuit, part=f"{screen.cable.name} {own.part}", fixed=None)
                splices[twin.identity] = twin
                both.append(twin)
            else:
                both.append(finals.get((n, side)) or _cut(screen.cable, own))
        name = screen.cable.name
        wires.append(WireDraft(circuit, CircuitKind.DRAIN, loom, both[0], both[1], name, screen=True))
    told = CircuitJoin(circuit, loom, Join.SPLICE if len(wires) > 1 else Join.DIRECT, "runs with its cable")
    return together((*drafts, Draft(tuple(wires), tuple(splices.values()), joins=(told,))))


def _homes(
    field: Field, loom: str, pins: Sequence[Terminal], ends: Sequence[tuple[int, str, Terminal]]
) -> dict[str, list[tuple[int, str]]]:
    """Return the screen ends each drain pin serves: at its own end, its device, else the nearest one.

    The key joins the names of pins that serve the same screen ends.
    """
    left = {(n, side): t for n, side, t in ends}
    rows: list[tuple[list[str], list[tuple[int, str]]]] = []
    ways = field.ways[loom]
    waiting = list(pins)
    for same in ("point", "device"):
        for pin in list(waiting):
            served = [key for key, t in left.items() if getattr(t, same) == getattr(pin, same)]
            if served:
                rows.append(([pin.name], served))
                waiting.remove(pin)
                for key in served:
                    del left[key]
    for pin in waiting:
        if rows:
            point = pin.point
            nearest = min(rows, key=lambda r: ways.gap_mm(field.terminal[r[0][0]].point, point))
            nearest[0].append(pin.name)
        elif left:
            key = min(left, key=lambda k: (ways.gap_mm(left[k].point, pin.point), k))
            rows.append(([pin.name], [key]))
            del left[key]
    return {"\n".join(names): served for names, served in rows}


def _drain(
    field: Field, circuit: str, loom: str, names: str, served: Sequence[tuple[int, str]]
) -> tuple[DraftEnd, Draft]:
    """Return what screen ends lead to: the pin itself, or a splice where several things meet."""
    pins = [field.terminal[name] for name in names.split("\n")]
    if len(pins) == 1 and len(served) == 1:
        return pins[0], Draft()
    targets = (*(p.point for p in pins), *(pins[0].point for _ in served))
    splice = SpliceDraft(circuit, loom, f"drain {pins[0].key}", targets)
    wires = tuple(WireDraft(circuit, CircuitKind.DRAIN, loom, splice, pin) for pin in pins)
    return splice, Draft(wires, (splice,))


def _cut(cable: Cable, beside: Terminal) -> Terminal:
    key = f"{cable.name} cut back at {beside.end}"
    return Terminal(EndKind.DRAIN_CUT, key, beside.point, beside.point, beside.end)


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
