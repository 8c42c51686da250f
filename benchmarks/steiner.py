"""How good and how fast Steiner trees are found, beside proven optima and, if asked, general-purpose peers.

    python -m benchmarks.steiner DIR [--limit S] [--only TEXT] [--peers] [--json]

DIR has `optima.csv` (group, instance, nodes, edges, terminals, optimum) and GROUP/INSTANCE.stp in the STP
text format. Every tree is checked here to be a tree that holds all terminals, and its cost is summed again.

Groups named WRP (wires with a dear contact at each end) are also scored on their length part, the cost less
the fixed part. The fixed part is read from the net: contact edges are those that cost at least a thousand
times the cheapest; each costs F plus its length, F being the largest power of ten below all of them; a tree
that joins t terminals needs at least as many contacts as its own contact edges tell, so the fixed part is
F times the number that the optimum holds, optimum // F.
"""

import argparse
import csv
import json
import math
import os
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, as the figures say

from loomwright.calc.priced_tree_plan import plan_tree, steiner_task

Edge = tuple[int, int, float]


@dataclass(frozen=True, slots=True)
class Case:
    group: str
    name: str
    nodes: int
    edges: tuple[Edge, ...]
    terminals: tuple[int, ...]
    optimum: float


@dataclass(frozen=True, slots=True)
class Measured:
    group: str
    name: str
    nodes: int
    terminals: int
    cost: float
    optimum: float
    gap_percent: float
    bound_gap_percent: float
    proved: bool
    seconds: float
    cpu_seconds: float
    peer_gap_percent: dict[str, float] = field(default_factory=dict)
    peer_seconds: dict[str, float] = field(default_factory=dict)


def read_stp(file: Path) -> tuple[int, tuple[Edge, ...], tuple[int, ...]]:
    """Return nodes, edges and terminals of an STP file, nodes counted from 0."""
    nodes, edges, terminals = 0, [], []
    for line in file.read_text(encoding="utf-8", errors="replace").splitlines():
        word = line.split()
        if not word:
            continue
        match word[0].upper():
            case "NODES" if len(word) == 2:
                nodes = int(word[1])
            case "E" | "A" if len(word) >= 4:
                edges.append((int(word[1]) - 1, int(word[2]) - 1, float(word[3])))
            case "T" if len(word) == 2:
                terminals.append(int(word[1]) - 1)
    return nodes, tuple(edges), tuple(terminals)


def cases(folder: Path, only: str) -> list[Case]:
    with (folder / "optima.csv").open(encoding="utf-8", newline="") as text:
        rows = [row for row in csv.DictReader(text) if only in f"{row['group']}/{row['instance']}"]
    found = []
    for row in rows:
        stp = read_stp(folder / row["group"] / f"{row['instance']}.stp")
        found.append(Case(row["group"], row["instance"], *stp, float(row["optimum"])))
    return found


def fixed_part(case: Case) -> float:
    """Return the part of a WRP optimum that its contacts cost, 0 for other groups."""
    if not case.group.startswith("WRP"):
        return 0.0
    dear = [c for _, _, c in case.edges if c >= 1000 * min(cost for _, _, cost in case.edges)]
    contact = 10.0 ** math.floor(math.log10(min(dear)))
    return case.optimum // contact * contact


def fault(case: Case, edges: Sequence[int], cost: float) -> str:
    """Return what is wrong with a tree, empty if nothing is."""
    parent = list(range(case.nodes))

    def root(v: int) -> int:
        while parent[v] != v:
            parent[v] = parent[parent[v]]
            v = parent[v]
        return v

    for e in edges:
        x, y = root(case.edges[e][0]), root(case.edges[e][1])
        if x == y:
            return "has a circle"
        parent[x] = y
    if len({root(t) for t in case.terminals}) > 1:
        return "misses a terminal"
    again = math.fsum(case.edges[e][2] for e in edges)
    return "" if abs(again - cost) <= 1e-6 * max(1.0, again) else f"costs {again}, not {cost}"


def gap(cost: float, optimum: float, fixed: float) -> float:
    return 100 * (cost - optimum) / (optimum - fixed)


def measured(case: Case, limit_s: float, peers: bool) -> Measured:
    started, cpu = time.perf_counter(), time.process_time()
    found = plan_tree(steiner_task(case.nodes, case.edges, case.terminals), limit_s)
    cost = found.worth.money
    seconds, cpu = time.perf_counter() - started, time.process_time() - cpu
    if wrong := fault(case, found.corridors, cost):
        raise SystemExit(f"{case.name}: the tree {wrong}")
    if found.lower_bound > case.optimum * (1 + 1e-9) or (found.proved and cost > case.optimum + 1e-6):
        raise SystemExit(f"{case.name}: bound {found.lower_bound} is above the optimum {case.optimum}")
    fixed = fixed_part(case)
    gaps, times = peers_of(case, fixed) if peers else ({}, {})
    return Measured(
        case.group, case.name, case.nodes, len(case.terminals), cost, case.optimum,
        gap(cost, case.optimum, fixed), -gap(found.lower_bound, case.optimum, fixed),
        found.proved, seconds, cpu, gaps, times,
    )  # fmt: skip


