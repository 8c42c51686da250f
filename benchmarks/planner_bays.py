"""Engine bays made by rule: corridors round an engine, ends on brackets, circuits as cars have them.

All of it is invented; the prices are those of the planner's defaults in kind, kept here so that the bays do
not move when a default does.
"""

import math
import random
from typing import Final

from loomwright.calc.priced_tree import ROOT, Corridor, Limits, Net, Step, Task

SHEATH: Final = (  # bundle up to [mm], price [money/m]; invented
    (3.0, 3.0), (4.5, 3.6), (6.0, 4.5), (9.0, 6.0), (12.0, 8.0), (18.0, 12.0), (25.0, 17.0), (40.0, 26.0),
)  # fmt: skip
WIRES: Final = ((0.45, 1.4), (0.6, 1.7), (1.1, 2.2), (2.2, 3.0))  # price [money/m], diameter [mm]; invented
BRANCH_MONEY: Final = 30.0
BREAKOUT_MONEY: Final = 9.0
TIE_MONEY_PER_M: Final = 2.5


def bay(ends: int, seed: int, most_exits: int = 8) -> Task:
    """Return a bay with so many ends: two boxes, sensors, injectors, coils and a ground stud.

    Args:
        ends: 6 and more
        seed: another bay for another seed
        most_exits: sections at one branch point
    """
    chance = random.Random(seed * 1000 + ends)
    columns, rows = (4, 3) if ends <= 16 else (6, 4)
    places = [
        (x * 260 + chance.uniform(-60, 60), y * 260 + chance.uniform(-60, 60), chance.uniform(0, 250))
        for y in range(rows)
        for x in range(columns)
    ]
    corridors = _grid(places, columns, rows, chance)
    bulkhead = len(places)
    places.append((columns * 130.0, -180.0, 150.0))
    middle = columns // 2
    corridors += [_link(places, bulkhead, at, chance) for at in (middle - 1, middle)]
    at_ends = []
    for end in range(ends):
        cabin = end in (0, 3)
        hook = bulkhead if cabin else chance.randrange(bulkhead)
        places.append(_near(places[hook], chance, cabin))
        corridors.append(_link(places, len(places) - 1, hook, chance))
        at_ends.append(len(places) - 1)
    return Task(
        points=len(places),
        corridors=tuple(corridors),
        root=bulkhead,
        ends=tuple(at_ends),
        nets=tuple(_nets(ends, chance)),
        sheath=tuple(Step(mm, money / 1000) for mm, money in SHEATH),
        branch_money=BRANCH_MONEY,
        breakout_money=BREAKOUT_MONEY,
        limits=Limits(most_exits=most_exits, branch_mm=40.0, end_mm=40.0),
    )


def _grid(
    places: list[tuple[float, float, float]], columns: int, rows: int, chance: random.Random
) -> list[Corridor]:
    """Corridors between neighbours, some missing, some past something hot."""
    found = []
    for y in range(rows):
        for x in range(columns):
            at = y * columns + x
            if x + 1 < columns and (y == 0 or chance.random() < 0.7):
                found.append(_link(places, at, at + 1, chance))
            if y + 1 < rows:
                found.append(_link(places, at, at + columns, chance))
    return found


def _link(places: list[tuple[float, float, float]], a: int, b: int, chance: random.Random) -> Corridor:
    mm = math.dist(places[a], places[b]) * chance.uniform(1.0, 1.25)
    hot = chance.random() < 0.12
    return Corridor(a, b, round(mm), TIE_MONEY_PER_M * mm / 1000, 4.0 if hot else 0.0)


def _near(
    place: tuple[float, float, float], chance: random.Random, cabin: bool
) -> tuple[float, float, float]:
    if cabin:
        return place[0] + chance.uniform(-400, 400), place[1] - chance.uniform(200, 600), 0.0
    return tuple(one + chance.uniform(-110, 110) for one in place)  # type: ignore[return-value]


def _net(ends: tuple[int, ...], size: int, copies: int = 1) -> Net:
    money, mm = WIRES[size]
    return Net(ends, money / 1000, mm * mm, copies)


def _nets(ends: int, chance: random.Random) -> list[Net]:
    """End 0 is the controller, 1 the fuse box, 2 the ground stud, 3 a plug to the dash; then what serves."""
    found = [_net((0, 1), 1, 2), _net((0, 2), 1, 3), _net((0, 3), 0, 4), _net((1, 2), 2), _net((1, 3), 1)]
    kinds = [chance.choice(("sensor", "sensor", "injector", "coil")) for _ in range(4, ends)]
    of = {kind: [at + 4 for at, one in enumerate(kinds) if one == kind] for kind in sorted(set(kinds))}
    for sensor in of.get("sensor", []):
        found.append(_net((0, sensor), 0, chance.choice((1, 1, 2))))
    for driven in (*of.get("injector", []), *of.get("coil", [])):
        found.append(_net((0, driven), 0))
    if of.get("sensor"):
        found += [_net((0, *of["sensor"]), 0, 2)]
    if of.get("injector"):
        found.append(_net((1, *of["injector"]), 1))
    if of.get("coil"):
        found += [_net((1, *of["coil"]), 2), _net((2, *of["coil"]), 2)]
    if len(of.get("sensor", [])) > 2 and of.get("coil"):
        found.append(_net((of["sensor"][0], of["coil"][0]), 0))
    return found


__all__ = ["ROOT", "bay"]
