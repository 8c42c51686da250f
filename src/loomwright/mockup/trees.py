"""One tree per loom: from the measured rope, the sections to be built and what each passes."""

from typing import Final

from loomwright.findings import Finding, Severity
from loomwright.library.tables import nearest
from loomwright.mockup.exits import in_car_axes
from loomwright.mockup.graph import best_of_pairs, grow, natural
from loomwright.mockup.tape import Measured, Taped, Together, fault, taped
from loomwright.mockup.unknown import unknown_sections
from loomwright.model.job import Job, Loom
from loomwright.model.rope import BuiltSection, Passes
from loomwright.model.tree import CoRun, Section, Tree
from loomwright.model.words import DeviceState
from loomwright.sources import OURS, Figure

AIR_C: Final = Figure(20.0, OURS)
"""Air where nothing says how warm it is [degrees C]."""
LOOM_SIGN: Final = "/"  # "engine/B1-B2": the section of that loom


def trees(job: Job) -> tuple[tuple[Tree, ...], tuple[Finding, ...]]:
    """Return one tree per loom, in the order of the job, and what is wrong with the rope.

    Whatever is sound stands in the trees, also where a finding says that something else is not.
    """
    found, findings = [], []
    for loom in job.looms:
        tree, faults = _tree(job, loom)
        found.append(tree)
        findings += faults
    result = tuple(found)
    findings += _never_measured(job, result)
    findings += unknown_sections(job, result)
    return result, tuple(findings)


def _tree(job: Job, loom: Loom) -> tuple[Tree, list[Finding]]:
    tapes = [taped(run, job) for run in job.runs if run.loom == loom.name]
    findings = [one for tape in tapes for one in tape.findings]
    measured, disagreeing = best_of_pairs(one for tape in tapes for one in tape.lengths)
    built = _built(job, loom.name, measured)
    grown = grow(loom.datum, measured, built, job.connector, loom.name)
    findings += (*disagreeing, *grown.findings)
    names = tuple((inner, outer) for inner, outer, _ in grown.steps)
    stated = tuple(one for one in job.built if one.loom == loom.name and one.beside is not None)
    beside = _beside(_together(tapes, stated), grown.steps)
    sections = tuple(_section(job, loom, step, beside) for step in grown.steps)
    points = {loom.datum, *(outer for _, outer in names)}
    exits = tuple(one for one in job.exits if one.point in points and one.to in points)
    tree = Tree(
        loom=loom.name,
        datum=loom.datum,
        sections=sections,
        ends=tuple(sorted((point for point in points if point in job.connector), key=natural)),
        exits=in_car_axes(exits, loom.datum, names, _first_ways(job, loom, sections)),
    )
    findings += _no_device(job, tree)
    return tree, findings


def _first_ways(job: Job, loom: Loom, sections: tuple[Section, ...]) -> dict[str, str]:
    """Return, by outer point, the way outward of what leaves the datum: front, into the cabin back."""
    found = {}
    for one in sections:
        if one.inner == loom.datum:
            area = job.area.get(one.area) or job.area.get(loom.area)
            found[one.outer] = "back" if area is not None and area.side == "cabin" else "front"
    return found


def _built(job: Job, loom: str, measured: tuple[Measured, ...]) -> tuple[Measured, ...]:
    """Return the [build] lengths; doubt they don't give comes from the rope, else from the shop."""
    rope = {one.pair: one for one in measured}
    found: dict[tuple[str, str], Measured] = {}
    for one in job.built:
        if one.loom != loom:
            continue
        pair = (one.inner, one.outer) if one.inner < one.outer else (one.outer, one.inner)
        known = rope.get(pair)
        own = one.give_mm if one.give_mm is not None else (known.own_mm if known else job.shop.give_mm.value)
        common = known.common_mm if known else job.shop.stretch_per_m_mm.value * one.mm / 1000
        origin = f"build: {one.mm:g}{f', {one.reason}' if one.reason else ''}"
        found[pair] = Measured(
            one.inner,
            one.outer,
            one.mm,
            own,
            common,
            origin,
            "build",
            one.path,
            built=True,
            reason=one.reason,
        )
    return tuple(found.values())


def _together(tapes: list[Taped], stated: tuple[BuiltSection, ...]) -> list[Together]:
    """Return what runs side by side: as the [build] tables say it; where they don't, as on the rope."""
    told = {(one.inner, one.outer) for one in stated}
    found = [
        one for tape in tapes for one in tape.together if not {(one.start, one.a), (one.start, one.b)} & told
    ]
    for one in stated:
        for name, mm in one.beside or ():
            found.append(Together(one.inner, one.outer, name.removeprefix(f"{one.inner}-"), mm))
    return found


