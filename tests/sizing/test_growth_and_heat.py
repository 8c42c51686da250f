"""Heat in the hottest bundle, drop out and home, growth that only grows and ends, sizes that stay."""

import math
import random

import pytest

from loomwright.calc.ampacity import heat_limit
from loomwright.calc.conductors import resistance_factor
from loomwright.library.wires import families, family
from sizing.making import Made, device, made, pin, section

FAMILY = "thin-wall XLPE mm2"


def lamp(amps: float, mm: float = 300, more: str = "") -> str:
    """One load, its feed and its ground, over two sections."""
    return (
        device("FB", "box", pin("1", "feed", "feed", "gives"))
        + device(
            "LMP",
            "actuator",
            pin("1", "feed", "feed", "takes", amps=amps),
            pin("2", "ground", "power ground", "takes"),
        )
        + '[device.G1]\nis = "block ground stud"\ncavity."stud" = "ground"\n'
        + section("D", "LMP", mm)
        + section("D", "FB", 100)
        + section("D", "G1", 100)
        + more
    )


def test_a_wire_is_limited_in_its_hottest_section() -> None:
    cool = made(lamp(5))
    hot = made(lamp(5, more='[passes."D-LMP"]\nair_c = 110\n'))
    row = hot.conductor("LMP:1")
    assert row.hottest == "engine/D-LMP"
    assert row.air_c == 110
    assert row.heat_limit_a < cool.conductor("LMP:1").heat_limit_a
    assert row.size.area_mm2 >= cool.conductor("LMP:1").size.area_mm2


def test_the_limit_is_that_of_the_kernel_for_the_bundle_there() -> None:
    row = made(lamp(5)).conductor("LMP:1")
    limit = heat_limit(row.size.area_mm2, row.size.class_c, 60, 2, row.loading_percent)
    assert row.bundle_wires == 2
    assert row.heat_limit_a == limit.amps
    assert row.load_a <= row.heat_limit_a


def test_no_smaller_size_would_have_carried_the_load() -> None:
    row = made(lamp(12, mm=100)).conductor("LMP:1")
    assert row.governs.startswith("heat in D-")
    sizes = family(FAMILY).sizes
    smaller = sizes[[s.label for s in sizes].index(row.size.label) - 1]
    assert heat_limit(smaller.area_mm2, smaller.class_c, 60, 2, row.loading_percent).amps < 12


def test_a_long_way_grows_for_its_drop_until_it_is_small_enough() -> None:
    row = made(lamp(4, mm=4000)).conductor("LMP:1")
    assert row.governs == "drop"
    assert row.drop_v <= row.drop_limit_v == 0.5


def test_the_drop_is_that_of_feed_and_return_hot() -> None:
    job = made(lamp(4, mm=4000))
    lost = 0.0
    for end in ("LMP:1", "LMP:2"):
        row = job.conductor(end)
        hot = resistance_factor(row.conductor_c)
        lost += 4 * row.size.ohm_per_m_20c_max * hot * 4.1
        assert row.own_drop_v == pytest.approx(4 * row.size.ohm_per_m_20c_max * hot * 4.1)
    assert job.conductor("LMP:1").drop_v == pytest.approx(lost)
    assert job.conductor("LMP:2").drop_v == pytest.approx(lost)


def test_an_intermittent_circuit_may_lose_a_volt() -> None:
    brief = made(lamp(4, mm=4000, more='[circuit."feed"]\nintermittent = true\n'))
    assert brief.conductor("LMP:1").drop_limit_v == 1.0
    steady = made(lamp(4, mm=4000))
    assert brief.conductor("LMP:1").size.area_mm2 < steady.conductor("LMP:1").size.area_mm2


def test_a_size_the_builder_fixed_stays_and_says_what_it_costs() -> None:
    fixed = made(lamp(12, more='[circuit."feed"]\nsize = "0.5"\nreason = "on the reel"\n'))
    row = fixed.conductor("LMP:1")
    assert (row.size.label, row.governs, row.reason) == ("0.5", "builder", "on the reel")
    assert row.can_overload
    assert fixed.conductor("LMP:2").size.area_mm2 > row.size.area_mm2


