"""The pinouts: every plug with both faces, every cavity with its wire; faces nobody compared are stamped."""

from typing import Final

from loomwright.library.faces import Face
from loomwright.model.device import Connector, Pin, Tap
from loomwright.pack.draw_faces import face_drawings, wire_words
from loomwright.pack.pages import (
    NOT_PRINTED,
    UNCHECKED,
    Block,
    Column,
    Facts,
    Figure,
    FigureRow,
    Heading,
    Paragraph,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.pack.view import (
    ON_STUD,
    View,
    colour_words,
    end_words,
    other_end,
    plugged_cavity,
    size_words,
    supplied_words,
)
from loomwright.routing.routed import EndKind, Wire
from loomwright.sizing.fits import contact_at
from loomwright.sizing.lengths import is_fixed
from loomwright.sizing.plugs import face_of

COLUMNS: Final = (
    Column("cavity", bold=True, width_mm=14.0),
    Column("wire", bold=True),
    Column("circuit"),
    Column("colour"),
    Column("size"),
    Column("goes to"),
    Column("in", kind="tick"),
)
INTRO: Final = (
    "Crimp from the wire side with this sheet in sight. Tick after click and tug (10 to 20 N by hand, "
    "common practice). Every picture says from which side it is seen: the mating side is the mirror of the "
    "wire side."
)
UNCHECKED_INTRO: Final = (
    "Nobody has compared these faces with the numbers moulded in the plugs in hand. Compare, sign, and say "
    "so in the job (face_checked = true); the stamp then goes."
)
SMALL_FACE: Final = 8  # cavities; ours
FACE_MM: Final = (66.0, 75.0)  # printed height of a small face and of any other, at most; ours


def pinouts(view: View) -> tuple[Sheet, ...]:
    """Return the pinouts: plugs with a compared face or none, then those with an unchecked face."""
    plugs = [c for c in view.connectors if c.pins or c.face]
    sure = [c for c in plugs if not unchecked(view, c)]
    unsure = [c for c in plugs if unchecked(view, c)]
    stamps, cautions = view.stamps("pinouts"), view.cautions("ends")
    found = []
    if sure:
        blocks = tuple(b for c in sure for b in _plug(view, c))
        found.append(Sheet("pinouts", "Pinouts", blocks, INTRO, cautions, stamps))
    if unsure:
        blocks = tuple(b for c in unsure for b in _plug(view, c))
        intro = f"{UNCHECKED_INTRO} {INTRO}"
        stamps = (*stamps, UNCHECKED)
        found.append(
            Sheet("pinouts-unchecked", "Pinouts with unchecked faces", blocks, intro, cautions, stamps)
        )
    return tuple(found)


def unchecked(view: View, plug: Connector) -> bool:
    """Return whether a plug is drawn with a face nobody compared with the part."""
    face = face_of(view.job, plug)
    return face is not None and not (plug.face_checked or face.checked)


def _plug(view: View, plug: Connector) -> tuple[Block, ...]:
    face = face_of(view.job, plug)
    device = view.job.device[plug.device]
    stud = device.stud_rings > 1 or device.family in ON_STUD
    blocks: list[Block] = [Heading(f"{plug.end}  {device.words or device.kind}"), _facts(view, plug, face)]
    drawn = face_drawings(view.job, plug, wire_words(view.routed, plug))
    if drawn is not None:
        most = FACE_MM[face is not None and len(face.cavities) > SMALL_FACE]
        blocks.append(FigureRow(tuple(Figure(one, max_height_mm=most) for one in drawn)))
    elif not stud:
        blocks.append(Paragraph("No face given: no picture. Go by the numbers moulded in the plug."))
    blocks.append(Table(COLUMNS, (RowGroup(tuple(_rows(view, plug, face)), plug.end),)))
    return tuple(blocks)


def _facts(view: View, plug: Connector, face: Face | None) -> Facts:
    pairs = [
        ("Loom", view.loom_of_end.get(plug.end, "no rope leads here yet")),
        ("Plug supplied as", supplied_words(plug)),
        ("End", "fixed first, no trim" if is_fixed(view.job, plug.end) else "left long, trimmed at fit"),
        ("Part", plug.part),
        ("Contacts", _contacts(view, plug)),
    ]
    if face is not None:
        pairs.append(("Latch", f"{face.latch or 'none'} (wire side)"))
        pairs.append(("Face", f"{face.name}, {face.source.mark}"))
    pairs += _tap(view.job.device[plug.device].tap)
    pairs += [("Mates with", plug.mates)] if plug.mates else []
    pairs += [("Boot", plug.boot)] if plug.boot else []
    pairs += [("Through the bulkhead", plug.through_bulkhead)] if plug.through_bulkhead else []
    if unchecked(view, plug):
        pairs.append(("Compared with part", ""))
    return Facts(tuple(pairs), across=3)


def _tap(tap: Tap | None) -> list[tuple[str, str]]:
    """What is known of one of the car's own wires that is joined into."""
    if tap is None:
        return []
    read = (("key off", tap.key_off_v), ("key on", tap.key_on_v), ("cranking", tap.cranking_v))
    volts = ", ".join(f"{when} {volt:g} V" for when, volt in read if volt is not None)
    found = [
        ("Car's own wire", f"{tap.size} {tap.colour}".strip()),
        ("Found at", ", ".join(w for w in (tap.place, tap.plug, tap.cavity and f"cavity {tap.cavity}") if w)),
        ("Meter read", volts),
        ("Belongs to", tap.system),
    ]
    return [(name, value) for name, value in found if value or name == "Meter read"]


def _rows(view: View, plug: Connector, face: Face | None) -> list[Row]:
    pins: dict[str, list[Pin]] = {}
    for pin in plug.pins:
        pins.setdefault(pin.cavity, []).append(pin)
    on_face = face.ids if face is not None else ()
    order = [*on_face, *(c for c in pins if c not in on_face)]
    rows: list[Row] = []
    for cavity in order:
        if cavity not in pins:
            rows.append((cavity, NOT_PRINTED, "empty", "", "", _empty(plug, face, cavity), None))
        for pin in pins.get(cavity, ()):
            rows += _pin_rows(view, plug, pin)
    return rows


def _empty(plug: Connector, face: Face | None, cavity: str) -> str:
    found = face.cavity(cavity) if face is not None else None
    return "sealing plug in" if found is not None and plugged_cavity(plug, found.size_class) else "left open"


def _contacts(view: View, plug: Connector) -> str:
    """Return the classes of contacts its wires take, "not given" where a wire has none."""
    found = (
        contact_at(view.job, pin.id, view.size(wire))
        for pin in plug.pins
        for wire in view.routed.at_pin.get(pin.id, ())
    )
    names = {kind.name if kind is not None else "not given" for kind in found}
    return ", ".join(sorted(names)) or NOT_PRINTED


def _pin_rows(view: View, plug: Connector, pin: Pin) -> list[Row]:
    wires = sorted(view.routed.at_pin.get(pin.id, ()), key=lambda w: w.number)
    lead = dict(plug.lead_colours).get(pin.cavity, "")
    if not wires:
        return [(pin.cavity, NOT_PRINTED, pin.circuit, lead, "", _unwired(view, pin), None)]
    return [_wire_row(view, pin, wire, lead) for wire in wires]


def _wire_row(view: View, pin: Pin, wire: Wire, lead: str) -> Row:
    own = wire.a if wire.a.name == pin.id else wire.b
    colour = colour_words(wire.colour)
    if own.kind is EndKind.JOINT and lead:
        colour += f", to the lead's {lead}"
    to = end_words(other_end(wire, pin.id))
    return (pin.cavity, wire.label, view.circuit_words(wire), colour, size_words(view.size(wire)), to, None)


def _unwired(view: View, pin: Pin) -> str:
    for common in view.routed.commons:
        if pin.id in common.pins:
            others = [p for p in common.pins if p != pin.id]
            return f"joined inside {common.device} with {', '.join(others)}"
    return "no wire"