def _beside(
    together: list[Together], steps: tuple[tuple[str, str, Measured], ...]
) -> dict[tuple[str, str], tuple[CoRun, ...]]:
    """Return the co-runs of every section of the tree that leaves its inner point together with another."""
    lengths = {(inner, outer): one.mm for inner, outer, one in steps}
    found: dict[tuple[str, str], dict[str, float]] = {}
    for one in together:
        first, second = (one.start, one.a), (one.start, one.b)
        if first in lengths and second in lengths:
            until = min(one.until_mm, lengths[first], lengths[second])
            found.setdefault(first, {})[f"{one.start}-{one.b}"] = until
            found.setdefault(second, {})[f"{one.start}-{one.a}"] = until
    return {
        key: tuple(CoRun(name, items[name]) for name in sorted(items, key=natural))
        for key, items in found.items()
    }


def _section(
    job: Job, loom: Loom, step: tuple[str, str, Measured], beside: dict[tuple[str, str], tuple[CoRun, ...]]
) -> Section:
    inner, outer, one = step
    name = f"{inner}-{outer}"
    passes = passes_for(job, loom.name, name)
    area = _area(job, loom, outer, passes)
    air = passes.air_c if passes and passes.air_c is not None else None
    if air is None:
        air = job.area[area].air_c if area in job.area else AIR_C.value
    return Section(
        name=name,
        loom=loom.name,
        inner=inner,
        outer=outer,
        length_mm=one.mm,
        own_mm=one.own_mm,
        common_mm=one.common_mm,
        origin=one.origin,
        tape=one.tape,
        path=one.path,
        co_runs=beside.get((inner, outer), ()),
        area=area,
        air_c=air,
        readings=one.readings,
        passes=passes,
    )


def passes_for(job: Job, loom: str, section: str) -> Passes | None:
    """Return what a section passes: its table by name, "loom/section" before "section"."""
    exact = f"{loom}{LOOM_SIGN}{section}"
    plain = next((one for one in job.passes if one.section == section), None)
    return next((one for one in job.passes if one.section == exact), plain)


def _area(job: Job, loom: Loom, outer: str, passes: Passes | None) -> str:
    """Return a section's area: as noted, else for a breakout its device's, else the loom's."""
    if passes and passes.area:
        return passes.area
    connector = job.connector.get(outer)
    device = job.device.get(connector.device) if connector else None
    return (device.area if device else "") or loom.area


def _no_device(job: Job, tree: Tree) -> list[Finding]:
    """Return a finding for every point where the rope ends at no device."""
    spare = {point for one in job.spares for point in (one.a, one.b)}
    found = []
    for section in tree.sections:
        point = section.outer
        if point in tree.out_of or point in job.connector or point in spare:
            continue
        own = [end for end, one in job.connector.items() if one.device == point]
        like = own or nearest(point, job.connector)
        remedy = f"Did you mean {' or '.join(like)}?" if like else "Add the device."
        if own:
            remedy = f"{point} has several connectors: name {' or '.join(own)}."
        should = "A rope ends at a connector; a branch point goes on."
        what = f"The rope ends at {point}, which is no device."
        found.append(
            fault(
                "ROPE-05",
                section.path,
                point,
                what,
                should,
                remedy,
                Severity.CAUTION,
                leaves_out=(point, *like),
                misses=(point,),
            )
        )
    return found


def _never_measured(job: Job, found: tuple[Tree, ...]) -> list[Finding]:
    """Return a finding for every connector with pins that no rope reaches."""
    reached = {end for tree in found for end in tree.ends}
    findings = []
    for device in job.devices:
        if device.state is DeviceState.REMOVED:
            continue
        for one in device.connectors:
            if one.pins and one.end not in reached:
                wires = f"{len(one.pins)} wire{'s' if len(one.pins) > 1 else ''}"
                it = "they" if len(one.pins) > 1 else "it"
                what = f"{one.end} has {wires} and no rope leads to it, so {it} can't be laid."
                across = [f"{pin.circuit} across" for pin in one.pins] if one.mates else []
                remedy = f'Measure it: a reading ["{one.end}", mm, "wire exit"] on a tape.'
                findings.append(
                    fault(
                        "ROPE-03",
                        one.path,
                        one.end,
                        what,
                        "Every connector has a length.",
                        remedy,
                        leaves_out=(one.end, *across),
                        misses=(one.end,),
                    )
                )
    return findings