def test_a_small_load_takes_the_shops_least() -> None:
    row = made(lamp(0.05)).conductor("LMP:1")
    assert row.governs == "mechanical minimum"
    assert row.size.label == "0.35"
    assert made("[shop]\nmin_mm2 = 0.75\n" + lamp(0.05)).conductor("LMP:1").size.label == "0.75"


def kept_words(job: Made) -> str:
    rows = "".join(f'"{c.wire}" = "{c.size.label}"\n' for c in job.sized.conductors)
    return f"format = 1\n[sizes]\n{rows}"


def test_a_size_once_given_stays_when_the_load_gets_smaller() -> None:
    before = made(lamp(12))
    after = made(lamp(1), kept_words(before))
    for end in ("LMP:1", "LMP:2"):
        assert after.conductor(end).size == before.conductor(end).size
        assert "sizes only grow" in after.conductor(end).governs
    assert made(lamp(1)).conductor("LMP:1").size.area_mm2 < after.conductor("LMP:1").size.area_mm2


def test_kept_and_unchanged_tells_the_same_reason() -> None:
    for amps, mm in ((0.05, 300), (12, 100), (4, 4000), (20, 2500)):
        before = made(lamp(amps, mm))
        after = made(lamp(amps, mm), kept_words(before))
        assert after.sized.conductors == before.sized.conductors


def loaded(seed: int, factor: float, kept: str = "") -> Made:
    """Random loads of a random loom, all of them times a factor."""
    pick = random.Random(seed)
    loads = pick.randint(3, 12)
    lines = [device("FB", "box", pin("1", "feed", "feed", "gives"))]
    for n in range(loads):
        amps = pick.choice((0.2, 1.0, 2.5, 6.0)) * factor
        feed = pin("1", "feed", "feed", "takes", amps=amps)
        lines.append(device(f"L{n}", "actuator", feed, pin("2", "ground", "power ground", "takes")))
    lines.append('[device.G1]\nis = "block ground stud"\ncavity."stud" = "ground"\n')
    lines += [
        section("D", "B1", pick.randrange(100, 2000)),
        section("B1", "FB", 200),
        section("B1", "G1", 300),
    ]
    lines += [section(pick.choice(("D", "B1")), f"L{n}", pick.randrange(80, 1200)) for n in range(loads)]
    lines.append(f'[passes."D-B1"]\nair_c = {pick.choice((40, 80, 110))}\n')
    return made("".join(lines), kept)


@pytest.mark.parametrize("seed", range(25))
def test_more_load_never_needs_less_copper_and_growing_ends(seed: int) -> None:
    one, more = loaded(seed, 1.0), loaded(seed, 1.5)
    steps = len(family(FAMILY).sizes)
    for job in (one, more):
        assert 1 <= job.sized.rounds <= steps * len(job.routed.wires)
        for row in job.sized.conductors:
            at_largest = row.size == family(FAMILY).sizes[-1]
            assert not row.can_overload or at_largest
            assert row.drop_v <= row.drop_limit_v + 1e-9 or at_largest or _all_largest(job, row.wire)
            assert row.conductor_c <= row.size.class_c + 1e-6 or at_largest
    copper = [math.fsum(c.size.area_mm2 for c in job.sized.conductors) for job in (one, more)]
    assert copper[1] >= copper[0]


def _all_largest(job: Made, wire: str) -> bool:
    """A drop stays too large only where every wire on the way is as thick as it gets."""
    circuit = job.routed.wire[wire].circuit
    largest = family(FAMILY).sizes[-1]
    return any(job.sized.conductor[w.identity].size == largest for w in job.routed.wires_of[circuit])


@pytest.mark.parametrize("seed", range(10))
def test_worked_out_again_with_what_was_kept_nothing_moves(seed: int) -> None:
    before = loaded(seed, 1.2)
    assert loaded(seed, 1.2, kept_words(before)).sized.conductors == before.sized.conductors


def test_every_family_can_be_built_with() -> None:
    for name in families():
        job = made(f'[shop]\nwire_family = "{name}"\n' + lamp(2))
        assert job.conductor("LMP:1").size.family == name
