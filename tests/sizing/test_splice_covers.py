"""A splice's cover waits on all wires of one side, passes the body and grips the thinner side."""

from pathlib import Path

import pytest

from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out
from loomwright.library.coverings import sleeve
from loomwright.sizing.splice_bodies import sides


@pytest.fixture(scope="module", params=["hillclimb", "v8", "six"])
def done(request: pytest.FixtureRequest) -> WorkedJob:
    return work_out(Path(demo_folder(request.param)))


def test_every_wire_enters_from_one_end(done: WorkedJob) -> None:
    routed = done.worked.routed
    for splice in routed.splices:
        inner, outer = sides(splice, routed.wire)
        assert sorted(w.identity for w in (*inner, *outer)) == sorted(splice.wires)
        section = routed.tree[splice.loom].by_name[splice.place.section]
        for side, from_inner in ((inner, True), (outer, False)):
            for wire in side:
                far = wire.b if wire.a.name == splice.name else wire.a
                towards = routed.tree[splice.loom].to_datum(far.place.section if far.place else far.point)
                beyond = section.name in [s.name for s in towards] if not far.place else None
                if beyond is not None:  # an end beyond the section is reached through its outer end
                    assert beyond is not from_inner, (splice.name, wire.label)


def test_a_cover_goes_over_the_body_and_grips_the_thin_side(done: WorkedJob) -> None:
    for one in done.worked.sized.splices:
        cover = one.cover
        assert set(cover.waits_on) in ({*cover.inner}, {*cover.outer})
        assert len(cover.waits_on) == min(len(x) for x in (cover.inner, cover.outer) if x)
        size = sleeve(cover.type).size(cover.size)
        assert size.glue
        assert size.recovered_id_mm < cover.onto_mm <= cover.over_mm < size.expanded_id_mm
        assert cover.over_mm >= one.lump_mm


def test_a_cap_is_said_where_all_wires_come_from_one_side(done: WorkedJob) -> None:
    caps = [one.splice for one in done.worked.sized.splices if one.cover.cap]
    alone = [s.name for s in done.worked.routed.splices if not all(sides(s, done.worked.routed.wire))]
    assert caps == alone
