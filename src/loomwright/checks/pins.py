"""Cavities: two circuits in one, none opposite, not on the face, left open."""

from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from typing import Final

from loomwright.checks.entry import CAUTION, FAULT, NOTE, Entry
from loomwright.checks.looking import all_studs, is_metal, labels, live, live_pins, many, named, verb
from loomwright.checks.worked import Worked
from loomwright.edits import Edit, Verb
from loomwright.errors import OutOfRange
from loomwright.findings import Finding
from loomwright.jobfile.toml_write import path_words
from loomwright.library.contacts import contact
from loomwright.model.device import Connector, Pin
from loomwright.model.words import CircuitKind, DeviceState, Supplied
from loomwright.routing.routed import EndKind, Wire
from loomwright.sizing.plugs import face_of
from loomwright.sources import PRACTICE

PIN_01: Final = Entry(
    "PIN-01",
    "Two circuits in one cavity",
    FAULT,
    "One cavity holds one contact, and a contact belongs to one circuit; two in it are a short.",
    PRACTICE,
    ("pinouts", "cut list", "test"),
    accept=False,
)
PIN_02: Final = Entry(
    "PIN-02",
    "Two wires in one contact",
    CAUTION,
    "A double crimp holds no better than its smallest wire and seldom seals.",
    PRACTICE,
    ("pinouts", "cut list"),
)
PIN_03: Final = Entry(
    "PIN-03",
    "Cavity that its face does not have",
    FAULT,
    "A wire is sent to a cavity that the plug's picture doesn't show, so nobody can fill it.",
    PRACTICE,
    ("pinouts",),
)
PIN_04: Final = Entry(
    "PIN-04",
    "Pin wired to nothing",
    FAULT,
    "The circuit has no second cavity, so the device's cavity gets no wire.",
    PRACTICE,
    ("circuits", "pinouts"),
)
PIN_05: Final = Entry(
    "PIN-05",
    "Cavity that waits for its other end",
    CAUTION,
    "A controller, box, stud or plug cavity has a circuit that nothing else is on yet.",
    PRACTICE,
    ("circuits", "pinouts"),
)
PIN_06: Final = Entry(
    "PIN-06",
    "Open cavities in a sealed plug",
    CAUTION,
    "Water comes in through an empty cavity of a sealed plug and creeps along the wires.",
    PRACTICE,
    ("pinouts", "parts"),
)
PIN_07: Final = Entry(
    "PIN-07",
    "Plug without a face",
    NOTE,
    "Without a face no pinout can be drawn, contacts stay unknown and nothing checks the cavity names.",
    PRACTICE,
    ("pinouts",),
)
ENTRIES: Final = (PIN_01, PIN_02, PIN_03, PIN_04, PIN_05, PIN_06, PIN_07)
ALONE_IS_FAULT: Final = ("sensor", "actuator", "throttle", "relay", "module", "instrument", "switch")


def _plain(cavity: str) -> str:
    """A cavity's name without blanks and leading zeros: "01" and "1" are one hole; "a" and "A" are two."""
    text = cavity.strip()
    return text.lstrip("0") or "0" if text.isdigit() else text


def cavity_clash(worked: Worked) -> Iterator[Finding]:
    """PIN-01: two circuits in one cavity."""
    for device in live(worked.job):
        if is_metal(device):
            continue
        for connector in device.connectors:
            first: dict[str, Pin] = {}
            for pin in connector.pins:
                other = first.setdefault(_plain(pin.cavity), pin)
                if other.circuit != pin.circuit:
                    yield PIN_01.at(
                        pin.id,
                        pin.path,
                        f"Cavity {_plain(pin.cavity)} of {pin.end} holds {other.circuit} and {pin.circuit}.",
                        "A cavity takes one contact of one circuit.",
                        "Move one of them to a free cavity.",
                        subject=pin.id,
                    )


def two_wires_in_one_contact(worked: Worked) -> Iterator[Finding]:
    """PIN-02: a contact, not a ring on a stud, with more than one wire."""
    for device in live(worked.job):
        for pin in device.pins:
            wires = [w for w in worked.routed.at_pin.get(pin.id, ()) if not w.screen and not _ring(w, pin)]
            if len(wires) > 1:
                yield PIN_02.at(
                    pin.id,
                    pin.path,
                    f"{pin.id} takes {labels(wires)} in one contact.",
                    "One wire goes into one contact, unless its maker lists the double crimp.",
                    f"Join them in a splice and bring one wire to {pin.id}.",
                    subject=pin.id,
                )


def _ring(wire: Wire, pin: Pin) -> bool:
    return any(end.kind is EndKind.STUD and end.name == pin.id for end in (wire.a, wire.b))


