"""Contacts: three windows, current, and the right class for the cavity."""

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Final

from loomwright.checks.entry import CAUTION, NOTE, Entry
from loomwright.checks.looking import begun, cited, is_metal, live, many, named, verb
from loomwright.checks.worked import Worked
from loomwright.errors import OutOfRange
from loomwright.findings import Finding
from loomwright.library.contacts import ContactClass, contact
from loomwright.model.device import Connector
from loomwright.routing.routed import Wire
from loomwright.sizing.fits import contact_at
from loomwright.sizing.plugs import face_of
from loomwright.sizing.sized import Conductor, Fit
from loomwright.sources import Mark, Source

_BAG: Final = Source(Mark.MEMORY, "generic contact classes; go by the sheet of the part in hand")
CONTACT_01: Final = Entry(
    "CONTACT-01",
    "Conductor outside the contact's window",
    CAUTION,
    "Too thin a conductor pulls out of its crimp, too thick a one doesn't close.",
    _BAG,
    ("conductors", "pinouts", "parts"),
)
CONTACT_02: Final = Entry(
    "CONTACT-02",
    "Insulation outside the grip",
    CAUTION,
    "The wings that should hold the insulation miss it or cut it, and the wire works at its crimp.",
    _BAG,
    ("conductors", "pinouts", "parts"),
)
CONTACT_03: Final = Entry(
    "CONTACT-03",
    "Insulation outside the seal's window",
    CAUTION,
    "Thin insulation lets water past the seal; too thick a one tears it.",
    _BAG,
    ("conductors", "pinouts", "parts"),
)
CONTACT_04: Final = Entry(
    "CONTACT-04",
    "Load above the contact's current",
    CAUTION,
    "A contact carries less than the wire in it; it browns, softens its plug and fails hot.",
    _BAG,
    ("conductors", "pinouts"),
)
CONTACT_05: Final = Entry(
    "CONTACT-05",
    "Contact not known",
    NOTE,
    "Without a contact class neither window nor current of a plug is checked, and none stand on the parts "
    "list.",
    _BAG,
    ("parts",),
)
CONTACT_06: Final = Entry(
    "CONTACT-06",
    "Contact of another size than its cavity",
    CAUTION,
    "The contact named doesn't belong in a cavity of that size.",
    _BAG,
    ("pinouts", "parts"),
)
ENTRIES: Final = (CONTACT_01, CONTACT_02, CONTACT_03, CONTACT_04, CONTACT_05, CONTACT_06)
BAD: Final = ("too thin", "too thick")
_ASKS: Final[Mapping[Entry, Callable[[Fit], str]]] = MappingProxyType(
    {
        CONTACT_01: lambda fit: fit.conductor,
        CONTACT_02: lambda fit: fit.insulation,
        CONTACT_03: lambda fit: fit.seal,
    }
)
"""What each window says of a fit; a wire that misses several is told once, at the first of them."""
_WORDS: Final = MappingProxyType(
    {CONTACT_02: "its insulation in the grip", CONTACT_03: "its insulation in the seal"}
)


def _missed(worked: Worked, entry: Entry) -> dict[str, list[tuple[Conductor, Fit]]]:
    """Fits that miss a window and don't stand with a window before it already, by contact class."""
    kept = {one.finding.strip() for one in worked.job.acceptances}
    ask, before = _ASKS[entry], tuple(_ASKS)[: tuple(_ASKS).index(entry)]
    found: dict[str, list[tuple[Conductor, Fit]]] = {}
    for row in worked.sized.conductors:
        for fit in row.fits:
            if not fit.contact or ask(fit) not in BAD:
                continue
            told = any(_ASKS[one](fit) in BAD and f"{one.code} {fit.contact}" not in kept for one in before)
            if not told or f"{entry.code} {fit.contact}" in kept:
                found.setdefault(fit.contact, []).append((row, fit))
    return found


def _beside(entry: Entry, rows: list[tuple[Conductor, Fit]]) -> str:
    """Say which later windows the same wires miss, too, "" = none."""
    later = [
        _WORDS[one]
        for at, one in enumerate(_ASKS)
        if at > tuple(_ASKS).index(entry) and any(_ASKS[one](fit) in BAD for _, fit in rows)
    ]
    return f" {begun(named(later))} {verb(len(later), 'does', 'do')} not fit there either." if later else ""


def _told(entry: Entry, worked: Worked, window: Callable[[ContactClass], str]) -> Iterator[Finding]:
    """One finding per contact class: sizes that miss it, plugs where."""
    ask = _ASKS[entry]
    for name, rows in sorted(_missed(worked, entry).items()):
        ends = sorted({fit.pin.rsplit(":", 1)[0] for _, fit in rows})
        sizes = sorted({f"{r.size.words}, {_ods(r)}, is {ask(f)}" for r, f in rows})
        yield entry.at(
            f"contact {name}",
            worked.job.connector[ends[0]].path,
            f"{many(len(rows), 'wire')} at {named(ends)}: {named(sizes)}.{_beside(entry, rows)}",
            f"{name} takes {window(contact(name))} {cited(rows[0][1].source)}.",
            _remedy(entry, {ask(f) for _, f in rows}),
            subject=name,
            group=name,
        )


