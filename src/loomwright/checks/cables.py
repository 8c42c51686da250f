"""Pairs, trios and screens: there where they are asked for, unbroken, drained once."""

from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import CAUTION, FAULT, NOTE, SHOPS, Entry
from loomwright.checks.looking import an, begun, cited, labels, live, live_pins, many, named, verb
from loomwright.checks.worked import Worked
from loomwright.errors import OutOfRange
from loomwright.findings import Finding
from loomwright.library.faces import Face, neighbours
from loomwright.library.wires import cable as stock_cable
from loomwright.model.circuit import Cable
from loomwright.model.device import Device, Pin
from loomwright.model.job import Job
from loomwright.model.words import CableKind, CircuitKind
from loomwright.routing.routed import EndKind, Wire
from loomwright.sizing.plugs import face_of
from loomwright.sources import PRACTICE, Mark, Source

_NOTES: Final = Source(Mark.PRACTICE, "open controllers' wiring notes; service texts for the pitch")
PAIR_01: Final = Entry(
    "PAIR-01",
    "Pair that isn't twisted",
    CAUTION,
    "Side by side and untwisted, the two wires pick up every coil they pass.",
    _NOTES,
    ("circuits", "cut list"),
    also=(NOTE,),
)
PAIR_02: Final = Entry(
    "PAIR-02",
    "Pair that parts on its way",
    CAUTION,
    "Where the wires of a pair take different ways they form a loop that takes up noise.",
    PRACTICE,
    ("circuits", "route"),
    also=(NOTE,),
)
PAIR_03: Final = Entry(
    "PAIR-03",
    "Pair in cavities far apart",
    NOTE,
    "The pair is opened wide to reach cavities that aren't neighbours.",
    PRACTICE,
    ("pinouts",),
    levels=SHOPS,
)
PAIR_04: Final = Entry(
    "PAIR-04",
    "Splice in a pair",
    CAUTION,
    "A splice opens the twist and makes a lump in it.",
    PRACTICE,
    ("splices",),
)
SCREEN_01: Final = Entry(
    "SCREEN-01",
    "Screen asked for, none there",
    CAUTION,
    "A signal of millivolts beside coils and injectors wants a screen.",
    _NOTES,
    ("circuits", "parts"),
    also=(NOTE,),
)
SCREEN_02: Final = Entry(
    "SCREEN-02",
    "Screen drained at both ends",
    CAUTION,
    "Drained twice, the screen carries the current between the two grounds past the wires it should guard.",
    _NOTES,
    ("circuits", "pinouts", "test"),
)
SCREEN_03: Final = Entry(
    "SCREEN-03",
    "Screen drained at the device",
    NOTE,
    "Usually the controller's end is drained and the device's end cut back.",
    _NOTES,
    ("circuits", "pinouts"),
)
CABLE_01: Final = Entry(
    "CABLE-01",
    "Cable that doesn't suit its circuits",
    FAULT,
    "The bought cable has too few cores, or no screen where one is wanted.",
    Source(Mark.MAKER, "the cable's sheet"),
    ("cut list", "parts"),
)
ENTRIES: Final = (PAIR_01, PAIR_02, PAIR_03, PAIR_04, SCREEN_01, SCREEN_02, SCREEN_03, CABLE_01)
SHY_SIGNALS: Final = ("VR", "piezo")


def _pairs(device: Device) -> Iterator[tuple[str, list[Pin]]]:
    """The cavities of a device that belong twisted together, by letter."""
    letters: dict[str, list[Pin]] = {}
    for pin in device.pins:
        if pin.pair:
            letters.setdefault(pin.pair, []).append(pin)
    return ((letter, pins) for letter, pins in sorted(letters.items()) if len({p.circuit for p in pins}) > 1)


def _matters(device: Device, pins: list[Pin]) -> bool:
    return device.signal in SHY_SIGNALS or any(p.kind is CircuitKind.BUS for p in pins)


def pair_not_twisted(worked: Worked) -> Iterator[Finding]:
    """PAIR-01: circuits that belong twisted together and are in no cable together."""
    job = worked.job
    together = [set(c.circuits) for c in job.cables]
    told: set[frozenset[str]] = set()
    for device in live(job):
        for _, pins in _pairs(device):
            names = frozenset(p.circuit for p in pins)
            short = all(len(live_pins(job, n)) < 2 for n in names)
            if names in told or short or any(names <= row for row in together):
                continue
            told.add(names)
            matters = _matters(device, pins)
            yield PAIR_01.at(
                device.name,
                device.path,
                f"{named(sorted(names))} of {device.name} run as single wires.",
                f"They belong twisted, one turn in {job.shop.pair_pitch_mm.value:.0f} mm "
                f"{cited(job.shop.pair_pitch_mm.source)}.",
                _twist(job, device, pins),
                subject="+".join(sorted(names)),
                severity=CAUTION if matters else NOTE,
            )


