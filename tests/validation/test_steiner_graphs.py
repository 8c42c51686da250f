"""Steiner trees in nets against proven optima: SteinLib families B, LIN, MSM, TAQ, WRP (PACE 2018 set,
OR-Library).
"""

import csv
import sys

import pytest

from loomwright.calc.steiner import Edge, Found, steiner_tree
from validation.printed import AUTHORITIES

Case = tuple[int, list[Edge], list[int]]


def cases() -> dict[str, tuple[Case, float]]:
    csv.field_size_limit(sys.maxsize)
    found = {}
    with (AUTHORITIES / "steiner_graph.csv").open(encoding="utf-8", newline="") as text:
        for row in csv.DictReader(line for line in text if not line.startswith("#")):
            edges = []
            for word in row["edges"].split():
                ends, cost = word.split(":")
                a, b = ends.split("-")
                edges.append((int(a) - 1, int(b) - 1, float(cost)))
            case = (int(row["nodes"]), edges, [int(t) - 1 for t in row["terminals"].split()])
            found[row["instance"]] = (case, float(row["optimum"]))
    return found


CASES = cases()


def solved(name: str) -> Found:
    return steiner_tree(*CASES[name][0], limit_s=20)


@pytest.mark.parametrize("name", sorted(CASES))
def test_the_published_optimum_is_met_and_proved(name: str) -> None:
    found = solved(name)
    assert found.cost == CASES[name][1]
    assert found.proved
    assert found.lower_bound == CASES[name][1]


def test_one_edge_dearer_is_noticed() -> None:
    """Every edge of the tree found for b01 made dearer by one: some of them must cost."""
    (nodes, edges, terminals), optimum = CASES["b01"]
    best = solved("b01").edges
    dearer = [(a, b, c + (k in best)) for k, (a, b, c) in enumerate(edges)]
    assert steiner_tree(nodes, dearer, terminals, 20).cost > optimum
