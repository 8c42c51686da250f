"""Small random maps, and every tree there is on one, for comparison."""

import itertools
import random
from collections.abc import Iterator

from loomwright.calc.priced_tree import ROOT, Bough, Corridor, Limits, Net, Step, Task
from loomwright.calc.priced_tree_ways import rates_of, usual_mm_money, ways_of
from loomwright.calc.priced_tree_worth import Scale, tidy


def small_task(seed: int, points: int, ends: int) -> Task:
    """Return a map with prices of all kinds, made by chance."""
    chance = random.Random(seed)
    corridors = []
    for b in range(1, points):
        corridors.append(_corridor(chance, chance.randrange(b), b))
    for _ in range(points // 2 + 1):
        corridors.append(_corridor(chance, *chance.sample(range(points), 2)))
    nets = []
    for _ in range(ends + 3):
        who = [*([ROOT] if chance.random() < 0.5 else []), *range(ends)]
        chosen = chance.sample(who, min(len(who), chance.choice((2, 2, 2, 3))))
        money, square = chance.choice((0.002, 0.005, 0.01)), chance.choice((1.0, 4.0, 9.0))
        nets.append(Net(tuple(chosen), money, square))
    return Task(
        points=points,
        corridors=tuple(corridors),
        root=0,
        ends=tuple(chance.randrange(points) for _ in range(ends)),
        nets=tuple(nets),
        sheath=(Step(2.0, 0.002), Step(4.0, 0.004), Step(6.0, 0.01), Step(20.0, 0.03)),
        branch_money=chance.choice((0.0, 0.5, 2.0, 5.0)),
        root_is_end=chance.random() < 0.3,
        limits=Limits(chance.choice((99, 3, 4)), chance.choice((0.0, 0.0, 60.0)), chance.choice((0.0, 40.0))),
        apart=((0, 1),) if chance.random() < 0.2 else (),
    )


def _corridor(chance: random.Random, a: int, b: int) -> Corridor:
    ties, section = chance.choice((0.0, 0.0, 1.0, 3.0)), chance.choice((0.0, 0.0, 2.0))
    beside = ties * chance.choice((0.0, 0.5, 1.0))
    return Corridor(a, b, float(chance.randrange(50, 400)), ties, section, beside_money=beside)


def scale_of(task: Task) -> Scale:
    """Return the scale of a task with nothing opened."""
    rates = rates_of(task)
    return Scale(task, ways_of(task, (), 0.0, usual_mm_money(task, rates)), rates)


def every_tree(task: Task) -> Iterator[Bough]:
    """Yield every tree of a task: all ways to group its ends, branch points at all points of the map."""

    def hung(items: tuple[int, ...]) -> list[Bough]:
        if len(items) == 1:
            return [Bough(task.ends[items[0]], items[0])]
        return [
            Bough(point, -1, combo)
            for groups in partitions(items)
            if len(groups) > 1
            for combo in itertools.product(*(hung(group) for group in groups))
            for point in range(task.points)
        ]

    for groups in partitions(tuple(range(len(task.ends)))):
        for combo in itertools.product(*(hung(group) for group in groups)):
            yield tidy(Bough(task.root, -1, combo), task.root_is_end)


def partitions(items: tuple[int, ...]) -> Iterator[list[tuple[int, ...]]]:
    """Yield every way to group some items."""
    if not items:
        yield []
        return
    first, rest = items[0], items[1:]
    for pick in range(2 ** len(rest)):
        own = (first, *(one for at, one in enumerate(rest) if pick >> at & 1))
        others = tuple(one for at, one in enumerate(rest) if not pick >> at & 1)
        for more in partitions(others):
            yield [own, *more]
