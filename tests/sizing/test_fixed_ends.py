"""An end that is fixed first gets no trim, a ring at a fixed box included."""

from dataclasses import replace

from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.routing.routed import EndKind
from loomwright.sizing.lengths import is_fixed, wire_lengths


def test_a_ring_at_a_fixed_box_has_no_trim() -> None:
    worked = work_out(demo_folder("hillclimb")).worked
    seen = set()
    for wire in worked.routed.wires:
        length = worked.sized.length[wire.identity]
        for end, trim in ((wire.a, length.trim_a_mm), (wire.b, length.trim_b_mm)):
            if end.kind is EndKind.STUD:
                fixed = is_fixed(worked.job, end.name.rsplit(":", 1)[0])
                assert trim == (0.0 if fixed else worked.job.shop.trim_mm.value), (wire.label, end.name)
                seen.add(fixed)
    assert seen == {True, False}


def test_the_builder_frees_a_ring_and_the_trim_comes_back() -> None:
    worked = work_out(demo_folder("hillclimb")).worked
    job, routed = worked.job, worked.routed
    end = next(
        e.name
        for w in routed.wires
        for e in (w.a, w.b)
        if e.kind is EndKind.STUD and is_fixed(job, e.name.rsplit(":", 1)[0])
    )
    name = job.connector[end.rsplit(":", 1)[0]].device
    freed = tuple(
        replace(d, connectors=tuple(replace(c, fixed=False) for c in d.connectors)) if d.name == name else d
        for d in job.devices
    )
    od = {row.wire: row.size.od_nom_mm for row in worked.sized.conductors}
    now = {x.wire: x for x in wire_lengths(replace(job, devices=freed), routed, od)}
    wire = next(w for w in routed.wires if end in (w.a.name, w.b.name))
    assert now[wire.identity].exact_mm > worked.sized.length[wire.identity].exact_mm
