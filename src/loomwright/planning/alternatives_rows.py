"""A price as one row: on the terminal, in the job file, on the plan sheet."""

from collections.abc import Iterable, Sequence
from typing import Final

from loomwright.edits import Edit, Value, Verb
from loomwright.model.plan import PlanRow
from loomwright.planning.alternatives import Alternative, Alternatives
from loomwright.planning.price import PER_HOUR, Price

AS_IT_WAS: Final = "as it was"
SHOWN: Final = 6
"""How many alternatives the job keeps beside the one that was chosen."""


def row(name: str, one: Price) -> PlanRow:
    """Return a price as one row.

    Args:
        name: the change that leads to it
        one: its exact price
    """
    return PlanRow(
        name=name,
        branch_points=one.branch_points,
        wire_m=one.mm_of("wire", "cable") / 1000,
        sheath_m=one.sheath_mm / 1000,
        sheath_pieces=one.sheath_pieces,
        ties=one.pieces_of("tie"),
        hours=one.minutes / PER_HOUR,
        copper_g=one.mass.copper_g,
        mass_g=one.mass.total_g,
        money=one.money,
    )


def choice_edits(
    found: Alternatives, taken: Alternative, reason: str, down: Sequence[Alternative] = ()
) -> tuple[Edit, ...]:
    """Return the edits that carry an alternative out and keep why it was chosen, and from what.

    Args:
        found: what there was to choose from
        taken: what is chosen
        reason: the builder's
        down: trees of ever fewer branch points, all of them kept beside it
    """
    others = [one for one in found.exact if one.sound and one.name != taken.name][:SHOWN]
    every = {one.name: one for one in (*others, *down, taken)}
    kept = sorted(every.values(), key=lambda one: (0.0 if one.price is None else one.price.money, one.name))
    rows = [row(AS_IT_WAS, found.present)]
    rows += [row(one.name, one.price) for one in kept if one.price is not None]
    table: dict[str, Value] = {"chosen": taken.name, "reason": reason, "priced": _values(rows)}
    return (*taken.edits, Edit(Verb.SET, ("plan",), table, reason))


def _values(rows: Iterable[PlanRow]) -> list[Value]:
    return [
        [
            one.name,
            one.branch_points,
            round(one.wire_m, 3),
            round(one.sheath_m, 3),
            one.sheath_pieces,
            one.ties,
            round(one.hours, 1),
            round(one.copper_g),
            round(one.mass_g),
            round(one.money, 2),
        ]
        for one in rows
    ]
