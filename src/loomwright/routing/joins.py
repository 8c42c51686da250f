"""How every circuit is joined: by its kind, unless the builder says otherwise."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

from loomwright.findings import Finding
from loomwright.model.circuit import Circuit
from loomwright.model.device import Pin
from loomwright.model.words import CircuitKind, Join, Side
from loomwright.routing import findings as say
from loomwright.routing.bus import in_line
from loomwright.routing.draft import Draft, Net, Terminal, joined, together
from loomwright.routing.field import Field
from loomwright.routing.grown import grown
from loomwright.routing.home import Unit, brought_home, merged, to_givers, to_studs
from loomwright.routing.routed import CircuitJoin, Common, EndKind

BOXES: Final = ("box", "fuse box", "relay box", "relay holder")
GROUNDS: Final = (CircuitKind.POWER_GROUND, CircuitKind.CHASSIS)
_GROUPED: Final = (CircuitKind.SENSOR_GROUND, CircuitKind.SENSOR_SUPPLY)


def drafted(field: Field, circuit: Circuit, order: Sequence[str] = ()) -> Draft:
    """Return the wires, splices and commons of one circuit in all its looms.

    Args:
        order: end names of a bus in line, () = the shortest line
    """
    commons, hidden = _commons(field, circuit)
    parts = looms_of(field, circuit, hidden)
    join, reason, draft = _chosen(field, circuit, parts)
    apart = not_carried_across(field, circuit, parts, commons)
    body = _carried_out(field, circuit, order, parts, join, reason)
    result = together((Draft(commons=commons, findings=apart), draft, body))
    return _told_of_bars(field, circuit, result, commons)


def looms_of(
    field: Field, circuit: Circuit, hidden: frozenset[str] = frozenset()
) -> dict[str, tuple[Terminal, ...]]:
    """Return the circuit's terminals in every loom it lives in, in the order of the job.

    Args:
        hidden: ids of pins that need no wire
    """
    found: dict[str, list[Terminal]] = {}
    for pin in field.pins_of.get(circuit.name, ()):
        terminal = field.terminal.get(pin.id)
        if terminal is not None and pin.id not in hidden:
            found.setdefault(field.loom_of[terminal.point], []).append(terminal)
    return {loom: tuple(found[loom]) for loom in field.looms if loom in found}


def _commons(field: Field, circuit: Circuit) -> tuple[tuple[Common, ...], frozenset[str]]:
    """Return the circuit's bus bars, and the ids of the pins that get no wire because of them.

    One pin in each loom keeps its wire: the giver, else the first in the job.
    """
    if circuit.join not in (None, Join.BUS_BAR):
        return (), frozenset()
    by_device: dict[str, list[Pin]] = {}
    for pin in field.pins_of.get(circuit.name, ()):
        by_device.setdefault(pin.device, []).append(pin)
    commons, hidden = [], set()
    for device, pins in by_device.items():
        wanted = circuit.join is Join.BUS_BAR and device == circuit.join_at
        if len(pins) < 2 or not (wanted or field.job.device[device].family in BOXES):
            continue
        commons.append(Common(circuit.name, device, tuple(p.id for p in pins)))
        seen = set()
        for pin in sorted(pins, key=lambda p: p.side is not Side.GIVES):
            loom = field.loom_of.get(pin.end, "")
            if loom in seen or not loom:
                hidden.add(pin.id)
            seen.add(loom)
    return tuple(commons), frozenset(hidden)


def _chosen(
    field: Field, circuit: Circuit, parts: dict[str, tuple[Terminal, ...]]
) -> tuple[Join, str, Draft]:
    """Return the join of a circuit, why, and what is to be told about it."""
    terminals = [t for items in parts.values() for t in items]
    kind_join, why = _by_kind(field, circuit, terminals)
    if circuit.join is None:
        return kind_join, why, Draft()
    problem = _problem(field, circuit, terminals)
    if problem:
        return kind_join, why, Draft(findings=(say.stated_join_not_possible(circuit, circuit.join, problem),))
    stated = Join.SPLICE if circuit.join in (Join.BUS_BAR, Join.DIRECT) else circuit.join
    return stated, circuit.reason or "stated by the builder", Draft()


def _problem(field: Field, circuit: Circuit, terminals: Sequence[Terminal]) -> str:
    """Return why the stated join can't be made, "" = it can."""
    if circuit.join is Join.DIRECT and len([t for t in terminals if not t.crosses]) > 2:
        return "it has more than two pins"
    if circuit.join is Join.STUD and not home_studs(field, circuit, terminals):
        return f"{circuit.join_at} has no pin of it" if circuit.join_at else "it has no stud"
    if circuit.join is Join.NAMED_GROUP and not _givers(terminals):
        return "no pin of it gives, or pins of several devices do"
    if circuit.join is Join.BUS_BAR and not _commons(field, circuit)[0]:
        return "no box has two of its pins"
    return ""


