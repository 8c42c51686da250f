"""What heat allows every wire, in the hottest bundle it runs through."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from loomwright.calc.ampacity import HeatLimit, heat_limit
from loomwright.library.wires import WireSize
from loomwright.model.tree import Section
from loomwright.routing.routed import Routed, section_key
from loomwright.sizing.loads import Load

LOADINGS: Final = (20.0, 40.0, 60.0, 80.0, 100.0)
Build = tuple[float, float]  # true copper in mm2 and insulation class in degrees C: all that heat goes by
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


class Heat:
    """Every wire's tightest section while sizes grow; only bundles that changed are redone."""

    def __init__(self, routed: Routed, loads: Mapping[str, Load]) -> None:
        self._section: dict[str, Section] = {
            section_key(tree.loom, s.name): s for tree in routed.trees for s in tree.sections
        }
        self._wires = {key: wires for key, wires in routed.in_section.items() if key in self._section}
        self._keys: dict[str, tuple[str, ...]] = {
            w.identity: tuple(dict.fromkeys(section_key(w.loom, step.section) for step in w.way))
            for w in routed.wires
        }
        self._load_a = {w.identity: loads[w.identity].heating_a for w in routed.wires if w.identity in loads}
        self._places: dict[str, dict[Build, Hottest]] = {}

    def hottest(self, size: Mapping[str, WireSize], changed: Iterable[str]) -> dict[str, Hottest]:
        """Return the tightest section of every wire in a bundle that changed, by identity.

        Args:
            size: chosen size of every wire
            changed: wires whose size is new since the last call
        """
        redo = sorted({key for wire in changed for key in self._keys[wire]})
        for key in redo:
            self._places[key] = self._in_section(key, size)
        found = {}
        for wire in dict.fromkeys(w.identity for key in redo for w in self._wires[key]):
            build = _build(size[wire])
            found[wire] = min((self._places[key][build] for key in self._keys[wire]), key=_amps)
        return found

    def allows(self, wire: str, size: WireSize) -> float:
        """Return what a wire could carry at another size in the bundles as they are [A]."""
        found = [math.inf]
        for key in self._keys[wire]:
            state = next(iter(self._places[key].values()))
            limit = _limit(*_build(size), state.air_c, state.wires, state.loading_percent)
            found.append(limit.amps if limit is not None else 0.0)
        return min(found)

    def _in_section(self, key: str, size: Mapping[str, WireSize]) -> dict[Build, Hottest]:
        """What every build of wire in a section may carry there."""
        section, wires = self._section[key], self._wires[key]
        counted: dict[Build, int] = {}
        for wire in wires:
            one = _build(size[wire.identity])
            counted[one] = counted.get(one, 0) + 1
        used = math.fsum(self._load_a.get(w.identity, 0.0) for w in wires)
        loading = _loading(section, counted, len(wires), used)
        limits = {one: _limit(*one, section.air_c, len(wires), loading) for one in counted}
        return {one: Hottest(key, limit, len(wires), loading, section.air_c) for one, limit in limits.items()}


def _build(size: WireSize) -> Build:
    return size.area_mm2, size.class_c


def _amps(place: Hottest) -> float:
    return place.amps


def _loading(section: Section, counted: Mapping[Build, int], wires: int, used_a: float) -> float:
    """The lowest printed loading that the bundle keeps to: used share of the whole bundle's capacity."""
    for loading in LOADINGS:
        capacity = 0.0
        for build, count in counted.items():
            limit = _limit(*build, section.air_c, wires, loading)
            capacity += count * (limit.amps if limit is not None else 0.0)
        if used_a <= capacity * loading / 100:
            return loading
    return LOADINGS[-1]
