"""The field sheet for the car: what to carry, what to look at again, how to get the engine out."""

from collections.abc import Iterator
from itertools import groupby
from typing import Final

from loomwright.library.contacts import ContactClass
from loomwright.model.words import HazardKind, Supplied
from loomwright.pack.engine_out import engine_out, pulled_through
from loomwright.pack.pages import Block, Column, Heading, Paragraph, Row, RowGroup, Sheet, Table
from loomwright.pack.splices import place_words
from loomwright.pack.ticks_abreast import ticks_abreast
from loomwright.pack.view import ON_STUD, View, many, size_words
from loomwright.routing.routed import EndKind
from loomwright.sizing.fits import contact_at

BAG: Final = (Column("in the bag", bold=True), Column("take"), Column("for"), Column("packed", kind="tick"))
AGAIN: Final = (
    Column("where", bold=True),
    Column("look for"),
    Column("after 1 h", kind="tick"),
    Column("season 1", kind="tick"),
    Column("season 2", kind="tick"),
    Column("season 3", kind="tick"),
)
SPLICES: Final = (Column("splice", bold=True), Column("place", bold=True), Column("circuit"), Column("joins"))
INTRO: Final = (
    "Lives in the car, in a clear sleeve, with the device pages. Repair only with a crimped splice and a "
    "glue-lined sleeve, beside a branch point, and write it into the records: never twist wires together."
)
COMMON: Final = 2  # a plug used that often goes into the bag; ours
WIRE_M: Final = 3  # of each wire, common practice
CONTACTS: Final = 2  # of each contact and seal, common practice
RING: Final = "ring"
CABLE_MM2: Final = 10.0  # thicker ones are no roadside repair; ours
MOST_PLUGS: Final = 10
WATCHED: Final = (
    (HazardKind.HOT_PART, "sleeve discoloured, glue run out"),
    (HazardKind.MOVING_PART, "rubbed sleeve, tie gone"),
    (HazardKind.THROTTLE_LINKAGE, "whole travel free, tie gone"),
    (HazardKind.SHARP_EDGE, "edge cover shifted, sleeve cut"),
    (HazardKind.PANEL_HOLE, "grommet out of its seat, sleeve worn"),
    (HazardKind.FUEL_LINE, "wet, loom touching the line"),
    (HazardKind.SPLASH, "water or green metal in the plug"),
)


def field_sheet(view: View) -> Sheet:
    """Return the sheet to keep in the car."""
    blocks: list[Block] = []
    bag = tuple(_bag(view))
    if bag:
        blocks += [Heading("Spares bag"), Table(BAG, (RowGroup(bag),), close=True)]
    again = tuple(_again(view))
    if again:
        blocks += [Heading("Look again after the first hot hour, then every season")]
        blocks.append(Table(AGAIN, (RowGroup(again),), close=True))
    blocks += _engine_out(view)
    rows = tuple(_splice_rows(view))
    if rows:
        blocks += [Heading("Where the splices are"), Table(SPLICES, (RowGroup(rows),), close=True)]
    return Sheet("field", "Field sheet for the car", tuple(blocks), INTRO, stamps=view.stamps("splices"))


def _bag(view: View) -> Iterator[Row]:
    contacts = _contacts(view)
    for name, kind in sorted(contacts.items()):
        what = name if name.startswith(RING) else f"contact {name}"
        yield (f"{what}, with its wire seal" if kind.sealed else what, f"{CONTACTS}", kind.words, None)
    if any(_unknown(view)):
        plugs = ", ".join(dict.fromkeys(pin.rsplit(":", 1)[0] for pin in _unknown(view)))
        yield ("contacts, class not given", f"{CONTACTS} each", f"{plugs}; name them in the job", None)
    for name, ends in sorted(_plugs(view).items()):
        if len(ends) >= COMMON:
            yield (name, "1", ", ".join(ends), None)
    thin = (w.identity for w in view.routed.wires if not w.screen and view.size(w).area_mm2 < CABLE_MM2)
    for words in sorted({_wire(view, identity) for identity in thin}):
        yield (f"wire {words}", f"{WIRE_M} m", "any one colour: label both ends", None)
    for words in sorted({f"splice, {x.kind} {x.size}" for x in view.sized.splices}):
        yield (f"{words}, with a glue-lined sleeve", "2", "repairs beside a branch point", None)
    yield from _switchgear(view)
    tools = [name for name in sorted(contacts) if not name.startswith(RING)]
    yield ("extraction tools", "1 each", f"contacts {'; '.join(tools) or 'of every plug'}", None)
    yield ("crimp tool, cutter, meter, film tape, labels", "1 each", "", None)


