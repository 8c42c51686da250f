"""Random trees with random exits: crossings found beside the fewest there are, and boards of the same trees.

    python -m benchmarks.exits [--trees N] [--boards N] [FILE] [--json]

FILE holds trees of one's own: a JSON list of objects {"inner": [...], "noted": [...], "lines": [[a, b], ...]}
as in `loomwright.calc.exit_order.Corridors`. The fewest are found by another way than the program's: all
orders of exits at every point and all orders of lines in every corridor, from the leaves inward, each
crossing counted where lines meet at a point.
"""

import argparse
import json
import os
import random
import sys
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from itertools import combinations, pairwise, permutations, product
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from loomwright.building.board_layout import lay_flat
from loomwright.building.board_lines import count_crossings, length_mm
from loomwright.building.board_task import Task
from loomwright.building.exits import leavings
from loomwright.calc.exit_order import Corridors
from loomwright.calc.exit_order_search import SAME_DEG, best_exits
from loomwright.jobfile.read import job_of_text
from loomwright.model.rope import Exit
from loomwright.model.tree import CoRun, Section, Tree

SMALL = 6
"""Corridors up to which everything is tried."""
AXES = ("up", "down", "left", "right", "front", "back")


@dataclass(frozen=True, slots=True)
class Row:
    tree: int
    corridors: int
    lines: int
    crossings: int
    fewest: int | None
    proved: bool
    seconds: float


JOB = job_of_text('format = 1\n[job]\ntitle = "Invented car"\n[loom.loom]\ndatum = "P0"\n').job


