"""How thick a section gets, and what is slid over it."""

import itertools
import math
import random

import pytest

from loomwright.library.coverings import sleeve
from loomwright.library.wires import cable, cables
from sizing.making import Made, device, made, pin, section


def signals(count: int, more: str = "", ecu: str = "", sensor: str = "") -> str:
    """So many signals from one plug to another: a bundle of equal wires."""
    pins = [str(n) for n in range(1, count + 1)]
    return (
        device("ECU", "controller", *(pin(n, f"s{n}", "signal", "takes") for n in pins), more=ecu)
        + device("SNS", "sensor", *(pin(n, f"s{n}", "signal", "gives") for n in pins), more=sensor)
        + section("D", "ECU", 500)
        + section("D", "SNS", 400)
        + more
    )


def bundle_od(count: int, more: str = "") -> float:
    return made(signals(count, more)).sized.bundle["engine/D-ECU"].as_laid_mm


def wire_od(job: Made) -> float:
    (od,) = {row.size.od_nom_mm for row in job.sized.conductors}
    return od


@pytest.mark.parametrize(("count", "ratio"), [(1, 1.0), (2, 2.0), (3, 1 + 2 / math.sqrt(3)), (7, 3.0)])
def test_few_wires_lie_as_packed(count: int, ratio: float) -> None:
    """Plane geometry: one disc, two side by side, three in touch, six round one."""
    job = made(signals(count))
    found = job.sized.bundle["engine/D-ECU"]
    assert found.packed_min_mm == pytest.approx(ratio * wire_od(job), rel=2e-3)
    assert found.as_laid_mm == found.packed_min_mm
    assert found.wires == count


@pytest.mark.parametrize("count", [12, 20, 37])
def test_many_wires_lie_by_the_shops_rule(count: int) -> None:
    job = made(signals(count))
    found = job.sized.bundle["engine/D-ECU"]
    assert found.as_laid_mm == pytest.approx(1.2 * wire_od(job) * math.sqrt(count))
    loose = made("[shop]\nbundle_factor = 1.3\n" + signals(count)).sized.bundle["engine/D-ECU"]
    assert loose.as_laid_mm == pytest.approx(1.3 * wire_od(job) * math.sqrt(count))


def test_calipers_go_before_the_rule() -> None:
    found = made(signals(12, '[passes."D-ECU"]\nmeasured_od_mm = 9.5\n')).sized.bundle
    assert found["engine/D-ECU"].measured
    assert found["engine/D-ECU"].as_laid_mm == 9.5
    assert not found["engine/D-SNS"].measured


def test_a_bought_cable_counts_once() -> None:
    name = next(iter(cables()))
    cores = cable(name).cores
    listed = ", ".join(f'"s{n}"' for n in range(1, cores + 1))
    kind = "screened cable"
    more = f'[cable.C]\nkind = "{kind}"\ncircuits = [{listed}]\nstock = "{name}"\n'
    job = made(signals(cores + 3, more))
    found = job.sized.bundle["engine/D-ECU"]
    assert len(found.items) == 1 + 3
    assert max(found.items) == cable(name).od_max_mm


def test_a_twisted_pair_lies_as_one_of_twice_its_wire() -> None:
    job = made(signals(4, '[cable.P]\nkind = "twisted pair"\ncircuits = ["s1", "s2"]\n'))
    od = wire_od(job)
    assert job.sized.bundle["engine/D-ECU"].items == pytest.approx((od, od, 2 * od))


def test_a_twisted_trio_lies_as_the_circle_round_three() -> None:
    job = made(signals(4, '[cable.P]\nkind = "twisted trio"\ncircuits = ["s1", "s2", "s3"]\n'))
    od = wire_od(job)
    assert job.sized.bundle["engine/D-ECU"].items == pytest.approx((od, od * (1 + 2 / math.sqrt(3))))


def test_a_wire_more_never_makes_a_bundle_thinner() -> None:
    """But for the packing's own error: quick results lie within 0.9 % of the tightest known."""
    sizes = [bundle_od(count) for count in range(1, 16)]
    assert all(more >= one * (1 - 0.009) for one, more in itertools.pairwise(sizes))
    assert sizes[-1] > 3 * sizes[0]


# ---- coverings --------------------------------------------------------------------------------------


def test_a_sleeve_passes_what_it_slides_over_and_grips_the_bundle() -> None:
    for count in (6, 12, 25, 40):
        for piece in made(signals(count)).sized.sleeves:
            assert piece.what == "sleeve"
            size = next((s for s in sleeve(piece.type).sizes if s.label == piece.size), None)
            if piece.fits:
                assert size is not None
                assert size.recovered_id_mm <= piece.bundle_mm
                assert size.expanded_id_mm >= piece.must_pass_mm
                assert piece.finished_mm == pytest.approx(piece.bundle_mm + 2 * piece.wall_mm)
            else:
                assert piece.words


def test_the_bundle_a_sleeve_grips_is_taped() -> None:
    job = made(signals(12))
    piece, bundle = job.sized.sleeve["engine/D-ECU"], job.sized.bundle["engine/D-ECU"]
    assert piece.bundle_mm == pytest.approx(bundle.as_laid_mm + 2 * 0.15)


def test_a_sleeve_is_cut_for_its_section_its_trim_and_its_shortening() -> None:
    job = made(signals(12, ecu="fixed = true\n", sensor="fixed = false\n"))
    out, home = job.sized.sleeve["engine/D-SNS"], job.sized.sleeve["engine/D-ECU"]
    assert (out.trim_mm, home.trim_mm) == (100, 0)
    for piece, mm in ((out, 400 + 100), (home, 500)):
        shrinks = max(5, sleeve(piece.type).shortens_pct) / 100
        assert mm * (1 + shrinks) - 1e-6 <= piece.cut_mm
        assert piece.cut_mm % 5 == 0
        assert piece.cut_mm - mm / (1 - shrinks) < 5 + 1e-6


