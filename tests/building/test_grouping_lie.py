"""Groups inside a sheath: none crosses another, counted by the settled order of exits; what begins beyond."""

from dataclasses import replace
from itertools import combinations

import pytest

from building.making import exit_of, job, random_tree, routed, section, tree
from loomwright.building.exit_paths import exit_paths, loom_exits
from loomwright.building.grouping import exit_groups
from loomwright.building.grouping_lie import section_lies
from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.model.circuit import LoomPlace
from loomwright.model.words import CircuitKind
from loomwright.routing.routed import EndKind, Step, Wire, WireEnd

LEFT = range(7, 12)
RIGHT = range(1, 6)


def wire(number, some, a, b, *steps, at=None):
    ends = (
        WireEnd(EndKind.SPLICE if at else EndKind.PIN, "SP1" if at else a, a, at),
        WireEnd(EndKind.PIN, f"{b}:1", b),
    )
    return Wire(f"w{number}", number, "c", CircuitKind.SIGNAL, some.loom, *ends, "RD", steps)


def wired(some):
    """A wire from the datum to every end, and from every end to the next."""
    found = []
    for n, end in enumerate(some.ends):
        out = [Step(s.name, 0.0, s.length_mm) for s in reversed(some.to_datum(end))]
        found.append(wire(2 * n, some, some.datum, end, *out))
        if n:
            there, back = (some.to_datum(x) for x in (some.ends[n - 1], end))
            way = [Step(s.name, s.length_mm, 0.0) for s in there if s not in back]
            way += [Step(s.name, 0.0, s.length_mm) for s in reversed(back) if s not in there]
            found.append(wire(2 * n + 1, some, some.ends[n - 1], end, *way))
    return routed(some, wires=found)


class Leaves:
    """Where exits leave the way of a section's core, by what the kernel settled."""

    def __init__(self, some):
        self.tree, self.paths = some, exit_paths(job(), some)

    def reach(self, s):
        return s.length_mm + max((self.reach(x) for x in self.tree.out_of.get(s.outer, ())), default=0.0)

    def core(self, point):
        return max(self.tree.out_of[point], key=lambda s: (self.reach(s), s.name))

    def points(self, trunk):
        """The points along the core of a section, nearest first."""
        at = self.tree.by_name[trunk].outer
        while at in self.tree.out_of:
            yield at
            at = self.core(at).outer

    def off(self, name):
        """Places between the core and an exit, left positive; None where nobody noted one, or both alike."""
        task, own = self.paths.task, self.paths.own
        one, core = own[name], own[self.core(self.tree.by_name[name].inner).name]
        noted = task.noted[one], task.noted[core]
        if None in noted or abs(noted[0] - noted[1]) < 1.0:
            return None
        rank = self.paths.exits.choice.rank[task.inner[one]]
        return rank[one] - rank[core]

    def alike(self, *groups):
        """Whether two exits are noted in one direction: either may lie outside."""
        one, other = (self.paths.task.noted[self.paths.own[g.section.split("/")[1]]] for g in groups)
        return abs(one - other) < 1.0


def crossings_inside(some, lies):
    """What crosses inside a sheath, and in how many places something could."""
    leaves, crossed, seen = Leaves(some), [], 0
    for one in lies:
        trunk = one.section.split("/")[1]
        steps = {point: n for n, point in enumerate(leaves.points(trunk))}
        inside_out = [(g, leaves.off(g.section.split("/")[1])) for g in one.groups if not g.core]
        for g, off in inside_out:
            if off is not None and g.clock not in (None, 12, 6):
                seen += 1
                crossed += [(trunk, g.section, "core")] if (off > 0) != (g.clock in LEFT) else []
        for (g, off), (outer, more) in combinations(inside_out, 2):
            if g.clock != outer.clock or g.clock is None:
                continue
            seen += 1
            later = steps[g.point] > steps[outer.point]
            alike = None in (off, more) or off * more < 0 or leaves.alike(g, outer)
            turns_less = alike or abs(off) < abs(more)
            if not (later or (g.point == outer.point and turns_less)):
                crossed.append((trunk, g.section, outer.section))
    return crossed, seen


def lies_of(some):
    return section_lies(wired(some), (loom_exits(job(), some),))


def test_groups_with_exits_that_cross_nowhere_never_cross_inside():
    seen = 0
    for seed in range(500):
        some = random_tree(seed, most=25, co_runs=False)
        assert loom_exits(job(), some).crossings == ()
        crossed, more = crossings_inside(some, lies_of(some))
        assert crossed == [], seed
        seen += more
    assert seen > 1000


def test_the_count_sees_groups_laid_the_wrong_way():
    wrong = 0
    for seed in range(40):
        some = random_tree(seed, most=25, co_runs=False)
        turned = [replace(one, groups=one.groups[::-1]) for one in lies_of(some)]
        mirror = {n: (12 - n) or 12 for n in range(1, 13)}
        other = [
            replace(one, groups=tuple(replace(g, clock=mirror.get(g.clock)) for g in one.groups))
            for one in lies_of(some)
        ]
        wrong += bool(crossings_inside(some, turned)[0]) + bool(crossings_inside(some, other)[0])
    assert wrong > 20


