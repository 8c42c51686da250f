"""Pairs and trios twisted at the bench: one line for each stretch of wires twisted together."""

from collections.abc import Iterator
from typing import Final

from loomwright.building.built import BuildStep
from loomwright.building.twists import Twist, ends_words, twists
from loomwright.pack.pages import Column, Row, RowGroup, Table
from loomwright.pack.view import View

COLUMNS: Final = (
    Column("pair", bold=True),
    Column("twist together", bold=True),
    Column("from"),
    Column("to"),
    Column("twisted", "mm", "number", decimals=0),
    Column("a turn each", "mm", "number", decimals=0),
    Column("turns", kind="number"),
    Column("beyond the twist single"),
    Column("done", kind="tick"),
)


def twist_table(view: View, steps: tuple[BuildStep, ...], name: str) -> Table:
    """Return the stretches of several pairs with a tick each.

    Args:
        steps: steps that twist a pair each
        name: what the table is called in spreadsheets
    """
    rows = tuple(_row(found) for step in steps for found in _of(view, step))
    return Table(COLUMNS, (RowGroup(rows),), close=True, name=name)


def _of(view: View, step: BuildStep) -> Iterator[Twist]:
    cable = view.cables.get(step.name.partition(" ")[2])
    if cable is not None:
        yield from twists(view.job, view.routed, view.sized, cable, step.loom)


def _row(found: Twist) -> Row:
    start, stop = ends_words(found.starts), ends_words(found.stops)
    wires = " with ".join(f"{w.label} {w.colour}".strip() for w in found.wires)
    if not found.mm:
        return (found.cable, wires, start, stop, None, None, None, "whole: not twisted", None)
    return (found.cable, wires, start, stop, found.mm, found.pitch_mm, found.turns, found.loose_words, None)