def _switchgear(view: View) -> Iterator[Row]:
    fuses = sorted({(p.kind, p.amps) for p in view.job.protections if p.kind != "trip"})
    for kind, amps in fuses:
        used = [p.name for p in view.job.protections if (p.kind, p.amps) == (kind, amps)]
        yield (f"{kind} {amps:g} A", "2", ", ".join(used), None)
    for name in sorted({d.kind for d in view.devices if d.family == "relay"}):
        used = [d.name for d in view.devices if d.kind == name]
        yield (name, "1", ", ".join(used), None)


def _unknown(view: View) -> list[str]:
    """Pins whose contact nobody told."""
    ends = [(e, w) for w in view.routed.wires for e in (w.a, w.b) if e.kind is EndKind.PIN]
    return [e.name for e, w in ends if contact_at(view.job, e.name, view.size(w)) is None]


def _contacts(view: View) -> dict[str, ContactClass]:
    found: dict[str, ContactClass] = {}
    for wire in view.routed.wires:
        for end in (wire.a, wire.b):
            if end.kind in (EndKind.PIN, EndKind.STUD):
                kind = contact_at(view.job, end.name, view.size(wire))
                if kind is not None:
                    found[kind.name] = kind
    return found


def _plugs(view: View) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for plug in view.connectors:
        name = plug.part or plug.face
        device = view.job.device[plug.device]
        if plug.pins and name and plug.supplied is Supplied.PLUG and device.family not in (*ON_STUD, "box"):
            words = plug.part or f"plug with face {plug.face}"
            found.setdefault(words, []).append(plug.end)
    return found


def _wire(view: View, identity: str) -> str:
    size = view.sized.conductor[identity].size
    return f"{size.family}, {size_words(size)}"


def _again(view: View) -> Iterator[Row]:
    for grommet in view.sized.grommets:
        yield (f"hole at loom {grommet.loom}", dict(WATCHED)[HazardKind.PANEL_HOLE], *_boxes())
    for tree in view.trees:
        for section in tree.sections:
            passes = section.passes
            if passes is None:
                continue
            for (kind, shield), nears in groupby(passes.near, key=lambda n: (n.kind, n.shielded_by)):
                words = dict(WATCHED).get(kind, "") + (f"; {shield} loose" if shield else "")
                if words:
                    words = words.removeprefix("; ")
                    near = ", ".join(n.words or str(n.kind) for n in nears)
                    yield (f"{section.name}, {near}", words, *_boxes())
            if passes.loop_mm:
                yield (f"{section.name}, free loop", "loop pulled tight or rubbing", *_boxes())
    studs = [d.name for d in view.devices if d.stud_rings > 1]
    if studs:
        yield (f"studs {', '.join(studs)}", "loose nut, green metal, broken strands", *_boxes())
    boots = [c.end for c in view.connectors if c.boot]
    if boots:
        yield (f"boots at {', '.join(boots)}", "glue let go, boot cracked", *_boxes())
    points = [p for tree in view.trees for p in tree.branch_points]
    if points:
        yield (f"covers at {', '.join(points)}", "glue let go, cover split", *_boxes())


def _boxes() -> Row:
    return (None, None, None, None)


def _engine_out(view: View) -> Iterator[Block]:
    found = engine_out(view)
    if found is None:
        return
    yield Heading("Engine out")
    looms = " and ".join(found.with_engine)
    stays = f"Loom {looms} comes out with the engine." if looms else "Every loom stays in the car."
    count = f"{many(len(found.plugs), 'plug')} to part, {many(len(found.clips), 'clip')} to undo."
    yield Paragraph(f"Battery off first. {stays} {count}")
    if len(found.plugs) > MOST_PLUGS:
        words = f"More than {MOST_PLUGS}: a plug at the bulkhead would bring it down at the next rebuild."
        yield Paragraph(words)
    for tree in pulled_through(view, found):
        yield Paragraph(
            f"Loom {tree.loom} goes through a hole at {tree.datum}: it has to come out there first."
        )
    if found.plugs:
        yield ticks_abreast("Plugs to part, rings to take off", "plug", found.plugs)
    if found.clips:
        words = "Clips to undo: section, from its inner end"
        yield ticks_abreast(words, "clip", found.clips)


def _splice_rows(view: View) -> Iterator[Row]:
    for splice in sorted(view.routed.splices, key=lambda s: (len(s.name), s.name)):
        loom = f"{splice.loom}: " if len(view.trees) > 1 else ""
        place = loom + place_words(view, splice)
        yield (splice.name, place, splice.circuit, view.labels(splice.wires))
