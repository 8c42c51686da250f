"""Volt drop from source to load and home again, and the resistance up to any point for short-circuit sums."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.model.circuit import Protection
from loomwright.model.device import Device, Pin
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, Side
from loomwright.sizing.loads import GROUNDS
from loomwright.sizing.nets import Link, Net

WORTH_A_DROP_A: Final = 0.1  # ours: loads below it lose nothing that matters


@dataclass(frozen=True, slots=True)
class Path:
    """All wires a load's current goes through, feed and return, and what it loses."""

    pin: str
    wires: tuple[str, ...]
    drop_v: float


@dataclass(frozen=True, slots=True)
class Trip:
    """The wires to a load's pin from the source, nearest first, and the ways its current may go home."""

    pin: str
    feed: tuple[str, ...]
    homes: tuple[tuple[str, ...], ...]


class Ways:
    """Where the current of every pin comes from and goes to, wire by wire."""

    def __init__(self, job: Job, nets: Mapping[str, tuple[Net, ...]]) -> None:
        self._job = job
        self._pin = job.pin
        self._link: dict[tuple[str, str], tuple[Link, str]] = {}
        for name, parts in nets.items():
            for net in parts:
                for link in net.links:
                    self._link[name, link.node] = (link, net.root)
        self._before: dict[tuple[str, str], tuple[Pin, ...]] = {}
        self._fuses: dict[str, list[Protection]] = {}
        for one in job.protections:
            self._fuses.setdefault(one.load, []).append(one)
        self._into: dict[str, list[str]] = {}
        for device in job.wired:
            for a, b in device.through:
                self._into.setdefault(b, []).append(a)

    def up(self, circuit: str, node: str) -> tuple[str, ...]:
        """Return the wires from a node up to the source, through relays and fuses; nearest first."""
        return tuple(self._up(circuit, node, frozenset()))

    def in_circuit(self, circuit: str, node: str) -> tuple[str, ...]:
        """Return the wires from a node to the root of its circuit; nearest first."""
        return tuple(self._to_root(circuit, node))

    def root(self, circuit: str, node: str) -> str:
        """Return the root a node hangs on."""
        found = self._link.get((circuit, node))
        return found[1] if found else node

    def _to_root(self, circuit: str, node: str) -> Iterator[str]:
        found = self._link.get((circuit, node))
        while found is not None and found[0].parent:
            if found[0].wire:
                yield found[0].wire
            found = self._link.get((circuit, found[0].parent))

    def _up(self, circuit: str, node: str, seen: frozenset[str]) -> Iterator[str]:
        if circuit in seen:
            return
        yield from self._to_root(circuit, node)
        for before in self.before(circuit, node):
            yield from self._up(before.circuit, before.id, seen | {circuit})
            return

    def before(self, circuit: str, node: str) -> tuple[Pin, ...]:
        """Return the pins that the root of a node's circuit is fed from, inside its device."""
        at = circuit, self.root(circuit, node)
        if at not in self._before:
            self._before[at] = self._inside(*at)
        return self._before[at]

    def _inside(self, circuit: str, root_id: str) -> tuple[Pin, ...]:
        """The contacts and fuse lines that lead to a root inside its device."""
        root = self._pin.get(root_id)
        if root is None:
            return ()
        contacts = [self._pin[a] for a in self._into.get(root.id, ()) if a in self._pin]
        lines = {p.line for p in self._fuses.get(circuit, ()) if p.device == root.device}
        if not lines:
            return tuple(contacts)
        pins = self._job.device[root.device].pins
        return (*contacts, *(p for p in pins if p.circuit in lines and p.side is not Side.GIVES))

    def protection(self, circuit: str, node: str, seen: frozenset[str] = frozenset()) -> Protection | None:
        """Return the nearest fuse, link, breaker or trip before a node, None where there is none."""
        if circuit in seen:
            return None
        root = self._pin.get(self.root(circuit, node))
        for one in self._fuses.get(circuit, ()):
            if not one.device or root is None or one.device == root.device:
                return one
        for before in self.before(circuit, node):
            found = self.protection(before.circuit, before.id, seen | {circuit})
            if found is not None:
                return found
        return None

    def trips(self, own_amps: Mapping[str, float]) -> tuple[Trip, ...]:
        """Return where the current of every load worth a drop goes, out and home.

        Args:
            own_amps: on-current of every pin by id [A]
        """
        found = []
        for device in self._job.devices:
            homes = tuple(self._homes(device))
            for pin in device.pins:
                takes = pin.kind is CircuitKind.FEED and pin.side is Side.TAKES
                if takes and own_amps.get(pin.id, 0.0) >= WORTH_A_DROP_A:
                    found.append(Trip(pin.id, self.up(pin.circuit, pin.id), homes))
        return tuple(found)

    def _homes(self, device: Device) -> Iterator[tuple[str, ...]]:
        """The ways home of a device: its own grounds, or its driver and the driver's grounds."""
        for pin in device.pins:
            if pin.kind in GROUNDS and pin.side is not Side.GIVES:
                yield self.in_circuit(pin.circuit, pin.id)
            if pin.kind is CircuitKind.DRIVE and pin.side is Side.TAKES:
                out = self.in_circuit(pin.circuit, pin.id)
                yield from ((*out, *home) for home in self._driver_homes(pin) or ((),))

    def _driver_homes(self, pin: Pin) -> tuple[tuple[str, ...], ...]:
        driver = self._pin.get(self.root(pin.circuit, pin.id))
        if driver is None or driver.device == pin.device:
            return ()
        return tuple(
            self.in_circuit(p.circuit, p.id)
            for p in self._job.device[driver.device].pins
            if p.kind in GROUNDS and p.side is not Side.GIVES
        )


def paths(trips: Iterable[Trip], own_drop_v: Mapping[str, float]) -> Iterator[Path]:
    """Yield the feed-and-return path of every trip, home the way that loses most.

    Args:
        own_drop_v: drop of every wire [V]
    """

    def lost(way: tuple[str, ...]) -> float:
        return sum(map(own_drop_v.__getitem__, way))

    for trip in trips:
        wires = (*trip.feed, *max(trip.homes, key=lost, default=()))
        yield Path(trip.pin, wires, lost(wires))
