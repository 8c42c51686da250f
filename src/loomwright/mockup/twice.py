"""Pieces of the rope that two tapes give: which one holds, and by how much they differ."""

from dataclasses import dataclass

from loomwright.findings import Finding
from loomwright.mockup.graph import best_of_pairs
from loomwright.mockup.tape import Measured, taped
from loomwright.mockup.trees import trees
from loomwright.model.job import Job


@dataclass(frozen=True, slots=True)
class Twice:
    """One piece measured twice.

    Attributes:
        piece: "B1-B2"
        holds: the length that is used: of the two the one with the smaller doubt
        other: the one that only checks it
        doubt_mm: what both together may be wrong by [mm]
    """

    piece: str
    holds: Measured
    other: Measured
    doubt_mm: float

    @property
    def agree(self) -> bool:
        """Whether they differ by no more than their doubt."""
        return abs(self.holds.mm - self.other.mm) <= self.doubt_mm


def measured_twice(job: Job, tapes: frozenset[str]) -> tuple[Twice, ...]:
    """Return the pieces that one of some tapes gives and another length gives, too.

    Args:
        tapes: names of the tapes looked at
    """
    found: list[Twice] = []
    for loom in job.looms:
        pairs: dict[tuple[str, str], list[Measured]] = {}
        for run in job.runs:
            for one in taped(run, job).lengths if run.loom == loom.name else ():
                pairs.setdefault(one.pair, []).append(one)
        for pair, lengths in sorted(pairs.items()):
            if len(lengths) > 1 and any(one.tape in tapes for one in lengths):
                ((holds,), _) = best_of_pairs(lengths)
                found += [_twice("-".join(pair), holds, one) for one in lengths if one is not holds]
    return tuple(found)


def new_on_the_rope(before: Job, after: Job) -> tuple[Finding, ...]:
    """Return what is wrong with the rope of a changed job and was not before."""
    known = {(one.code, one.what_is) for one in trees(before)[1]}
    return tuple(one for one in trees(after)[1] if (one.code, one.what_is) not in known)


def _twice(piece: str, holds: Measured, other: Measured) -> Twice:
    own = (holds.own_mm**2 + other.own_mm**2) ** 0.5
    return Twice(piece, holds, other, own + holds.common_mm + other.common_mm)
