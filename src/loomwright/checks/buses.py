"""Buses: one line, two terminators, both wires at every node."""

from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import CAUTION, FAULT, NOTE, Entry
from loomwright.checks.looking import cited, live, live_pins, many, named
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.library.kinds import kinds
from loomwright.model.device import Pin
from loomwright.model.words import CircuitKind, Join
from loomwright.sources import Mark, Source

_CAN: Final = Source(Mark.MEMORY, "two-wire bus after ISO 11898-2: 120 ohm at both ends, 60 ohm across")
BUS_01: Final = Entry(
    "BUS-01",
    "Terminators of the bus not told",
    NOTE,
    "Without a resistor at each end the bus reflects and drops messages.",
    _CAN,
    ("circuits", "test"),
)
BUS_02: Final = Entry(
    "BUS-02",
    "Too many terminators",
    CAUTION,
    "Each resistor too many loads the bus until nodes no longer hear each other.",
    _CAN,
    ("circuits", "test"),
)
BUS_03: Final = Entry(
    "BUS-03",
    "Bus as a star",
    CAUTION,
    "Arms of a star reflect; a bus is one line with short stubs.",
    _CAN,
    ("circuits", "route"),
)
BUS_04: Final = Entry(
    "BUS-04",
    "Node with one of two bus wires",
    FAULT,
    "A node needs both wires of the bus.",
    _CAN,
    ("circuits", "pinouts"),
)
BUS_05: Final = Entry(
    "BUS-05",
    "Bus wires crossed over",
    FAULT,
    "High at one node meets low at another; that node, and often all of them, stay silent.",
    _CAN,
    ("circuits", "pinouts"),
)
ENTRIES: Final = (BUS_01, BUS_02, BUS_03, BUS_04, BUS_05)
WANTED: Final = 2


def _lines(worked: Worked) -> list[tuple[str, list[Pin]]]:
    """One bus circuit per pair (the first of its cable), with its pins at nodes."""
    second = {name for c in worked.job.cables for name in c.circuits[1:]}
    found = []
    for circuit in worked.job.circuits:
        if circuit.kind is not CircuitKind.BUS or circuit.name in second:
            continue
        pins = [p for p in live_pins(worked.job, circuit.name) if not worked.job.connector[p.end].mates]
        if len(pins) > 1 and any("can" in p.words.lower().split() for p in pins):
            found.append((circuit.name, pins))
    return found


def terminators(worked: Worked) -> Iterator[Finding]:
    """BUS-01, BUS-02: fewer or more than two terminators told."""
    job = worked.job
    for name, pins in _lines(worked):
        if _is_low(pins):
            continue
        parts = [p.device for p in pins if job.device[p.device].kind == "CAN terminator"]
        built = sum(loom.terminators for loom in job.looms) if len(_lines(worked)) <= 2 else 0
        count = len(parts) + built
        path = job.circuit[name].path
        if count < WANTED:
            yield BUS_01.at(
                f"circuit {name}",
                path,
                f"{name} has {many(len(pins), 'node')} and {many(count, 'terminator')} in the loom.",
                "A bus has 120 ohm at both ends, 60 ohm across with power off [from memory].",
                "Make sure that the nodes at its ends have one built in, or add terminators.",
                subject=name,
            )
        elif count > WANTED:
            yield BUS_02.at(
                f"circuit {name}",
                path,
                f"{name} has {count} terminators in the loom: about {120 / count:.0f} ohm across.",
                "A bus has two of 120 ohm, one at each end [from memory].",
                "Take out those that don't sit at an end.",
                subject=name,
            )


def _is_low(pins: list[Pin]) -> bool:
    return all("low" in p.words.lower() for p in pins if p.words)


def bus_as_star(worked: Worked) -> Iterator[Finding]:
    """BUS-03: a bus of three and more nodes that isn't joined in line."""
    for join in worked.routed.joins:
        circuit = worked.job.circuit.get(join.circuit)
        if circuit is None or circuit.kind is not CircuitKind.BUS:
            continue
        if join.join in (Join.BUS_IN_LINE, Join.DIRECT):
            continue
        yield BUS_03.at(
            f"circuit {join.circuit} in loom {join.loom}",
            circuit.path,
            f"{join.circuit} is joined by {join.join} ({join.reason}).",
            "A bus runs from node to node in one line, with stubs of at most "
            f"{worked.job.shop.bus_stub_mm.value:.0f} mm {cited(worked.job.shop.bus_stub_mm.source)}.",
            'Take the stated join out, or write join = "bus in line".',
            subject=f"{join.circuit} in {join.loom}",
        )


def half_a_node(worked: Worked) -> Iterator[Finding]:
    """BUS-04: a device of a known kind with one of its two bus cavities wired."""
    for device in live(worked.job):
        kind = kinds().get(device.kind)
        if kind is None or kind.roles_from_job:
            continue
        wanted = {c.cavity: c.words for c in kind.cavities if c.kind is CircuitKind.BUS}
        used = {p.cavity for p in device.pins}
        lacking = [f'"{c}" ({words})' for c, words in wanted.items() if c not in used]
        if lacking and len(lacking) < len(wanted):
            yield BUS_04.at(
                device.name,
                device.path,
                f"{device.name} is on the bus without cavity {named(lacking)}.",
                "A node has both wires of the bus.",
                "Enter the other bus circuit.",
                subject=device.name,
            )


def wires_crossed(worked: Worked) -> Iterator[Finding]:
    """BUS-05: one circuit is high at one node and low at another."""
    job = worked.job
    for circuit in job.circuits:
        if circuit.kind is not CircuitKind.BUS:
            continue
        pins = live_pins(job, circuit.name)
        high = [p for p in pins if p.words.lower().endswith("high")]
        low = [p for p in pins if p.words.lower().endswith("low")]
        if high and low:
            fewer = min((low, high), key=len)
            yield BUS_05.at(
                f"circuit {circuit.name}",
                circuit.path,
                f"{circuit.name} is {high[0].words} at {named(p.id for p in high)} and {low[0].words} at "
                f"{named(p.id for p in low)}.",
                "High meets high, low meets low.",
                f"Swap the two circuits at {named(dict.fromkeys(p.end for p in fewer))}.",
                subject=circuit.name,
            )
