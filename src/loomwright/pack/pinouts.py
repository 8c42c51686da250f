"""The pinouts: every plug with both faces, every cavity with its wire; faces nobody compared are stamped."""

from typing import Final

from loomwright.building.ends import function_of
from loomwright.library.faces import Face
from loomwright.model.device import Connector, Pin, Tap
from loomwright.model.words import Supplied
from loomwright.pack.draw_faces import face_drawings, wire_words
from loomwright.pack.marks import Drawing
from loomwright.pack.pages import (
    NOT_PRINTED,
    UNCHECKED,
    Beside,
    Block,
    Card,
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
    half_words,
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
    Column("cavity", bold=True),
    Column("wire", bold=True),
    Column("circuit"),
    Column("colour"),
    Column("size"),
    Column("goes to"),
    Column("in", kind="tick"),
)
HALVES: Final = (
    "Drawn is the loom half: its contacts are sockets, the device half has the pins (common practice; look "
    "at the part). At a mating pair both halves are loom halves, and each says which of the two it has; "
    "where both have one face, it is that of the half with sockets, and the half with pins is drawn as its "
    "mirror."
)
INTRO: Final = (
    "Crimp from the wire side with this sheet in sight. Tick after click and tug (10 to 20 N by hand, "
    "common practice). Every picture says from which side it is seen: the mating side is the mirror of the "
    f"wire side. {HALVES}"
)
UNCHECKED_INTRO: Final = (
    "Nobody has compared these faces with the numbers moulded in the plugs in hand. Compare, sign, and say "
    "so in the job (face_checked = true); the stamp then goes."
)
NO_FACE: Final = "No face given: no picture. Go by the numbers moulded in the plug."
SMALL_FACE: Final = 30  # cavities of a face that stands beside its table; ours
FACE_MM: Final = 75.0  # printed height of any other face, at most; ours
LONG_TABLE: Final = 24  # rows of a table that may run over a page and then says again whose it is; ours
FEW_ROWS: Final = 6  # of a table that takes no harm from narrow columns; ours
NARROW_MM: Final = 60.0  # width of a face that may stand beside more rows; ours
BESIDE_MM: Final = 84.0  # width for both sides of a face beside its table, at most; ours
GAP_MM: Final = 4.2  # between them


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
    """Return whether a plug is drawn with a face nobody compared with the part; a single stud needs none."""
    face = face_of(view.job, plug)
    return face is not None and not (_is_ring(face) or plug.face_checked or face.checked)


def _plug(view: View, plug: Connector) -> tuple[Block, ...]:
    """A plug on a card, its face beside the table where it is small, above it where not."""
    face = view.face(plug)
    device = view.job.device[plug.device]
    heading = Heading(f"{plug.end}  {function_of(device)}")
    rows = _rows(view, plug, face)
    group = RowGroup(tuple(rows), plug.end if len(rows) > LONG_TABLE else "")
    facts, table = _facts(view, plug, face), Table(COLUMNS, (group,), close=True, name=plug.end)
    words = wire_words(view.routed, plug)
    if face is None or _is_ring(face):
        stud = face is not None or device.stud_rings > 1 or device.family in ON_STUD
        none = (
            () if stud else (Paragraph("No face given: no picture. Go by the numbers moulded in the plug."),)
        )
        return (Card((heading, facts, *none, table)),)
    small = face_drawings(face, plug, words, True) if len(face.cavities) <= SMALL_FACE else None
    if small is not None:
        wide = _beside_mm(small)
        if wide <= (BESIDE_MM if len(rows) <= FEW_ROWS else NARROW_MM):
            row = FigureRow(tuple(Figure(one) for one in small))
            return (Card((Beside(((row,), (heading, facts, table)), (wide, 0.0)),)),)
    drawn = small if small is not None else face_drawings(face, plug, words)
    faces = (FigureRow(tuple(Figure(one, max_height_mm=FACE_MM) for one in drawn)),) if drawn else ()
    return (Card((heading, facts, *faces, table)),)


def _is_ring(face: Face) -> bool:
    """One stud: it looks the same from both sides."""
    return len(face.cavities) == 1 and face.cavities[0].size_class.startswith("ring")


def _beside_mm(drawn: tuple[Drawing, Drawing]) -> float:
    """Width both sides take: side by side where that is narrow enough, else one above the other."""
    both = sum(one.width_mm for one in drawn) + GAP_MM
    return both if both <= BESIDE_MM else max(one.width_mm for one in drawn) + 0.5


def _facts(view: View, plug: Connector, face: Face | None) -> Facts:
    loom = view.loom_of_end.get(plug.end)
    several = len(view.trees) > 1 or loom is None
    pairs = [("Loom", loom or "no rope leads here yet")] if several else []
    pairs += [("Comes as", supplied_words(plug))] if plug.supplied is not Supplied.PLUG else []
    fixed = is_fixed(view.job, plug.end)
    pairs.append(("End", "fixed first, no trim" if fixed else "left long, trimmed at fit"))
    pairs.append(("Contacts", _contacts(view, plug)))
    pairs += [("Face", f"{face.name} [{face.source.mark}]")] if face is not None else []
    pairs += _cables(view, plug)
    pairs += _tap(view.job.device[plug.device].tap)
    half = half_words(view, plug)
    pairs += [("Pair", half)] if half else [("Mates with", plug.mates)] if plug.mates else []
    pairs += [("Boot", plug.boot)] if plug.boot else []
    pairs += [("Through the bulkhead", plug.through_bulkhead)] if plug.through_bulkhead else []
    pairs += [("Part", plug.part)] if plug.part else []
    if unchecked(view, plug):
        pairs.append(("Compared with part by", ""))
    return Facts(tuple(pairs), across=0)


def _cables(view: View, plug: Connector) -> list[tuple[str, str]]:
    """Which cavities take the cores of a cable or pair."""
    found: dict[str, list[str]] = {}
    for pin in plug.pins:
        for wire in view.routed.at_pin.get(pin.id, ()):
            if wire.cable in view.cables and not wire.screen:
                kind = str(view.cables[wire.cable].kind).split()[-1]
                found.setdefault(f"{kind} {wire.cable}".capitalize(), []).append(pin.cavity)
    return [(name, ", ".join(dict.fromkeys(cavities))) for name, cavities in found.items()]


def _circuit(view: View, wire: Wire) -> str:
    """A core's cable stands above the table; what is a screen says so itself."""
    return view.circuit_words(wire) if wire.screen else wire.circuit


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
    rows = [row for cavity in order for pin in pins.get(cavity, ()) for row in _pin_rows(view, plug, pin)]
    empty: dict[str, list[str]] = {}
    for cavity in order:
        if cavity not in pins:
            empty.setdefault(_empty(plug, face, cavity), []).append(cavity)
    for do, some in empty.items():
        words = f"{'cavity' if len(some) == 1 else 'cavities'} {', '.join(some)} empty"
        each = do.replace("plug in", "plug in each") if len(some) > 1 else do
        rows.append(("", NOT_PRINTED, words, "", "", each, None))
    return rows


def _empty(plug: Connector, face: Face | None, cavity: str) -> str:
    found = face.cavity(cavity) if face is not None else None
    if found is not None and found.size_class.startswith("ring"):
        return "nothing of this loom"
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
    return (pin.cavity, wire.label, _circuit(view, wire), colour, size_words(view.size(wire)), to, None)


def _unwired(view: View, pin: Pin) -> str:
    for common in view.routed.commons:
        if pin.id in common.pins:
            others = [p for p in common.pins if p != pin.id]
            return f"joined inside {common.device} with {', '.join(others)}"
    return "no wire"
