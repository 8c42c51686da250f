"""Where a circuit's current comes from: through relays, switches and fuses up to the battery."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.model.circuit import Protection
from loomwright.model.device import Device, Pin
from loomwright.model.job import Job
from loomwright.model.words import Side

SOURCES: Final = ("battery", "alternator stud", "starter motor stud", "power stud")
SWITCHING: Final = ("relay", "module", "controller")


@dataclass(frozen=True, slots=True)
class Hop:
    """One step up: the circuit, the pin that gives it, the fuse it comes through."""

    circuit: str
    giver: Pin | None
    fuse: Protection | None


class Upstream:
    """Finds the way up of circuits; made once for a job."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._pin = {p.id: p for p in job.pins}
        self._into: dict[str, list[Pin]] = {}
        for device in job.wired:
            for a, b in device.through:
                if a in self._pin:
                    self._into.setdefault(b, []).append(self._pin[a])

    def hops(self, circuit: str) -> Iterator[Hop]:
        """Yield every step from a circuit up to its sources, nearest first."""
        waiting, seen = [circuit], {circuit}
        for name in waiting:
            for hop, before in self._steps(name):
                yield hop
                if before and before not in seen:
                    seen.add(before)
                    waiting.append(before)

    def _steps(self, circuit: str) -> Iterator[tuple[Hop, str]]:
        for one in self._job.protections:
            if one.load == circuit:
                yield Hop(circuit, None, one), one.line
        for pin in self._job.pins_of.get(circuit, ()):
            if pin.side is Side.GIVES:
                inner = self._into.get(pin.id, ())
                if not inner:
                    yield Hop(circuit, pin, None), ""
                for before in inner:
                    yield Hop(circuit, pin, None), before.circuit

    def sources(self, circuit: str) -> tuple[Device, ...]:
        """Return the devices a circuit's current starts from: battery, studs, taps."""
        found = {h.giver.device: self._job.device[h.giver.device] for h in self.hops(circuit) if h.giver}
        return tuple(d for d in found.values() if d.kind in SOURCES or d.tap is not None)

    def fused(self, circuit: str) -> bool:
        """Return whether a fuse, link, breaker or trip stands anywhere on the way up."""
        return any(h.fuse is not None for h in self.hops(circuit))

    def switched(self, circuit: str) -> bool:
        """Return whether a relay, a module's or a controller's output switches it."""
        return any(
            (h.giver is not None and self._job.device[h.giver.device].family in SWITCHING)
            or (h.fuse is not None and h.fuse.kind == "trip")
            for h in self.hops(circuit)
        )
