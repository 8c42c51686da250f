"""The current in every wire, summed from what hangs on it.

Loads switch on and off by themselves, so that a sum of loads heats a wire as
I = sqrt((sum a*d)^2 + sum a^2*d*(1-d)) with on-currents a and duties d: the effective value of
independent switched loads. Source: mean square of a sum of independent variables; exact for
independent switching, ours for anything else.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce
from typing import Final

from loomwright.model.device import Device, Pin
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, Side
from loomwright.sizing.nets import Net
from loomwright.sources import Mark

GROUNDS: Final = (CircuitKind.POWER_GROUND, CircuitKind.CHASSIS)
SMALL: Final = (
    CircuitKind.SIGNAL,
    CircuitKind.SENSOR_GROUND,
    CircuitKind.SENSOR_SUPPLY,
    CircuitKind.BUS,
    CircuitKind.DRAIN,
    CircuitKind.SPARE,
)


@dataclass(frozen=True, slots=True)
class Load:
    """A sum of loads.

    Attributes:
        mean_a: sum of on-current times duty [A]
        square: sum of a^2*d*(1-d) [A2]
        on_a: largest single on-current in it [A]
        extra_a: largest single peak above its on-current [A]
        known: every load in it has a figure
    """

    mean_a: float = 0.0
    square: float = 0.0
    on_a: float = 0.0
    extra_a: float = 0.0
    known: bool = True

    def __add__(self, other: "Load") -> "Load":
        """Return both loads together."""
        return Load(
            self.mean_a + other.mean_a,
            self.square + other.square,
            max(self.on_a, other.on_a),
            max(self.extra_a, other.extra_a),
            self.known and other.known,
        )

    def share(self, parts: int) -> "Load":
        """Return what one of several equal ways carries."""
        return Load(
            self.mean_a / parts, self.square / parts**2, self.on_a / parts, self.extra_a / parts, self.known
        )

    @property
    def heating_a(self) -> float:
        """Effective current [A]."""
        return math.sqrt(self.mean_a**2 + self.square)

    @property
    def drop_a(self) -> float:
        """Current that the volt drop is reckoned at: at least the largest load while on [A]."""
        return max(self.heating_a, self.on_a)

    @property
    def peak_a(self) -> float:
        """Heating current and the largest single peak on top of it [A]."""
        return max(self.heating_a, self.on_a) + self.extra_a


NOTHING: Final = Load()


class Loads:
    """The load at every pin and in every wire of a job, worked out once and remembered."""

    def __init__(self, job: Job, nets: dict[str, tuple[Net, ...]]) -> None:
        self._job = job
        self._nets = nets
        self._of_circuit: dict[str, Load] = {}
        self._busy: set[str] = set()
        self._through: dict[str, list[str]] = {}
        for device in job.wired:
            for a, b in device.through:
                self._through.setdefault(a, []).append(b)
        self._pin = job.pin

    def in_wires(self) -> dict[str, Load]:
        """Return the load of every wire, by identity."""
        found: dict[str, Load] = {}
        for nets in self._nets.values():
            for net in nets:
                behind = self._behind(net)
                for link in net.links:
                    if link.wire:
                        found[link.wire] = behind[link.node]
        return found

    def _behind(self, net: Net) -> dict[str, Load]:
        """The load at and behind every node of a net, seen from its root."""
        behind: dict[str, Load] = {}
        for link in reversed(net.links):
            pin = self._pin.get(link.node)
            own = self.at_pin(pin) if pin is not None and link.parent else NOTHING
            behind[link.node] = behind.get(link.node, NOTHING) + own
            if link.parent:
                behind[link.parent] = behind.get(link.parent, NOTHING) + behind[link.node]
        circuit = self._job.circuit[net.circuit]
        if circuit.amps is not None:
            behind = _scaled(behind, behind[net.root], circuit.amps * (circuit.duty or 1.0))
        return behind

    def of_circuit(self, name: str) -> Load:
        """Return the load that a whole circuit draws from its roots."""
        if name in self._busy:
            return NOTHING
        if name not in self._of_circuit:
            self._busy.add(name)
            total = [self._behind(net)[net.root] for net in self._nets.get(name, ())]
            self._busy.discard(name)
            self._of_circuit[name] = _sum(total)
        return self._of_circuit[name]

    def at_pin(self, pin: Pin) -> Load:
        """Return what one pin asks of its circuit; a mated cavity only passes on."""
        if self._job.connector[pin.end].mates:
            return NOTHING
        if pin.kind in SMALL or (pin.side is Side.EITHER and pin.kind is not CircuitKind.FEED):
            return self._declared(pin) or _small(self._job.shop.signal_amps.value)
        device = self._job.device[pin.device]
        if pin.kind in GROUNDS:
            return self._declared(pin) or self._ground_share(device)
        if pin.side is Side.GIVES:
            return NOTHING
        passed_on = self._passed_on(pin, device)
        if passed_on is not None and pin.source.mark is not Mark.BUILDER:
            return passed_on  # a contact's own figure is what it can carry, not what flows
        if pin.side is Side.EITHER:
            return NOTHING
        return self._declared(pin) or passed_on or Load(known=False)

    def _declared(self, pin: Pin) -> Load | None:
        if pin.amps is None:
            return None
        peak = max((pin.peak_amps or pin.amps) - pin.amps, 0.0)
        return Load(pin.amps * pin.duty, pin.amps**2 * pin.duty * (1 - pin.duty), pin.amps, peak)

    def _passed_on(self, pin: Pin, device: Device) -> Load | None:
        """What the pin draws for circuits behind it: relay contacts, fuses, outputs with trip."""
        beyond = self._beyond(pin.id)
        reached = {name for p in device.pins for name in self._beyond(p.id)}
        fuses = [p.load for p in self._job.protections if p.line == pin.circuit and p.device == device.name]
        shared = [name for name in dict.fromkeys(fuses) if name not in reached]
        if not beyond and not shared:
            return None
        parts = sum(1 for p in device.pins if p.circuit == pin.circuit and p.side is not Side.GIVES)
        return _sum(map(self.of_circuit, beyond)) + _sum(map(self.of_circuit, shared)).share(max(parts, 1))

    def _beyond(self, pin_id: str) -> tuple[str, ...]:
        """The circuits that a contact inside the device leads on to."""
        ends = (self._pin[b].circuit for b in self._through.get(pin_id, ()) if b in self._pin)
        return tuple(dict.fromkeys(ends))

    def _ground_share(self, device: Device) -> Load:
        """A ground pin without a figure carries its part of all its device takes in and sinks."""
        grounds = [p for p in device.pins if p.kind in GROUNDS and p.side is not Side.GIVES]
        taken = [
            self._declared(p) for p in device.pins if p.kind is CircuitKind.FEED and p.side is Side.TAKES
        ]
        sunk = [self._sunk(p) for p in device.pins if p.kind is CircuitKind.DRIVE and p.side is Side.GIVES]
        found = [load for load in (*taken, *sunk) if load is not None]
        if not found:
            return _small(self._job.shop.signal_amps.value)
        return _sum(found).share(max(len(grounds), 1))

    def _sunk(self, pin: Pin) -> Load:
        return _sum(
            self._declared(other) or Load(known=False)
            for other in self._job.pins_of[pin.circuit]
            if other.id != pin.id and other.side is Side.TAKES
        )


def _small(amps: float) -> Load:
    return Load(amps, 0.0, amps, 0.0)


def _sum(loads: Iterable[Load]) -> Load:
    return reduce(Load.__add__, loads, NOTHING)


def _scaled(behind: dict[str, Load], total: Load, amps: float) -> dict[str, Load]:
    """The builder's figure for the whole circuit, shared out as the pins' figures are."""
    if total.mean_a <= 0:
        return {node: Load(amps, 0.0, amps, load.extra_a) for node, load in behind.items()}
    ratio = amps / total.mean_a
    return {
        node: Load(x.mean_a * ratio, x.square * ratio**2, x.on_a * min(ratio, 1.0), x.extra_a)
        for node, x in behind.items()
    }