def random_corridors(seed: int, most: int = SMALL) -> Corridors:
    """Return an invented tree: directions noted at some exits or all, some lines that co-run."""
    chance = random.Random(seed)
    count = chance.randint(max(2, most - 3), most)
    inner = tuple(chance.randrange(max(0, n - 2), n + 1) for n in range(count))
    degrees = (-120.0, -90.0, -45.0, 0.0, 45.0, 90.0, 120.0)
    told = chance.choice((0.3, 0.7, 1.0))
    noted = tuple(chance.choice(degrees) if chance.random() < told else None for _ in range(count))
    lines = {(a, n + 1) for n, a in enumerate(inner) if chance.random() < 0.9}
    for _ in range(chance.randint(2, 5 if most <= SMALL else most // 2)):
        b = chance.randint(count // 2, count)
        lines.add((chance.randrange(0, max(1, b // 2)), b))
    return Corridors(inner, noted, tuple(sorted(lines)))


def fewest_by_trying_all(task: Corridors) -> int:
    """Return the fewest crossings, by dynamic programming over all orders in all corridors."""
    in_corridor = [
        [n for n, way in enumerate(task.ways) if any({a, b} == {p, c + 1} for a, b in pairwise(way))]
        for c, p in enumerate(task.inner)
    ]

    def below(corridor: int) -> dict[tuple[int, ...], int]:
        """Fewest crossings beyond a corridor's inner end, by the order of its lines."""
        return at_point(corridor + 1, [tuple(o) for o in permutations(in_corridor[corridor])])

    def at_point(point: int, entries: list[tuple[int, ...]]) -> dict[tuple[int, ...], int]:
        out = task.out_of[point]
        tables = [below(c) for c in out]
        around = [order for order in permutations(range(len(out))) if _noted(task, out, order)]
        found = {}
        for entry in entries:
            found[entry] = min(
                sum(tables[n][o] for n, o in enumerate(orders))
                + min(_local(task, point, [entry[::-1], *(orders[n] for n in order)]) for order in around)
                for orders in product(*tables)
            )
        return found

    return at_point(0, [()])[()]


def _noted(task: Corridors, out: tuple[int, ...], order: tuple[int, ...]) -> bool:
    told = [deg for n in order if (deg := task.noted[out[n]]) is not None]
    return all(a <= b + SAME_DEG for a, b in combinations(told, 2))


def _local(task: Corridors, point: int, mouths: list[tuple[int, ...]]) -> int:
    """Crossings at one point: chords that pass it, and spokes of what begins or ends there."""
    place: dict[int, list[int]] = {}
    for n, line in enumerate(line for mouth in mouths for line in mouth):
        place.setdefault(line, []).append(n)
    chords = [tuple(p) for line, p in sorted(place.items()) if point not in task.lines[line]]
    spokes = [p[0] for line, p in place.items() if point in task.lines[line]]
    crossed = {
        (i, j): (a < chords[j][0] < b) != (a < chords[j][1] < b)
        for i, (a, b) in enumerate(chords)
        for j in range(i + 1, len(chords))
    }
    if not spokes:
        return sum(crossed.values())
    best = 10**6
    for inside in product((True, False), repeat=len(chords)):  # the hub lies between a chord's two mouths
        cost = sum(
            (a < p < b) != within for (a, b), within in zip(chords, inside, strict=True) for p in spokes
        )
        cost += sum(
            1 if hit else 0 if _face(chords[i], chords[j], inside[i], inside[j]) else 2
            for (i, j), hit in crossed.items()
        )
        best = min(best, cost)
    return best


def _face(one: tuple[int, ...], other: tuple[int, ...], in_one: bool, in_other: bool) -> bool:
    """Whether two chords that do not cross leave a face on these sides of them."""
    (a, b), (c, d) = one, other
    if a < c and d < b:
        return in_one or not in_other
    if c < a and b < d:
        return in_other or not in_one
    return not (in_one and in_other)


def rows(tasks: list[Corridors]) -> Iterator[Row]:
    for n, task in enumerate(tasks):
        start = time.perf_counter()
        found = best_exits(task)
        seconds = time.perf_counter() - start
        fewest = fewest_by_trying_all(task) if len(task.inner) <= SMALL else None
        yield Row(
            n, len(task.inner), len(task.lines), len(found.crossings), fewest, found.least, round(seconds, 5)
        )


def board_of(task: Corridors, seed: int) -> tuple[int, float]:
    """Return crossings on a tree's board, and how far its worst section is from its length [mm]."""
    chance = random.Random(seed)
    exits, sections = [], []
    for n, point in enumerate(task.inner):
        beside = [s for s in sections if s.inner == f"P{point}"]
        mm = round(chance.uniform(60, 600), 1)
        runs: tuple[CoRun, ...] = ()
        if beside and chance.random() < 0.3:
            other = chance.choice(beside)
            runs = (CoRun(other.name, round(0.7 * min(mm, other.length_mm), 1)),)
        names = (f"P{point}", f"P{n + 1}")
        sections.append(Section("-".join(names), "loom", *names, mm, 10.0, 3.0, "invented", "", (), runs))
        if task.noted[n] is not None:
            axes = tuple(chance.sample(AXES, chance.choice((1, 1, 2))))
            exits.append(Exit(*names, axes, chance.choice(("outward", "square", "back")), ()))
    inner = {s.inner for s in sections}
    ends = tuple(sorted(s.outer for s in sections if s.outer not in inner))
    tree = Tree("loom", "P0", tuple(sections), ends, tuple(exits))
    laid = lay_flat(Task(tree, leavings(JOB, tree), {s.name: 4.0 for s in sections}))[1]
    off = max(abs(length_mm(laid.line[s.name]) - s.length_mm) for s in sections)
    return count_crossings(list(laid.line.values())), off


def read(file: Path) -> list[Corridors]:
    """Return the trees of a file."""
    return [
        Corridors(tuple(one["inner"]), tuple(one["noted"]), tuple(map(tuple, one["lines"])))
        for one in json.loads(file.read_text("utf-8"))
    ]


def main(words: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.exits", description=__doc__.split("\n")[0])
    parser.add_argument("file", nargs="?", type=Path, help="trees of one's own")
    parser.add_argument("--trees", type=int, default=1000, help="random trees")
    parser.add_argument("--boards", type=int, default=1000, help="boards of the first so many of them")
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args(words)
    tasks = read(asked.file) if asked.file else [random_corridors(seed) for seed in range(asked.trees)]
    found = list(rows(tasks))
    boards = [board_of(task, seed) for seed, task in enumerate(tasks[: asked.boards])]
    known = [row for row in found if row.fewest is not None]
    summary = {
        "trees": len(found),
        "tried_all": len(known),
        "zero_possible": sum(row.fewest == 0 for row in known),
        "zero_found": sum(row.fewest == 0 == row.crossings for row in known),
        "more_than_fewest": sum(row.crossings != row.fewest for row in known),
        "crossings": sum(row.crossings for row in found),
        "proved": sum(row.proved for row in found),
        "slowest_s": max((row.seconds for row in found), default=0.0),
        "boards": len(boards),
        "boards_with_crossings": sum(crossed > 0 for crossed, _ in boards),
        "worst_length_off_mm": max((off for _, off in boards), default=0.0),
    }
    if asked.json:
        print(json.dumps({"rows": [asdict(row) for row in found], "summary": summary}))
    else:
        print("\n".join(f"{name:<22} {value}" for name, value in summary.items()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
