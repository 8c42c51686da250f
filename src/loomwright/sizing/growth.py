"""The one place that iterates: size, heat and drop, until nothing has to grow.

Sizes only grow, and every family ends, so it ends too.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from loomwright.calc.ampacity import conductor_temperature_c
from loomwright.calc.conductors import resistance_factor
from loomwright.calc.drop import drop_v
from loomwright.library.wires import WireSize
from loomwright.model.job import Job
from loomwright.routing.routed import Routed
from loomwright.sizing.choices import Choice
from loomwright.sizing.drops import Path, Ways, paths
from loomwright.sizing.heat import Heat, Hottest
from loomwright.sizing.loads import NOTHING, Load

KEPT: Final = "sizes only grow; one smaller would do by now"
INTERMITTENT_V: Final = 1.0  # AC 43.13-1B Table 11-6, 14 V intermittent


@dataclass(frozen=True)
class Grown:
    """Where the sizes came to rest.

    Attributes:
        size: chosen size of every wire
        hottest: its tightest place
        own_drop_v, conductor_c: of every wire
        worst_path: the path with the largest drop through a wire, where it is on one
        why: what forbids the next smaller size, "heat" or "drop"; KEPT = nothing any more; absent = there is
            no smaller one
        rounds: how often everything was worked out
    """

    size: dict[str, WireSize]
    hottest: dict[str, Hottest]
    own_drop_v: dict[str, float]
    conductor_c: dict[str, float]
    worst_path: dict[str, Path]
    why: dict[str, str]
    rounds: int


def grow(
    job: Job,
    routed: Routed,
    choices: Mapping[str, Choice],
    loads: Mapping[str, Load],
    ways: Ways,
    on_amps: Mapping[str, float],
) -> Grown:
    """Return the smallest sizes that heat and drop allow.

    Args:
        choices: allowed sizes of every wire
        loads: load of every wire
        ways: where every pin's current comes from and goes
        on_amps: on-current of every pin [A]
    """
    step = {wire: choice.start for wire, choice in choices.items()}
    path_mm = {w.identity: w.path_mm for w in routed.wires}
    bundles, trips = Heat(routed, loads), ways.trips(on_amps)
    size: dict[str, WireSize] = {}
    hottest: dict[str, Hottest] = {}
    heat: dict[str, float] = {}
    drop: dict[str, float] = {}
    worst: dict[str, Path] = {}
    rounds, changed = 0, tuple(choices)
    while changed or not rounds:
        rounds += 1
        size.update((wire, choices[wire].sizes[step[wire]]) for wire in changed)
        fresh = bundles.hottest(size, changed)
        hottest.update(fresh)
        touched = dict.fromkeys((*changed, *fresh))
        for wire in touched:
            load = loads.get(wire, NOTHING)
            heat[wire] = _conductor_c(load, hottest.get(wire), size[wire])
            drop[wire] = _own_drop(path_mm[wire], load, size[wire], heat[wire])
        worst = _worst_paths(paths(trips, drop))
        asked = (*_too_hot(touched, hottest, loads), *_too_long(job, worst, drop, step, choices))
        changed = tuple(w for w in dict.fromkeys(asked) if _can_grow(choices[w], step[w]))
        step.update((wire, step[wire] + 1) for wire in changed)
    smaller = {wire: choices[wire].sizes[at - 1] for wire, at in step.items() if at}
    why = dict.fromkeys(smaller, KEPT)
    why.update(_would_lose_too_much(job, worst, drop, size, smaller))
    why.update(
        (w, "heat") for w in smaller if loads.get(w, NOTHING).heating_a > bundles.allows(w, smaller[w])
    )
    return Grown(size, hottest, drop, heat, worst, why, rounds)


def _can_grow(choice: Choice, at: int) -> bool:
    return not choice.fixed and at + 1 < len(choice.sizes)


def _conductor_c(load: Load, place: Hottest | None, size: WireSize) -> float:
    if place is None:
        return 20.0
    if place.amps <= 0:
        return place.air_c
    return conductor_temperature_c(load.heating_a, place.amps, size.class_c, place.air_c)


def _own_drop(path_mm: float, load: Load, size: WireSize, conductor_c: float) -> float:
    hot = resistance_factor(min(conductor_c, size.class_c))
    return drop_v(load.drop_a, size.ohm_per_m_20c_max * hot, path_mm)


def _worst_paths(paths: Iterable[Path]) -> dict[str, Path]:
    worst: dict[str, Path] = {}
    for path in paths:
        for wire in path.wires:
            if wire not in worst or path.drop_v > worst[wire].drop_v:
                worst[wire] = path
    return worst


def _too_hot(
    wires: Iterable[str], hottest: Mapping[str, Hottest], loads: Mapping[str, Load]
) -> Iterator[str]:
    for wire in wires:
        place = hottest.get(wire)
        if place is not None and 0 < place.amps < loads.get(wire, NOTHING).heating_a:
            yield wire


def _too_long(
    job: Job,
    worst: Mapping[str, Path],
    drop: Mapping[str, float],
    step: Mapping[str, int],
    choices: Mapping[str, Choice],
) -> Iterator[str]:
    """On every path that loses too much, the wire that loses most and can still grow."""
    for path in sorted({p.pin: p for p in worst.values()}.values(), key=lambda p: p.pin):
        if path.drop_v > limit_v(job, path.pin):
            able = [w for w in path.wires if _can_grow(choices[w], step[w])]
            if able:
                yield max(able, key=lambda w: (drop[w], w))


def _would_lose_too_much(
    job: Job,
    worst: Mapping[str, Path],
    drop: Mapping[str, float],
    size: Mapping[str, WireSize],
    smaller: Mapping[str, WireSize],
) -> Iterator[tuple[str, str]]:
    """The wires whose worst path would lose too much if they were one size smaller."""
    for wire in (w for w in smaller if w in worst):
        ratio = smaller[wire].ohm_per_m_20c_max / size[wire].ohm_per_m_20c_max
        lost = worst[wire].drop_v + drop[wire] * (ratio - 1)
        if lost > limit_v(job, worst[wire].pin):
            yield wire, "drop"


def limit_v(job: Job, pin_id: str) -> float:
    """Return what the load at a pin may lose on feed and return together [V]."""
    limit = job.shop.drop_limit_v.value
    return max(limit, INTERMITTENT_V) if job.circuit[job.pin[pin_id].circuit].intermittent else limit