def _twist(job: Job, device: Device, pins: list[Pin]) -> str:
    """What to do about a pair: a circuit that others are on too can't be a core of its cable."""
    shared = [name for name in dict.fromkeys(p.circuit for p in pins) if len(live_pins(job, name)) > 2]
    if not shared:
        return "Add a [cable] table with these circuits."
    return (
        f"Twist the last stretch to {device.name} by hand; for a [cable] table {named(shared)} would have "
        f"to be {device.name}'s alone."
    )


def pair_parts(worked: Worked) -> Iterator[Finding]:
    """PAIR-02: cores of a cable that don't run through the same sections."""
    for cable in worked.job.cables:
        if len(cable.circuits) < 2:
            continue
        ways: dict[str, set[tuple[str, str]]] = {name: set() for name in cable.circuits}
        for name in cable.circuits:
            for wire in worked.routed.wires_of.get(name, ()):
                if not wire.screen and wire.cable == cable.name:
                    ways[name] |= {(wire.loom, step.section) for step in wire.way}
        laid = [way for way in ways.values() if way]
        apart = sorted({s for way in laid for s in way if any(s not in other for other in laid)})
        alone = [name for name, way in ways.items() if not way and laid]
        if apart or alone:
            where = named(section for _, section in apart) or "their whole way"
            feeds = any(
                worked.job.circuit[n].kind is CircuitKind.FEED for n in ways if n in worked.job.circuit
            )
            yield PAIR_02.at(
                f"cable {cable.name}",
                cable.path,
                f"The cores of {cable.name} don't run together in {where}"
                + (f"; {named(alone)} {verb(len(alone), 'takes', 'take')} another way." if alone else "."),
                "The wires of a pair keep together from plug to plug.",
                "Bring both to the same plugs, or make a cable of each stretch they share.",
                subject=cable.name,
                severity=NOTE if feeds else CAUTION,
            )


def pair_far_apart(worked: Worked) -> Iterator[Finding]:
    """PAIR-03: a pair's cavities aren't neighbours on the face."""
    job = worked.job
    for cable in job.cables:
        if cable.kind is not CableKind.PAIR or len(cable.circuits) != 2:
            continue
        yield from _far_apart(job, cable)


def _far_apart(job: Job, cable: Cable) -> Iterator[Finding]:
    """One finding for every plug where no two cavities of the pair are neighbours."""
    firsts, seconds = (live_pins(job, name) for name in cable.circuits)
    for end in sorted({p.end for p in firsts} & {p.end for p in seconds}):
        connector = job.connector[end]
        face = face_of(job, connector)
        pairs = [(a, b) for a in firsts for b in seconds if a.end == b.end == end]
        if face is None or any(_beside(face, a.cavity, b.cavity) for a, b in pairs):
            continue
        one, other = pairs[0]
        yield PAIR_03.at(
            f"{one.id} and {other.cavity}",
            other.path,
            f"{cable.name} enters {end} at cavities {one.cavity} and {other.cavity}, apart from each other.",
            "A pair sits in neighbouring cavities; 25 to 40 mm untwisted are usual [common practice].",
            "Swap cavities where the controller lets you, and keep the open stretch short.",
            subject=f"{cable.name} {end}",
        )


def _beside(face: Face, a: str, b: str) -> bool:
    if face.cavity(a) is None or face.cavity(b) is None:
        return True
    return any({a, b} == set(pair) for pair in neighbours(face))


def pair_spliced(worked: Worked) -> Iterator[Finding]:
    """PAIR-04: a splice in a twisted pair that is no bus."""
    job, wires = worked.job, worked.routed.wire
    twisted = {c.name for c in job.cables if c.kind is not CableKind.SCREENED}
    for splice in worked.routed.splices:
        cores = [wires[w] for w in splice.wires if w in wires and wires[w].cable in twisted]
        if not cores or cores[0].kind is CircuitKind.BUS:
            continue
        yield PAIR_04.at(
            f"splice {splice.name}",
            job.circuit[splice.circuit].path,
            f"{splice.name} joins {labels(cores)} of {cores[0].cable} at {splice.place.mm:.0f} mm in "
            f"{splice.place.section}.",
            "A pair runs unbroken from plug to plug.",
            "Give each device a pair of its own, or leave the shared circuit out of the cable.",
            subject=splice.identity,
        )


def screen_missing(worked: Worked) -> Iterator[Finding]:
    """SCREEN-01: a device that wants a screen, its circuits in no screened cable."""
    job = worked.job
    screened = {name for c in job.cables if c.kind is CableKind.SCREENED for name in c.circuits}
    for device in live(job):
        bare = [p for p in device.pins if p.screened and p.kind is CircuitKind.SIGNAL]
        bare = [p for p in bare if p.circuit not in screened and len(live_pins(job, p.circuit)) > 1]
        circuits = list(dict.fromkeys(p.circuit for p in bare))
        if not bare:
            continue
        yield SCREEN_01.at(
            device.name,
            device.path,
            f"{named(circuits)} of {device.name} {verb(len(circuits), 'runs', 'run')} without a screen.",
            f"{begun(an(device.kind or device.words))} gets a screened cable, drained at the controller.",
            "Add a [cable] of kind screened cable with its drain circuit.",
            subject=device.name,
            severity=CAUTION if device.signal in SHY_SIGNALS else NOTE,
        )


