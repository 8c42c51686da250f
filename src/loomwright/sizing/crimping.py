"""Set-ups of the crimp tool: every contact with every size of wire that is really crimped into it."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.library.wires import WireSize
from loomwright.model.job import Job
from loomwright.routing.routed import EndKind, Wire, WireEnd
from loomwright.sizing.fits import contact_at

SAMPLES: Final = 5  # pulls a set-up at least, the lowest counts; common practice
SPLICE: Final = "splice"


@dataclass(frozen=True, slots=True)
class SetUp:
    """One contact on one size of wire.

    Attributes:
        contact: its class, "splice" for an open barrel in the loom, "ring" or "" where no class is known
        loom: loom the crimps are in
        size: wire that is crimped
        crimps: how many are made
    """

    contact: str
    loom: str
    size: WireSize
    crimps: int

    @property
    def order(self) -> tuple[str, str, str, float]:
        """What set-ups are sorted by, and two have in common where one tool setting does for both."""
        return (self.contact, self.size.family, self.size.system, self.size.area_mm2)


def set_ups(job: Job, wires: Iterable[Wire], size: Mapping[str, WireSize]) -> tuple[SetUp, ...]:
    """Return the set-ups of every loom, sorted by contact and wire; screens are no conductors and left out.

    Args:
        wires: wires of one loom, or of all
        size: size of every wire by identity
    """
    found: dict[tuple[str, str, str, str, float], SetUp] = {}
    for wire in wires:
        for end in () if wire.screen else (wire.a, wire.b):
            for contact in _contacts(job, end, size[wire.identity]):
                one = SetUp(contact, wire.loom, size[wire.identity], 1)
                key = (wire.loom, *one.order)
                before = found.get(key)
                found[key] = SetUp(contact, wire.loom, one.size, before.crimps + 1) if before else one
    return tuple(found[key] for key in sorted(found))


def _contacts(job: Job, end: WireEnd, size: WireSize) -> Iterator[str]:
    """What is crimped at an end: one contact, or nothing."""
    if end.kind is EndKind.SPLICE:
        yield SPLICE
    elif end.kind in (EndKind.PIN, EndKind.STUD):
        known = contact_at(job, end.name, size)
        yield known.name if known else ("ring" if end.kind is EndKind.STUD else "")


def samples_of(found: Iterable[SetUp]) -> Counter[str]:
    """Return how many of every contact go into samples: five a set-up, one of several looms once."""
    count: Counter[str] = Counter()
    for contact, *_ in sorted({one.order for one in found}):
        count[contact] += SAMPLES
    return count


def wires_sampled(found: Iterable[SetUp]) -> dict[str, tuple[str, ...]]:
    """Return the wires to crimp samples on for each contact of one loom, "thin-wall XLPE mm2 0.5"."""
    told: dict[str, list[str]] = {}
    for one in found:
        told.setdefault(one.contact, []).append(f"{one.size.family} {one.size.label}")
    return {contact: tuple(wires) for contact, wires in told.items()}
