"""Devices, their connectors and taps, from the checked tables."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.jobfile.read_pins import Draft, Sides, check_cavity, pin_of, sound_cavities
from loomwright.jobfile.read_table import Entry, Notes
from loomwright.library.kinds import Kind
from loomwright.model.device import Connector, Device, Pin, Tap
from loomwright.model.words import CircuitKind, DeviceState, Supplied

_OWN: Final = ("is", "words", "area", "note", "driver", "family", "state", "settled", "connector")
TAP_FAMILY: Final = "tap"


@dataclass(frozen=True, slots=True)
class Plan:
    """A device before its circuits are known: its table, its kind, its connectors with their drafts."""

    entry: Entry
    kind: Kind | None
    connectors: tuple[tuple[Entry, str, tuple[Draft, ...]], ...]

    @property
    def drafts(self) -> tuple[Draft, ...]:
        """All its used cavities."""
        return tuple(draft for _, _, drafts in self.connectors for draft in drafts)


def plan_device(entry: Entry, kinds: Mapping[str, Kind], notes: Notes) -> Plan:
    """Return the device's table matched with its kind; an unknown kind is a finding."""
    name = entry.text("is")
    kind = kinds.get(name)
    if name and kind is None:
        notes.unknown("FILE-06", (*entry.path, "is"), "device kind", name, kinds)
    family = entry.text("family", kind.family if kind else "")
    connectors = [(one, one.name) for one in entry.entries("connector")]
    if not connectors or any(key not in _OWN for key in entry.values):
        connectors.insert(0, (entry, ""))
    sure = kind is not None or not name
    cavities = {one.cavity: one for one in kind.cavities} if kind else {}
    found = []
    for connector, label in connectors:
        drafts = []
        for cavity in sound_cavities(connector.entries("cavity"), notes):
            known = cavities.get(f"{label}.{cavity.name}") or cavities.get(cavity.name)
            if known is None and kind and kind.stud_rings and len(cavities) == 1:
                known = kind.cavities[0]  # a stud takes any name
            draft = Draft(entry.name, family, label, cavity, known, sure)
            check_cavity(draft, name, cavities, notes)
            drafts.append(draft)
        found.append((connector, label, tuple(drafts)))
    return Plan(entry, kind, tuple(found))


def device_of(plan: Plan, circuits: Mapping[str, CircuitKind], sides: Sides) -> Device:
    """Return the finished device."""
    entry, kind = plan.entry, plan.kind
    connectors = tuple(
        _connector(entry.name, one, label, tuple(pin_of(d, circuits[d.circuit], sides) for d in drafts))
        for one, label, drafts in plan.connectors
    )
    return Device(
        name=entry.name,
        kind=kind.name if kind else "",
        family=entry.text("family", kind.family if kind else ""),
        words=entry.text("words", kind.words if kind else ""),
        state=DeviceState(entry.text("state", DeviceState.NEW)),
        area=entry.text("area"),
        settled=entry.flag("settled"),
        connectors=connectors,
        path=entry.path,
        through=_through(kind, connectors),
        driver=entry.text("driver", kind.driver if kind else ""),
        signal=kind.signal if kind else "",
        throttle=kind.throttle if kind else False,
        stud_rings=kind.stud_rings if kind else 0,
        ohms_low=kind.ohms_low if kind else None,
        ohms_high=kind.ohms_high if kind else None,
        min_mm2=(kind.min_mm2 or 0.0) if kind else 0.0,
        note=entry.text("note"),
    )


def _through(kind: Kind | None, connectors: tuple[Connector, ...]) -> tuple[tuple[str, str], ...]:
    if kind is None:
        return ()
    ids = {pin.cavity: pin.id for one in connectors for pin in one.pins}
    return tuple((ids[a], ids[b]) for a, b in kind.through if a in ids and b in ids)


def _connector(device: str, entry: Entry, label: str, pins: tuple[Pin, ...]) -> Connector:
    return Connector(
        device=device,
        name=label,
        pins=pins,
        path=entry.path,
        face=entry.text("face"),
        face_checked=entry.flag("face_checked"),
        contact=entry.text("contact"),
        supplied=Supplied(entry.text("supplied", Supplied.PLUG)),
        lead_mm=entry.number("lead_mm"),
        lead_colours=tuple(entry.by_name("lead_colours").items()),
        fixed=entry.flag("fixed") if "fixed" in entry else None,
        allowance_mm=entry.number("allowance_mm"),
        depth_mm=entry.number("depth_mm"),
        width_mm=entry.number("width_mm"),
        height_mm=entry.number("height_mm"),
        through_bulkhead=entry.text("through_bulkhead"),
        mates=entry.text("mates"),
        boot=entry.text("boot"),
        part=entry.text("part"),
        empty_plugged=entry.flag("empty_plugged", True),
    )


def plan_tap(entry: Entry) -> Plan:
    """Return a tap as a device with the one cavity "1"."""
    pin = Entry(
        "1", entry.path, {k: v for k, v in entry.values.items() if k in ("circuit", "kind", "side", "amps")}
    )
    draft = Draft(entry.name, TAP_FAMILY, "", pin, None, True)
    return Plan(entry, None, ((entry, "", (draft,)),))


def tap_of(plan: Plan, circuits: Mapping[str, CircuitKind], sides: Sides) -> Device:
    """Return the finished tap: a device whose one pin is the joint into the car's own wire."""
    entry = plan.entry
    (draft,) = plan.drafts
    pin = pin_of(draft, circuits[draft.circuit], sides)
    own = " ".join(one for one in (entry.text("size"), entry.text("colour")) if one)
    return Device(
        name=entry.name,
        kind="",
        family=TAP_FAMILY,
        words=f"joint into the car's own wire{f' {own}' if own else ''}",
        state=DeviceState.NEW,
        area=entry.text("area"),
        settled=True,
        connectors=(Connector(entry.name, "", (pin,), entry.path),),
        path=entry.path,
        tap=Tap(
            colour=entry.text("colour"),
            size=entry.text("size"),
            plug=entry.text("plug"),
            cavity=entry.text("cavity"),
            place=entry.text("place"),
            key_off_v=entry.number("key_off_v"),
            key_on_v=entry.number("key_on_v"),
            cranking_v=entry.number("cranking_v"),
            system=entry.text("system"),
        ),
    )
