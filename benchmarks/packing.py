"""How tight and how fast sections are packed, beside the best known and, if installed, a general-purpose
peer.

    python -m benchmarks.packing FILE.csv [--limit S] [--refine] [--centres OUT] [--peers] [--json]

FILE has a column `n` and one of: ratio_R_over_r (n equal discs, enclosing radius over disc radius),
R_best (radii 1 to n), optimum_ratio (n equal discs). Overlap is checked here from the centres alone.
"""

import argparse
import csv
import json
import os
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import hypot
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, as the figures say

from loomwright.calc.packing import Packing, pack


@dataclass(frozen=True, slots=True)
class Case:
    name: str
    diameters: tuple[float, ...]
    best: float
    beside: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Measured:
    name: str
    discs: int
    best: float
    found: float
    gap_percent: float
    bound_percent: float
    ms: float
    overlap: float
    sticks_out: float
    peer_gap_percent: float | None
    peer_ms: float | None
    beside_gap_percent: dict[str, float]


def cases(file: Path) -> list[Case]:
    with file.open(encoding="utf-8", newline="") as text:
        lines = (line for line in text if not line.startswith("#"))
        return [_case({k: v for k, v in row.items() if k}) for row in csv.DictReader(lines)]


def _case(row: dict[str, str]) -> Case:
    count = int(row["n"])
    if row.get("R_best"):
        return Case(
            f"radii 1..{count}", tuple(2.0 * k for k in range(1, count + 1)), float(row["R_best"]), ()
        )
    ratio = float(row.get("ratio_R_over_r") or row["optimum_ratio"])
    beside = tuple(
        (name, float(row[name])) for name in ("handbook_factor", "rule_1.2sqrt_n") if row.get(name)
    )
    return Case(f"{count} equal", (2.0,) * count, ratio, beside)


def faults(packing: Packing) -> tuple[float, float]:
    """Largest overlap of a pair and largest piece outside the circle, from the centres, in the unit of the
    input.
    """
    places = list(zip(packing.centres_mm, packing.radii_mm, strict=True))
    overlap = 0.0
    for k, ((x, y), r) in enumerate(places):
        for (u, v), q in places[:k]:
            overlap = max(overlap, r + q - hypot(x - u, y - v))
    out = max(hypot(x, y) + r for (x, y), r in places) - packing.diameter_mm / 2
    return overlap, max(0.0, out)


def measure(case: Case, refine: bool, peers: bool) -> tuple[Measured, Packing]:
    begun = time.perf_counter()
    found = pack(case.diameters, refine)
    ms = (time.perf_counter() - begun) * 1000
    peer, peer_ms = _peer(case.diameters) if peers else (None, None)
    overlap, out = faults(found)
    radius = found.diameter_mm / 2
    row = Measured(
        case.name, len(case.diameters), case.best, radius, _gap(radius, case.best),
        _gap(found.lower_bound_mm / 2, case.best), ms, overlap, out,
        None if peer is None else _gap(peer, case.best), peer_ms,
        {name: _gap(value, case.best) for name, value in case.beside},
    )  # fmt: skip
    return row, found


def _gap(value: float, best: float) -> float:
    return 100 * (value / best - 1)


def _peer(diameters: Sequence[float]) -> tuple[float | None, float | None]:
    """Enclosing radius by the general-purpose package packcircles, largest first, about their common
    middle.
    """
    try:
        import packcircles
    except ModuleNotFoundError:
        return None, None
    if len(diameters) < 3:
        return None, None
    begun = time.perf_counter()
    placed = list(packcircles.pack(sorted((one / 2 for one in diameters), reverse=True)))
    ms = (time.perf_counter() - begun) * 1000
    return _around(placed), ms


def _around(placed: Sequence[tuple[float, float, float]]) -> float:
    """Radius of the smallest circle round the placed discs, by steps towards the farthest one."""
    x = y = 0.0
    for k in range(1, 20001):
        u, v, _ = max(placed, key=lambda one: hypot(one[0] - x, one[1] - y) + one[2])
        x, y = x + (u - x) / (k + 1), y + (v - y) / (k + 1)
    return max(hypot(u - x, v - y) + r for u, v, r in placed)


def _say(row: Measured) -> str:
    peer = (
        ""
        if row.peer_gap_percent is None
        else f"  packcircles {row.peer_gap_percent:+6.2f} % {row.peer_ms:.2f} ms"
    )
    beside = "".join(f"  {name} {gap:+.2f} %" for name, gap in row.beside_gap_percent.items())
    return (
        f"{row.name:>14}  found {row.found:12.6f}  best {row.best:12.6f}  gap {row.gap_percent:+6.3f} %  "
        f"bound {row.bound_percent:+7.2f} %  {row.ms:8.2f} ms  overlap {row.overlap:.1e}{peer}{beside}"
    )


def main(arguments: Sequence[str] | None = None) -> int:
    reader = argparse.ArgumentParser(prog="python -m benchmarks.packing", description=__doc__.splitlines()[0])
    reader.add_argument("file", type=Path)
    reader.add_argument(
        "--limit", type=float, default=60.0, help="stop taking new rows after so many seconds"
    )
    reader.add_argument("--refine", action="store_true", help="use the slower search")
    reader.add_argument("--centres", type=Path, help="write name,x,y,r of every disc to this file")
    reader.add_argument("--peers", action="store_true", help="also run packcircles, if installed")
    reader.add_argument("--json", action="store_true")
    asked = reader.parse_args(arguments)
    try:
        todo = cases(asked.file)
    except (OSError, KeyError, ValueError) as fault:
        print(f"{asked.file} can't be read as packing cases: {fault}", file=sys.stderr)
        return 2
    pack([1.0, 1.2, 1.4, 1.6, 1.8])  # warm
    begun, rows, centres = time.perf_counter(), [], []
    for case in todo:
        if time.perf_counter() - begun > asked.limit:
            break
        row, found = measure(case, asked.refine, asked.peers)
        rows.append(row)
        centres += [(case.name, x, y, r) for (x, y), r in zip(found.centres_mm, found.radii_mm, strict=True)]
        if not asked.json:
            print(_say(row), flush=True)
    if asked.centres:
        with asked.centres.open("w", encoding="utf-8", newline="") as out:
            csv.writer(out).writerows([("name", "x", "y", "r"), *centres])
    _finish(rows, len(todo), asked.json)
    return 0


def _finish(rows: Sequence[Measured], asked: int, as_json: bool) -> None:
    summary = {
        "rows": len(rows),
        "rows_left_out": asked - len(rows),
        "worst_gap_percent": max((row.gap_percent for row in rows), default=0.0),
        "mean_gap_percent": sum(row.gap_percent for row in rows) / max(1, len(rows)),
        "worst_overlap": max((max(row.overlap, row.sticks_out) for row in rows), default=0.0),
        "slowest_ms": max((row.ms for row in rows), default=0.0),
    }
    if as_json:
        print(json.dumps({"rows": [asdict(row) for row in rows], "summary": summary}, indent=1))
    else:
        print("  ".join(f"{name} {value:.4g}" for name, value in summary.items()))


if __name__ == "__main__":
    raise SystemExit(main())
