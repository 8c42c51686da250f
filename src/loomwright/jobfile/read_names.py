"""Names that point to nothing: each is a finding, and is left out so that the rest can be worked out."""

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final, TypeVar

from loomwright.edits import Path
from loomwright.jobfile.read_table import Notes
from loomwright.library.contacts import contacts
from loomwright.library.coverings import sleeves
from loomwright.library.splices import splices
from loomwright.library.wires import cables, families
from loomwright.model.circuit import Cable, Circuit, Protection, Spare
from loomwright.model.device import Connector, Device, Pin
from loomwright.model.job import Job
from loomwright.model.shop import Shop
from loomwright.model.words import CableKind

T = TypeVar("T")
NO_DEVICE_NAME: Final = re.compile(r"[-.:|/\s]")
_LEAST_CIRCUITS: Final = MappingProxyType({CableKind.PAIR: 2, CableKind.TRIO: 3, CableKind.SCREENED: 1})
_NO_NAME: Final = re.compile(r"[|/\n]")


class Names:
    """Looks names up and notes the unknown ones."""

    def __init__(self, notes: Notes) -> None:
        self._notes = notes

    def known(
        self, name: str, path: Path, what: str, names: Mapping[str, object], code: str = "FILE-07"
    ) -> str:
        """Return the name, or "" after a finding where there is none such."""
        if not name or name in names:
            return name
        self._notes.unknown(code, path, what, name, names)
        return ""

    def stock(self, name: str, path: Path, what: str, names: Mapping[str, object]) -> str:
        """Return a library name, or "" after a finding."""
        return self.known(name, path, what, names, "FILE-06")

    def enough(self, cable: Cable, circuits: int) -> bool:
        """Return whether a cable has as many circuits as it has to; else note that it is left out."""
        least = _LEAST_CIRCUITS[cable.kind]
        if circuits < least:
            what = f"{cable.name} is a {cable.kind} of {circuits} circuit{'' if circuits == 1 else 's'}."
            remedy = "List its circuits; until then its wires are laid singly."
            self._notes.add("FILE-04", (*cable.path, "circuits"), what, f"It should have {least}.", remedy)
        return circuits >= least

    def size(self, size: str, path: Path, wires: str) -> str:
        """Return a conductor's size, or "" after a finding where its family has none such.

        Args:
            wires: name of the wire family; "" or unknown = the library's first
        """
        sizes = (families().get(wires) or next(iter(families().values()))).sizes
        plain = size.replace("AWG", "").replace("mm2", "").strip()
        try:
            some = 0 < float(plain.replace(",", ".")) <= sizes[-1].area_mm2 * 1.05
        except ValueError:
            some = False
        labels = {one.label: one for one in sizes}
        return size if some or plain in labels else self.stock(size, path, "size of wire", labels)


def usable_names(job: Job, notes: Notes) -> None:
    """Note names that would break the names made from them: pins, sections, wires."""
    for what, items, pattern, signs in (
        ("device", job.devices, NO_DEVICE_NAME, '"-", ".", ":", "|", "/" and spaces'),
        ("circuit", job.circuits, _NO_NAME, '"|" and "/"'),
        ("loom", job.looms, _NO_NAME, '"|" and "/"'),
    ):
        for one in items:
            if pattern.search(one.name) or not one.name:
                notes.add(
                    "FILE-08",
                    one.path,
                    f'The {what} is called "{one.name}".',
                    f"The name of a {what} is not empty and is written without {signs}.",
                    "Give it another name; everything that names it has to follow.",
                )


def with_sound_names(job: Job, faces: Mapping[str, object], notes: Notes) -> Job:
    """Return the job without the names that point to nothing; each is a finding.

    Args:
        job: as read
        faces: all faces by name, the job's own among them
        notes: takes the findings
    """
    usable_names(job, notes)
    names = Names(notes)
    spots = _spots(job)
    return replace(
        job,
        shop=_shop(job.shop, names),
        looms=tuple(
            _with(one, area=names.known(one.area, (*one.path, "area"), "area", job.area)) for one in job.looms
        ),
        devices=tuple(_device(one, job, faces, names) for one in job.devices),
        circuits=tuple(_circuit(one, job, names) for one in job.circuits),
        protections=_sound(job.protections, lambda one: _protection(one, job, names)),
        cables=_sound(job.cables, lambda one: _cable(one, job, names)),
        spares=_sound(job.spares, lambda one: _spare(one, job, spots, names)),
        passes=tuple(
            _with(
                one,
                area=names.known(one.area, (*one.path, "area"), "area", job.area),
                sleeve=names.stock(one.sleeve, (*one.path, "sleeve"), "sleeve", sleeves()),
            )
            for one in job.passes
        ),
    )


