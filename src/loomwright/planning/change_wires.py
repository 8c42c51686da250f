"""What a change means for every wire: cut new, replace, lengthen, shorten, move, relabel, remove."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from typing import Final

from loomwright.planning.change_rows import CutRow, Laid
from loomwright.routing.routed import EndKind

ALIKE_MM: Final = 0.5  # lengths nearer than this are one on any bench; ours


class Deed(StrEnum):
    """What to do with a wire or a piece."""

    CUT_NEW = "cut new"
    REPLACE = "replace"  # take it out, cut it again
    LENGTHEN = "lengthen"
    SHORTEN = "shorten"
    MOVE = "move contact"  # re-terminate in another cavity of the same plug
    RELAY = "lay another way"
    RELABEL = "relabel"
    ON_PAPER = "on paper only"  # the list prints it otherwise, the wire stays
    REMOVE = "remove"


@dataclass(frozen=True, slots=True)
class WireChange:
    """What to do with one wire.

    Attributes:
        was: its row before, None = there was none
        now: its row after, None = there is none
        words: what to do, in sentences
        is_cut: the piece of before is recorded as cut
        left, entered: keys of the sections it leaves and those it newly runs through
        points: keys loom/point it newly runs through
    """

    deed: Deed
    was: CutRow | None
    now: CutRow | None
    words: str
    is_cut: bool
    left: tuple[str, ...] = ()
    entered: tuple[str, ...] = ()
    points: frozenset[str] = frozenset()

    @property
    def row(self) -> CutRow:
        """The row after, or the one before where it is gone."""
        row = self.now or self.was
        assert row is not None
        return row

    @property
    def label(self) -> str:
        """The number it has after, or had."""
        return self.row.label

    @property
    def differs(self) -> tuple[str, ...]:
        """Names of what is different on the cut list; () where a row comes or goes."""
        if self.was is None or self.now is None:
            return ()
        return tuple(f.name for f in fields(CutRow) if getattr(self.was, f.name) != getattr(self.now, f.name))

    @property
    def is_new_piece(self) -> bool:
        """Whether a piece has to be cut from the reel."""
        return self.deed in (Deed.CUT_NEW, Deed.REPLACE)

    @property
    def is_scrap(self) -> bool:
        """Whether a piece that is cut already is of no more use."""
        return self.is_cut and self.deed in (Deed.REPLACE, Deed.REMOVE)


def wire_changes(
    before: Mapping[str, Laid], after: Mapping[str, Laid], cut: frozenset[str]
) -> tuple[WireChange, ...]:
    """Return what to do with every wire that doesn't stay as it is, by number.

    Args:
        before, after: wires with their rows, by identity
        cut: labels of the wires that are cut
    """
    gone = [one for name, one in before.items() if name not in after]
    new = [one for name, one in after.items() if name not in before]
    found = [_same(before[name], after[name], cut) for name in before if name in after]
    pairs = _pairs(gone, new)
    for was, now, deed in pairs:
        found.append(_paired(was, now, deed, cut))
    moved = {one.row.identity for was, now, _ in pairs for one in (was, now)}
    left = [one for one in gone if one.row.identity not in moved]
    come = [one for one in new if one.row.identity not in moved]
    found += [_removed(one, come, cut) for one in left]
    found += [_new(one) for one in come]
    kept = (one for one in found if one is not None)
    return tuple(sorted(kept, key=lambda one: (one.row.number, one.row.identity)))


def applied(rows: Iterable[CutRow], wires: Iterable[WireChange]) -> tuple[CutRow, ...]:
    """Return a cut list with changes carried out: only what a change names is touched.

    Args:
        rows: the cut list before
        wires: what to do
    Returns:
        the cut list after, by number; exact
    """
    todo = {one.was.identity: one for one in wires if one.was is not None}
    found = [one.now for one in wires if one.was is None and one.now is not None]
    for row in rows:
        change = todo.get(row.identity)
        if change is None:
            found.append(row)
        elif change.now is not None:
            found.append(replace(row, **{name: getattr(change.now, name) for name in change.differs}))
    return tuple(sorted(found, key=lambda row: (row.number, row.identity)))


def _same(was: Laid, now: Laid, cut: frozenset[str]) -> WireChange | None:
    is_cut = was.row.label in cut
    turned = now.row.a != was.row.a and (now.row.a, now.row.b) == (was.row.b, was.row.a)
    seen = _turned(now) if turned else now
    deed = _deed(was, seen, is_cut)
    if deed is None and not turned:
        return None
    words = _words(deed, was, seen, is_cut) if deed else "From and to have changed places; the wire stays."
    if was.row.number != now.row.number:
        words = f"{words} Its number is {now.row.label} now, not {was.row.label}.".lstrip()
    return _made(deed or Deed.ON_PAPER, was, now, words, is_cut)


def _turned(one: Laid) -> Laid:
    """The same wire told from its other end."""
    row = one.row
    other = replace(row, a=row.b, b=row.a, trim_a_mm=row.trim_b_mm, trim_b_mm=row.trim_a_mm)
    return replace(one, row=other, sections=one.sections[::-1])


def _deed(was: Laid, now: Laid, is_cut: bool) -> Deed | None:
    if was.row.stuff != now.row.stuff:
        return Deed.REPLACE
    more_mm = now.row.cut_mm - was.row.cut_mm
    if more_mm > 0:
        return Deed.REPLACE if is_cut and now.need_mm > was.piece_mm else Deed.LENGTHEN
    if more_mm < 0:
        return Deed.SHORTEN
    if was.sections != now.sections:
        return Deed.RELAY
    if was.row == now.row:
        return None
    names = (was.row.number, was.row.a, was.row.b) != (now.row.number, now.row.a, now.row.b)
    return Deed.RELABEL if names else Deed.ON_PAPER


def _words(deed: Deed, was: Laid, now: Laid, is_cut: bool) -> str:
    old, new = was.row, now.row
    said = []
    if deed is Deed.REPLACE:
        said.append(_why_replace(was, now, is_cut))
    elif deed is Deed.LENGTHEN:
        said.append(_longer(was, now, is_cut))
    elif deed is Deed.SHORTEN:
        said.append(_shorter(old, new, is_cut))
    if was.sections != now.sections:
        said.append(f"Lay it {way_words(now)}; it ran {way_words(was)}.")
    for end, other in ((old.a, new.a), (old.b, new.b)):
        if end != other:
            said.append(f"Its end at {end.name} is called {other.name} now.")
    trims = (old.trim_a_mm, old.trim_b_mm), (new.trim_a_mm, new.trim_b_mm)
    if trims[0] != trims[1] and deed is not Deed.REPLACE:
        said.append(f"Trim in it is {_trims(new)} mm now, not {_trims(old)}.")
    return " ".join(said)


def _why_replace(was: Laid, now: Laid, is_cut: bool) -> str:
    old, new = was.row, now.row
    if old.stuff != new.stuff:
        before, after = _stuff_words(old, new), _stuff_words(new, old)
        fate = "The piece that is cut is of no use here" if is_cut else "Not recorded as cut"
        return f"It is {after} now, not {before}. {fate}."
    return f"It is cut at {was.piece_mm:.0f} mm and has to be {now.need_mm:.0f} mm without any trim."


def _stuff_words(row: CutRow, other: CutRow) -> str:
    """Return what of a row's material another row doesn't share."""
    pairs = zip(row.stuff, other.stuff, strict=True)
    words = [mine or "a single wire" for mine, theirs in pairs if mine != theirs]
    return ", ".join(words)


def _longer(was: Laid, now: Laid, is_cut: bool) -> str:
    old, new = was.row.cut_mm, now.row.cut_mm
    spare = was.piece_mm - now.need_mm
    if not is_cut:
        fate = f"has {spare:.0f} mm of trim left" if spare >= 0 else f"is {-spare:.0f} mm too short"
        return f"Cut {new:.0f} mm instead of {old:.0f}. One cut at {was.piece_mm:.0f} mm already {fate}."
    doubt = now.doubt_mm > spare
    warn = f" That is less than the give or take of its way, {now.doubt_mm:.0f} mm." if doubt else ""
    return f"Don't cut it again: its trim covers it, {spare:.0f} mm stay.{warn}"


def _shorter(old: CutRow, new: CutRow, is_cut: bool) -> str:
    if not is_cut:
        return f"Cut {new.cut_mm:.0f} mm instead of {old.cut_mm:.0f}; one cut already is trimmed."
    return f"Trim {old.cut_mm - new.cut_mm:.0f} mm more at {_trimmed(new)}."


def _trimmed(row: CutRow) -> str:
    ends = [end.name for end, mm in ((row.a, row.trim_a_mm), (row.b, row.trim_b_mm)) if mm > 0]
    return " or ".join(ends) if ends else "one end, before the contact goes on"


def _trims(row: CutRow) -> str:
    return f"{row.trim_a_mm:.0f}/{row.trim_b_mm:.0f}"


def way_words(one: Laid) -> str:
    """Return the sections a wire runs through: "through B1-B2, B2-INJ1"."""
    names = [key.split("/", 1)[1] for key in one.sections]
    return f"through {', '.join(names)}" if names else "within one point"


def _pairs(gone: list[Laid], new: list[Laid]) -> list[tuple[Laid, Laid, Deed]]:
    """Wires that are another by name only, or by one cavity: first those that keep both ends."""
    found: list[tuple[Laid, Laid, Deed]] = []
    for deed in (Deed.RELABEL, Deed.MOVE):
        for was in gone:
            used = {one.row.identity for pair in found for one in pair[:2]}
            if was.row.identity in used:
                continue
            fits = (n for n in new if n.row.identity not in used and _pair(was, n) is deed)
            now = next(fits, None)
            if now is not None:
                found.append((was, now, deed))
    return found


def _pair(was: Laid, now: Laid, any_colour: bool = False) -> Deed | None:
    """What makes one wire out of the other without cutting, None where nothing does."""
    old, new = was.row, now.row
    if any_colour:
        new = replace(new, colour=old.colour)
    if (old.loom, old.stuff) != (new.loom, new.stuff) or now.need_mm > was.piece_mm:
        return None
    if old.ends == new.ends:
        return Deed.RELABEL
    left, come = old.ends - new.ends, new.ends - old.ends
    if old.circuit != new.circuit or len(left) != 1 or len(come) != 1:
        return None
    (a,), (b,) = left, come
    pins = a.kind is EndKind.PIN and b.kind is EndKind.PIN and a.plug == b.plug
    return Deed.MOVE if pins else None


def _paired(was: Laid, now: Laid, deed: Deed, cut: frozenset[str]) -> WireChange:
    old, new = was.row, now.row
    if deed is Deed.MOVE:
        (a,), (b,) = old.ends - new.ends, new.ends - old.ends
        what = f"Take its contact out of {a.name} and put it into {b.name}."
    else:
        what = f"Its circuit is {new.circuit} now, not {old.circuit}."
    number = f"New labels at both ends: {new.label}; {old.label} is not given again."
    length = "" if old.cut_mm == new.cut_mm else f" It was cut at {old.cut_mm:.0f} mm; that does."
    return _made(deed, was, now, f"{what}{length} {number}", old.label in cut)


def _removed(one: Laid, come: list[Laid], cut: frozenset[str]) -> WireChange:
    row, is_cut = one.row, one.row.label in cut
    words = f"{row.label} is not given again."
    twin = next((n.row for n in come if _pair(one, n, any_colour=True)), None)
    if twin is not None:
        words += f" {twin.label} differs from it in colour: to keep the wire, fix {row.colour} in the job."
    halves = _halves(one, come)
    if halves:
        names = " and ".join(h.row.label for h in sorted(halves, key=lambda h: h.row.number))
        words += f" In its place {names} meet in {_splice_of(halves)}."
        if is_cut and _long_enough(one, halves):
            words += " It is long enough to be cut there: its halves can be these wires, labelled anew."
    fate = "Pull it out, or leave it with both ends sealed." if is_cut else "Don't cut it."
    return WireChange(Deed.REMOVE, row, None, f"{fate} {words}", is_cut, one.sections)


def _long_enough(one: Laid, halves: tuple[Laid, ...]) -> bool:
    """Return whether a wire as cut is long enough, and of the stuff, to be cut into two others."""
    alike = all(half.row.stuff == one.row.stuff for half in halves)
    return alike and sum(half.need_mm for half in halves) <= one.row.cut_mm


def _halves(one: Laid, come: list[Laid]) -> tuple[Laid, ...]:
    """The two new wires that run from the ends of one that is gone into one splice."""
    for first in come:
        for second in come:
            a, b = first.row.ends, second.row.ends
            meet = [end for end in a & b if end.kind is EndKind.SPLICE]
            if first is not second and meet and one.row.a in a and one.row.b in b:
                return first, second
    return ()


def _splice_of(halves: tuple[Laid, ...]) -> str:
    first, second = halves
    return min(e.name for e in first.row.ends & second.row.ends if e.kind is EndKind.SPLICE)


def _new(one: Laid) -> WireChange:
    return WireChange(
        Deed.CUT_NEW, None, one.row, f"Lay it {way_words(one)}.", False, (), one.sections, one.points
    )


def _made(deed: Deed, was: Laid, now: Laid, words: str, is_cut: bool) -> WireChange:
    whole = deed is Deed.REPLACE
    left = was.sections if whole else tuple(k for k in was.sections if k not in now.sections)
    entered = now.sections if whole else tuple(k for k in now.sections if k not in was.sections)
    points = now.points if whole else now.points - was.points
    return WireChange(deed, was.row, now.row, words, is_cut, left, entered, points)
