"""The screens of cables: beside their cores, drained where their drain circuit has pins, else cut back."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from loomwright.findings import Finding
from loomwright.model.circuit import Cable
from loomwright.model.words import CableKind, CircuitKind, Join
from loomwright.routing import findings as say
from loomwright.routing.draft import Draft, DraftEnd, Net, SpliceDraft, Terminal, WireDraft, joined, together
from loomwright.routing.field import Field
from loomwright.routing.joins import looms_of, not_carried_across
from loomwright.routing.routed import CircuitJoin, EndKind

Side = tuple[int, str]  # turn of a piece of screen, and which end of it


@dataclass(frozen=True, slots=True)
class Piece:
    """One length of screen: beside which wire of its cable it runs."""

    cable: Cable
    beside: WireDraft


def screens(field: Field, wires: Sequence[WireDraft]) -> Draft:
    """Return the screens of all screened cables, and what else their drain circuits need.

    Args:
        wires: all wires, cores marked with their cable
    """
    screened = [c for c in field.job.cables if c.kind is CableKind.SCREENED]
    findings: list[Finding] = [say.screen_not_drained(c) for c in screened if not c.screen]
    drafts: list[Draft] = []
    for circuit in dict.fromkeys(c.screen for c in field.job.cables if c.screen):
        parts = looms_of(field, field.circuit(circuit))
        findings += not_carried_across(field, field.circuit(circuit), parts, ())
        for loom in field.looms:
            pieces = [p for c in screened if c.screen == circuit for p in _pieces(c, loom, wires)]
            drafts.append(_laid(field, circuit, loom, pieces))
            for cable in dict.fromkeys(p.cable for p in pieces if _is_spliced(p)):
                findings.append(say.screened_cable_spliced(cable, loom))
    drained = {w.cable for d in drafts for w in d.wires if any(_drains(end) for end in (w.a, w.b))}
    findings += [say.screen_not_drained(c) for c in screened if c.screen and c.name not in drained]
    return together((*drafts, Draft(findings=tuple(findings))))


def _is_spliced(piece: Piece) -> bool:
    return isinstance(piece.beside.a, SpliceDraft) or isinstance(piece.beside.b, SpliceDraft)


def _drains(end: DraftEnd) -> bool:
    if isinstance(end, SpliceDraft):
        return end.part.startswith("drain")
    return end.kind is not EndKind.DRAIN_CUT


def _pieces(cable: Cable, loom: str, wires: Sequence[WireDraft]) -> list[Piece]:
    """Return one piece of screen for each length of the cable: beside its first circuit that is in the loom.

    Lengths that end in a splice where the cable doesn't go on have no screen.
    """
    rows: dict[frozenset[str], WireDraft] = {}
    for circuit in cable.circuits:
        for wire in wires:
            if (wire.circuit, wire.loom, wire.cable) == (circuit, loom, cable.name):
                rows.setdefault(frozenset(_spot(end) for end in (wire.a, wire.b)), wire)
        if rows:
            break
    count: dict[str, int] = {}
    for name in (name for pair in rows for name in pair):
        count[name] = count.get(name, 0) + 1
    return [
        Piece(cable, w)
        for pair, w in rows.items()
        if len(pair) == 2 and all(count[_spot(end)] > 1 for end in (w.a, w.b) if isinstance(end, SpliceDraft))
    ]


def _spot(end: DraftEnd) -> str:
    return end.identity if isinstance(end, SpliceDraft) else end.point


def _laid(field: Field, circuit: str, loom: str, pieces: Sequence[Piece]) -> Draft:
    """Return the pieces of one drain circuit in one loom joined to its pins, or the pins alone."""
    pins = looms_of(field, field.circuit(circuit)).get(loom, ())
    if not pieces:
        told = CircuitJoin(
            circuit, loom, Join.SPLICE if len(pins) > 2 else Join.DIRECT, "a drain without its cable"
        )
        net = Net(circuit, CircuitKind.DRAIN, loom, "drain", tuple(pins))
        return together(
            (joined(net, field.ways[loom], field.most), Draft(joins=(told,) if len(pins) > 1 else ()))
        )
    finals: dict[Side, DraftEnd] = {}
    drafts = [_drained(field, circuit, loom, *row, finals) for row in _homes(field, loom, pins, pieces)]
    wires, splices = [], {}
    for n, piece in enumerate(pieces):
        ends: list[DraftEnd] = []
        for side, own in (("a", piece.beside.a), ("b", piece.beside.b)):
            end = finals.get((n, side)) or _far_end(piece.cable, circuit, own)
            ends.append(end)
            if isinstance(own, SpliceDraft) and isinstance(end, SpliceDraft):
                splices[end.identity] = end
        wires.append(
            WireDraft(circuit, CircuitKind.DRAIN, loom, ends[0], ends[1], piece.cable.name, screen=True)
        )
    told = CircuitJoin(circuit, loom, Join.SPLICE if splices else Join.DIRECT, "runs with its cable")
    return together((*drafts, Draft(tuple(wires), tuple(splices.values()), joins=(told,))))


def _far_end(cable: Cable, circuit: str, own: DraftEnd) -> DraftEnd:
    """Return where a screen ends that no pin drains: in a splice beside its core's, else cut back."""
    if isinstance(own, SpliceDraft):
        return replace(own, circuit=circuit, part=f"{cable.name} {own.part}", fixed=None)
    key = f"{cable.name} cut back at {own.key}"
    return Terminal(EndKind.DRAIN_CUT, key, own.point, own.point, own.end)


