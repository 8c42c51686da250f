"""From the planner's tree back to the job: what is to be built, with the reason, and what to measure."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.calc.priced_tree import Answer, Bough, boughs
from loomwright.calc.priced_tree_plan import openings
from loomwright.calc.priced_tree_ways import Ways
from loomwright.edits import Edit, Value, Verb
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.planning.known import Known
from loomwright.planning.map_from_rope import drawn_links
from loomwright.planning.map_task import MapTask
from loomwright.planning.moves_notes import Piece, moved_notes

LEAST_MM: Final = 1.0


@dataclass(frozen=True, slots=True)
class NewSection:
    """A section as it is to be built.

    Attributes:
        via: points of the map on its way
        beside: (outer point of another section of its inner point, how far the two run side by side in mm)
        corridors: indices of the links it runs through, in order
        guessed: names of those whose length nobody measured
    """

    inner: str
    outer: str
    mm: float
    via: tuple[str, ...]
    beside: tuple[tuple[str, float], ...]
    corridors: tuple[int, ...]
    guessed: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Inner and outer point."""
        return f"{self.inner}-{self.outer}"


@dataclass(frozen=True, slots=True)
class MapPlan:
    """A tree of the map as it is to be built.

    Attributes:
        edits: for the job file: [build] tables, and the air its sections lie in
        sections: of the tree
        again: sections whose length is the map's and has to be measured on the rope
        removed: parts that have to be removed
    """

    edits: tuple[Edit, ...]
    sections: tuple[NewSection, ...]
    again: tuple[str, ...]
    removed: tuple[str, ...]


def map_plan(job: Job, task: MapTask, answer: Answer, reason: str) -> MapPlan:
    """Return the edits that make a found tree the one to be built; the rope's readings stay untouched.

    Args:
        job: as it is
        answer: the planner's, on this task
        reason: why it is taken; stands in every [build] table
    """
    asked = (answer.opened, answer.closed_mm)
    every = [one.scale for one in openings(task.task)]
    scale = next((one for one in every if (one.opened, one.closed_mm) == asked), every[0])
    names = _names(job, task, answer.tree)
    loom = task.chart.loom
    edits = [Edit(Verb.REMOVE, one.path, None, reason) for one in job.built if one.loom == loom]
    rows = tuple(_sections(task, scale.ways, answer.tree, names))
    many = len(job.looms) > 1
    for row in rows:
        rough = f"; {', '.join(row.guessed)} guessed" if row.guessed else ""
        value: dict[str, Value] = {"mm": round(row.mm, 1), "reason": f"{reason}; measure on the rope{rough}"}
        if many:
            value = {"loom": loom, **value}
        value["beside"] = [[f"{row.inner}-{other}", round(mm, 1)] for other, mm in row.beside]
        edits.append(Edit(Verb.SET, ("build", f"{loom}/{row.name}" if many else row.name), value, reason))
    edits += _air(task, rows, many, reason)
    edits += _spares(job, task, scale.ways, answer.tree, names, reason)
    again = tuple(row.name for row in rows)
    return MapPlan(tuple(edits), rows, again, tuple(task.chart.parts[part].name for part in answer.opened))


def _sections(task: MapTask, ways: Ways, tree: Bough, names: dict[int, str]) -> Iterator[NewSection]:
    for inner in boughs(tree):
        along = {id(one): ways.way(inner.point, one.point) for one in inner.beyond}
        for outer in inner.beyond:
            way = along[id(outer)]
            beside = []
            for other in inner.beyond:
                until = _together_mm(ways, way, along[id(other)]) if other is not outer else 0.0
                if until >= LEAST_MM:
                    beside.append((names[id(other)], until))
            corridors = ways.corridors(inner.point, outer.point)
            guessed = [task.links[at] for at in corridors if task.links[at].guess]
            yield NewSection(
                names[id(inner)],
                names[id(outer)],
                max(LEAST_MM, float(ways.length[inner.point, outer.point])),
                tuple(task.points[point] for point in way[1:-1]),
                tuple(beside),
                corridors,
                tuple(f"{one.a}-{one.b}" for one in guessed),
            )


