"""What a meter shows from every fuse and relay outlet to ground, from all that is plugged in."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from loomwright.calc.expected import Resistor, two_point_ohm
from loomwright.model.circuit import Protection
from loomwright.model.device import Device
from loomwright.model.words import CircuitKind, DeviceState, Side
from loomwright.pack.device_ohms import Element, elements
from loomwright.pack.nets_by_wire import wire_ohm
from loomwright.pack.view import View

GROUND: Final = "ground"
GROUNDS: Final = (CircuitKind.POWER_GROUND, CircuitKind.CHASSIS)
LEAST_OHM: Final = 1e-6  # stands for a joint the job reckons without resistance
AT_REST: Final = "87a"  # contact that is closed while the relay is at rest
OUT: Final = (DeviceState.REMOVED, DeviceState.PROVISION)
PASSIVE: Final = ("box", "ground", "power", "mating half", "relay", "switch", "tap", "port")


@dataclass(frozen=True, slots=True)
class FeedToGround:
    """One outlet, all fuses out, controllers and power modules unplugged, all else plugged in.

    Attributes:
        name: fuse, link, breaker or output with trip, with its rating; or contact of a relay
        circuit: circuit behind it
        at: pins to put the red probe on
        low_ohm: coils at their least, every switch closed [ohm]; infinite = open
        high_ohm: coils at their most, every switch open [ohm]; infinite = open
        through: devices whose ohms make the reading
        unknown: devices on it whose resistance to ground nobody told
    """

    name: str
    circuit: str
    at: tuple[str, ...]
    low_ohm: float
    high_ohm: float
    through: tuple[str, ...]
    unknown: tuple[str, ...]

    @property
    def words(self) -> str:
        """What to expect, in words."""
        if math.isinf(self.low_ohm):
            if self.unknown:
                return f"not known ({', '.join(self.unknown)}); near 0 is a short"
            return "open, over 1 MOhm"
        through = f" ({', '.join(self.through)})" if self.through else ""
        if math.isinf(self.high_ohm):
            return f"open; {_ohms(self.low_ohm)} where every switch is closed{through}"
        if self.unknown:
            return f"{_ohms(self.high_ohm)} or less{through}, with {', '.join(self.unknown)} unknown"
        return f"{_ohms(self.low_ohm).removesuffix(' ohm')} to {_ohms(self.high_ohm)}{through}"


def _ohms(ohm: float) -> str:
    return f"{ohm:.1f} ohm" if ohm < 100 else f"{ohm:.0f} ohm"


def unplugged(view: View) -> frozenset[str]:
    """Return the devices to unplug before feeds are measured: controllers, and modules with outputs."""
    trips = {p.device for p in view.job.protections if p.kind == "trip"}
    return frozenset(d.name for d in view.devices if d.family == "controller" or d.name in trips)


def feeds_to_ground(view: View) -> tuple[FeedToGround, ...]:
    """Return the reading of every protection and every make contact of a relay, in the order of the job."""
    car = _Car(view)
    fuses = (car.reading(f"{p.name}, {p.amps:g} A", p.load, outlets(view, p)) for p in view.job.protections)
    pins = {p.id: p for p in view.job.pins}
    contacts = (
        car.reading(f"{d.name}, contact", pins[b].circuit, (b,))
        for d in view.devices
        if d.family == "relay" and d.state not in OUT
        for _, b in d.through
        if b in pins and b.rsplit(":", 1)[1] != AT_REST
    )
    return (*fuses, *contacts)


def outlets(view: View, protection: Protection) -> tuple[str, ...]:
    """Return the pins a protection gives its circuit out at: of its own device, else of whoever gives it."""
    pins = view.job.pins_of.get(protection.load, ())
    own = [p.id for p in pins if p.device == protection.device]
    gives = [p.id for p in pins if p.side is Side.GIVES]
    return tuple(own or gives or [p.id for p in pins][:1])


class _Car:
    """The wired car as resistances: coils at their least and switches closed, or the other way round."""

    def __init__(self, view: View) -> None:
        self._view = view
        self._out = unplugged(view)
        self._home = {p.id for p in view.job.pins if p.kind in GROUNDS and p.side is Side.GIVES}
        self._joint = max(view.job.shop.contact_ohm.value, LEAST_OHM)

    @cached_property
    def _fitted(self) -> tuple[Device, ...]:
        return tuple(d for d in self._view.devices if d.state not in OUT and d.name not in self._out)

    @cached_property
    def _loom(self) -> tuple[Resistor, ...]:
        found = []
        for wire in self._view.routed.wires:
            if not wire.screen:
                ohm = wire_ohm(self._view, wire) + 2 * self._joint
                found.append(self._resistor(wire.a.name, wire.b.name, ohm))
        for common in self._view.routed.commons:
            if common.device not in self._out:
                found += [self._resistor(common.pins[0], pin, self._joint) for pin in common.pins[1:]]
        found += [self._resistor(x.a, x.b, self._joint) for x in self._view.routed.crossings]
        return tuple(found)

    def _resistor(self, a: str, b: str, ohm: float) -> Resistor:
        return Resistor(self._node(a), self._node(b), max(ohm, LEAST_OHM))

    def _node(self, name: str) -> str:
        return GROUND if name in self._home or not name else name

    @cached_property
    def _elements(self) -> tuple[tuple[Device, Element], ...]:
        return tuple((d, e) for d in self._fitted for e in elements(d))

    def _contacts(self, closed: bool) -> Iterator[Resistor]:
        """Contacts inside devices: a relay is at rest, every fuse is out, a switch may be closed or open."""
        circuit = {p.id: p.circuit for p in self._view.job.pins}
        fused = {(p.device, frozenset((p.line, p.load))) for p in self._view.job.protections}
        for device in self._fitted:
            for a, b in device.through:
                if (device.name, frozenset((circuit.get(a), circuit.get(b)))) in fused:
                    continue
                rests = b.rsplit(":", 1)[1] == AT_REST
                if rests or (closed and device.family != "relay"):
                    yield self._resistor(a, b, self._joint)

    @cached_property
    def _least(self) -> tuple[Resistor, ...]:
        coils = (self._resistor(e.a, e.b, e.low_ohm) for _, e in self._elements)
        return (*self._loom, *self._contacts(True), *coils)

    @cached_property
    def _most(self) -> tuple[Resistor, ...]:
        coils = (self._resistor(e.a, e.b, e.high_ohm) for _, e in self._elements)
        return (*self._loom, *self._contacts(False), *coils)

    @cached_property
    def _groups(self) -> dict[str, int]:
        """Which points hang together without passing ground, every switch closed."""
        beside: dict[str, list[str]] = {}
        for one in self._least:
            beside.setdefault(one.a, []).append(one.b)
            beside.setdefault(one.b, []).append(one.a)
        group: dict[str, int] = {}
        for number, start in enumerate(beside):
            waiting = [start] if start not in group and start != GROUND else []
            group.update(dict.fromkeys(waiting, number))
            for here in waiting:
                fresh = [n for n in beside[here] if n != GROUND and n not in group]
                group.update(dict.fromkeys(fresh, number))
                waiting += dict.fromkeys(fresh)
        return group

    @cached_property
    def _grounded(self) -> frozenset[int]:
        """Groups that reach ground."""
        ends = {n for one in self._least if GROUND in (one.a, one.b) for n in (one.a, one.b)}
        return frozenset(self._groups[n] for n in ends if n != GROUND)

    def reading(self, name: str, circuit: str, at: tuple[str, ...]) -> FeedToGround:
        """Return the reading of one outlet."""
        start = self._node(at[0]) if at else ""
        if not start:
            return FeedToGround(name, circuit, (), math.inf, math.inf, (), ())
        group = self._groups.get(start, -1)
        low, high = (two_point_ohm(net, start, GROUND) for net in (self._least, self._most))
        own = [d.name for d, e in self._elements if group in self._groups_of(e.a, e.b)]
        through = tuple(dict.fromkeys(own)) if not math.isinf(low) else ()
        return FeedToGround(name, circuit, at, low, high, through, self._unknown(group))

    def _groups_of(self, *names: str) -> set[int]:
        return {self._groups.get(self._node(n), -2) for n in names}

    def _unknown(self, group: int) -> tuple[str, ...]:
        """Devices without told ohms that stand between this group and ground."""
        found = []
        for device in self._fitted:
            if device.family in PASSIVE or elements(device):
                continue
            nodes = [self._node(p.id) for p in device.pins]
            groups = [self._groups.get(n, -2) for n in nodes if n != GROUND]
            home = GROUND in nodes or any(g in self._grounded and g != group for g in groups)
            if group in groups and home:
                found.append(device.name)
        return tuple(found)