def _homes(
    field: Field, loom: str, pins: Sequence[Terminal], pieces: Sequence[Piece]
) -> list[tuple[list[Terminal], list[Side]]]:
    """Return which pins drain which ends of pieces: same end, same device, else the nearest."""
    ends = [(n, side, getattr(p.beside, side)) for n, p in enumerate(pieces) for side in ("a", "b")]
    left: dict[Side, Terminal] = {(n, side): end for n, side, end in ends if isinstance(end, Terminal)}
    rows: list[tuple[list[Terminal], list[Side]]] = []
    waiting = list(pins)
    for same in ("point", "device"):
        for pin in tuple(waiting):
            near = {key[0]: key for key, end in left.items() if getattr(end, same) == getattr(pin, same)}
            served = list(near.values())  # one end of a piece at most
            if served:
                rows.append(([pin], served))
                waiting.remove(pin)
                left = {key: end for key, end in left.items() if key not in served}
    gap_mm = field.ways[loom].gap_mm
    for pin in waiting:
        point = pin.point
        if rows:
            min(rows, key=lambda row: gap_mm(row[0][0].point, point))[0].append(pin)
        elif left:
            nearest = min(left, key=lambda key: (gap_mm(left[key].point, point), key))
            rows.append(([pin], [nearest]))
            del left[nearest]
    return rows


def _drained(
    field: Field,
    circuit: str,
    loom: str,
    pins: list[Terminal],
    served: list[Side],
    finals: dict[Side, DraftEnd],
) -> Draft:
    """Return what joins ends of screens to their pins, and enter in `finals` what each end leads to."""
    stand_in = {
        f"{n} {side}": (n, side) for n, side in served
    }  # stand for the screens' ends until it is known what they lead to
    ends = [Terminal(EndKind.DRAIN_CUT, key, key, pins[0].point) for key in stand_in]
    net = Net(circuit, CircuitKind.DRAIN, loom, f"drain {pins[0].key}", (*pins, *ends))
    draft = joined(net, field.ways[loom], field.most)
    kept = []
    for wire in draft.wires:
        if wire.b.key in stand_in:
            finals[stand_in[wire.b.key]] = wire.a
        else:
            kept.append(wire)
    return replace(draft, wires=tuple(kept))