def _drains(job: Job, cable: Cable) -> list[Pin]:
    return list(live_pins(job, cable.screen)) if cable.screen else []


def screen_drained_twice(worked: Worked) -> Iterator[Finding]:
    """SCREEN-02: a screen, followed through every plug it crosses, reaches pins of two devices."""
    job = worked.job
    for cable in job.cables:
        if cable.kind is not CableKind.SCREENED or not cable.screen:
            continue
        for pins in _drained_at(worked, cable):
            if len({job.connector[pin.rsplit(":", 1)[0]].device for pin in pins}) < 2:
                continue
            yield SCREEN_02.at(
                f"cable {cable.name}",
                cable.path,
                f"The screen of {cable.name} is drained at {named(pins)}.",
                "A screen is drained at one end, normally the controller's, however many plugs it crosses.",
                "Take the drain circuit out of the device's cavity and cut the screen back there.",
                subject=cable.name,
            )
            break


def _drained_at(worked: Worked, cable: Cable) -> Iterator[tuple[str, ...]]:
    """The pins that drain each electrical length of a cable's screen; mating halves only pass it on."""
    steps: dict[str, set[str]] = {}
    screens: list[str] = []
    kinds = {EndKind.PIN, EndKind.STUD, EndKind.JOINT}
    pins: set[str] = set()
    for wire in worked.routed.wires_of.get(cable.screen, ()):
        if wire.screen and wire.cable != cable.name:
            continue
        if wire.screen:
            screens.append(wire.a.name)
        pins |= {end.name for end in (wire.a, wire.b) if end.kind in kinds}
        _join(steps, wire.a.name, wire.b.name)
    halves = {pin for pin in pins if _passes_on(worked.job, pin)}
    for crossing in worked.routed.crossings:
        if crossing.circuit == cable.screen:
            _join(steps, crossing.a, crossing.b)
    seen: set[str] = set()
    for start in screens:
        if start in seen:
            continue
        length, waiting = {start}, [start]
        while waiting:
            here = waiting.pop()
            if here in pins - halves and here != start:
                continue
            new = steps.get(here, set()) - length
            length |= new
            waiting.extend(sorted(new))
        seen |= length - (pins - halves)
        yield tuple(sorted(length & (pins - halves)))


def _join(steps: dict[str, set[str]], a: str, b: str) -> None:
    steps.setdefault(a, set()).add(b)
    steps.setdefault(b, set()).add(a)


def _passes_on(job: Job, pin: str) -> bool:
    connector = job.connector.get(pin.rsplit(":", 1)[0])
    return connector is not None and bool(connector.mates)


def screen_drained_at_device(worked: Worked) -> Iterator[Finding]:
    """SCREEN-03: the only drain sits at a sensor or actuator."""
    job = worked.job
    for cable in job.cables:
        pins = _drains(job, cable)
        if cable.kind is not CableKind.SCREENED or not pins:
            continue
        if all(job.device[p.device].family in ("sensor", "actuator", "throttle") for p in pins):
            yield SCREEN_03.at(
                f"cable {cable.name}",
                cable.path,
                f"The screen of {cable.name} is drained at {named(p.id for p in pins)} only.",
                "It is drained at the controller's end [common practice].",
                "Move the drain to the controller, unless the sensor's maker asks for it here.",
                subject=cable.name,
            )


def cable_does_not_suit(worked: Worked) -> Iterator[Finding]:
    """CABLE-01: a bought cable with too few cores or without the screen."""
    for cable in worked.job.cables:
        if not cable.stock:
            continue
        try:
            stock = stock_cable(cable.stock)
        except OutOfRange:
            continue
        few = stock.cores < len(cable.circuits)
        bare = cable.kind is CableKind.SCREENED and not stock.screened
        if few or bare:
            yield CABLE_01.at(
                f"cable {cable.name}",
                cable.path,
                f"{cable.name} is to be made of {stock.name}: {many(stock.cores, 'core')}"
                f"{'' if stock.screened else ', no screen'}, for {many(len(cable.circuits), 'circuit')}.",
                f"It needs {many(len(cable.circuits), 'core')}{' and a screen' if bare else ''}.",
                "Choose another cable from the library.",
                subject=cable.name,
            )


def pair_wires(worked: Worked, key: str) -> tuple[Wire, ...]:
    """Return the cores of sensor pairs and screened cables in a section; buses don't count."""
    return tuple(
        w
        for w in worked.routed.in_section.get(key, ())
        if w.cable and not w.screen and w.kind in (CircuitKind.SIGNAL, CircuitKind.SENSOR_GROUND)
    )
