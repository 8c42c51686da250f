"""Small trees, jobs and sizes made for the building tests; all invented."""

import random

from loomwright.model.job import Area, Job, Kept, Loom, Source12V, Throttle
from loomwright.model.rope import Exit
from loomwright.model.shop import Shop
from loomwright.model.tree import CoRun, Section, Tree
from loomwright.model.words import Level
from loomwright.routing.routed import Routed
from loomwright.sizing.sized import Sized

AXES = ("up", "down", "left", "right", "front", "back")
LEANS = ("outward", "square", "back")


def section(inner, outer, mm, *co_runs, area="", loom="engine", passes=None):
    return Section(
        name=f"{inner}-{outer}",
        loom=loom,
        inner=inner,
        outer=outer,
        length_mm=float(mm),
        own_mm=10.0,
        common_mm=3.0,
        origin="invented",
        tape="",
        path=(),
        co_runs=tuple(CoRun(name, float(until)) for name, until in co_runs),
        area=area,
        passes=passes,
    )


def tree(*sections, exits=(), datum="D", loom="engine"):
    inner = {s.inner for s in sections}
    ends = tuple(sorted(s.outer for s in sections if s.outer not in inner))
    some = tuple(Exit(point, to, tuple(axes.split()), lean, ()) for point, to, axes, lean in exits)
    return Tree(loom, datum, tuple(sections), ends, some)


def exit_of(point, to, axes, lean=""):
    return (point, to, axes, lean)


def random_tree(seed, most=80, co_runs=True):
    """A tree of up to `most` sections with exits at most points and some co-runs."""
    rng = random.Random(seed)
    count = rng.randint(1, most)
    points, sections, exits = ["D"], [], []
    for n in range(count):
        # a loom's tree: mostly going on from the newest points, sometimes from an old one
        inner = rng.choice(points[-6:] if rng.random() < 0.8 else points)
        outer = f"P{n}"
        mm = round(rng.choice((rng.uniform(15, 120), rng.uniform(60, 500), rng.uniform(200, 900))), 1)
        beside = [s for s in sections if s.inner == inner]
        runs = ()
        if co_runs and beside and rng.random() < 0.4:
            other = rng.choice(beside)
            runs = ((other.name, round(rng.uniform(0.2, 1.0) * min(mm, other.length_mm), 1)),)
        sections.append(section(inner, outer, mm, *runs))
        points.append(outer)
        if rng.random() < 0.7:
            axes = rng.sample(AXES, rng.choice((1, 1, 2)))
            exits.append((inner, outer, " ".join(axes), rng.choice((*LEANS, ""))))
    return tree(*sections, exits=exits)


def job(*, devices=(), circuits=(), looms=None, areas=(), kept=None, shop=None, **more):
    return Job(
        title="Invented car",
        volts=13.8,
        level=Level.SMALL_SHOP,
        paper="A4",
        demo=True,
        revision="A",
        shop=shop or Shop(),
        areas=tuple(areas),
        looms=tuple(looms or (Loom("engine", "D", ()),)),
        devices=tuple(devices),
        circuits=tuple(circuits),
        protections=more.get("protections", ()),
        cables=more.get("cables", ()),
        spares=(),
        runs=(),
        built=(),
        passes=(),
        exits=(),
        throttle=more.get("throttle", Throttle("none", None, ())),
        acceptances=(),
        supply=Source12V(12.6, 0.01),
        kept=kept or Kept(),
        board_angles=more.get("board_angles", ()),
    )


def area(name, side, moves=0.0):
    return Area(name, 60.0, moves, side, ())


def routed(*trees, wires=(), splices=(), commons=(), joins=()):
    return Routed(tuple(trees), tuple(wires), tuple(splices), tuple(commons), tuple(joins), ())


def sized(**parts):
    names = ("lengths", "conductors", "bundles", "sleeves", "branch_covers", "grommets", "ropes", "splices")
    return Sized(**{n: tuple(parts.get(n, ())) for n in names}, rounds=1, findings=())
