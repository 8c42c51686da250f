"""A cut through a bundle: the wires of a section as circles in the tightest circle found, numbered."""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.calc.packing import pack
from loomwright.checks.worked import Worked
from loomwright.library.wires import WireSize
from loomwright.model.words import CableKind
from loomwright.pack.lettering import shortened, width_mm
from loomwright.pack.marks import DASHED, FULL, THIN, WHITE, Circle, Drawing, Mark, Pen, Text
from loomwright.routing.routed import Wire, section_key
from loomwright.sizing.bundles import TRIO_IN_CIRCLE
from loomwright.sizing.choices import stock_of
from loomwright.sizing.sized import Bundle

LARGEST_MM: Final = 76.0  # drawn diameter of the bundle; two fit side by side on A4 upright; ours
LARGEST_SCALE: Final = 8.0
HEAD_MM: Final = 13.0
FOOT_MM: Final = 10.0
WIDE_MM: Final = 84.0
NUMBER_MM: Final = 2.6
LEAST_MM: Final = 1.1  # smallest letters drawn; smaller circles stay empty; ours
CABLE: Final = Pen(width_mm=0.7)


@dataclass(frozen=True, slots=True)
class _Disc:
    """What lies in the bundle: a wire, or a cable with its cores."""

    od_mm: float
    name: str
    cable: bool


def cut_drawing(worked: Worked, loom: str, section: str) -> Drawing | None:
    """Return a cut through a section's bundle; None where it holds no wire.

    Args:
        worked: job with everything derived from it
        loom: name of the loom
        section: name of the section

    Returns:
        The tightest lay found, larger than life: how the wires can lie, not how they have to. The dashed
        circle is the bundle as a hand lays it. None also where the wires don't add up to the bundle.
    """
    key = section_key(loom, section)
    bundle = worked.sized.bundle.get(key)
    discs = _discs(worked, key)
    if bundle is None or not discs:
        return None
    packing = pack([one.od_mm for one in discs])
    outer = max(bundle.as_laid_mm, packing.diameter_mm)
    scale = min(LARGEST_SCALE, LARGEST_MM / outer)
    high = HEAD_MM + FOOT_MM + outer * scale + 4.0
    x, y = WIDE_MM / 2, FOOT_MM + 2.0 + outer * scale / 2
    marks: list[Mark] = [*_words(section, bundle, packing.diameter_mm, scale, high)]
    marks.append(Circle((x, y), bundle.as_laid_mm * scale / 2, DASHED))
    marks.append(Circle((x, y), packing.diameter_mm * scale / 2, THIN))
    for one, (cx, cy) in zip(discs, packing.centres_mm, strict=True):
        marks += _disc(one, x + cx * scale, y + cy * scale, one.od_mm * scale / 2)
    return Drawing(f"Cut through {section}", WIDE_MM, high, tuple(marks))


def thickest(worked: Worked, most: int = 6) -> tuple[tuple[str, str], ...]:
    """Return loom and section of the bundles with most wires, thickest first.

    Args:
        worked: job with everything derived from it
        most: how many at most, 0 and more
    """
    found = sorted(worked.sized.bundles, key=lambda one: (-one.as_laid_mm, one.section))
    pairs = (one.section.split("/", 1) for one in found[:most])
    return tuple((loom, section) for loom, section in pairs)


def _discs(worked: Worked, key: str) -> list[_Disc]:
    """Return what lies in a section: single wires by number, then cables, each counted once."""
    wires = worked.routed.in_section.get(key, ())
    bundle = worked.sized.bundle.get(key)
    size = {row.wire: row.size for row in worked.sized.conductors}
    if bundle is None or any(wire.identity not in size for wire in wires):
        return []
    cables: dict[str, list[Wire]] = {}
    for wire in wires:
        if wire.cable:
            cables.setdefault(wire.cable, []).append(wire)
    found = [_Disc(size[w.identity].od_nom_mm, w.label, False) for w in _by_number(wires) if not w.cable]
    for name in sorted(cables):
        cores = " ".join(w.label for w in _by_number(cables[name]) if not w.screen)
        found.append(_Disc(_cable_od(worked, name, size), cores, True))
    laid = sorted(one.od_mm for one in found)
    same = len(laid) == len(bundle.items) and all(map(math.isclose, laid, bundle.items))
    return found if same else []


def _by_number(wires: Iterable[Wire]) -> list[Wire]:
    return sorted(wires, key=lambda wire: wire.number)


def _cable_od(worked: Worked, name: str, size: Mapping[str, WireSize]) -> float:
    """Return a cable's outside diameter as its section's bundle counts it [mm]; see `sizing.bundles`."""
    stock = stock_of(worked.job, name)
    if stock is not None:
        return stock.od_max_mm
    cable = next(one for one in worked.job.cables if one.name == name)
    cores = [size[w.identity].od_nom_mm for w in worked.routed.wires if w.cable == name and not w.screen]
    return max(cores) * (TRIO_IN_CIRCLE if cable.kind is CableKind.TRIO else 2.0)


def _words(section: str, bundle: Bundle, packed_mm: float, scale: float, high: float) -> Iterator[Mark]:
    yield Text((2.0, high - 6.5), shortened(section, WIDE_MM - 4.0, 4.0, True), 4.0, bold=True)
    how = "measured" if bundle.measured else "as laid by hand"
    line = f"{bundle.wires} wires · {bundle.as_laid_mm:.1f} mm {how} · {packed_mm:.1f} mm at the tightest"
    yield Text((2.0, high - 11.0), shortened(line, WIDE_MM - 4.0, 2.2), 2.2)
    yield Text((2.0, 5.5), f"drawn {scale:.1f} times full size; dashed: {how}; thick: a cable", 2.2)
    yield Text((2.0, 1.8), "how the wires can lie, not how they have to", 2.2)


def _disc(one: _Disc, x: float, y: float, radius: float) -> Iterator[Mark]:
    yield Circle((x, y), radius, CABLE if one.cable else FULL, WHITE)
    lines = one.name.split() if one.cable else [one.name]
    widest = max(width_mm(line, 1.0) for line in lines)
    tall = min(NUMBER_MM, 1.75 * radius / max(widest, 0.1), 1.3 * radius / (1.4 * len(lines)))
    if tall < LEAST_MM:
        return
    top = y + (len(lines) - 1) * 0.7 * tall
    for n, line in enumerate(lines):
        yield Text((x, top - n * 1.4 * tall), line, tall, "middle", "middle")
