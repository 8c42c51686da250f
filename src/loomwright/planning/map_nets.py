"""What is joined on a map: wires from end to end, and all wires of splices that hang together, as one net."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from loomwright.calc.priced_tree import Net
from loomwright.checks.worked import Worked
from loomwright.errors import RefusedEdit
from loomwright.jobfile.read_stock import Stock
from loomwright.mockup.graph import natural
from loomwright.model.corridor import CorridorMap
from loomwright.planning.map_prices import wire_mm_money
from loomwright.routing.routed import EndKind, Wire


@dataclass(frozen=True, slots=True)
class HeldNet:
    """A net and the circuit it is of."""

    net: Net
    circuit: str


def held_nets(
    worked: Worked, chart: CorridorMap, index: Mapping[str, int], stock: Stock
) -> tuple[HeldNet, ...]:
    """Return the nets of a map's loom.

    The wires of a splice, and of splices that a wire joins, are one net: it is taken to run once through
    every section, at the mean price and size of its wires.

    Args:
        index: number of every end, the datum's among them
    Raises:
        RefusedEdit: a wire ends where the map does not lead.
    """
    wires = [one for one in worked.routed.wires if one.loom == chart.loom]
    groups: dict[str, list[Wire]] = {}
    together = _together(wires)
    for wire in wires:
        spliced = _splices(wire)
        groups.setdefault(together[spliced[0]] if spliced else wire.identity, []).append(wire)
    found = []
    for key in sorted(groups):
        some = groups[key]
        ends = (end for wire in some for end in (wire.a, wire.b) if end.kind is not EndKind.SPLICE)
        points = sorted({end.point for end in ends}, key=natural)
        _check_reached((one for one in points if one not in index), worked, chart)
        joined = tuple(sorted(index[one] for one in points if one in index))
        if len(joined) > 1:
            found.append(HeldNet(_net(worked, some, joined, stock), some[0].circuit))
    return tuple(found)


def _splices(wire: Wire) -> list[str]:
    return [end.name for end in (wire.a, wire.b) if end.kind is EndKind.SPLICE]


def _together(wires: Sequence[Wire]) -> dict[str, str]:
    """Return, for every splice, the first of all splices that wires join it to."""
    beside: dict[str, set[str]] = {}
    for wire in wires:
        names = _splices(wire)
        for name in names:
            beside.setdefault(name, set()).update(names)
    found: dict[str, str] = {}
    for first in sorted(beside, key=natural):
        waiting = [] if first in found else [first]
        for name in waiting:
            if name not in found:
                found[name] = first
                waiting.extend(sorted(beside[name]))
    return found


def _net(worked: Worked, wires: Sequence[Wire], ends: tuple[int, ...], stock: Stock) -> Net:
    sizes = [worked.sized.conductor[wire.identity].size for wire in wires]
    money = [
        wire_mm_money(size.family, size.label, wire.colour, size.area_mm2, stock)
        for wire, size in zip(wires, sizes, strict=True)
    ]
    up = 1 + worked.job.shop.take_up_straight.value
    square = math.fsum(size.od_nom_mm**2 for size in sizes) / len(wires)
    return Net(ends, up * math.fsum(money) / len(wires), square)


def _check_reached(lost: Iterable[str], worked: Worked, chart: CorridorMap) -> None:
    for name in lost:
        if name in worked.job.connector:
            raise RefusedEdit(
                f"Map {chart.name} has no link to {name}, which has wires in loom {chart.loom}. "
                f'Add a table [map.{chart.name}.link."POINT-{name}"] with its mm.'
            )


def kept_apart(chart: CorridorMap, nets: Sequence[HeldNet]) -> tuple[tuple[int, int], ...]:
    """Return the pairs of nets that must not share a section."""
    of: dict[str, list[int]] = {}
    for at, one in enumerate(nets):
        of.setdefault(one.circuit, []).append(at)
    return tuple(
        (a, b) for first, second in chart.apart for a in of.get(first, ()) for b in of.get(second, ())
    )