def peers_of(case: Case, fixed: float) -> tuple[dict[str, float], dict[str, float]]:
    """Return gap and seconds of the peers that are installed."""
    import networkx as nx
    from networkx.algorithms.approximation import steiner_tree as peer

    graph = nx.Graph()
    for a, b, cost in case.edges:
        if a != b and (not graph.has_edge(a, b) or graph[a][b]["weight"] > cost):
            graph.add_edge(a, b, weight=cost)
    gaps, times = {}, {}
    for method in ("kou", "mehlhorn"):
        started = time.perf_counter()
        tree = peer(graph, list(case.terminals), weight="weight", method=method)
        times[method] = time.perf_counter() - started
        gaps[method] = gap(tree.size(weight="weight"), case.optimum, fixed)
    try:
        from steinerpy import SteinerProblem
    except ImportError:
        return gaps, times
    started = time.perf_counter()
    problem = SteinerProblem(graph, [list(case.terminals)], preprocess=False)
    answer = problem.get_solution(exact=False, primal_local_search=True)
    times["steinerpy"] = time.perf_counter() - started
    gaps["steinerpy"] = gap(answer.objective, case.optimum, fixed)
    return gaps, times


def is_small(m: Measured) -> bool:
    return m.nodes <= 250 and m.terminals <= 40


def is_middle(m: Measured) -> bool:
    return m.nodes <= 800 and m.terminals <= 40 and m.group != "PUC"


def summary(rows: Sequence[Measured]) -> list[str]:
    groups = (
        ("up to 250 nodes, 40 terminals", [m for m in rows if is_small(m)]),
        ("the same without PUC", [m for m in rows if is_small(m) and is_middle(m)]),
        ("up to 800 nodes, 40 terminals, without PUC", [m for m in rows if is_middle(m)]),
        ("WRP, length part", [m for m in rows if m.group.startswith("WRP")]),
        ("all", list(rows)),
    )
    lines = []
    for title, part in groups:
        if not part:
            continue
        gaps = [m.gap_percent for m in part]
        lines.append(
            f"{title}: {len(part)} cases, mean {statistics.fmean(gaps):.3f} %, worst {max(gaps):.3f} %, "
            f"{sum(m.gap_percent < 1e-9 for m in part)} optimal, {sum(m.proved for m in part)} proved, "
            f"{max(m.seconds for m in part):.2f} s at most"
        )
        for peer in part[0].peer_gap_percent:
            theirs = [m.peer_gap_percent[peer] for m in part]
            slow = max(m.peer_seconds[peer] for m in part)
            lines.append(f"    {peer}: mean {statistics.fmean(theirs):.2f} %, worst {max(theirs):.2f} %, "
                         f"{slow:.2f} s at most")  # fmt: skip
    exact = [m for m in rows if m.group == "B"]
    if exact:
        lines.append(f"B: {sum(m.proved for m in exact)} of {len(exact)} proved")
    return lines


def main(words: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.steiner", description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--limit", type=float, default=2.0, metavar="S")
    parser.add_argument("--only", default="", metavar="TEXT", help="only cases whose GROUP/NAME holds this")
    parser.add_argument("--most-nodes", type=int, default=10**9, metavar="N")
    parser.add_argument("--peers", action="store_true")
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args(words)
    rows = []
    for case in cases(asked.folder, asked.only):
        if case.nodes > asked.most_nodes:
            continue
        row = measured(case, asked.limit, asked.peers)
        rows.append(row)
        if not asked.json:
            peers = "".join(f"  {k} {v:.2f} %" for k, v in row.peer_gap_percent.items())
            print(f"{row.name:24} {row.nodes:5} {row.terminals:5} {row.cost:14.0f} {row.optimum:14.0f} "
                  f"{row.gap_percent:8.3f} % {row.bound_gap_percent:8.3f} % "
                  f"{'proved' if row.proved else '      '} {row.seconds:6.2f} s {row.cpu_seconds:6.2f}"
                  f"{peers}", flush=True)  # fmt: skip
    if asked.json:
        print(json.dumps([asdict(row) for row in rows], indent=1))
    else:
        print("\n".join(summary(rows)))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
