"""What heat allows every wire, in the hottest bundle it runs through."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from loomwright.calc.ampacity import HeatLimit, heat_limit
from loomwright.library.wires import WireSize
from loomwright.model.tree import Section
from loomwright.routing.routed import Routed, Wire, section_key
from loomwright.sizing.loads import Load

LOADINGS: Final = (20.0, 40.0, 60.0, 80.0, 100.0)
NO_RISE: Final = 1.0  # kelvin; hotter air than the class less this leaves nothing to carry


@dataclass(frozen=True, slots=True)
class Hottest:
    """A wire's tightest place: the section, what it may carry there, and the bundle's state."""

    section: str
    limit: HeatLimit | None
    wires: int
    loading_percent: float
    air_c: float

    @property
    def amps(self) -> float:
        """The limit [A]; 0 where the air is as hot as the insulation's class."""
        return self.limit.amps if self.limit is not None else 0.0


@lru_cache(maxsize=65536)
def _limit(area_mm2: float, class_c: float, air_c: float, wires: int, loading: float) -> HeatLimit | None:
    return heat_limit(area_mm2, class_c, air_c, wires, loading) if air_c <= class_c - NO_RISE else None


def hottest_places(
    routed: Routed, sizes: Mapping[str, WireSize], loads: Mapping[str, Load]
) -> dict[str, Hottest]:
    """Return every wire's tightest section by identity.

    Args:
        sizes: chosen size of every wire
        loads: load of every wire
    """
    found: dict[str, Hottest] = {}
    for tree in routed.trees:
        for section in tree.sections:
            wires = routed.in_section.get(section_key(tree.loom, section.name), ())
            for identity, place in _in_section(tree.loom, section, wires, sizes, loads):
                if identity not in found or place.amps < found[identity].amps:
                    found[identity] = place
    return found


def _in_section(
    loom: str,
    section: Section,
    wires: tuple[Wire, ...],
    sizes: Mapping[str, WireSize],
    loads: Mapping[str, Load],
) -> Iterable[tuple[str, Hottest]]:
    if not wires:
        return
    loading = _loading(section, wires, sizes, loads)
    key = section_key(loom, section.name)
    for wire in wires:
        size = sizes[wire.identity]
        limit = _limit(size.area_mm2, size.class_c, section.air_c, len(wires), loading)
        yield wire.identity, Hottest(key, limit, len(wires), loading, section.air_c)


def _loading(
    section: Section, wires: tuple[Wire, ...], sizes: Mapping[str, WireSize], loads: Mapping[str, Load]
) -> float:
    """The lowest printed loading that the bundle keeps to: used share of the whole bundle's capacity."""
    used = math.fsum(loads[w.identity].heating_a for w in wires if w.identity in loads)
    for loading in LOADINGS:
        capacity = math.fsum(_capacity(section, wires, sizes, loading))
        if used <= capacity * loading / 100:
            return loading
    return LOADINGS[-1]


def _capacity(
    section: Section, wires: tuple[Wire, ...], sizes: Mapping[str, WireSize], loading: float
) -> Iterable[float]:
    for wire in wires:
        size = sizes[wire.identity]
        limit = _limit(size.area_mm2, size.class_c, section.air_c, len(wires), loading)
        yield limit.amps if limit is not None else 0.0
