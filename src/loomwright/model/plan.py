"""The tree that was chosen, why, and what it and the others were priced at then."""

from dataclasses import dataclass

from loomwright.edits import Path


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One tree as it was priced when the plan was chosen; money in the shop's own.

    Attributes:
        name: the change that leads to it, "as it was" = none
        sheath_pieces: pieces of covering; ties with those of co-runs
    """

    name: str
    branch_points: int
    wire_m: float
    sheath_m: float
    sheath_pieces: int
    ties: int
    hours: float
    copper_g: float
    mass_g: float
    money: float


@dataclass(frozen=True, slots=True)
class ChosenPlan:
    """The plan the builder chose.

    Attributes:
        chosen: name of the change that was taken
        reason: why, in the builder's words
        rows: what was to choose from, the tree as it was first
    """

    chosen: str
    reason: str
    rows: tuple[PlanRow, ...]
    path: Path