def _ods(row: Conductor) -> str:
    low, high = row.size.od_nom_mm, row.size.od_max_mm
    return f"{low:.2f} mm over all" if abs(high - low) < 0.005 else f"{low:.2f} to {high:.2f} mm over all"


def _remedy(entry: Entry, misses: set[str]) -> str:
    if entry is CONTACT_01:
        return (
            "Take the contact's other size, or another wire size at this plug; never fold strands to fill it."
        )
    if "too thin" in misses and entry is CONTACT_03:
        return "Build the wire up with lined sleeve behind the seal, or take a thin-wall seal or fatter wire."
    if "too thin" in misses:
        return "Take the contact made for thinner insulation, or a fatter wire family."
    return "Take the contact or seal made for thicker insulation."


def conductor_window(worked: Worked) -> Iterator[Finding]:
    """CONTACT-01: copper outside the conductor crimp."""
    return _told(
        CONTACT_01,
        worked,
        lambda c: f"{c.mm2_min:g} to {c.mm2_max:g} mm2 of copper",
    )


def insulation_grip(worked: Worked) -> Iterator[Finding]:
    """CONTACT-02: insulation outside the grip."""
    return _told(
        CONTACT_02,
        worked,
        lambda c: f"insulation of {c.insulation_od_min_mm:g} to {c.insulation_od_max_mm:g} mm",
    )


def seal_window(worked: Worked) -> Iterator[Finding]:
    """CONTACT-03: insulation outside the seal."""
    return _told(
        CONTACT_03,
        worked,
        lambda c: f"insulation of {c.seal_od_min_mm:g} to {c.seal_od_max_mm:g} mm in its seal",
    )


def load_above_contact(worked: Worked) -> Iterator[Finding]:
    """CONTACT-04: a wire's load above its contact's current; one finding per contact class."""
    found: dict[str, list[tuple[Wire, Conductor, str]]] = {}
    for row in worked.sized.conductors:
        for fit in row.fits:
            wire = worked.routed.wire.get(row.wire)
            if fit.contact and wire is not None and row.load_a > contact(fit.contact).amps * 1.001:
                found.setdefault(fit.contact, []).append((wire, row, fit.pin))
    for name, rows in sorted(found.items()):
        wire, row, pin = max(rows, key=lambda one: (one[1].load_a, -one[0].number))
        yield CONTACT_04.at(
            f"contact {name}",
            worked.job.connector[pin.rsplit(":", 1)[0]].path,
            f"{named(sorted({p for _, _, p in rows}))}: {wire.label} brings {row.load_a:.1f} A to {pin}.",
            f"{name} carries {contact(name).amps:g} A {cited(contact(name).source)}.",
            "Share the load over two cavities, or take a plug with bigger contacts.",
            subject=name,
            group=name,
        )


def contact_not_known(worked: Worked) -> Iterator[Finding]:
    """CONTACT-05: plugs with wires whose contact class nobody gave."""
    pins: dict[str, list[str]] = {}
    for row in worked.sized.conductors:
        for fit in row.fits:
            if not fit.contact:
                pins.setdefault(fit.pin.rsplit(":", 1)[0], []).append(fit.pin)
    for end, bare in sorted(pins.items()):
        yield CONTACT_05.at(
            end,
            worked.job.connector[end].path,
            f"Nobody said which contact takes {many(len(bare), 'wire')} at {end}.",
            "The sort of contact is known at every plug: crimp, seal and current hang on it.",
            "Name its face, or write contact = ... with one that loomwright stock contacts lists.",
            subject=end,
            misses=tuple(bare),
        )


def contact_of_other_size(worked: Worked) -> Iterator[Finding]:
    """CONTACT-06: a named contact whose size isn't that of its cavity on the face."""
    for device in live(worked.job):
        if is_metal(device):
            continue
        for connector in device.connectors:
            wrong = list(_wrong_size(worked, connector))
            if wrong:
                pin, class_, size = wrong[0]
                yield CONTACT_06.at(
                    connector.end,
                    connector.path,
                    f"{named(p for p, _, _ in wrong)} {verb(len(wrong), 'gets', 'get')} the contact "
                    f"{class_.name}, size {class_.size}; {connector.face} has size {size} at {pin}.",
                    "A contact and its cavity have one size.",
                    "Correct the contact, or give the plug its right face.",
                    subject=connector.end,
                )


def _wrong_size(worked: Worked, connector: Connector) -> Iterator[tuple[str, ContactClass, str]]:
    face = face_of(worked.job, connector)
    if face is None:
        return
    for pin in connector.pins:
        cavity = face.cavity(pin.cavity)
        if cavity is None or not (pin.contact or connector.contact):
            continue
        try:
            class_ = contact_at(worked.job, pin.id)
        except (OutOfRange, KeyError):
            continue
        if class_ is not None and cavity.size_class and class_.size != cavity.size_class:
            yield pin.id, class_, cavity.size_class
