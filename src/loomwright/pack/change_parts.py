"""What a change takes from the shelf beyond what the issued pack asked for."""

from collections import Counter
from dataclasses import dataclass, replace
from typing import Final

from loomwright.checks.worked import Worked
from loomwright.pack.pages import Table
from loomwright.pack.parts import parts
from loomwright.pack.view import View
from loomwright.planning.change import Change
from loomwright.planning.change_wires import Deed, WireChange
from loomwright.planning.price_goods import FILM_TAPE
from loomwright.records.issued_done import Done
from loomwright.routing.routed import EndKind, Wire, section_key

SCRAPPED: Final = ("Wire and cable", "Contacts, seals, rings", "Sleeves and covers", "Splices and joints")
LEAST: Final = 0.005  # of a metre or a piece; ours


@dataclass(frozen=True, slots=True)
class More:
    """How much more of a part is needed than the issued parts list said, without spares."""

    part: str
    more: float
    unit: str


def to_order(before: View, after: View, change: Change, done: Done) -> tuple[More, ...]:
    """Return the parts a change takes: the new need less the old one, and what is lost of pieces made.

    Args:
        before, after: both states
        change: what has to be done between them
        done: what is cut, spliced, sheathed and closed already
    """
    need = _need(after)
    need.update(_need(View(_lost(before.worked, change, done), ()), SCRAPPED))
    need.subtract(_need(before))
    return tuple(
        More(part, round(amount, 2), unit) for (part, unit), amount in sorted(need.items()) if amount > LEAST
    )


def _need(view: View, titles: tuple[str, ...] = ()) -> Counter[tuple[str, str]]:
    """Need by part and unit, samples and film tape left out; rope as well: the mock-up is behind."""
    without = replace(view.worked, sized=replace(view.worked.sized, ropes=()))
    found: Counter[tuple[str, str]] = Counter()
    for block in parts(replace(view, worked=without)).blocks:
        for group in block.groups if isinstance(block, Table) else ():
            for part, need, _, unit, *_ in group.rows:
                told = (not titles or group.title in titles) and part != FILM_TAPE
                if told and isinstance(need, int | float):
                    found[str(part), str(unit)] += need  # type: ignore[assignment]
    return found


def _lost(worked: Worked, change: Change, done: Done) -> Worked:
    """The state before with only what is made and of no more use."""
    scrap = {c.was.identity for c in change.wires if c.is_scrap and c.was is not None}
    moved = [_moved(worked, c) for c in change.wires if c.deed is Deed.MOVE and c.is_cut]
    stubs = {wire.identity for wire in moved}
    wires = (*(w for w in worked.routed.wires if w.identity in scrap), *moved)
    lengths = (replace(x, cut_mm=0.0) if x.wire in stubs else x for x in worked.sized.lengths)
    sleeves, covers, splices = (
        {c.subject for c in told if c.deed in (Deed.REPLACE, Deed.REMOVE)}
        for told in (change.sleeves, change.covers, change.splices)
    )
    sized = replace(
        worked.sized,
        lengths=tuple(lengths),
        sleeves=tuple(s for s in worked.sized.sleeves if s.section in sleeves & done.sheathed),
        branch_covers=tuple(
            c for c in worked.sized.branch_covers if section_key(c.loom, c.point) in covers & done.closed
        ),
        splices=tuple(s for s in worked.sized.splices if s.splice in splices & done.spliced),
        grommets=(),
    )
    return replace(worked, routed=replace(worked.routed, wires=tuple(wires)), sized=sized)


def _moved(worked: Worked, change: WireChange) -> Wire:
    """A wire whose contact is moved, with only that end: the contact that comes off is lost."""
    assert change.was is not None
    wire = worked.routed.wire[change.was.identity]
    stays = change.was.ends & change.row.ends
    a_stays = any((wire.a.kind, wire.a.name) == (end.kind, end.name) for end in stays)
    end = wire.a if a_stays else wire.b
    cut_off = replace(end, kind=EndKind.SEALED)
    return replace(wire, a=cut_off) if a_stays else replace(wire, b=cut_off)