def notes_kept(done: Known, tree: Tree, task: MapTask, plan: MapPlan, reason: str) -> tuple[Edit, ...]:
    """Return the edits that keep what was noted along the old sections where it lies on the new ones.

    A link of a map that was drawn from the rope is known again; notes of sections where nothing runs any more
    are taken out.

    Args:
        done: the job as it is; tree: the loom's tree in it
    """
    drawn = {one.name: one for one in drawn_links(tree)}
    held: dict[str, list[Piece]] = {}
    new = {one.name: one for one in plan.sections}
    for row in plan.sections:
        at = 0.0
        for corridor, point in zip(row.corridors, (*row.via, row.outer), strict=True):
            link = task.links[corridor]
            old = drawn.get(f"{link.a}-{link.b}")
            if old is not None:
                outward = link.b == point or (point == row.outer and point not in (link.a, link.b))
                for section, start in old.on if outward else ():
                    piece = Piece(start, start + old.mm, row.name, at - start)
                    held.setdefault(section.name, []).append(piece)
            at += task.task.corridors[corridor].length_mm
    same = {
        one.name for one in tree.sections if one.name in new and abs(new[one.name].mm - one.length_mm) < 1.0
    }
    pieces = {name: tuple(some) for name, some in held.items() if name not in same}
    gone = [one for one in tree.sections if one.name not in new and one.name not in pieces]
    off = [Edit(Verb.REMOVE, one.passes.path, None, reason) for one in gone if one.passes is not None]
    return (*moved_notes(done, tree, pieces, reason), *off)


def _together_mm(ways: Ways, a: tuple[int, ...], b: tuple[int, ...]) -> float:
    last = a[0]
    for x, y in zip(a, b, strict=False):
        if x != y:
            break
        last = x
    return float(ways.length[a[0], last])


def _names(job: Job, task: MapTask, tree: Bough) -> dict[int, str]:
    """Return the name of every point of the tree: ends and datum their own, branch points their place's."""
    taken = {*task.ends, *job.connector, *job.device}
    found = {id(tree): task.points[tree.point]}
    taken.add(found[id(tree)])
    for one in boughs(tree):
        if one is tree:
            continue
        if one.end >= 0:
            found[id(one)] = task.ends[one.end]
            continue
        base = task.points[one.point].replace(".", "")
        letters = iter("abcdefghijklmnopqrstuvwxyz")
        name = base
        while name in taken:
            name = f"{base}{next(letters)}"
        taken.add(name)
        found[id(one)] = name
    return found


def _spares(
    job: Job, task: MapTask, ways: Ways, tree: Bough, names: dict[int, str], reason: str
) -> Iterator[Edit]:
    """Spare wires that end at a point of the map where no branch point stands end at the nearest one."""
    index = {name: at for at, name in enumerate(task.points)}
    there = {names[id(one)]: one.point for one in boughs(tree)}
    forks = sorted((names[id(one)], one.point) for one in boughs(tree) if one.end < 0)
    for spare in job.spares:
        for key, point in (("a", spare.a), ("b", spare.b)):
            if point in index and point not in there and point not in job.connector:
                nearest = min(forks, key=lambda one: float(ways.length[index[point], one[1]]))
                yield Edit(Verb.SET, (*spare.path, key), nearest[0], reason)


def _air(task: MapTask, rows: Iterable[NewSection], many: bool, reason: str) -> Iterator[Edit]:
    """The air a section lies in where the map tells it: the hottest on its way."""
    for row in rows:
        told = [air for at in row.corridors if (air := task.links[at].air_c) is not None]
        if told:
            key = f"{task.chart.loom}/{row.name}" if many else row.name
            yield Edit(Verb.SET, ("passes", key, "air_c"), max(told), reason)
