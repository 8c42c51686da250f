"""How near the planner's answer after two seconds comes to the proved best tree of a bay.

    python -m benchmarks.planner [BAYS.json] [--limit 2] [--small 20] [--large 10] [--json]

Small bays (to 14 ends) are solved to proof with the full price model; of larger ones (24 to 40 ends) the gap
to the lower bound is told. A file holds bays of your own: a list of {"ends": 12, "seed": 3}.
"""

import argparse
import json
import math
import statistics
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from benchmarks.planner_bays import bay
from loomwright.calc.priced_tree import Answer
from loomwright.calc.priced_tree_plan import plan_tree, plans

SMALL = (8, 9, 10, 10, 11, 11, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 14, 14, 14)
LARGE = (24, 26, 28, 30, 32, 34, 36, 38, 40, 40)
MOST_PROVED = 14


@dataclass(frozen=True)
class Row:
    """One bay."""

    ends: int
    seed: int
    money: float
    first_s: float
    whole_s: float
    best: float
    proved: bool
    proof_s: float
    gap_pct: float
    bound_gap_pct: float
    branch_points: int


def measured(ends: int, seed: int, limit_s: float) -> Row:
    """Plan one bay twice: within the limit, and to the end."""
    task = bay(ends, seed)
    started = time.perf_counter()
    first_s, answer = _within(limit_s, ends, seed)
    whole_s = time.perf_counter() - started
    started = time.perf_counter()
    whole = plan_tree(task, math.inf, seed) if ends <= MOST_PROVED else answer
    proof_s = time.perf_counter() - started if ends <= MOST_PROVED else 0.0
    best = min(whole.worth.money, answer.worth.money)
    bound = whole.lower_bound if ends <= MOST_PROVED else answer.lower_bound
    return Row(
        ends,
        seed,
        answer.worth.money,
        first_s,
        whole_s,
        best,
        whole.proved,
        proof_s,
        100 * (answer.worth.money / best - 1),
        100 * (1 - bound / answer.worth.money),
        answer.worth.branch_points,
    )


def _within(limit_s: float, ends: int, seed: int) -> tuple[float, Answer]:
    """Return when the last better tree came, and the answer."""
    last, answer = 0.0, None
    for one in plans(bay(ends, seed), limit_s, seed):
        if answer is None or one.worth.charged < answer.worth.charged - 1e-9:
            last = one.seconds
        answer = one
    if answer is None:
        raise SystemExit("no answer within the limit; give more time")
    return last, answer


def cases(file: Path | None, small: int, large: int) -> list[tuple[int, int]]:
    """Return (ends, seed) of every bay."""
    if file is not None:
        try:
            return [(int(one["ends"]), int(one["seed"])) for one in json.loads(file.read_text("utf-8"))]
        except (OSError, ValueError, TypeError, KeyError) as no:
            raise SystemExit(f'{file}: {no}. It holds a list of {{"ends": 12, "seed": 3}}.') from None
    found = [(SMALL[n % len(SMALL)], n) for n in range(small)]
    return found + [(LARGE[n % len(LARGE)], 100 + n) for n in range(large)]


def summary(rows: list[Row]) -> dict[str, float]:
    """Return what the rows come to."""
    small = [one.gap_pct for one in rows if one.ends <= MOST_PROVED]
    large = [one.bound_gap_pct for one in rows if one.ends > MOST_PROVED]
    found: dict[str, float] = {"bays": len(rows)}
    if small:
        found |= {
            "proved": sum(one.proved for one in rows if one.ends <= MOST_PROVED),
            "median_gap_pct": round(statistics.median(small), 3),
            "worst_gap_pct": round(max(small), 3),
            "longest_proof_s": round(max(one.proof_s for one in rows), 1),
        }
    if large:
        found |= {
            "median_bound_gap_pct": round(statistics.median(large), 2),
            "worst_bound_gap_pct": round(max(large), 2),
            "longest_whole_s": round(max(one.whole_s for one in rows if one.ends > MOST_PROVED), 2),
        }
    return found


def main(words: list[str]) -> int:
    """Run the bays and print a row each, then the summary."""
    parser = argparse.ArgumentParser(prog="benchmarks.planner", description=__doc__.splitlines()[0])
    parser.add_argument("file", nargs="?", type=Path)
    parser.add_argument("--limit", type=float, default=2.0)
    parser.add_argument("--small", type=int, default=20)
    parser.add_argument("--large", type=int, default=10)
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args(words)
    rows = []
    if not asked.json:
        print(
            "ends seed    money  last better s  whole s  best or proved  proof s   gap %  to bound %  branch "
            "points"
        )
    for ends, seed in cases(asked.file, asked.small, asked.large):
        one = measured(ends, seed, asked.limit)
        rows.append(one)
        if not asked.json:
            word = "proved" if one.proved else "bound"
            print(
                f"{ends:>4} {seed:>4} {one.money:>8.2f} {one.first_s:>14.2f} {one.whole_s:>8.2f} "
                f"{one.best:>8.2f} {word:<6} {one.proof_s:>8.1f} {one.gap_pct:>7.3f} "
                f"{one.bound_gap_pct:>11.2f} {one.branch_points:>14}",
                flush=True,
            )
    if asked.json:
        print(json.dumps({"rows": [vars(one) for one in rows], "summary": summary(rows)}, indent=1))
    else:
        print("; ".join(f"{name} {value:g}" for name, value in summary(rows).items()))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
