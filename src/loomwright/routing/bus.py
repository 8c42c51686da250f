"""A bus laid in one line from node to node, with short stubs, never a star."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from loomwright.findings import Finding
from loomwright.model.circuit import Circuit
from loomwright.routing import findings as say
from loomwright.routing.draft import Draft, DraftEnd, SpliceDraft, Terminal, WireDraft
from loomwright.routing.field import Field
from loomwright.routing.grown import told_of_grouping
from loomwright.routing.kept_line import kept_line
from loomwright.routing.naming import natural
from loomwright.routing.ways import Ways


def in_line(
    field: Field, circuit: Circuit, order: Sequence[str], loom: str, nodes: Sequence[Terminal]
) -> Draft:
    """Return the wires of a bus in one loom.

    The line runs through a splice beside every node but the first and last; a stub joins the node to it.
    What was laid before stays in line: a newcomer comes in where it costs least, and an end node whose
    splice was made keeps it.

    Args:
        order: end names as the builder wants them in line, () = the shortest line
        nodes: two or more
    """
    row, notes = _ordered(circuit, order, loom, nodes, field.ways[loom])
    anew = _laid(field, circuit, loom, row, frozenset())
    wired = field.wired.get(circuit.name, ())
    if order or not wired:
        return replace(anew, findings=tuple(notes))
    now = _laid(field, circuit, loom, *kept_line(loom, wired, row, field.ways[loom]))
    told = told_of_grouping(field, circuit.name, loom, now, anew)
    return replace(now, findings=(*notes, *told))


def _laid(
    field: Field, circuit: Circuit, loom: str, row: Sequence[Terminal], joints: frozenset[str]
) -> Draft:
    """Return the wires of a line.

    Args:
        row: nodes in line
        joints: keys of end nodes that have a splice all the same
    """
    limit = field.job.shop.bus_stub_mm.value
    line: list[DraftEnd] = []
    stubs = []
    for i, node in enumerate(row):
        if i in (0, len(row) - 1) and node.key not in joints:
            line.append(node)
            continue
        targets = tuple(n.point for n in row[max(i - 1, 0) : i + 2])
        spot = f"{loom} at {node.end}"
        splice = SpliceDraft(circuit.name, loom, f"at {node.key}", targets, node.point, limit, spot=spot)
        line.append(splice)
        stubs.append(WireDraft(circuit.name, circuit.kind, loom, splice, node))
    trunk = [WireDraft(circuit.name, circuit.kind, loom, a, b) for a, b in pairwise(line)]
    splices = tuple(x for x in line if isinstance(x, SpliceDraft))
    return Draft((*trunk, *stubs), splices)


def _ordered(
    circuit: Circuit, order: Sequence[str], loom: str, nodes: Sequence[Terminal], ways: Ways
) -> tuple[list[Terminal], list[Finding]]:
    """Return the nodes in line, and what is to be told about it."""
    leaving = [n for n in nodes if n.crosses]
    notes = []
    if len(leaving) > 2:
        notes.append(say.bus_branches(circuit, loom, [n.key for n in leaving]))
    shortest = shortest_line(nodes, leaving, ways)
    if not order:
        return shortest, notes
    turn = {name: i for i, name in reversed(list(enumerate(order)))}
    last = len(order)
    unnamed = [n.end for n in shortest if n.end not in turn and n.device not in turn and not n.crosses]
    if unnamed:
        notes.append(say.order_leaves_out(circuit, loom, unnamed))
    return sorted(shortest, key=lambda n: turn.get(n.end, turn.get(n.device, last))), notes


def shortest_line(nodes: Sequence[Terminal], leaving: Sequence[Terminal], ways: Ways) -> list[Terminal]:
    """Return the nodes in the order of the shortest line through all of them.

    A walk through all nodes of a tree from one end to the other costs twice the tree between them less the
    gap of its ends, so the ends are the two farthest nodes, or those where the bus leaves the loom.

    Args:
        nodes: two or more
        leaving: nodes at which the bus goes on into another loom; they stand at the ends of the line
    """
    named = sorted(nodes, key=lambda n: (natural(n.key), n.key))
    first, last = _line_ends(named, sorted(leaving, key=lambda n: (natural(n.key), n.key)), ways)
    whole = ways.gap_mm(first.point, last.point)
    start, points = ways.order[first.point], len(ways.order)

    def along(node: Terminal) -> tuple[float, int]:
        gap = ways.gap_mm(first.point, node.point) - ways.gap_mm(last.point, node.point)
        return round((whole + gap) / 2, 6), (ways.order[node.point] - start) % points

    return [first, *sorted((n for n in named if n is not first and n is not last), key=along), last]


def _line_ends(
    named: Sequence[Terminal], leaving: Sequence[Terminal], ways: Ways
) -> tuple[Terminal, Terminal]:
    def farthest(node: Terminal) -> Terminal:
        others = [n for n in named if n is not node]
        return max(others, key=lambda n: round(ways.gap_mm(node.point, n.point), 6))

    if len(leaving) >= 2:
        return leaving[0], leaving[1]
    if leaving:
        return leaving[0], farthest(leaving[0])
    first = farthest(named[0])
    return first, farthest(first)