def _sound(items: tuple[T, ...], check: Callable[[T], T | None]) -> tuple[T, ...]:
    return tuple(one for one in map(check, items) if one is not None)


def _with(one: T, **values: object) -> T:
    """Return the same thing where nothing changes, else a changed copy."""
    changed = {name: value for name, value in values.items() if getattr(one, name) != value}
    return replace(one, **changed) if changed else one  # type: ignore[type-var]


def _shop(shop: Shop, names: Names) -> Shop:
    plain = Shop()
    lists: dict[str, tuple[str, Mapping[str, object]]] = {
        "wire_family": ("wire family", families()),
        "splice_kind": ("splice kind", splices()),
        "sleeve": ("sleeve", sleeves()),
        "branch_cover": ("branch cover", sleeves()),
    }
    found = {}
    for name, (what, known) in lists.items():
        sound = names.stock(getattr(shop, name), ("shop", name), what, known)
        found[name] = sound or getattr(plain, name)
    return _with(shop, **found)


def _device(one: Device, job: Job, faces: Mapping[str, object], names: Names) -> Device:
    connectors = tuple(_connector(c, job, faces, names) for c in one.connectors)
    return _with(
        one,
        area=names.known(one.area, (*one.path, "area"), "area", job.area),
        connectors=one.connectors if all(map(_same, connectors, one.connectors)) else connectors,
    )


def _same(a: object, b: object) -> bool:
    return a is b


def _connector(one: Connector, job: Job, faces: Mapping[str, object], names: Names) -> Connector:
    pins = tuple(_pin(pin, job, names) for pin in one.pins)
    return _with(
        one,
        face=names.stock(one.face, (*one.path, "face"), "face", faces),
        contact=names.stock(one.contact, (*one.path, "contact"), "contact", contacts()),
        mates=names.known(one.mates, (*one.path, "mates"), "connector", job.connector),
        pins=one.pins if all(map(_same, pins, one.pins)) else pins,
    )


def _pin(pin: Pin, job: Job, names: Names) -> Pin:
    if not pin.contact and not pin.size:
        return pin
    circuit = job.circuit.get(pin.circuit)
    wires = (circuit.family if circuit else "") or job.shop.wire_family
    return _with(
        pin,
        contact=names.stock(pin.contact, (*pin.path, "contact"), "contact", contacts()),
        size=names.size(pin.size, (*pin.path, "size"), wires) if pin.size else "",
    )


def _circuit(one: Circuit, job: Job, names: Names) -> Circuit:
    if not one.declared:
        return one
    order = tuple(
        end
        for at, end in enumerate(one.order)
        if end in job.device or names.known(end, (*one.path, "order", at), "connector", job.connector)
    )
    return _with(
        one,
        join_at=names.known(one.join_at, (*one.path, "join_at"), "device", job.device),
        family=names.stock(one.family, (*one.path, "family"), "wire family", families()),
        size=names.size(one.size, (*one.path, "size"), one.family or job.shop.wire_family)
        if one.size
        else "",
        order=order,
    )


def _protection(one: Protection, job: Job, names: Names) -> Protection | None:
    line = names.known(one.line, (*one.path, "line"), "circuit", job.circuit)
    load = names.known(one.load, (*one.path, "load"), "circuit", job.circuit)
    if not line or not load:
        return None
    return _with(one, device=names.known(one.device, (*one.path, "device"), "device", job.device))


def _cable(one: Cable, job: Job, names: Names) -> Cable | None:
    circuits = tuple(
        name
        for at, name in enumerate(one.circuits)
        if names.known(name, (*one.path, "circuits", at), "circuit", job.circuit)
    )
    if not names.enough(one, len(circuits)):
        return None
    return _with(
        one,
        circuits=circuits,
        screen=names.known(one.screen, (*one.path, "screen"), "circuit", job.circuit),
        stock=names.stock(one.stock, (*one.path, "stock"), "cable", cables()),
    )


def _spots(job: Job) -> dict[str, object]:
    """Return every point and end a spare wire may run to."""
    found: dict[str, object] = dict(job.connector)
    found.update((one.datum, one) for one in job.looms)
    for run in job.runs:
        found[run.start] = run
        found.update((one.point, run) for one in run.readings)
    found.update((point, one) for one in job.built for point in (one.inner, one.outer))
    return found


def _spare(one: Spare, job: Job, spots: Mapping[str, object], names: Names) -> Spare | None:
    a = names.known(one.a, (*one.path, "a"), "point or connector", spots)
    b = names.known(one.b, (*one.path, "b"), "point or connector", spots)
    if not a or not b:
        return None
    size = names.size(one.size, (*one.path, "size"), job.shop.wire_family) if one.size else ""
    return _with(one, size=size)
