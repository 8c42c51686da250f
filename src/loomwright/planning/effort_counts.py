"""How many devices, wires, contacts, branch points ... a job will have, before or after its device list."""

from dataclasses import dataclass
from typing import Final

from loomwright.library.tables import Row
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, DeviceState
from loomwright.planning.effort_band import Band, band_of, stated, table
from loomwright.planning.scope import Scope
from loomwright.sources import OURS, Mark, Source

GROUPS: Final = ("sensors", "actuators", "controllers", "supply")
GROUP_OF_FAMILY: Final = (
    ("sensor", "sensors"),
    ("switch", "sensors"),
    ("actuator", "actuators"),
    ("throttle", "actuators"),
    ("relay", "actuators"),
    ("controller", "controllers"),
    ("module", "controllers"),
    ("instrument", "controllers"),
)
BATCH_SAVES: Final = Band(2, 6, Source(Mark.PRACTICE, "counting guide: batch injection through the bulkhead"))
LISTED: Final = Source(Mark.BUILDER, "counted in the job")


@dataclass(frozen=True, slots=True)
class UsualDevice:
    """A device an engine usually has.

    Attributes:
        number: how many of them
        pins: wires at one of them
    """

    name: str
    group: str
    number: Band
    pins: Band


@dataclass(frozen=True, slots=True)
class Count:
    """How many of one thing: key, words, band."""

    key: str
    words: str
    band: Band


@dataclass(frozen=True, slots=True)
class Guide:
    """The counting guide's engine nearest to the scope's; bands the guide leaves out are None."""

    engine: str
    devices: Band
    wires: Band
    bulkhead: Band | None


def usual_devices(scope: Scope) -> tuple[UsualDevice, ...]:
    """Return the devices an engine of this scope usually has, in the table's order.

    Without cylinders only what every job has of controllers and supply; sensors and actuators must be told.
    """
    groups = GROUPS if scope.cylinders is not None else GROUPS[2:]
    per = _multiples(scope)
    found = []
    for row in table("usual_devices"):
        least, most = per[row.name("per")]
        if row.name("group") in groups and _holds(scope, row.text("when")) and most:
            one = band_of(row)
            number = Band(least * one.least, most * one.most, one.source)
            pins = band_of(row, "pins_least", "pins_most")
            found.append(UsualDevice(row.name("name"), row.name("group"), number, pins))
    return tuple(found)


