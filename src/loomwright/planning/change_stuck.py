"""What is done already and can't be taken back, and what a change means there."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from loomwright.checks.worked import Worked
from loomwright.planning.change_pieces import PieceChange
from loomwright.planning.change_wires import Deed, WireChange
from loomwright.records.issued_done import Done
from loomwright.routing.routed import section_key


@dataclass(frozen=True, slots=True)
class Stuck:
    """One thing that is done and stands in the way of a change, or holds what the change takes away."""

    subject: str
    words: str


def stuck(
    done: Done,
    wires: tuple[WireChange, ...],
    sections: tuple[PieceChange, ...],
    splices: tuple[PieceChange, ...],
    before: Worked,
    after: Worked,
) -> tuple[Stuck, ...]:
    """Return what is sheathed, closed or spliced already and what the change means there, by name."""
    lengths = {one.subject: one for one in sections}
    found = [*_sheathed(done, wires, lengths), *_closed(done, wires, lengths, (before, after))]
    made = {one.subject: one for one in splices}
    for name in sorted(done.spliced):
        if name in made:
            found.append(Stuck(name, f"{name} is made. {made[name].words or made[name].deed}"))
    return tuple(found)


def unknown(done: Done, before: Worked, after: Worked) -> tuple[str, ...]:
    """Return the names in done.toml that neither state of the job has, sorted."""
    found: set[str] = set()
    for state in (before, after):
        routed = state.routed
        found |= {w.label for w in routed.wires} | {s.name for s in routed.splices}
        for tree in routed.trees:
            names = [tree.datum, *(n for s in tree.sections for n in (s.name, s.outer))]
            found |= {section_key(tree.loom, name) for name in names}
    return tuple(sorted((done.cut | done.spliced | done.sheathed | done.closed) - found))


def _sheathed(
    done: Done, wires: tuple[WireChange, ...], lengths: Mapping[str, PieceChange]
) -> Iterator[Stuck]:
    for key in sorted(done.sheathed):
        name = key.split("/", 1)[-1]
        change = lengths.get(key)
        if change is not None and change.deed is Deed.REMOVE:
            words = f"{name} is sheathed and isn't there any more: take it apart, or keep it as it was."
            yield Stuck(key, words)
        elif change is not None:
            words = f"{name} is sheathed at {change.was} and should be {change.now}"
            yield Stuck(key, f"{words}: keep its length, or build it anew.")
        if change is not None:
            continue
        come = _labels(one for one in wires if key in one.entered)
        if come:
            words = f"{name} is sheathed: {come} must run outside and be tied to it, or open the sheath."
            yield Stuck(key, words)
        gone = _labels((one for one in wires if key in one.left and one.is_cut), old=True)
        if gone:
            words = f"{name} is sheathed: {gone} can stay in it, both ends cut back and sealed."
            yield Stuck(key, words)


def _closed(
    done: Done,
    wires: tuple[WireChange, ...],
    lengths: Mapping[str, PieceChange],
    states: tuple[Worked, Worked],
) -> Iterator[Stuck]:
    for key in sorted(done.closed):
        loom, _, name = key.partition("/")
        at = sorted({s for state in states for s in _at_point(state, loom, name)})
        new, gone, moved = (
            ", ".join(s.split("/", 1)[1] for s in at if s in lengths and lengths[s].deed in deeds)
            for deeds in ((Deed.CUT_NEW,), (Deed.REMOVE,), (Deed.LENGTHEN, Deed.SHORTEN))
        )
        if new:
            yield Stuck(key, f"{name} is closed: {new} can only leave it outside the sheath, or open it.")
        if gone:
            yield Stuck(key, f"{name} is closed: {gone} can't be taken out of it without opening it.")
        if moved:
            yield Stuck(key, f"{name} is closed and can't be moved; {moved} should have another length.")
        come = _labels(one for one in wires if key in one.points and not (moved and one.deed is Deed.REPLACE))
        if come:
            words = f"{name} is closed: {come} must run outside the sheath from {name}, or open it."
            yield Stuck(key, words)


def _at_point(worked: Worked, loom: str, point: str) -> tuple[str, ...]:
    tree = worked.routed.tree.get(loom)
    found = tree.sections if tree is not None else ()
    return tuple(section_key(loom, s.name) for s in found if point in (s.inner, s.outer))


def _labels(wires: Iterable[WireChange], old: bool = False) -> str:
    rows = (one.was if old and one.was is not None else one.row for one in wires)
    return ", ".join(dict.fromkeys(row.label for row in sorted(rows, key=lambda r: r.number)))
