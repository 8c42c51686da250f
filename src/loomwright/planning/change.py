"""Two states of a job compared in the builder's words: what to cut, move, make anew, and what is stuck."""

from collections.abc import Iterable
from dataclasses import dataclass

from loomwright.checks.worked import Worked
from loomwright.planning import change_pieces as told
from loomwright.planning import change_wires
from loomwright.planning.change_pieces import PieceChange
from loomwright.planning.change_rows import CutRow, cut_rows, laid
from loomwright.planning.change_stuck import Stuck, stuck, unknown
from loomwright.planning.change_wires import Deed, WireChange, wire_changes
from loomwright.records.issued_done import Done


@dataclass(frozen=True, slots=True)
class Change:
    """What has to be done to get from one state of a job to another.

    Attributes:
        unchanged: number of wires that stay as they are
        wires: what to do with every other one, by number
        devices, protections: what came, went or changed in the job
        sections: lengths and sections that are others now
        sleeves, covers, splices, labels: pieces to cut, make, print or take away
        cavities: cavities with other wires
        stuck: what is done already and stands in the way
        unknown: names recorded as done that the job doesn't have
    """

    unchanged: int
    wires: tuple[WireChange, ...]
    devices: tuple[PieceChange, ...]
    protections: tuple[PieceChange, ...]
    sections: tuple[PieceChange, ...]
    sleeves: tuple[PieceChange, ...]
    covers: tuple[PieceChange, ...]
    splices: tuple[PieceChange, ...]
    labels: tuple[PieceChange, ...]
    cavities: tuple[PieceChange, ...]
    stuck: tuple[Stuck, ...]
    unknown: tuple[str, ...]

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to do."""
        pieces = (self.devices, self.protections, self.sections, self.sleeves, self.covers)
        return not (self.wires or self.splices or self.labels or self.cavities or any(pieces))

    def with_deed(self, *deeds: Deed) -> tuple[WireChange, ...]:
        """Return the wires to do one of these with."""
        return tuple(one for one in self.wires if one.deed in deeds)


def change(before: Worked, after: Worked, done: Done) -> Change:
    """Return what has to be done to get from one state of a job to another; pure.

    Args:
        before: the job as issued
        after: the job as it is now, worked out with what was kept from before
        done: what is cut, spliced, sheathed and closed already
    """
    was, now = laid(before), laid(after)
    wires = wire_changes(was, now, done.cut)
    sections = told.sections(before, after)
    splices = told.splices(before, after, done)
    touched = {one.was.identity for one in wires if one.was is not None}
    return Change(
        unchanged=len(was) - len(touched),
        wires=wires,
        devices=told.devices(before, after),
        protections=told.protections(before, after),
        sections=sections,
        sleeves=told.sleeves(before, after, done),
        covers=told.covers(before, after, done),
        splices=splices,
        labels=told.labels(before, after),
        cavities=told.cavities(before, after),
        stuck=stuck(done, wires, sections, splices, before, after),
        unknown=unknown(done, before, after),
    )


def applied(old_rows: Iterable[CutRow], one: Change) -> tuple[CutRow, ...]:
    """Return a cut list with a change carried out: exactly the new cut list, by number."""
    return change_wires.applied(old_rows, one.wires)


__all__ = ["Change", "applied", "change", "cut_rows"]
