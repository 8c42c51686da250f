"""One car's wiring work as a frozen value."""

from dataclasses import dataclass
from functools import cached_property

from loomwright.edits import Path
from loomwright.model.circuit import Cable, Circuit, LoomPlace, Protection, Spare
from loomwright.model.corridor import CorridorMap
from loomwright.model.device import Connector, Device, Pin
from loomwright.model.photo import RunPhoto
from loomwright.model.plan import ChosenPlan
from loomwright.model.rope import BoardAngle, BuiltSection, Exit, Passes, RopeRun
from loomwright.model.shop import Shop
from loomwright.model.words import DeviceState, Level


@dataclass(frozen=True, slots=True)
class Area:
    """A part of the car with its own air temperature and movement.

    Attributes:
        air_c: air temperature [degrees C]
        moves_mm: how far it moves against the body [mm]
        side: "bay" or "cabin", for the bulkhead; "" = not told
    """

    name: str
    air_c: float
    moves_mm: float
    side: str
    path: Path
    splash: bool = False


@dataclass(frozen=True, slots=True)
class Loom:
    """One loom: its datum and the hole it goes through.

    Attributes:
        datum: point (or end) all lengths start from
        hole_mm: diameter of the bulkhead hole at the datum [mm]; None = none
        area: area its trunk lies in unless a section says otherwise
    """

    name: str
    datum: str
    path: Path
    hole_mm: float | None = None
    area: str = ""
    words: str = ""
    terminators: int = 0


@dataclass(frozen=True, slots=True)
class Throttle:
    """The builder's answer about the throttle linkage; linkage "" = not answered.

    Attributes:
        linkage: "cable", "rod", "electronic", "none" or ""
        clear_mm: least distance of the loom through the whole travel, a broken clip assumed [mm]
    """

    linkage: str
    clear_mm: float | None
    path: Path


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A finding the builder keeps, with reason and initials."""

    finding: str
    reason: str
    by: str
    path: Path


@dataclass(frozen=True, slots=True)
class Source12V:
    """Where the current comes from, for short-circuit sums.

    Attributes:
        ohm: resistance of battery and its cables up to the first feed [ohm]
    """

    volts: float
    ohm: float


@dataclass(frozen=True, slots=True)
class Kept:
    """What was chosen before and is kept: numbers once given are never used again.

    Attributes:
        wire_numbers: (wire identity, number), also of wires that are gone
        splice_names: (splice identity, name)
        splice_places: (splice identity, place)
        colours: (wire identity, colour)
        sizes: (wire identity, conductor size label)
        board_angles: (section name, angle in degrees)
    """

    wire_numbers: tuple[tuple[str, int], ...] = ()
    splice_names: tuple[tuple[str, str], ...] = ()
    splice_places: tuple[tuple[str, LoomPlace], ...] = ()
    colours: tuple[tuple[str, str], ...] = ()
    sizes: tuple[tuple[str, str], ...] = ()
    board_angles: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Job:
    """One car's wiring work: everything the builder wrote, resolved against the library.

    All tuples keep the order of the job file. `faces` are (name, text) of faces described in the job.
    """

    title: str
    volts: float
    level: Level
    paper: str
    demo: bool
    revision: str
    shop: Shop
    areas: tuple[Area, ...]
    looms: tuple[Loom, ...]
    devices: tuple[Device, ...]
    circuits: tuple[Circuit, ...]
    protections: tuple[Protection, ...]
    cables: tuple[Cable, ...]
    spares: tuple[Spare, ...]
    runs: tuple[RopeRun, ...]
    built: tuple[BuiltSection, ...]
    passes: tuple[Passes, ...]
    exits: tuple[Exit, ...]
    throttle: Throttle
    acceptances: tuple[Acceptance, ...]
    supply: Source12V
    kept: Kept = Kept()
    customer: str = ""
    car: str = ""
    faces: tuple[tuple[str, str], ...] = ()
    board_angles: tuple[BoardAngle, ...] = ()
    maps: tuple[CorridorMap, ...] = ()
    plan: ChosenPlan | None = None
    photos: tuple[RunPhoto, ...] = ()

    @cached_property
    def device(self) -> dict[str, Device]:
        """Devices by name."""
        return {d.name: d for d in self.devices}

    @cached_property
    def circuit(self) -> dict[str, Circuit]:
        """Circuits by name."""
        return {c.name: c for c in self.circuits}

    @cached_property
    def connector(self) -> dict[str, Connector]:
        """Connectors by end name."""
        return {c.end: c for d in self.devices for c in d.connectors}

    @cached_property
    def wired(self) -> tuple[Device, ...]:
        """The devices that stay or come: all but the removed ones."""
        return tuple(d for d in self.devices if d.state is not DeviceState.REMOVED)

    @cached_property
    def pins(self) -> tuple[Pin, ...]:
        """All pins, in the order of the job."""
        return tuple(p for d in self.devices for p in d.pins)

    @cached_property
    def pin(self) -> dict[str, Pin]:
        """Pins by id."""
        return {p.id: p for p in self.pins}

    @cached_property
    def pins_of(self) -> dict[str, tuple[Pin, ...]]:
        """Pins of every circuit, on devices that stay or come."""
        found: dict[str, list[Pin]] = {c.name: [] for c in self.circuits}
        for pin in (p for d in self.wired for p in d.pins):
            found.setdefault(pin.circuit, []).append(pin)
        return {name: tuple(pins) for name, pins in found.items()}

    @cached_property
    def area(self) -> dict[str, Area]:
        """Areas by name."""
        return {a.name: a for a in self.areas}
