"""Large random looms: crossings found, time taken, and how many fewer there could be at most.

    python -m benchmarks.exits_large [--looms N] [--json]

Every loom is an invented job of 60 to 100 sections: a trunk, branches, co-runs past up to two branch points,
some exits noted. Where the search proves its answer, nothing can be better. Where it does not, sets of three
and four lines that have no pair in common are settled each by itself to the end: what crosses among them
alone crosses in the whole loom too, so the sum of their fewest is a lower bound.
"""

import argparse
import json
import os
import random
import sys
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from itertools import accumulate, combinations, pairwise

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from benchmarks.exits import AXES, rope_job
from loomwright.building.exit_paths import exit_paths
from loomwright.calc.exit_order import Corridors
from loomwright.calc.exit_order_search import best_exits
from loomwright.jobfile.read import job_of_text
from loomwright.mockup.trees import trees


@dataclass(frozen=True, slots=True)
class LargeRow:
    """One loom: what was found, whether it is proved, and the crossings there must be."""

    rope: int
    sections: int
    passings: int
    crossings: int
    proved: bool
    at_least: int
    seconds: float


def large_rope(seed: int) -> str:
    """Return an invented job of 60 to 100 sections along one trunk."""
    chance = random.Random(seed)
    count, trunk, past = chance.randint(60, 100), chance.randint(10, 16), chance.randint(1, 2)
    stops = list(accumulate(chance.randint(150, 400) for _ in range(trunk + 1)))
    names = [f"P{n + 1}" for n in range(trunk)]
    reads = [[name, mm] for name, mm in zip((*names, "E0"), stops, strict=True)]
    ways = list(pairwise(("P0", *names, "E0")))
    parts: list[list[object]] = []
    ropes = []
    for n in range(count - trunk - 1):
        at = chance.randrange(trunk)
        if chance.random() < 0.5:
            last = min(trunk, at + 1 + chance.randrange(past + 1))
            mm = chance.randint(stops[last - 1] + 40, stops[last] - 40)
            parts.append([f"X{n}", mm, chance.randint(60, 200), names[at]])
        else:
            read = json.dumps([[f"X{n}", chance.randint(90, 500)]])
            ropes.append(f"[rope.b{n}]\nfrom = {json.dumps(names[at])}\nreads = {read}")
        ways.append((names[at], f"X{n}"))
    told = chance.choice((0.3, 0.6, 1.0))
    noted: dict[str, dict[str, str]] = {}
    for inner, outer in ways:
        if chance.random() < told:
            noted.setdefault(inner, {})[outer] = chance.choice(AXES)
    return rope_job(reads, parts, ropes, noted)


def at_least(task: Corridors) -> int:
    """Return a number of crossings there must be: of sets of lines that have no pair in common."""
    taken: set[tuple[int, int]] = set()
    bound = 0
    for some in _sets(task):
        pairs = set(combinations(some, 2))
        if pairs & taken:
            continue
        alone = best_exits(Corridors(task.inner, task.noted, tuple(task.lines[n] for n in some)))
        if alone.least and alone.crossings:
            bound += len(alone.crossings)
            taken |= pairs
    return bound


def _sets(task: Corridors) -> Iterator[tuple[int, ...]]:
    """Yield three and four lines, one of which passes a point, that meet it on its way."""
    for size in (2, 3):
        for line in sorted({line for line, _ in task.passing}):
            way = set(task.ways[line])
            ends = {point for passer, point in task.passing if passer == line} | set(task.lines[line])
            meets = [
                n
                for n, other in enumerate(task.ways)
                if n != line and (len(way & set(other)) > 1 or ends & set(task.lines[n]))
            ]
            for more in combinations(meets, size):
                yield tuple(sorted((line, *more)))


def large_row(seed: int) -> LargeRow:
    """Return what settling the exits of a large random loom comes to."""
    job = job_of_text(large_rope(seed)).job
    (tree,), _ = trees(job)
    start = time.perf_counter()
    paths = exit_paths(job, tree)
    seconds = time.perf_counter() - start
    found = paths.exits
    bound = len(found.crossings) if found.least else at_least(paths.task)
    return LargeRow(
        seed,
        len(tree.sections),
        len(paths.task.passing),
        len(found.crossings),
        found.least,
        bound,
        round(seconds, 3),
    )


def main(words: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.exits_large", description=__doc__.split("\n")[0]
    )
    parser.add_argument("--looms", type=int, default=100, help="random ropes")
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args(words)
    rows = [large_row(seed) for seed in range(asked.looms)]
    open_rows = [row for row in rows if not row.proved]
    summary = {
        "looms": len(rows),
        "proved": len(rows) - len(open_rows),
        "without_crossing": sum(row.crossings == 0 for row in rows),
        "crossings_proved": sum(row.crossings for row in rows if row.proved),
        "crossings_not_proved": sum(row.crossings for row in open_rows),
        "at_least_of_these": sum(row.at_least for row in open_rows),
        "worst_gap": max((row.crossings - row.at_least for row in open_rows), default=0),
        "slowest_s": max((row.seconds for row in rows), default=0.0),
    }
    if asked.json:
        print(json.dumps({"rows": [asdict(row) for row in rows], "summary": summary}))
    else:
        print("\n".join(f"{name:<22} {value}" for name, value in summary.items()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