def cavity_not_on_face(worked: Worked) -> Iterator[Finding]:
    """PIN-03: a cavity the plug's face does not have."""
    for device in live(worked.job):
        for connector in device.connectors:
            face = face_of(worked.job, connector)
            if face is None or is_metal(device):
                continue
            for pin in connector.pins:
                if face.cavity(pin.cavity) is None:
                    yield PIN_03.at(
                        pin.id,
                        pin.path,
                        f"{pin.circuit} sits in cavity {pin.cavity} of {pin.end}, and the face "
                        f"{connector.face} has none of that name.",
                        f"Its {verb(len(face.ids), 'cavity is', 'cavities are')} {named(face.ids)}.",
                        "Correct the cavity, or give the plug its right face.",
                        subject=pin.id,
                        leaves_out=_left_out(pin),
                    )


def _left_out(pin: Pin) -> tuple[str, ...]:
    """What a cavity that the face doesn't have leaves out: itself, its circuit, and that across a pair."""
    names = (pin.circuit, f"{pin.circuit} across", f"a cavity of {pin.device}")
    return (pin.id, path_words(pin.path), *names)


def pin_alone(worked: Worked) -> Iterator[Finding]:
    """PIN-04, PIN-05: a circuit with one pin."""
    job = worked.job
    drains = {cable.screen for cable in job.cables}
    for circuit in job.circuits:
        pins = live_pins(job, circuit.name)
        if len(pins) != 1 or not circuit.name or circuit.kind is CircuitKind.SPARE or circuit.name in drains:
            continue
        pin, device = pins[0], job.device[pins[0].device]
        if device.state is DeviceState.PROVISION or pin.kind is CircuitKind.DRAIN:
            continue
        entry = PIN_04 if device.family in ALONE_IS_FAULT and device.state is DeviceState.NEW else PIN_05
        meant = _meant(circuit.name, job.circuit)
        asked = f'Did you mean "{meant}"? ' if meant else ""
        yield entry.at(
            pin.id,
            pin.path,
            f"{pin.id} is the only cavity with {circuit.name}, so no wire leads there.",
            "A circuit joins two cavities at least.",
            f"{asked}Put {circuit.name} on the cavity it should go to, or take it out of {pin.id}.",
            subject=pin.id,
            leaves_out=(circuit.name, meant) if meant else (circuit.name,),
            misses=(circuit.name,),
        )


def _meant(name: str, names: Iterable[str]) -> str:
    """The circuit whose name differs by a slip of the pen, "" = none; figures must agree."""
    figures = [letter for letter in name if letter.isdigit()]
    others = {
        one.casefold(): one
        for one in names
        if one != name and [letter for letter in one if letter.isdigit()] == figures
    }
    near = get_close_matches(name.casefold(), others, n=1, cutoff=0.85)
    return others[near[0]] if near else ""


def open_cavities(worked: Worked) -> Iterator[Finding]:
    """PIN-06: unused cavities of a sealed plug that are to stay open."""
    for device in live(worked.job):
        for connector in device.connectors:
            face = face_of(worked.job, connector)
            if connector.empty_plugged or face is None or not _sealed(connector, face.words):
                continue
            used = {pin.cavity for pin in connector.pins}
            empty = [one for one in face.ids if one not in used]
            if empty:
                yield PIN_06.at(
                    connector.end,
                    connector.path,
                    f"{connector.end} has {many(len(empty), 'unused cavity', 'unused cavities')} without "
                    f"plugs: {named(empty)}.",
                    "Every unused cavity of a sealed plug gets a sealing plug [common practice].",
                    "Set empty_plugged = true, so that the plugs stand on the parts list.",
                    subject=connector.end,
                    mends=(Edit(Verb.SET, (*connector.path, "empty_plugged"), True, "keep water out"),),
                )


def _sealed(connector: Connector, words: str) -> bool:
    try:
        return contact(connector.contact).sealed
    except OutOfRange:
        return "sealed" in words.split() or "header" in words


def no_face(worked: Worked) -> Iterator[Finding]:
    """PIN-07: a plug with two and more pins and no face; a moulded lead ends in wires, not in a plug."""
    for device in live(worked.job):
        for connector in device.connectors:
            if connector.supplied is Supplied.MOULDED_LEAD or all_studs(worked.job, connector):
                continue
            if len(connector.pins) > 1 and not connector.face:
                yield PIN_07.at(
                    connector.end,
                    connector.path,
                    f"{connector.end} has {len(connector.pins)} wires and no face.",
                    "A pinout is drawn from the plug's face.",
                    "Name a face from the library, or describe the plug in a [face] table.",
                    subject=connector.end,
                )
