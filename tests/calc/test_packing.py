import math
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.calc.packing import pack, pack_with_one_more
from loomwright.calc.packing_bounds import few, lower_bound, oler_diameter
from loomwright.errors import OutOfRange

SIZES = st.lists(st.floats(0.5, 12.0), min_size=1, max_size=25)
BUDGET = settings(max_examples=25, deadline=None, derandomize=True)


def worst_overlap(packing) -> float:
    places = list(zip(packing.centres_mm, packing.radii_mm, strict=True))
    return max(
        (r + q - math.hypot(x - u, y - v) for ((x, y), r), ((u, v), q) in combinations(places, 2)),
        default=0.0,
    )


@given(SIZES)
@BUDGET
def test_no_overlap_and_nothing_sticks_out(sizes: list[float]) -> None:
    found = pack(sizes)
    assert worst_overlap(found) <= 1e-9
    assert all(
        math.hypot(*at) + r <= found.diameter_mm / 2 + 1e-9
        for at, r in zip(found.centres_mm, found.radii_mm, strict=True)
    )
    assert found.radii_mm == tuple(one / 2 for one in sizes)


@given(SIZES)
@BUDGET
def test_between_proved_bound_and_loose_bundle(sizes: list[float]) -> None:
    found = pack(sizes)
    ordered = sorted(sizes, reverse=True)
    assert lower_bound(ordered) <= found.diameter_mm * (1 + 1e-12)
    assert found.diameter_mm <= max(sum(ordered[:2]) * 1.6, 1.45 * math.sqrt(sum(d * d for d in sizes)))


@given(SIZES, st.randoms(use_true_random=False))
@BUDGET
def test_order_of_wires_does_not_matter(sizes: list[float], random) -> None:
    shuffled = random.sample(sizes, len(sizes))
    assert pack(shuffled).diameter_mm == pack(sizes).diameter_mm


@given(SIZES, st.floats(0.5, 12.0))
@BUDGET
def test_one_more_wire_never_shrinks(sizes: list[float], extra: float) -> None:
    before, after = pack_with_one_more(sizes, extra)
    assert before.diameter_mm <= after.diameter_mm
    assert worst_overlap(before) <= 1e-9
    assert len(before.centres_mm) == len(sizes)
    assert (
        lower_bound(sorted(sizes, reverse=True)) <= lower_bound(sorted([*sizes, extra], reverse=True)) + 1e-12
    )


@given(st.lists(st.floats(0.5, 12.0), min_size=1, max_size=3), st.floats(0.5, 12.0))
@BUDGET
def test_up_to_three_wires_grow_by_themselves(sizes: list[float], extra: float) -> None:
    if len(sizes) < 3:
        assert pack([*sizes, extra]).diameter_mm >= pack(sizes).diameter_mm * (1 - 1e-12)


def test_same_wires_same_result() -> None:
    sizes = [1.09] * 14 + [1.6, 2.3, 4.1]
    assert pack(sizes) == pack(sizes)


def test_scale() -> None:
    sizes = [1.1] * 9 + [2.0, 3.0]
    assert pack([10 * one for one in sizes]).diameter_mm == pytest.approx(
        10 * pack(sizes).diameter_mm, rel=1e-3
    )


@pytest.mark.parametrize("sizes", [[3.0, 2.0, 1.9], [5.0, 5.0, 5.0], [9.0, 1.0, 0.9], [4.0, 4.0, 2.6]])
def test_three_discs_touch(sizes: list[float]) -> None:
    reach, centres = few([one / 2 for one in sizes])
    for (at, d), (to, e) in combinations(zip(centres, sizes, strict=True), 2):
        assert math.dist(at, to) >= (d + e) / 2 - 1e-9
    assert max(math.hypot(*at) + d / 2 for at, d in zip(centres, sizes, strict=True)) == pytest.approx(
        reach, abs=1e-9
    )


def test_three_equal_discs() -> None:
    assert pack([1.0] * 3).diameter_mm == pytest.approx(1 + 2 / math.sqrt(3), abs=1e-12)


def test_oler_is_exact_for_seven() -> None:
    assert oler_diameter(7, 1.0) <= 3.0
    assert oler_diameter(2, 1.0) == pytest.approx(2.0)
    assert all(a <= b for a, b in pairwise(oler_diameter(n, 1.0) for n in range(1, 200)))


@pytest.mark.parametrize("count", [131, 260, 400])
def test_many_wires(count: int) -> None:
    sizes = ([1.1, 1.3, 1.7, 2.4] * count)[:count]
    found = pack(sizes)
    assert worst_overlap(found) <= 1e-9
    assert found.diameter_mm <= 1.3 * math.sqrt(sum(d * d for d in sizes))


def test_refined_is_never_wider() -> None:
    sizes = [1.1] * 4 + [1.6, 2.3, 4.1]
    assert pack(sizes, refine=True).diameter_mm <= pack(sizes).diameter_mm


@pytest.mark.parametrize("sizes", [[], [0.0], [1.0, -1.0], [math.nan], [1001.0]])
def test_refuses(sizes: list[float]) -> None:
    with pytest.raises(OutOfRange):
        pack(sizes)


@pytest.mark.parametrize(
    "sizes", [[4.5, 2.0, 1.31, 1.09], [5.0, 5.0, *[0.6] * 10], [4.5, 3.3, 0.94, 0.94, 0.94]]
)
def test_two_that_span_the_circle_are_the_least_possible(sizes: list[float]) -> None:
    found = pack(sizes)
    assert found.diameter_mm == pytest.approx(sizes[0] + sizes[1], rel=1e-12)
    assert found.diameter_mm == pytest.approx(found.lower_bound_mm, rel=1e-12)
    assert worst_overlap(found) <= 1e-9
