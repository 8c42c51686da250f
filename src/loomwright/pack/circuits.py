"""The circuits: kind, pins, how each is joined and why, what protects it."""

from typing import Final

from loomwright.model.circuit import Circuit
from loomwright.model.words import DeviceState
from loomwright.pack.pages import Block, Column, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View

COLUMNS: Final = (
    Column("circuit", bold=True),
    Column("kind"),
    Column("pins"),
    Column("joined"),
    Column("why"),
    Column("wires"),
    Column("fuse"),
)
FUSES: Final = (
    Column("fuse", bold=True),
    Column("kind"),
    Column("rating", "A", "number"),
    Column("in"),
    Column("from"),
    Column("to"),
    Column("off the source", "mm", "number", decimals=0),
    Column("fitted", kind="tick"),
)
INTRO: Final = (
    "Everything joined at one potential is one circuit. Where three or more pins meet, the join says how "
    "and why."
)


def circuits(view: View) -> Sheet:
    """Return the circuits by name, and the fuses with what stands before and behind them."""
    rows = tuple(_row(view, c) for c in sorted(view.job.circuits, key=lambda c: (c.kind, c.name)))
    blocks: list[Block] = [Table(COLUMNS, (RowGroup(rows),), close=True)]
    if view.job.protections:
        fuses = tuple(
            (p.name, p.kind, p.amps, p.device, p.line, p.load, p.from_source_mm, None)
            for p in view.job.protections
        )
        blocks.append(Table(FUSES, (RowGroup(fuses),), "Fuses and other protection"))
    return Sheet("circuits", "Circuits", tuple(blocks), INTRO, stamps=view.stamps("circuits"), landscape=True)


def _row(view: View, circuit: Circuit) -> Row:
    pins = [
        p.id
        for p in view.job.pins_of.get(circuit.name, ())
        if view.job.device[p.device].state is not DeviceState.REMOVED
    ]
    joins = [j for j in view.routed.joins if j.circuit == circuit.name]
    several = len({j.loom for j in joins}) > 1
    wires = view.routed.wires_of.get(circuit.name, ())
    fuses = [f"{p.name} {p.amps:g} A" for p in view.job.protections if p.load == circuit.name]
    return (
        circuit.name,
        str(circuit.kind),
        ", ".join(pins),
        "; ".join(dict.fromkeys((f"{j.loom}: " if several else "") + str(j.join) for j in joins)),
        "; ".join(dict.fromkeys(j.reason for j in joins)),
        view.labels(w.identity for w in wires),
        ", ".join(fuses),
    )