def _by_kind(field: Field, circuit: Circuit, terminals: Sequence[Terminal]) -> tuple[Join, str]:
    if circuit.kind in GROUNDS and home_studs(field, circuit, terminals):
        return Join.STUD, f"a {circuit.kind}: each pin its own wire to a stud"
    if circuit.kind is CircuitKind.FEED and _rings_for_all(field, circuit, terminals):
        return Join.STUD, "a stud has a ring for every wire"
    if circuit.kind is CircuitKind.BUS:
        return Join.BUS_IN_LINE, "a bus: in line with short stubs, never a star"
    if circuit.kind in _GROUPED and _is_grouped(field, circuit) and _givers(terminals):
        return Join.NAMED_GROUP, f"a critical {circuit.kind}: groups don't share a wire home"
    return Join.SPLICE, "three and more pins"


def _rings_for_all(field: Field, circuit: Circuit, terminals: Sequence[Terminal]) -> bool:
    own = [t for t in terminals if not t.crosses]
    return any(home.rings >= len(own) - 1 > 1 for home in home_studs(field, circuit, terminals))


def _is_grouped(field: Field, circuit: Circuit) -> bool:
    pins = field.pins_of.get(circuit.name, ())
    return circuit.critical or any(p.critical or p.group for p in pins)


def home_studs(field: Field, circuit: Circuit, terminals: Sequence[Terminal]) -> list[Terminal]:
    """Return the studs the circuit's wires lead to.

    All of a ground's studs on metal are one potential; without one only a stud that gives the ground is its
    home, a battery's post, and not the stud of a module that takes it. Of any other circuit's studs, the one
    that takes the most rings is home.
    """
    if circuit.join_at and circuit.join in (None, Join.STUD):
        named = [t for t in terminals if t.device == circuit.join_at]
        if named:
            return named[:1]
    studs = [t for t in terminals if t.kind is EndKind.STUD]
    metal = [t for t in studs if t.metal]
    if circuit.kind in GROUNDS and metal:
        return metal
    if circuit.kind in GROUNDS:
        studs = [t for t in studs if t.side is Side.GIVES]
    return sorted(studs, key=lambda t: (-t.rings, t.side is not Side.GIVES))[:1]


def _givers(terminals: Sequence[Terminal]) -> list[Terminal]:
    """Return the giver pins; none where several devices give."""
    givers = [t for t in terminals if t.side is Side.GIVES and not t.crosses]
    return givers if len({t.device for t in givers}) == 1 else []


def not_carried_across(
    field: Field, circuit: Circuit, parts: dict[str, tuple[Terminal, ...]], commons: Iterable[Common]
) -> tuple[Finding, ...]:
    """Return JOIN-01 where the circuit's looms don't hang together."""
    group = {loom: loom for loom in parts}
    bonds = [(a, b) for a in parts for b in parts if a < b and field.across(circuit.name, a, b)]
    for common in commons:
        looms = [field.loom_of[t.point] for p in common.pins if (t := field.terminal.get(p))]
        bonds += [(a, b) for a, b in pairwise(looms)]
    if circuit.kind in GROUNDS:
        looms = [loom for loom, items in parts.items() if any(t.metal for t in items)]
        bonds += [(a, b) for a, b in pairwise(looms)]
    for a, b in bonds:
        if a in group and b in group:
            group = {loom: group[a] if g == group[b] else g for loom, g in group.items()}
    rows = [[loom for loom in group if group[loom] == g] for g in dict.fromkeys(group.values())]
    return (say.circuit_not_carried_across(circuit, rows),) if len(rows) > 1 else ()


def _carried_out(
    field: Field,
    circuit: Circuit,
    order: Sequence[str],
    parts: dict[str, tuple[Terminal, ...]],
    join: Join,
    reason: str,
) -> Draft:
    """Return the circuit joined as chosen."""
    if join is Join.STUD:
        return _to_studs(field, circuit, parts, reason)
    if join is Join.NAMED_GROUP:
        return _in_groups(field, circuit, parts, reason)
    drafts = []
    for loom, terminals in parts.items():
        if join is Join.BUS_IN_LINE and len(terminals) > 2:
            told = CircuitJoin(circuit.name, loom, join, reason)
            drafts += [in_line(field, circuit, order, loom, terminals), Draft(joins=(told,))]
        else:
            drafts.append(_spliced(field, circuit, loom, terminals, reason))
            if circuit.kind in GROUNDS and len(terminals) > 2 and circuit.join is None:
                drafts.append(Draft(findings=(say.ground_without_stud(circuit, loom),)))
    return together(drafts)


def _spliced(field: Field, circuit: Circuit, loom: str, terminals: Sequence[Terminal], reason: str) -> Draft:
    """Return two terminals joined by a wire, more by splices."""
    if len(terminals) < 2:
        return Draft()
    at = circuit.splice_at
    fixed = at if at and at.section in field.ways[loom].tree.by_name else None
    net = Net(circuit.name, circuit.kind, loom, "1", tuple(terminals), fixed)
    straight = circuit.join is Join.DIRECT
    body = joined(net, field.ways[loom], field.most) if straight else grown(field, net)
    join, why = (Join.SPLICE, reason) if body.splices else (Join.DIRECT, "two pins")
    if body.splices and len(terminals) == 2:
        why = "a splice is left from before"
    told = CircuitJoin(circuit.name, loom, join, why)
    return together((body, Draft(joins=(told,))))


