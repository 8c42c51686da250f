"""What a change means for all that isn't a wire: sections, coverings, splices, labels, cavities, fuses."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from loomwright.checks.worked import Worked
from loomwright.model.device import Device
from loomwright.planning.change_wires import Deed
from loomwright.records.issued_done import Done
from loomwright.routing.routed import Splice, section_key


@dataclass(frozen=True, slots=True)
class PieceChange:
    """What to do with one piece.

    Attributes:
        subject: what it is called; a section or a branch point by its key loom/name
        was, now: before and after in words, "" = not there
        words: what to do about it, "" = the deed says it
    """

    deed: Deed
    subject: str
    was: str
    now: str
    words: str = ""


def pieces(
    was: Mapping[str, str], now: Mapping[str, str], changed: Deed = Deed.REPLACE
) -> tuple[PieceChange, ...]:
    """Return what came, went and changed between two sets of things told in words.

    Args:
        was, now: words by subject
        changed: what to do where the words differ
    """
    found = []
    for name in (*was, *(n for n in now if n not in was)):
        if was.get(name) != now.get(name):
            deed = Deed.CUT_NEW if name not in was else Deed.REMOVE if name not in now else changed
            found.append(PieceChange(deed, name, was.get(name, ""), now.get(name, "")))
    return tuple(found)


def devices(before: Worked, after: Worked) -> tuple[PieceChange, ...]:
    """Return devices that came, went or became something else."""
    return pieces(_devices(before), _devices(after), Deed.RELABEL)


def _devices(worked: Worked) -> dict[str, str]:
    return {d.name: _device(d) for d in worked.job.devices}


def _device(one: Device) -> str:
    state = "" if str(one.state) == "new" else f", {one.state}"
    return f"{one.words or one.kind or one.family}{state}"


def protections(before: Worked, after: Worked) -> tuple[PieceChange, ...]:
    """Return fuses, links, breakers and trips that came, went or changed."""
    return pieces(_protections(before), _protections(after))


def _protections(worked: Worked) -> dict[str, str]:
    return {p.name: f"{p.kind} {p.amps:g} A, {p.line} to {p.load}" for p in worked.job.protections}


def sections(before: Worked, after: Worked) -> tuple[PieceChange, ...]:
    """Return sections that came, went or have another length; keys loom/section, lengths to the mm."""
    now, found = _sections(after), []
    for one in pieces(_sections(before), now):
        if one.deed is Deed.REPLACE:
            longer = float(one.now.split()[0]) > float(one.was.split()[0])
            one = PieceChange(Deed.LENGTHEN if longer else Deed.SHORTEN, one.subject, one.was, one.now)
        found.append(one)
    return tuple(found)


def _sections(worked: Worked) -> dict[str, str]:
    return {
        section_key(t.loom, s.name): f"{s.length_mm:.0f} mm" for t in worked.routed.trees for s in t.sections
    }


def sleeves(before: Worked, after: Worked, done: Done) -> tuple[PieceChange, ...]:
    """Return coverings of sections to cut new, shorten, replace or take away."""
    was, now = before.sized.sleeve, after.sized.sleeve
    found = []
    for one in pieces(_sleeves(before), _sleeves(after)):
        old, new = was.get(one.subject), now.get(one.subject)
        deed, words = one.deed, ""
        if old is not None and new is not None and (old.type, old.size) == (new.type, new.size):
            longer = new.cut_mm > old.cut_mm
            deed = Deed.REPLACE if longer else Deed.SHORTEN
        if one.subject in done.sheathed:
            words = "The section is sheathed already."
        found.append(PieceChange(deed, one.subject, one.was, one.now, words))
    return tuple(found)


def _sleeves(worked: Worked) -> dict[str, str]:
    return {
        p.section: f"{p.type or p.what} {p.printed or 'no size fits'}, {p.cut_mm:.0f} mm"
        for p in worked.sized.sleeves
        if p.what != "none"
    }


def covers(before: Worked, after: Worked, done: Done) -> tuple[PieceChange, ...]:
    """Return branch covers to cut new, replace or take away; keys loom/point."""
    words = "It is shrunk already."
    return tuple(
        PieceChange(c.deed, c.subject, c.was, c.now, words if c.subject in done.closed else "")
        for c in pieces(_covers(before), _covers(after))
    )


def _covers(worked: Worked) -> dict[str, str]:
    return {
        section_key(c.loom, c.point): f"{c.type} {c.printed or 'no size fits'}, {c.cut_mm:.0f} mm"
        for c in worked.sized.branch_covers
    }


def splices(before: Worked, after: Worked, done: Done) -> tuple[PieceChange, ...]:
    """Return splices that came, went, lie elsewhere or join other wires, by the name they have now."""
    was = {s.identity: s for s in before.routed.splices}
    now = {s.identity: s for s in after.routed.splices}
    found = []
    for name in (*was, *(n for n in now if n not in was)):
        old, new = was.get(name), now.get(name)
        texts = _splice(before, old), _splice(after, new)
        renamed = old is not None and new is not None and old.name != new.name
        if texts[0] == texts[1] and not renamed:
            continue
        deed = Deed.CUT_NEW if old is None else Deed.REMOVE if new is None else Deed.REPLACE
        words = _splice_words(before, after, old, new, done)
        one = new or old
        assert one is not None
        found.append(PieceChange(deed, one.name, *texts, words))
    return tuple(found)


def _splice(worked: Worked, one: Splice | None) -> str:
    if one is None:
        return ""
    body = worked.sized.splice[one.name]
    joined = ", ".join(_members(worked, one))
    return f"{one.place.section} at {one.place.mm:.0f} mm: {joined}; {body.kind} {body.size}"


def _members(worked: Worked, one: Splice | None) -> tuple[str, ...]:
    wires = sorted((worked.routed.wire[i] for i in one.wires), key=lambda w: w.number) if one else []
    return tuple(w.label for w in wires)


def _splice_words(before: Worked, after: Worked, old: Splice | None, new: Splice | None, done: Done) -> str:
    said = []
    if old is not None and new is not None:
        was, now = _members(before, old), _members(after, new)
        for verb, these, others in (("Takes in", now, was), ("Lets go of", was, now)):
            if names := [w for w in these if w not in others]:
                said.append(f"{verb} {', '.join(names)}.")
        if old.place != new.place:
            said.append("Lies elsewhere.")
        if old.name != new.name:
            said.append(f"Was called {old.name}.")
    if new is not None:
        said.append("Slide its cover on first.")
    if old is not None and old.name in done.spliced:
        said.append("It is made already: cut it out and make it again." if new else "It is made already.")
    return " ".join(said)


def labels(before: Worked, after: Worked) -> tuple[PieceChange, ...]:
    """Return labels to print new, to change and to take off; subject: kind and place."""
    was, now = _labels(before), _labels(after)
    found = []
    for key in sorted({*was, *now}):
        old, new = was.get(key, Counter()), now.get(key, Counter())
        less, more = sorted((old - new).elements()), sorted((new - old).elements())
        kind, place = key
        for n in range(max(len(less), len(more))):
            text = less[n] if n < len(less) else "", more[n] if n < len(more) else ""
            deed = Deed.CUT_NEW if not text[0] else Deed.REMOVE if not text[1] else Deed.RELABEL
            found.append(PieceChange(deed, f"{kind}: {place}", *text))
    return tuple(found)


def _labels(worked: Worked) -> dict[tuple[str, str], Counter[str]]:
    found: dict[tuple[str, str], Counter[str]] = {}
    for one in worked.built.labels:
        where = f"{one.of}, {one.place}" if one.kind in ("plug", "splice") else one.place
        found.setdefault((one.kind, where), Counter())[one.text] += 1
    return found


def cavities(before: Worked, after: Worked) -> tuple[PieceChange, ...]:
    """Return cavities whose wires, circuit, colour or size are others now; subject: pin "ECU.A:17"."""
    return pieces(_cavities(before), _cavities(after), Deed.RELABEL)


def _cavities(worked: Worked) -> dict[str, str]:
    return {pin.id: "; ".join((pin.circuit, *_wires_at(worked, pin.id))) for pin in worked.job.pins}


def _wires_at(worked: Worked, pin: str) -> Iterator[str]:
    for wire in sorted(worked.routed.at_pin.get(pin, ()), key=lambda w: w.number):
        size = worked.sized.conductor[wire.identity].size
        yield f"{wire.label} {wire.colour} {size.label} {'AWG' if size.system == 'AWG' else 'mm²'}"
