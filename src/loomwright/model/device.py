"""Devices, their connectors and the pins in their cavities."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from loomwright.edits import Path
from loomwright.model.words import CircuitKind, DeviceState, Side, Supplied
from loomwright.sources import Source


@dataclass(frozen=True, slots=True)
class Pin:
    """One used cavity: what sits there and what it asks of its circuit.

    Attributes:
        device, connector, cavity: where; connector is "" on a device with one connector
        circuit: name of the circuit in the cavity
        kind, side: what the cavity is for, from the device kind or the job
        words: what it does, "signal", "coil feed"
        amps: current while on [A]; None = not known
        peak_amps: peak or stall current [A]; None = not known
        duty: share of the time it is on, 0 to 1
        pair: letter shared by the cavities of the device whose circuits belong twisted together
        group: name of the builder's group for a named-group join
        contact: contact class for this cavity where it differs from the connector's
        size: conductor size fixed for the wire at this pin, "" = computed
        source: where the currents come from
    """

    device: str
    connector: str
    cavity: str
    circuit: str
    kind: CircuitKind
    side: Side
    words: str
    amps: float | None
    peak_amps: float | None
    duty: float
    source: Source
    path: Path
    pair: str = ""
    screened: bool = False
    critical: bool = False
    group: str = ""
    contact: str = ""
    size: str = ""

    @property
    def end(self) -> str:
        """The rope end the pin belongs to: "INJ1" or "ECU.A"."""
        return f"{self.device}.{self.connector}" if self.connector else self.device

    @property
    def id(self) -> str:
        """The pin's name on every sheet: "INJ1:1" or "ECU.A:14"."""
        return f"{self.end}:{self.cavity}"


@dataclass(frozen=True, slots=True)
class Connector:
    """One plug of a device; a rope end of its own.

    Attributes:
        face: name of its face in the library or the job, "" = none given
        face_checked: the builder compared the face with the numbers moulded in the plug in hand
        contact: contact class of its cavities, "" = the face's or not known
        supplied: loose plug, pigtail or moulded lead
        lead_mm: length of a pigtail or moulded lead [mm]
        lead_colours: colour of the lead's own wire by cavity
        fixed: True = this end is fixed first and gets no trim; None = by shop rule
        allowance_mm: wire beyond the wire exit up to the contact [mm]; None = shop default
        depth_mm: mating face to wire exit [mm], used where the rope was measured to the mating face
        width_mm, height_mm: outline of the housing [mm], for the bulkhead hole
        through_bulkhead: "" | "before" (housing fitted before the loom goes through the hole) | "after"
        mates: end name of the other half of a mating pair, "" = none
        boot: boot or backshell words, "" = none
        empty_plugged: unused cavities get a sealing plug
    """

    device: str
    name: str
    pins: tuple[Pin, ...]
    path: Path
    face: str = ""
    face_checked: bool = False
    contact: str = ""
    supplied: Supplied = Supplied.PLUG
    lead_mm: float | None = None
    lead_colours: tuple[tuple[str, str], ...] = ()
    fixed: bool | None = None
    allowance_mm: float | None = None
    depth_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    through_bulkhead: str = ""
    mates: str = ""
    boot: str = ""
    part: str = ""
    empty_plugged: bool = True

    @property
    def end(self) -> str:
        """The rope end: "INJ1" or "ECU.A"."""
        return f"{self.device}.{self.name}" if self.name else self.device


@dataclass(frozen=True, slots=True)
class Tap:
    """What is known of one of the car's own wires that is joined into.

    Attributes:
        colour, size, plug, cavity, place: of the car's own wire, as found
        key_off_v, key_on_v, cranking_v: what the meter read [V]; None = not read
        system: what the wire belongs to, "ignition", "lamps", "airbag" ...
    """

    colour: str
    size: str
    plug: str
    cavity: str
    place: str
    key_off_v: float | None
    key_on_v: float | None
    cranking_v: float | None
    system: str


@dataclass(frozen=True, slots=True)
class Device:
    """Anything with terminals.

    Attributes:
        kind: library name of its kind, "" = described in the job alone
        family: kind's family: "injector", "coil", "stud", "box", "controller", "relay", "sensor", "plug" ...
        through: pairs of pin ids joined inside the device when it works (relay contacts)
        driver: what has to drive it: "", "low side", "logic", "H-bridge", "relay" ...
        stud_rings: how many rings the stud takes; 0 = it is no stud
        ohms_low, ohms_high: resistance across its coil [ohm], for the test sheet
        tap: set where the device is a joint into one of the car's own wires
    """

    name: str
    kind: str
    family: str
    words: str
    state: DeviceState
    area: str
    settled: bool
    connectors: tuple[Connector, ...]
    path: Path
    through: tuple[tuple[str, str], ...] = ()
    driver: str = ""
    signal: str = ""
    throttle: bool = False
    stud_rings: int = 0
    ohms_low: float | None = None
    ohms_high: float | None = None
    min_mm2: float = 0.0
    note: str = ""
    tap: Tap | None = field(default=None)

    @property
    def pins(self) -> Iterator[Pin]:
        """All pins of all connectors, in the order of the job."""
        return (pin for connector in self.connectors for pin in connector.pins)