def _to_studs(field: Field, circuit: Circuit, parts: dict[str, tuple[Terminal, ...]], reason: str) -> Draft:
    """Return each pin with a wire of its own to a stud."""
    studs = home_studs(field, circuit, [t for items in parts.values() for t in items])
    keys = {s.key for s in studs}
    units = {
        loom: [Unit(t.key, (t,)) for t in items if t.key not in keys and not t.crosses]
        for loom, items in parts.items()
    }
    by_loom: dict[str, list[Terminal]] = {}
    for stud in studs:
        by_loom.setdefault(field.loom_of[stud.point], []).append(_as_stud(stud))
    home = brought_home(field, circuit, units, list(by_loom))
    drafts = [home.draft]
    drafts += [to_studs(field, circuit, loom, home.units[loom], at) for loom, at in by_loom.items()]
    names = list(dict.fromkeys(s.device for s in studs))
    if len(names) > 1:
        drafts.append(Draft(findings=(say.studs_joined_by_metal(circuit, names),)))
    return _with_rest(field, circuit, parts, home.cut_off, drafts, Join.STUD, reason)


def _as_stud(terminal: Terminal) -> Terminal:
    """Return a terminal that takes many rings, as the builder says it does."""
    return replace(terminal, kind=EndKind.STUD, lead_mm=0.0, crosses=False)


def _in_groups(field: Field, circuit: Circuit, parts: dict[str, tuple[Terminal, ...]], reason: str) -> Draft:
    """Return each group joined to its own giver pin."""
    givers = _givers([t for items in parts.values() for t in items])
    keys = {g.key for g in givers}
    takers = [t for items in parts.values() for t in items if t.key not in keys and not t.crosses]
    named = any(t.group for t in takers)
    alone = not named and len(givers) >= len(takers)
    units: dict[str, list[Unit]] = {}
    for loom, items in parts.items():
        rows: dict[str, list[Terminal]] = {}
        for t in (t for t in items if t.key not in keys and not t.crosses):
            rows.setdefault(t.key if alone else t.group or "rest", []).append(t)
        units[loom] = [Unit(part, tuple(row)) for part, row in rows.items()]
    by_loom: dict[str, list[Terminal]] = {}
    for giver in givers:
        by_loom.setdefault(field.loom_of[giver.point], []).append(giver)
    home = brought_home(field, circuit, units, list(by_loom))
    at_home = {loom: merged(rows) for loom, rows in home.units.items()}
    drafts = [home.draft]
    drafts += [to_givers(field, circuit, loom, at_home[loom], pins) for loom, pins in by_loom.items()]
    if len(givers) > 1:
        drafts.append(Draft(commons=(Common(circuit.name, givers[0].device, tuple(g.name for g in givers)),)))
    if not named and not alone:
        drafts.append(Draft(findings=(say.critical_but_not_grouped(circuit, len(takers), len(givers)),)))
    used = {e.key for d in drafts for w in d.wires for e in (w.a, w.b)}
    idle = [g.name for g in givers if g.key not in used]
    if idle and takers:
        drafts.append(Draft(findings=(say.giver_not_used(circuit, idle),)))
    return _with_rest(field, circuit, parts, home.cut_off, drafts, Join.NAMED_GROUP, reason)


def _with_rest(
    field: Field,
    circuit: Circuit,
    parts: dict[str, tuple[Terminal, ...]],
    cut_off: Iterable[str],
    drafts: list[Draft],
    join: Join,
    reason: str,
) -> Draft:
    """Return the drafts, the looms that reach no home joined by splice, and the join of every loom told."""
    rest = [loom for loom in cut_off if loom in parts]
    drafts = [*drafts, *(_spliced(field, circuit, loom, parts[loom], "no way home") for loom in rest)]
    told = [
        CircuitJoin(circuit.name, loom, *((join, reason) if len(items) > 2 else (Join.DIRECT, "two pins")))
        for loom, items in parts.items()
        if loom not in rest and len(items) > 1
    ]
    return together((*drafts, Draft(joins=tuple(told))))


def _told_of_bars(field: Field, circuit: Circuit, draft: Draft, commons: Sequence[Common]) -> Draft:
    """Return a draft that says BUS_BAR where a bus bar leaves no splice to be made."""
    looms = {field.loom_of[t.point] for c in commons for p in c.pins if (t := field.terminal.get(p))}
    words = "joined inside " + ", ".join(c.device for c in commons)
    looms -= {s.loom for s in draft.splices}
    others = [j for j in draft.joins if j.loom not in looms or j.join in (Join.STUD, Join.BUS_IN_LINE)]
    looms -= {j.loom for j in others}
    bars = [CircuitJoin(circuit.name, loom, Join.BUS_BAR, words) for loom in field.looms if loom in looms]
    return Draft(
        draft.wires,
        draft.splices,
        draft.commons,
        (*others, *bars),
        draft.findings,
    )