def _multiples(scope: Scope) -> dict[str, tuple[int, int]]:
    """How often "per" stands in the job, least and most; open questions make the two differ."""
    cylinders = scope.cylinders or 0
    cams = (1, 1) if scope.injection == "sequential" else (0, 1)
    return {
        "job": (1, 1),
        "cylinder": (cylinders, cylinders),
        "pair": ((cylinders + 1) // 2,) * 2,
        "cam": cams if scope.cams is None else (scope.cams,) * 2,
        "knock": (0, 1 if cylinders < 6 else 2) if scope.knock is None else (scope.knock,) * 2,
        "wideband": (0, 1 if cylinders < 8 else 2) if scope.wideband is None else (scope.wideband,) * 2,
    }


def _holds(scope: Scope, when: str) -> bool:
    """Whether a row's condition holds; an unanswered question is answered with the commoner case."""
    key, _, wanted = when.partition(" ")
    usual = {"throttle": "cable", "ignition": "coil per cylinder"}
    return not when or (getattr(scope, key) or usual[key]) == wanted


def counts_of(scope: Scope) -> tuple[Count, ...]:
    """Return every count of a scope: what the builder stated, else what follows from cylinders and shares.

    Returns:
        Nothing at all where too little is told: it takes cylinders, devices, wires, or sensors and actuators.
    """
    given = dict(scope.counts)
    told = [key for key in ("devices", "wires", "sensors", "actuators") if key in given]
    by_groups = scope.cylinders is not None or {"sensors", "actuators"} <= set(told)
    usual = usual_devices(scope) if by_groups else ()
    found: dict[str, Count] = {}
    pins: list[Band] = []
    for group in GROUPS:
        own = [one for one in usual if one.group == group]
        if group in given or own:
            number = stated(given[group]) if group in given else _summed([one.number for one in own])
            found[group] = Count(group, group if group != "supply" else "supply, grounds, ports", number)
            pins.append(_pins(own, group, number, group in given))
    _put(found, given, "devices", [one.band for one in found.values()] if by_groups else [])
    _put(found, given, "wires", pins if by_groups else [])
    if "devices" not in found and "wires" in found:
        share = Source(Mark.OURS, "50 devices to 150 wires of one job, from memory")
        wires = found["wires"].band
        found["devices"] = Count("devices", "devices", Band(wires.least / 3.2, wires.most / 2.7, share))
    if "wires" not in found and "devices" in found:
        share = Source(Mark.OURS, "2.7 to 3.2 wires a device, from the counting guide")
        devices = found["devices"].band
        found["wires"] = Count("wires", "wires", Band(devices.least * 2.7, devices.most * 3.2, share))
    return _derived(found, given, scope.injection == "batch") if "devices" in found else ()


def _put(found: dict[str, Count], given: dict[str, int], key: str, parts: list[Band]) -> None:
    if key in given:
        found[key] = Count(key, key, stated(given[key]))
    elif parts:
        found[key] = Count(key, key, _summed(parts))


def _summed(parts: list[Band]) -> Band:
    marks = {one.source.mark for one in parts}
    source = parts[0].source if len(marks) == 1 else Source(Mark.OURS, "sum of stated and usual counts")
    return Band(sum(one.least for one in parts), sum(one.most for one in parts), source)


def _pins(own: list[UsualDevice], group: str, number: Band, is_given: bool) -> Band:
    """Wires at a group's devices; for a stated number by the group's usual wires a device."""
    if not is_given:
        least = sum(one.number.least * one.pins.least for one in own)
        most = sum(one.number.most * one.pins.most for one in own)
        return Band(least, most, own[0].pins.source)
    usual = own or [_row_device(row) for row in table("usual_devices") if row.name("group") == group]
    whole = sum(one.number.most for one in usual) or 1.0
    least = sum(one.number.most * one.pins.least for one in usual) / whole
    most = sum(one.number.most * one.pins.most for one in usual) / whole
    source = Source(Mark.OURS, f"mean of the usual {group}")
    return Band(number.least * least, number.most * most, source)


def _row_device(row: Row) -> UsualDevice:
    pins = band_of(row, "pins_least", "pins_most")
    return UsualDevice(row.name("name"), row.name("group"), band_of(row), pins)


def _derived(found: dict[str, Count], given: dict[str, int], batch: bool) -> tuple[Count, ...]:
    """Add the counts that follow from others by a share."""
    for row in table("count_rules"):
        key, base, share = row.name("count"), row.name("base"), band_of(row)
        if key in given:
            found[key] = Count(key, row.name("words"), stated(given[key]))
        elif key not in found and base in found:
            of = found[base].band
            least, most = of.least * share.least, of.most * share.most
            if key == "bulkhead" and batch:
                least, most = max(0.0, least - BATCH_SAVES.most), most - BATCH_SAVES.least
            found[key] = Count(key, row.name("words"), Band(least, most, share.source))
    return tuple(found.values())


def counts_of_job(job: Job, scope: Scope) -> tuple[Count, ...]:
    """Return the counts of a job whose devices are listed; what the list can't tell follows by shares.

    Wires are counted circuit by circuit: two pins one wire, n pins n - 1 wires from pin to pin up to n wires
    to a splice. Stated counts of the scope win.
    """
    devices = [one for one in job.devices if one.state is not DeviceState.REMOVED]
    plugs = [c for one in devices for c in one.connectors if c.pins]
    given = dict(scope.counts)
    found: dict[str, Count] = {}
    family = dict(GROUP_OF_FAMILY)
    groups = [family.get(one.family, "supply") for one in devices]
    for group in GROUPS:
        number = Band(groups.count(group), groups.count(group), LISTED)
        found[group] = Count(group, group if group != "supply" else "supply, grounds, ports", number)
    lists = {
        "devices": Band(len(devices), len(devices), LISTED),
        "wires": _wires(job),
        "connectors": Band(len(plugs), len(plugs), LISTED),
    }
    for key, band in lists.items():
        found[key] = Count(key, key, stated(given[key]) if key in given else band)
    return _derived(found, given, False)


def _wires(job: Job) -> Band:
    names = {one.name for one in job.devices if one.state is not DeviceState.REMOVED}
    least = most = 0
    kinds = {one.name: one.kind for one in job.circuits}
    for circuit, all_pins in job.pins_of.items():
        pins = sum(one.device in names for one in all_pins)
        if pins > 1 and kinds.get(circuit) is not CircuitKind.SPARE:
            least += pins - 1
            most += pins - 1 if pins == 2 else pins
    return Band(least, most, Source(OURS.mark, "counted circuit by circuit"))


def guide_for(scope: Scope, throttle: str = "") -> Guide | None:
    """Return the counting guide's line for an engine of as many cylinders; None where it has none."""
    for row in table("counts_guide"):
        answered = scope.throttle or throttle or row.name("throttle")
        if row.whole("cylinders") == scope.cylinders and row.name("throttle") == answered:
            told = row.number_or_none("bulkhead_least")
            return Guide(
                row.name("engine"),
                band_of(row, "devices_least", "devices_most"),
                band_of(row, "wires_least", "wires_most"),
                None if told is None else band_of(row, "bulkhead_least", "bulkhead_most"),
            )
    return None
