"""Ways to look at a worked-out job that several checks share."""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from loomwright.checks.worked import Worked
from loomwright.model.device import Connector, Device, Pin
from loomwright.model.job import Job
from loomwright.model.tree import Section
from loomwright.model.words import CircuitKind
from loomwright.routing.field import METAL, on_stud
from loomwright.routing.routed import Wire, section_key
from loomwright.sources import Mark, Source

RETURNS: Final = (CircuitKind.POWER_GROUND, CircuitKind.CHASSIS, CircuitKind.SENSOR_GROUND)
POWER_RETURNS: Final = (CircuitKind.POWER_GROUND, CircuitKind.CHASSIS)
MANY: Final = 6  # names that still read well in one sentence


def live(job: Job) -> Iterator[Device]:
    """Yield the devices that stay or come: all but the removed ones."""
    return iter(job.wired)


def live_pins(job: Job, circuit: str) -> tuple[Pin, ...]:
    """Return the pins of a circuit at devices that are not removed."""
    return job.pins_of.get(circuit, ())


def is_metal(device: Device) -> bool:
    """Return whether a device is a stud on bare metal: cavity names mean nothing there."""
    return device.family in METAL


def all_studs(job: Job, connector: Connector) -> bool:
    """Return whether every used cavity of a connector is a stud or post that takes a ring."""
    device = job.device[connector.device]
    return all(on_stud(job, device, connector, pin) for pin in connector.pins)


def cited(source: Source) -> str:
    """Return where a figure comes from as it stands behind it: "[common practice]", "(a text [standard])"."""
    if source.mark in (Mark.STANDARD, Mark.MAKER) and source.text:
        return f"({source})"
    return f"[{source.mark}]"


def named(names: Iterable[str]) -> str:
    """Return "A", "A and B", "A, B and C"; of many the first six and how many more."""
    rows = list(names)
    if len(rows) > MANY:
        return f"{', '.join(rows[:MANY])} and {len(rows) - MANY} more"
    return " and ".join(filter(None, (", ".join(rows[:-1]), *rows[-1:])))


def many(count: int, one: str, more: str = "") -> str:
    """Return "1 wire", "3 wires", "no wire"."""
    return f"{count or 'no'} {one if count < 2 else more or one + 's'}"


def verb(count: int, one: str, more: str) -> str:
    """Return the form of a verb that suits so many: "lies", "lie"."""
    return one if count == 1 else more


def an(words: str) -> str:
    """Return words with their article: "a coil", "an injector", "an NTC", "a unit"."""
    first = words.split(maxsplit=1)[0] if words.split() else ""
    spelt = first.isupper() and len(first) > 1 and first != "MAP"
    vowel = first[0] in "AEFHILMNORSX" if spelt else first[:1].lower() in "aeiou" and first[:3] != "uni"
    return f"{'an' if vowel else 'a'} {words}"


def begun(words: str) -> str:
    """Return words as a sentence begins: only the first letter changes."""
    return words[:1].upper() + words[1:]


def duration(seconds: float) -> str:
    """Return a time to two digits in the unit one speaks of: "6.2 ms", "78 ms", "3.2 s", "120 s"."""
    value, unit = (seconds * 1000, "ms") if seconds < 0.1 else (seconds, "s")
    digits = max(0, 1 - math.floor(math.log10(value))) if value > 0 else 0
    text = f"{round(value, digits):.{digits}f}"
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {unit}"


def labels(wires: Sequence[Wire]) -> str:
    """Return the wires' numbers in a row."""
    return named(w.label for w in sorted(wires, key=lambda w: w.number))


def sections(worked: Worked) -> Iterator[tuple[str, Section]]:
    """Yield every section of all looms with its key, in tree order."""
    for tree in worked.routed.trees:
        for section in tree.sections:
            yield section_key(tree.loom, section.name), section
