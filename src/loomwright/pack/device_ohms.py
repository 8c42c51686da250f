"""Between which pins of a device its coils and elements lie, as its range of ohms is told."""

from collections.abc import Sequence
from dataclasses import dataclass

from loomwright.model.device import Device, Pin
from loomwright.model.words import CircuitKind

CASE = "its case"


@dataclass(frozen=True, slots=True)
class Element:
    """One coil, winding or element of a device.

    Attributes:
        a: pin id
        b: pin id, "" = the device's own case
        low_ohm, high_ohm: what a sound one measures, cold [ohm]
    """

    a: str
    b: str
    low_ohm: float
    high_ohm: float

    @property
    def words(self) -> str:
        """Between which cavities: "1 and 2", "1 and its case"."""
        return f"{self.a.rsplit(':', 1)[1]} and {self.b.rsplit(':', 1)[1] if self.b else CASE}"

    @property
    def ohms(self) -> str:
        """The range in words."""
        return f"{self.low_ohm:g} to {self.high_ohm:g} ohm"


def elements(device: Device) -> tuple[Element, ...]:
    """Return the elements a device's ohms stand for; none where no ohms are told.

    A coil lies between the only two pins that are no contacts, else between a feed and each drive, else
    between two drives side by side (a motor, the windings of a stepper), else between supply and 0 V of each
    track; a device with one pin ends in its case.
    Source: how these devices are made, common practice.
    """
    if device.ohms_low is None or device.ohms_high is None or device.ohms_low <= 0:
        return ()
    switched = {pin for pair in device.through for pin in pair}
    pins = [p for p in device.pins if p.id not in switched and p.kind is not CircuitKind.DRAIN]
    ends = _ends(pins)
    return tuple(Element(a, b, device.ohms_low, device.ohms_high) for a, b in ends)


def _ends(pins: Sequence[Pin]) -> list[tuple[str, str]]:
    drives = [p.id for p in pins if p.kind is CircuitKind.DRIVE]
    feeds = [p.id for p in pins if p.kind is CircuitKind.FEED]
    supplies = [p.id for p in pins if p.kind is CircuitKind.SENSOR_SUPPLY]
    homes = [p.id for p in pins if p.kind is CircuitKind.SENSOR_GROUND]
    if len(pins) == 1:
        return [(pins[0].id, "")]
    if len(pins) == 2:
        return [(pins[0].id, pins[1].id)]
    if feeds and drives:
        return [(feeds[0], drive) for drive in drives]
    if drives:
        return list(zip(drives[::2], drives[1::2], strict=False))
    return list(zip(supplies, homes, strict=False))