def test_a_group_keeps_its_place_all_the_way():
    """From section to section along a core the same groups in the same order, at the same hours."""
    for seed in range(40):
        some = random_tree(seed, most=40)
        leaves = Leaves(some)
        lies = {one.section.split("/")[1]: one.groups for one in lies_of(some)}
        for name in lies:
            on = leaves.core(some.by_name[name].outer).name
            here = {(g.section, g.clock, g.core) for g in lies[name]}
            further = [(g.section, g.clock, g.core) for g in lies.get(on, ())]
            order = [(g.section, g.clock, g.core) for g in lies[name]]
            both = [one for one in further if one in here]
            assert both == [one for one in order if one in further]


CROWD = tree(
    section("D", "B1", 300),
    section("B1", "B2", 800, ("B1-X", 200), ("B1-Y", 300)),
    section("B1", "X", 300, ("B1-B2", 200)),
    section("B1", "Y", 400, ("B1-B2", 300)),
    section("B1", "W", 90),
    section("B2", "U", 90),
    section("B2", "V", 100),
    exits=(
        exit_of("D", "B1", "front"),
        exit_of("B1", "B2", "front"),
        exit_of("B1", "X", "left"),
        exit_of("B1", "Y", "left"),
        exit_of("B1", "W", "left"),
        exit_of("B2", "U", "left"),
        exit_of("B2", "V", "front"),
    ),
)


def told(groups):
    return [(g.section.split("/")[1], "core" if g.core else g.clock) for g in groups]


def test_the_core_is_laid_first_and_what_leaves_first_lies_outermost():
    first, *_ = lies_of(CROWD)
    assert first.section == "engine/D-B1"
    assert told(first.groups) == [
        ("B2-V", "core"),
        ("B2-U", 9),
        ("B1-Y", 9),  # co-runs inside of what turns off at once, the last to part innermost
        ("B1-X", 9),
        ("B1-W", 9),
    ]


@pytest.mark.parametrize(
    ("core", "side", "hour"),
    [
        ("front", "left", 9),
        ("front", "right up", 2),
        ("left", "front", 3),  # the trunk turns left: what goes straight on lies on its right
        ("left", "right", 3),
        ("left", "left back", 9),  # turns off further than the trunk
        ("down", "front", 12),
        ("up", "front", 6),
        ("left", "left", 9),
        ("front", "back", None),  # back along the bundle: wherever there is room
    ],
)
def test_the_hour_is_seen_from_the_core(core, side, hour):
    some = tree(
        section("D", "B1", 300),
        section("B1", "X", 300),
        section("B1", "Y", 200),
        exits=(exit_of("D", "B1", "front"), exit_of("B1", "X", core), exit_of("B1", "Y", side)),
    )
    ((one),) = lies_of(some)
    assert told(one.groups) == [("B1-X", "core"), ("B1-Y", hour)]


def test_a_wire_that_begins_at_a_splice_beyond_is_not_in_the_exit_yet():
    some = CROWD
    into = [Step("D-B1", 0.0, 300.0), Step("B1-B2", 0.0, 500.0)]
    place = LoomPlace("B1-B2", 500.0)
    there = WireEnd(EndKind.SPLICE, "SP1", "B2", place)
    pin = [WireEnd(EndKind.PIN, f"{name}:1", name) for name in ("D", "U", "V")]
    kind = CircuitKind.SIGNAL
    wires = [Wire("a", 1, "c", kind, "engine", pin[0], there, "RD", tuple(into))]
    for n, end in ((2, 1), (3, 2)):
        way = (Step("B1-B2", 500.0, 800.0), Step(f"B2-{pin[end].point}", 0.0, 90.0 + 10.0 * (end - 1)))
        wires.append(Wire(f"b{n}", n, "c", kind, "engine", there, pin[end], "RD", way))
    net, exits = routed(some, wires=wires), loom_exits(job(), some)
    groups = {g.section.split("/")[1]: g for g in exit_groups(net, {"engine": exits.leaving})}
    assert groups["B1-B2"].wires == ("W1",)
    assert [(one.wire, one.at) for one in groups["B1-B2"].later] == [("W3", "SP1"), ("W2", "SP1")]
    assert groups["B2-U"].wires == ("W2",)
    assert groups["B2-U"].later == ()
    lies = {one.section.split("/")[1]: told(one.groups) for one in section_lies(net, (exits,))}
    assert lies == {"B1-B2": [("B2-V", "core"), ("B2-U", 9)]}


@pytest.mark.parametrize("name", ["six", "hillclimb", "v8"])
def test_every_wire_of_a_demo_lies_once_in_each_section_it_goes_through(name):
    worked = work_out(demo_folder(name)).worked
    told = {one.section: [w for g in one.groups for w in g.wires] for one in worked.built.lies}
    assert told
    for key, labels in told.items():
        tree = worked.routed.tree[key.split("/")[0]]
        s = tree.by_name[key.split("/")[1]]
        through = {
            w.label
            for w in worked.routed.in_section[key]
            if sum(step.mm for step in w.way if step.section == s.name) > 0.0
            and any(max(step.from_mm, step.to_mm) == s.length_mm for step in w.way if step.section == s.name)
        }
        assert sorted(labels) == sorted(through)
