"""From a job and its map to the planner's numbers."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from loomwright.calc.priced_tree import ROOT, Corridor, Limits, Net, Step, Task
from loomwright.checks.worked import Worked
from loomwright.errors import RefusedEdit
from loomwright.jobfile.read_stock import Stock
from loomwright.mockup.graph import natural
from loomwright.model.corridor import CorridorMap, MapLink
from loomwright.model.job import Job
from loomwright.model.words import DeviceState
from loomwright.planning.map_lengths import link_mm, places
from loomwright.planning.map_nets import held_nets, kept_apart
from loomwright.planning.map_prices import MapPrices

FILM_TAPE_SIDES: Final = 2


@dataclass(frozen=True, slots=True)
class MapTask:
    """A map as numbers, and the names they stand for.

    Attributes:
        chart: the map
        points: names, by index
        ends: names, by index
        links: link of every corridor
        notes: what the builder should know of the map, a sentence each
    """

    chart: CorridorMap
    task: Task
    points: tuple[str, ...]
    ends: tuple[str, ...]
    links: tuple[MapLink, ...]
    notes: tuple[str, ...]


def map_ends(job: Job, chart: CorridorMap) -> tuple[str, ...]:
    """Return the connectors with wires that the map's links reach, but for the loom's datum."""
    datum = _datum(job, chart)
    named = {name for link in chart.links for name in (link.a, link.b)}
    live = {
        one.end
        for device in job.devices
        if device.state is not DeviceState.REMOVED
        for one in device.connectors
        if one.pins
    }
    return tuple(sorted((named & live) - {datum}, key=natural))


def _datum(job: Job, chart: CorridorMap) -> str:
    return next(one.datum for one in job.looms if one.name == chart.loom)


def bare_task(job: Job, chart: CorridorMap) -> MapTask:
    """Return the map as the shortest loom that joins all its ends, whatever runs in it.

    It gives the tree that circuits are joined on first, where there is no rope yet.
    Raises:
        RefusedEdit: the map names no end, or a length is missing.
    """
    ends = map_ends(job, chart)
    net = Net((ROOT, *range(len(ends))), 0.0, 1.0)
    return _task(job, chart, ends, (net,), (Step(1000.0, 1.0),), None)


def map_task(worked: Worked, chart: CorridorMap, prices: MapPrices, stock: Stock) -> MapTask:
    """Return the map with what is joined on it and what everything costs.

    Args:
        worked: the job worked out on any tree that reaches all the map's ends
        prices: what to reckon with
        stock: the shop's own prices, for the wires
    Raises:
        RefusedEdit: the map misses an end that has wires in its loom, or a length.
    """
    ends = map_ends(worked.job, chart)
    datum = _datum(worked.job, chart)
    held = held_nets(worked, chart, {name: n for n, name in enumerate(ends)} | {datum: ROOT}, stock)
    made = _task(worked.job, chart, ends, tuple(one.net for one in held), prices.sheath, prices)
    return replace(made, task=replace(made.task, apart=kept_apart(chart, held)))


def _task(
    job: Job,
    chart: CorridorMap,
    ends: tuple[str, ...],
    nets: tuple[Net, ...],
    sheath: tuple[Step, ...],
    prices: MapPrices | None,
) -> MapTask:
    loom = next(one for one in job.looms if one.name == chart.loom)
    if not ends:
        raise RefusedEdit(f"Map {chart.name} leads to no connector with wires. Add links to the ends.")
    links, notes = _open_links(chart, prices)
    names = {name for link in links for name in (link.a, link.b)}
    if loom.datum not in names:
        raise RefusedEdit(
            f"Map {chart.name} does not reach the datum {loom.datum} of loom {loom.name}. Add a link to it."
        )
    lost = next((name for name in ends if name not in names), None)
    if lost is not None:
        raise RefusedEdit(f"Map {chart.name}: no corridor that the sheath can stand leads to {lost}.")
    points = tuple(sorted(names, key=natural))
    index = {name: n for n, name in enumerate(points)}
    at, parts = places(chart), [one.name for one in chart.parts]
    corridors = tuple(
        Corridor(
            index[one.a],
            index[one.b],
            mm := link_mm(chart, one, at),
            0.0 if one.factory or prices is None else prices.tie_m.value * mm / 1000,
            one.hazard if prices is not None else 0.0,
            math.inf if one.bore_mm is None or prices is None else one.bore_mm,
            parts.index(one.needs) if one.needs and prices is not None else -1,
            0.0 if one.factory or prices is None else prices.beside_m.value * mm / 1000,
        )
        for one in links
    )
    task = Task(
        points=len(points),
        corridors=corridors,
        root=index[loom.datum],
        ends=tuple(index[name] for name in ends),
        nets=nets,
        sheath=sheath,
        root_is_end=loom.datum in job.connector and prices is not None,
        bundle_factor=job.shop.bundle_factor.value,
        more_mm=FILM_TAPE_SIDES * job.shop.film_tape_mm.value,
    )
    if prices is not None:
        task = _priced(task, job, chart, prices, index)
    return MapTask(chart, task, points, ends, links, (*notes, *_past_the_hole(job, chart, links)))


def _priced(task: Task, job: Job, chart: CorridorMap, prices: MapPrices, index: dict[str, int]) -> Task:
    """Return a task with prices and limits."""
    loom = next(one for one in job.looms if one.name == chart.loom)
    holes = {one.name: one.hole_mm for one in chart.points if one.hole_mm is not None and one.name in index}
    if loom.hole_mm is not None:
        holes.setdefault(loom.datum, loom.hole_mm)
    return replace(
        task,
        branch_money=prices.branch.value,
        breakout_money=prices.breakout.value,
        limits=Limits(chart.most_exits, chart.branch_mm, chart.end_mm),
        parts=tuple(one.price for one in chart.parts),
        bores=tuple((index[name], mm) for name, mm in sorted(holes.items())),
    )


def _open_links(chart: CorridorMap, prices: MapPrices | None) -> tuple[tuple[MapLink, ...], list[str]]:
    """Return the links that the sheath's class allows, and what is told of the others."""
    if prices is None:
        return chart.links, []
    hot = [one for one in chart.links if one.air_c is not None and one.air_c > prices.sheath_class_c]
    notes = [
        f"Link {one.a}-{one.b} is left out: its air of {one.air_c:.0f} °C is above the sheath's class of "
        f"{prices.sheath_class_c:.0f} °C."
        for one in hot
    ]
    return tuple(one for one in chart.links if one not in hot), notes


def _past_the_hole(job: Job, chart: CorridorMap, links: Iterable[MapLink]) -> list[str]:
    """Tell where the map leads from cabin to bay otherwise than through the loom's hole."""
    loom = next(one for one in job.looms if one.name == chart.loom)
    if loom.hole_mm is None:
        return []
    side = {}
    for end, one in job.connector.items():
        area = job.area.get(job.device[one.device].area)
        side[end] = area.side if area is not None else ""
    beside: dict[str, list[str]] = {}
    for link in links:
        if loom.datum not in (link.a, link.b):
            beside.setdefault(link.a, []).append(link.b)
            beside.setdefault(link.b, []).append(link.a)
    seen: set[str] = set()
    for start in sorted(beside):
        if start in seen:
            continue
        part = [start]
        seen.add(start)
        for point in part:
            new = [one for one in beside[point] if one not in seen]
            seen.update(new)
            part.extend(new)
        met = {side.get(point, "") for point in part} - {""}
        if len(met) > 1:
            names = ", ".join(sorted(part, key=natural)[:6])
            return [f"The map leads from cabin to bay past the hole at {loom.datum}: {names}."]
    return []
