"""Which sizes each wire may take: its family, the smallest allowed, and what the builder fixed."""

from dataclasses import dataclass, replace
from typing import Final

from loomwright.errors import OutOfRange
from loomwright.library.wires import CableStock, WireSize, cable, families, family
from loomwright.model.job import Job
from loomwright.routing.routed import Wire
from loomwright.sources import BUILDER, Mark, Source

FIXED: Final = "builder"
SHOPS_LEAST: Final = "mechanical minimum"


@dataclass(frozen=True, slots=True)
class Choice:
    """The sizes a wire may take, smallest first, and why it can't start lower.

    Attributes:
        sizes: from the smallest allowed upward; one where the size is fixed
        start: which of them is begun with: a size once given stays the smallest
        min_mm2: the smallest area the shop or a device at its ends asks for [mm2]
        floor: which of them asks for it, in words
        source: where that figure comes from
        fixed: who fixed the size, in words, "" = nobody
        reason: the builder's reason where he fixed the size
    """

    sizes: tuple[WireSize, ...]
    min_mm2: float
    floor: str
    source: Source
    fixed: str = ""
    reason: str = ""
    start: int = 0

    @property
    def decides(self) -> tuple[str, Source]:
        """What decides the size where neither heat nor drop asks for more, and its source."""
        if not self.fixed:
            return self.floor, self.source
        return self.fixed, BUILDER if self.fixed == FIXED else self.source


def choices(job: Job, wires: tuple[Wire, ...]) -> dict[str, Choice]:
    """Return the allowed sizes of every wire by identity."""
    kept = dict(job.kept.sizes)
    return {wire.identity: _choice(job, wire, kept.get(wire.identity, "")) for wire in wires}


def stock_of(job: Job, name: str) -> CableStock | None:
    """Return the bought cable a job's cable is made of; None = twisted from single wires, or unknown."""
    found = next((c for c in job.cables if c.name == name), None)
    if found is None or not found.stock:
        return None
    try:
        return cable(found.stock)
    except OutOfRange:
        return None


def _choice(job: Job, wire: Wire, kept: str) -> Choice:
    spare = next((s.size for s in job.spares if s.name == wire.circuit), "") if wire.spare else ""
    found = least_choice(job, wire.circuit, (wire.a.name, wire.b.name), wire.cable, spare)
    start = next((i for i, size in enumerate(found.sizes) if size.label == kept), 0)
    return replace(found, start=start)


def least_choice(job: Job, name: str, pins: tuple[str, ...], bundled: str, spare: str = "") -> Choice:
    """Return the sizes a wire of a circuit may take, from what the job says; no way has to be known.

    Args:
        name: its circuit
        pins: ids of the pins at its ends as far as they are told; splices and points say nothing
        bundled: the cable it is a core of, "" = none
        spare: size the builder gave a spare wire, "" = none
    """
    circuit = job.circuit.get(name)
    stock = stock_of(job, bundled)
    if stock is not None:
        core = _labelled(_sizes(stock.core_family), stock.label)
        words = f"core of {stock.name}"
        return Choice(core[:1], core[0].area_mm2, words, stock.source, words)
    sizes = _sizes((circuit.family if circuit else "") or job.shop.wire_family)
    own = next((job.pin[pin].size for pin in pins if pin in job.pin and job.pin[pin].size), "")
    label = own or (circuit.size if circuit else "") or spare
    reason = circuit.reason if circuit and label else ""
    floor, source, least = _floor(job, pins, bool(reason))
    if label:
        return Choice(_labelled(sizes, label)[:1], least, floor, source, FIXED, reason)
    allowed = tuple(s for s in sizes if s.area_mm2 >= least * 0.98) or sizes[-1:]
    return Choice(allowed, least, floor, source)


def _sizes(name: str) -> tuple[WireSize, ...]:
    try:
        return family(name).sizes
    except OutOfRange:
        return family(next(iter(families()))).sizes


def _labelled(sizes: tuple[WireSize, ...], label: str) -> tuple[WireSize, ...]:
    plain = label.replace("AWG", "").replace("mm2", "").strip()
    start = next((i for i, size in enumerate(sizes) if size.label == plain), None)
    if start is None:
        try:
            wanted = float(plain.replace(",", "."))
        except ValueError:
            return sizes
        start = next((i for i, size in enumerate(sizes) if size.area_mm2 >= wanted * 0.95), len(sizes) - 1)
    return sizes[start:]


def _floor(job: Job, pins: tuple[str, ...], reasoned: bool) -> tuple[str, Source, float]:
    """The least: the shop's, or what is usual at a device at either end, unless a reason sets that aside."""
    found = [(SHOPS_LEAST, job.shop.min_mm2.source, job.shop.min_mm2.value)]
    for pin in () if reasoned else pins:
        connector = job.connector.get(pin.rsplit(":", 1)[0])
        if connector is not None:
            device = job.device[connector.device]
            found.append((f"usual at {device.name}", Source(Mark.PRACTICE), device.min_mm2))
    return max(found, key=lambda one: one[2])
