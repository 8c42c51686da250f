"""Routing is quick enough to run at every edit."""

import random
from time import process_time

from invented import device, job_of, tree
from loomwright.model.words import CircuitKind, Side
from loomwright.routing import route


def big_job(sections, pins, seed=1):
    """An invented loom: a trunk with legs, circuits of two to eight pins spread over the ends."""
    rng = random.Random(seed)
    trunk, rows = ["D"], []
    for i in range(sections):
        if i % 4 == 0:
            rows.append((trunk[-1], f"B{i}", rng.randint(100, 400)))
            trunk.append(f"B{i}")
        else:
            rows.append((rng.choice(trunk[-6:]), f"E{i}", rng.randint(150, 600)))
    inner = {a for a, _, _ in rows}
    cavities = {b: [] for _, b, _ in rows if b not in inner}
    kinds = [CircuitKind.SIGNAL] * 6 + [CircuitKind.FEED, CircuitKind.POWER_GROUND, CircuitKind.BUS]
    while (used := sum(map(len, cavities.values()))) < pins:
        kind = rng.choice(kinds)
        for j, end in enumerate(
            rng.sample(list(cavities), 2 if kind is CircuitKind.SIGNAL else rng.randint(3, 8))
        ):
            side = Side.TAKES if j else Side.GIVES
            cavities[end].append((str(len(cavities[end]) + 1), f"c{used}", kind, side))
    families = ["stud", *["sensor"] * 14]
    devices = [device(end, *row, family=families[i % 15]) for i, (end, row) in enumerate(cavities.items())]
    return job_of(devices), (tree("engine", "D", *rows),)


def seconds(sections, pins, times=3):
    best = float("inf")
    for _ in range(times):
        job, trees = big_job(sections, pins)
        start = process_time()
        routed = route(job, trees)
        best = min(best, process_time() - start)
    return best, len(routed.wires)


def test_a_large_loom_takes_no_more_than_a_blink():
    took, wires = seconds(70, 260)
    assert wires >= 180
    assert took < 0.060


def test_two_thousand_wires_take_less_than_two_seconds():
    took, wires = seconds(700, 2900, times=1)
    assert wires >= 2000
    assert took < 2.0