@pytest.mark.parametrize("covering", ["braid", "convoluted tube", "tape", "none"])
def test_a_section_takes_the_covering_it_is_told(covering: str) -> None:
    job = made(signals(20, f'[passes."D-ECU"]\ncovering = "{covering}"\n'))
    told, other = job.sized.sleeve["engine/D-ECU"], job.sized.sleeve["engine/D-SNS"]
    assert (told.what, other.what) == (covering, "sleeve")
    assert told.fits
    assert told.finished_mm >= told.bundle_mm
    if covering == "none":
        assert (told.cut_mm, told.wall_mm) == (0, 0)


def test_a_splices_lump_has_to_pass_through_the_sleeve() -> None:
    spliced = (
        device("ECU", "controller", pin("1", "5 V", "sensor supply", "gives"))
        + "".join(device(f"S{n}", "sensor", pin("1", "5 V", "sensor supply", "takes")) for n in (1, 2, 3))
        + section("D", "B1", 700)
        + section("D", "ECU", 300)
        + "".join(section("B1", f"S{n}", 200) for n in (1, 2, 3))
    )
    job = made(spliced)
    (splice,) = job.routed.splices
    piece = job.sized.sleeve[f"engine/{splice.place.section}"]
    body = job.sized.splice[splice.name]
    bundle = job.sized.bundle[piece.section]
    assert piece.passes_over == f"splice {splice.name}"
    assert piece.must_pass_mm == pytest.approx(math.hypot(bundle.as_laid_mm, body.lump_mm))
    assert all(p.passes_over == "its own bundle" for p in job.sized.sleeves if p is not piece)


# ---- covers over branch points, grommets, splice bodies, rope ---------------------------------------


def branched(hole: str = "", ecu: str = "") -> str:
    """A branch point with three legs of 4, 3 and 1 wires."""
    more = "hole_mm = 30\n" if hole else ""
    pins = [str(n) for n in range(1, 5)]
    sides = {"SNS": pins[:3], "MAP": pins[3:]}
    text = device("ECU", "controller", *(pin(n, f"s{n}", "signal", "takes") for n in pins), more=ecu)
    for name, own in sides.items():
        text += device(name, "sensor", *(pin(n, f"s{n}", "signal", "gives") for n in own))
    text += section("D", "B1", 300) + section("D", "ECU", 200)
    text += section("B1", "SNS", 400) + section("B1", "MAP", 250)
    return (f"{more}" if more else "") + text


def test_a_cover_goes_over_all_its_legs_and_overlaps_each() -> None:
    job = made(branched())
    covers = {cover.point: cover for cover in job.sized.branch_covers}
    assert "B1" in covers
    cover = covers["B1"]
    legs = [job.sized.sleeve[key].finished_mm for key, _ in cover.legs]
    assert [key for key, _ in cover.legs] == ["engine/D-B1", "engine/B1-MAP", "engine/B1-SNS"]
    onward = math.hypot(legs[1], legs[2])
    assert (cover.over_mm, cover.smallest_mm) == pytest.approx((max(legs[0], onward), min(legs[0], onward)))
    assert all(overlap >= 25 for _, overlap in cover.legs)
    assert cover.cut_mm >= cover.legs[0][1] + max(mm for _, mm in cover.legs[1:])
    assert cover.cut_mm % 5 == 0


def test_the_hole_takes_what_goes_through_it_first() -> None:
    plain = made(branched("hole"))
    (grommet,) = plain.sized.grommets
    assert grommet.hole_mm == 30
    before = 'through_bulkhead = "before"\nwidth_mm = 40\nheight_mm = 20\n'
    (first,) = made(branched("hole", ecu=before)).sized.grommets
    assert first.biggest == "housing of ECU"
    assert first.biggest_mm >= math.hypot(40, 20)
    assert not first.passes
    (after,) = made(branched("hole", ecu=before.replace("before", "after"))).sized.grommets
    assert after.biggest == grommet.biggest
    assert after.passes


@pytest.mark.parametrize("seed", range(12))
def test_a_splice_body_takes_the_summed_copper_of_its_wires(seed: int) -> None:
    pick = random.Random(seed)
    count = pick.randint(2, 5)
    feeds = [
        device(f"L{n}", "actuator", pin("1", "feed", "feed", "takes", amps=pick.choice((0.5, 3.0, 9.0))))
        for n in range(count)
    ]
    job = made(
        device("FB", "box", pin("1", "feed", "feed", "gives"))
        + "".join(feeds)
        + section("D", "B1", 600)
        + section("D", "FB", 300)
        + "".join(section("B1", f"L{n}", 300) for n in range(count))
        + '[circuit."feed"]\njoin = "splice"\n'
    )
    for splice in job.routed.splices:
        body = job.sized.splice[splice.name]
        copper = math.fsum(job.sized.conductor[w].size.area_mm2 for w in splice.wires)
        assert body.sum_mm2 == pytest.approx(copper)
        assert body.fits == (body.window[0] <= copper <= body.window[1])


def test_rope_is_bought_for_every_section_and_over_its_length() -> None:
    job = made(branched())
    assert {r.section: r.length_mm for r in job.sized.ropes} == {
        f"engine/{s.name}": s.length_mm + 100 for s in job.routed.trees[0].sections
    }
    assert all(r.diameter_mm > 0 for r in job.sized.ropes)
