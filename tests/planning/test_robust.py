"""How sure a loom fits: shared readings, common errors, any executor, trim that is enough."""

from dataclasses import replace

import pytest

from loomwright.calc.shortfall import chance_above
from loomwright.demos import demo_folder
from loomwright.job import work_out, work_out_read
from loomwright.planning.robust import SURE_SIGMAS, measurements, robust
from loomwright.sizing.ways import way_doubt_mm
from loomwright.sources import BUILDER, Figure


@pytest.fixture(scope="module")
def six():
    return work_out(demo_folder("six"))


def test_a_way_is_doubted_as_the_cut_list_doubts_it(six):
    """The cut list adds own and common errors straight, which is never less than drawing them apart."""
    for tree in six.worked.routed.trees:
        ways = [tree.way(tree.datum, end) for end in tree.ends if end != tree.datum]
        told = measurements(ways)
        for index, way in enumerate(ways):
            own = 4 * told.sigma_mm(index) ** 2 - told.commons_mm[index] ** 2
            assert own**0.5 + told.commons_mm[index] == pytest.approx(way_doubt_mm(way))


def test_an_end_with_one_wire_agrees_with_the_closed_form(six):
    job = replace(six.read.job, shop=replace(six.read.job.shop, trim_mm=Figure(8.0, BUILDER)))
    worked = work_out_read(replace(six.read, job=job)).worked
    found = {one.end: one for one in robust(worked, 40_000).ends if one.wires == 1}
    tree = worked.routed.trees[0]
    assert found
    for end, one in found.items():
        wire = next(w for w in worked.routed.wires if end in (w.a.point, w.b.point))
        sigma = measurements([[tree.by_name[s.section] for s in wire.way]]).sigma_mm(0)
        chance = chance_above(one.slack_mm, sigma)
        assert one.chance == pytest.approx(chance, abs=5 * (chance * (1 - chance) / 40_000) ** 0.5 + 1e-4)


def test_what_is_said_to_be_needed_is_enough(six):
    """With the slack it needs, three of a thousand measurements come short."""
    found = robust(six.worked, 40_000)
    one = max(found.ends, key=lambda end: end.lacks_mm)
    assert one.lacks_mm < 0 <= one.chance <= 0.003
    assert one.needs_mm < one.slack_mm


def test_less_trim_never_makes_it_surer(six):
    chances = []
    for trim in (60.0, 20.0, 5.0):
        job = replace(six.read.job, shop=replace(six.read.job.shop, trim_mm=Figure(trim, BUILDER)))
        found = robust(work_out_read(replace(six.read, job=job)).worked, 20_000)
        chances.append({one.end: one.chance for one in found.ends})
    for end in chances[0]:
        assert chances[0][end] <= chances[1][end] + 0.01
        assert chances[1][end] <= chances[2][end] + 0.01


def test_branch_points_are_known_as_well_as_their_readings(six):
    tree = six.worked.routed.trees[0]
    for one in robust(six.worked, 4000).points:
        told = measurements([tree.to_datum(one.point)])
        assert one.known_mm == pytest.approx(SURE_SIGMAS * told.sigma_mm(0))
        assert one.room_mm >= 0


def test_a_local_cluster_gives_the_same(six):
    from distributed import Client

    here = robust(six.worked, 12_000)
    with Client(processes=False, n_workers=1, threads_per_worker=2, dashboard_address=None) as client:
        assert robust(six.worked, 12_000, executor=client.get_executor()) == here
