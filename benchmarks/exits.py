"""Random trees with random exits: crossings found beside the fewest there are, and looms with their boards.

    python -m benchmarks.exits [--trees N] [--corridors N] [--looms N] [FILE] [--json]

Trees are corridors and lines as the kernel takes them. Looms are invented jobs: tapes with co-runs, some past
branch points, branches and exits, read as any job is; exits, order side by side and the board come from the
same tree, so that what crosses is counted on the loom and on its board.

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
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from itertools import accumulate, combinations, pairwise, permutations, product
from pathlib import Path
from typing import Final

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from loomwright.building.board_layout import lay_flat
from loomwright.building.board_lines import count_crossings, length_mm
from loomwright.building.board_task import Task
from loomwright.building.exit_paths import exit_paths, loom_exits
from loomwright.calc.exit_order import Corridors
from loomwright.calc.exit_order_search import SAME_DEG, best_exits
from loomwright.jobfile.read import job_of_text
from loomwright.mockup.trees import trees

SMALL: Final = 6
"""Corridors up to which everything is tried; on looms, where fewer lines share a corridor, more."""
SMALL_LOOM: Final = 10
AXES: Final = ("up", "down", "left", "right", "left", "right", "front")


@dataclass(frozen=True, slots=True)
class Row:
    tree: int
    corridors: int
    lines: int
    crossings: int
    fewest: int | None
    proved: bool
    seconds: float


@dataclass(frozen=True, slots=True)
class LoomRow:
    """A random rope: what crosses on its loom, the fewest there are where all are tried, and its board."""

    rope: int
    sections: int
    passings: int
    crossings: int
    fewest: int | None
    board_crossings: int
    board_off_mm: float


HEAD: Final = 'format = 1\n[job]\ntitle = "Invented car"\n[loom.loom]\ndatum = "P0"'


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


def random_rope(seed: int) -> str:
    """Return an invented job: a trunk with co-runs, some past branch points, branches, some exits noted."""
    chance = random.Random(seed)
    stops = list(accumulate(chance.randint(150, 400) for _ in range(chance.randint(3, 4))))
    names = [f"P{n + 1}" for n in range(len(stops) - 1)]
    reads = [[name, mm] for name, mm in zip((*names, "E0"), stops, strict=True)]
    noted: dict[str, dict[str, str]] = {}
    ways = list(pairwise(("P0", *names, "E0")))
    parts, ropes = [], []
    for n in range(chance.randint(2, 5)):
        some = sorted(chance.randrange(len(names)) for _ in range(2))
        beside = chance.random() < 0.5
        at = some[0] if beside else some[1]
        if beside:  # perhaps past a branch point
            mm = chance.randint(stops[at] + 60, stops[-1] - 40)
            parts.append([f"X{n}", mm, chance.randint(60, 200), names[at]])
        else:
            reads_there = json.dumps([[f"X{n}", chance.randint(90, 500)]])
            ropes.append(f"[rope.b{n}]\nfrom = {json.dumps(names[at])}\nreads = {reads_there}")
        ways.append((names[at], f"X{n}"))
    told = chance.choice((0.5, 1.0))
    for inner, outer in ways:
        if chance.random() < told:
            noted.setdefault(inner, {})[outer] = " ".join(chance.sample(AXES, 1))
    return rope_job(reads, parts, ropes, noted)


def rope_job(
    reads: list[list[object]],
    parts: list[list[object]],
    ropes: list[str],
    noted: Mapping[str, Mapping[str, str]],
) -> str:
    """Return the text of an invented job with a trunk of tape.

    Args:
        reads, parts: rows of the trunk's tape
        ropes: tables of the other tapes
        noted: exits in car axes, by inner and outer point
    """
    exits = [
        f"[exit.{inner}]\n" + "\n".join(f"{outer} = {json.dumps(axes)}" for outer, axes in some.items())
        for inner, some in noted.items()
    ]
    trunk = f'[rope.trunk]\nfrom = "P0"\nreads = {json.dumps(reads)}\nparts = {json.dumps(parts)}'
    return "\n".join((HEAD, trunk, *ropes, *exits, ""))


def loom_row(seed: int) -> LoomRow:
    """Return what a random rope's exits and its board come to."""
    job = job_of_text(random_rope(seed)).job
    (tree,), _ = trees(job)
    paths, exits = exit_paths(job, tree), loom_exits(job, tree)
    small = len(paths.task.inner) <= SMALL_LOOM
    laid = lay_flat(Task(tree, exits.leaving, {s.name: 4.0 for s in tree.sections}))[1]
    return LoomRow(
        seed,
        len(tree.sections),
        len(paths.task.passing),
        len(exits.crossings),
        fewest_by_trying_all(paths.task) if small else None,
        count_crossings(list(laid.line.values())),
        max(abs(length_mm(laid.line[s.name]) - s.length_mm) for s in tree.sections),
    )


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
    parser.add_argument("--corridors", type=int, default=SMALL, help="of a random tree, at most")
    parser.add_argument("--looms", type=int, default=1000, help="random ropes with their boards")
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args(words)
    tasks = (
        read(asked.file)
        if asked.file
        else [random_corridors(seed, asked.corridors) for seed in range(asked.trees)]
    )
    found = list(rows(tasks))
    looms = [loom_row(seed) for seed in range(asked.looms)]
    tried = [row for row in looms if row.fewest is not None]
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
        "looms": len(looms),
        "looms_tried_all": len(tried),
        "looms_zero_possible": sum(row.fewest == 0 for row in tried),
        "looms_crossings": sum(row.crossings for row in looms),
        "looms_more_than_fewest": sum(row.crossings != row.fewest for row in tried),
        "looms_with_passings": sum(row.passings > 0 for row in looms),
        "boards_with_crossings": sum(row.board_crossings > 0 for row in looms),
        "worst_length_off_mm": max((row.board_off_mm for row in looms), default=0.0),
    }
    if asked.json:
        print(
            json.dumps(
                {
                    "rows": [asdict(row) for row in found],
                    "looms": [asdict(row) for row in looms],
                    "summary": summary,
                }
            )
        )
    else:
        print("\n".join(f"{name:<22} {value}" for name, value in summary.items()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
