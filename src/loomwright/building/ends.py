"""What is at every end of a loom, and how the coverings beside it go on."""

from dataclasses import dataclass
from typing import Final

from loomwright.building.board import trims
from loomwright.errors import OutOfRange
from loomwright.library.contacts import contact
from loomwright.library.coverings import cover, sleeve
from loomwright.library.kinds import kinds
from loomwright.model.device import Connector, Device
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree
from loomwright.model.words import Supplied
from loomwright.routing.routed import EndKind, Routed, Wire, WireEnd, section_key
from loomwright.sizing.sized import Sized, SleevePiece

RING: Final = "ring"


@dataclass(frozen=True, slots=True)
class End:
    """One end of a loom.

    Attributes:
        name: rope end, or point name of a sealed end
        section: the section that leads to it; None at the datum
        piece: covering of that section, None = none
        joints: wires joined to a pigtail or moulded lead
        sealed: spare wires that end sealed here
        trim_mm: trim carried here [mm]
        contacts: (contact class, how many), sorted; class "" = not known
        seals: how many single-wire seals, None = not known
    """

    loom: str
    name: str
    section: Section | None
    piece: SleevePiece | None
    connector: Connector | None
    device: Device | None
    wires: tuple[Wire, ...]
    joints: tuple[str, ...]
    sealed: tuple[str, ...]
    trim_mm: float
    contacts: tuple[tuple[str, int], ...]
    seals: int

    @property
    def family(self) -> str:
        """Family of its device."""
        return self.device.family if self.device else ""

    @property
    def stud(self) -> bool:
        """All that is crimped here are rings for studs; a fuse box with a stud and blades is a plug."""
        return bool(self.contacts) and all(kind == RING for kind, _ in self.contacts)

    @property
    def circular(self) -> bool:
        """Its plug is a circular connector."""
        return any(name.startswith("circular") for name, _ in self.contacts)

    @property
    def joined(self) -> bool:
        """A plug or sensor bought with wires of its own."""
        return bool(self.joints)

    @property
    def words(self) -> str:
        """Its name and what it is: "INJ1 (injector 1)"."""
        what = function_of(self.device) if self.device else ""
        return f"{self.name} ({what})" if what else self.name


def ends_of(job: Job, tree: Tree, routed: Routed, sized: Sized) -> tuple[End, ...]:
    """Return the ends of a loom at which wires end, sorted by name."""
    trim = trims(tree, routed, sized)
    at: dict[str, list[tuple[Wire, WireEnd]]] = {}
    for wire in routed.wires:
        if wire.loom == tree.loom:
            for end in (wire.a, wire.b):
                if end.kind is not EndKind.SPLICE:
                    at.setdefault(end.point, []).append((wire, end))
    return tuple(_end(job, tree, name, at[name], trim.get(name, 0.0), sized) for name in sorted(at))


def _end(
    job: Job, tree: Tree, name: str, at: list[tuple[Wire, WireEnd]], trim_mm: float, sized: Sized
) -> End:
    connector = job.connector.get(name)
    section = tree.into.get(name)
    out = tree.out_of.get(name, ())
    beside = section or (out[0] if len(out) == 1 else None)
    piece = sized.sleeve.get(section_key(tree.loom, beside.name)) if beside else None
    classes = _contacts(connector, at, sized)
    count: dict[str, int] = {}
    for _, kind in classes:
        count[kind] = count.get(kind, 0) + 1
    return End(
        loom=tree.loom,
        name=name,
        section=beside,
        piece=piece if piece and piece.what != "none" else None,
        connector=connector,
        device=job.device.get(connector.device) if connector else None,
        wires=tuple(sorted({w.number: w for w, _ in at}.values(), key=lambda w: w.number)),
        joints=tuple(sorted(e.name for _, e in at if e.kind is EndKind.JOINT)),
        sealed=tuple(w.label for w, e in at if e.kind is EndKind.SEALED),
        trim_mm=trim_mm,
        contacts=tuple(sorted(count.items())),
        seals=sum(_sealed(kind) for _, kind in classes),
    )


def _contacts(
    connector: Connector | None, at: list[tuple[Wire, WireEnd]], sized: Sized
) -> list[tuple[str, str]]:
    """(pin, contact class) of every contact or ring crimped at an end; one contact a cavity."""
    pins = {p.id: p for p in connector.pins} if connector else {}
    found: dict[str, str] = {}
    for wire, end in at:
        if end.kind is EndKind.PIN:
            row = sized.conductor.get(wire.identity)
            fitted = next((fit.contact for fit in row.fits if fit.pin == end.name), "") if row else ""
            named = (pins[end.name].contact if end.name in pins else "") or (
                connector.contact if connector else ""
            )
            found[end.name] = named or fitted
    rings = [(e.name, RING) for _, e in at if e.kind is EndKind.STUD]
    return [*sorted(found.items()), *rings]


def _sealed(kind: str) -> bool:
    try:
        return bool(kind) and kind != RING and contact(kind).sealed and not kind.startswith("circular")
    except OutOfRange:
        return False


def function_of(device: Device) -> str:
    """Return what a device is, short: the builder's words, else the name of its kind."""
    known = kinds().get(device.kind)
    return device.kind if known and device.words in ("", known.words) else device.words


def slides_on(piece: SleevePiece | None) -> bool:
    """Return True if a covering has to be slid on before an end is finished; split and wrapped ones don't."""
    if piece is None or piece.what in ("none", "tape"):
        return False
    if piece.what == "sleeve":
        return True
    try:
        return any(size.how == "slide on" for size in cover(piece.type).sizes)
    except OutOfRange:
        return piece.what == "braid"


def bore_mm(piece: SleevePiece) -> float | None:
    """Return the bore of a sleeve as bought [mm]; None where it isn't known."""
    if piece.what != "sleeve" or not piece.size:
        return None
    try:
        return sleeve(piece.type).size(piece.size).expanded_id_mm
    except OutOfRange:
        return None


def supplied_whole(end: End) -> bool:
    """Return True if the plug comes with wires of its own."""
    return end.connector is not None and end.connector.supplied is not Supplied.PLUG
