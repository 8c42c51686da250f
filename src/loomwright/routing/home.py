"""Wires that each go home by themselves: to a stud, or a group's one wire to its giver pin."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from loomwright.model.circuit import Circuit
from loomwright.routing import findings as say
from loomwright.routing.draft import Draft, Net, Terminal, together
from loomwright.routing.field import Field
from loomwright.routing.grown import grown


@dataclass(frozen=True, slots=True)
class Unit:
    """Terminals that share one wire home."""

    part: str
    terminals: tuple[Terminal, ...]


@dataclass(frozen=True, slots=True)
class Brought:
    """What arrives in the looms that have a home, and the looms that reach none."""

    units: dict[str, tuple[Unit, ...]]
    cut_off: tuple[str, ...]
    draft: Draft


Known = Callable[[Terminal, Terminal], bool]


def buckets(
    units: Sequence[Unit], doors: Sequence[Terminal], known: Known
) -> list[tuple[tuple[Unit, ...], tuple[Terminal, ...]]]:
    """Share units out to doors: who had a wire before keeps it, then group by group, then in turn.

    Args:
        units: what wants to go through, at least one
        doors: cavities or giver pins, at least one
        known: tells whether there was a wire between two terminals before
    """
    count = min(len(units), len(doors))
    taken: dict[int, int] = {}
    for wants in (
        lambda u, d: len(u.terminals) == 1 and known(u.terminals[0], d),
        lambda u, d: bool(d.group) and d.group == u.part,
        lambda u, d: True,
    ):
        for i, unit in enumerate(units):
            for j, door in enumerate(doors):
                if len(taken) < count and i not in taken and j not in taken.values() and wants(unit, door):
                    taken[i] = j
    rows = [([units[i]], [doors[j]]) for i, j in sorted(taken.items())]
    for n, unit in enumerate(u for i, u in enumerate(units) if i not in taken):
        rows[n % count][0].append(unit)
    for n, door in enumerate(d for j, d in enumerate(doors) if j not in taken.values()):
        rows[n % count][1].append(door)
    return [(tuple(us), tuple(ds)) for us, ds in rows]


def brought_home(
    field: Field, circuit: Circuit, units: dict[str, list[Unit]], homes: Sequence[str]
) -> Brought:
    """Carry units from loom to loom, each through a cavity of its own, until they are in a loom with a home.

    Args:
        units: by loom, without the crossing cavities
        homes: looms that have a home
    """
    parent = _parents(field, circuit.name, homes)
    inside = {loom: list(units.get(loom, ())) for loom in field.looms}
    doors = [d for loom, up in parent.items() if up for d in field.across(circuit.name, loom, up)]
    carrying = {t.key for door in doors for t in door}
    for terminal in _crossing_terminals(field, circuit.name):
        loom = field.loom_of[terminal.point]
        if terminal.key not in carrying and loom in parent:
            inside[loom].append(Unit(terminal.key, (terminal,)))
    drafts = []
    for loom, up in reversed(parent.items()):
        if up:
            draft, arriving = _through(field, circuit, loom, up, inside[loom])
            drafts.append(draft)
            inside[up].extend(arriving)
    at_home = {loom: tuple(sorted(inside[loom], key=_turn)) for loom in homes}
    return Brought(at_home, tuple(x for x in field.looms if x not in parent), together(drafts))


def merged(units: Iterable[Unit]) -> list[Unit]:
    """Return units of the same group as one, in the order of the job."""
    rows: dict[str, list[Terminal]] = {}
    for unit in units:
        rows.setdefault(unit.part, []).extend(unit.terminals)
    return sorted((Unit(part, tuple(row)) for part, row in rows.items()), key=_turn)


def _turn(unit: Unit) -> int:
    return min(t.turn for t in unit.terminals)


def _parents(field: Field, circuit: str, homes: Sequence[str]) -> dict[str, str]:
    """Return the loom towards home of every loom that reaches one ("" at home), nearest first."""
    parent = dict.fromkeys(homes, "")
    waiting = list(homes)
    while waiting:
        here = waiting.pop(0)
        for loom in field.looms:
            if loom not in parent and field.across(circuit, here, loom):
                parent[loom] = here
                waiting.append(loom)
    return parent


def _crossing_terminals(field: Field, circuit: str) -> list[Terminal]:
    pins = (pin for x in field.crossings.get(circuit, ()) for pin in (x.a, x.b))
    return [field.terminal[pin] for pin in pins if pin in field.terminal]


def _through(
    field: Field, circuit: Circuit, loom: str, up: str, units: Sequence[Unit]
) -> tuple[Draft, list[Unit]]:
    """Return the wires of one loom up to the cavities towards home, and what arrives behind them."""
    doors = field.across(circuit.name, loom, up)
    there = {here.key: other for here, other in doors}
    if not units:
        return Draft(), [Unit(other.key, (other,)) for _, other in doors]
    units = merged(units)
    rows = buckets(units, [here for here, _ in doors], field.was(circuit.name))
    drafts, arriving = [], []
    for who, cavities in rows:
        part = who[0].part
        terminals = (*(t for u in who for t in u.terminals), *cavities)
        drafts.append(_net(field, circuit, loom, part, terminals))
        arriving.append(Unit(part, tuple(there[t.key] for t in cavities)))
    if len(units) > len(doors):
        drafts.append(Draft(findings=(say.too_few_cavities_home(circuit, loom, len(units), len(doors)),)))
    return together(drafts), arriving


def _net(field: Field, circuit: Circuit, loom: str, part: str, terminals: Iterable[Terminal]) -> Draft:
    net = Net(circuit.name, circuit.kind, loom, part, tuple(terminals))
    return grown(field, net)


def to_studs(
    field: Field, circuit: Circuit, loom: str, units: Iterable[Unit], studs: Sequence[Terminal]
) -> Draft:
    """Return one wire from every terminal to a stud: the one it had, else the nearest with a ring free."""
    free = {s.key: _rings(s) for s in studs}
    known, ways = field.was(circuit.name), field.ways[loom]
    terminals = [t for u in units for t in u.terminals]
    kept = {t.key: s for t in terminals for s in studs if known(t, s)}
    for stud in kept.values():
        free[stud.key] -= 1
    drafts = []
    for terminal in terminals:
        at = terminal.point
        if terminal.key not in kept:
            stud = min(studs, key=lambda s: (free[s.key] <= 0, ways.gap_mm(at, s.point), s.turn))
            free[stud.key] -= 1
        else:
            stud = kept[terminal.key]
        drafts.append(_net(field, circuit, loom, stud.key, (terminal, stud)))
    return together(drafts)


def _rings(stud: Terminal) -> float:
    return stud.rings if stud.rings > 0 else float("inf")


def to_givers(
    field: Field, circuit: Circuit, loom: str, units: Sequence[Unit], givers: Sequence[Terminal]
) -> Draft:
    """Return the wires of groups to their giver pins, one giver pin each."""
    if not units:
        return Draft()
    drafts = []
    for who, doors in buckets(units, givers, field.was(circuit.name)):
        terminals = (*(t for u in who for t in u.terminals), doors[0])
        drafts.append(_net(field, circuit, loom, who[0].part, terminals))
    if len(units) > len(givers):
        told = say.groups_share_giver(circuit, [u.part for u in units], len(givers))
        drafts.append(Draft(findings=(told,)))
    return together(drafts)
