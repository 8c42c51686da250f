"""Cut lengths as sums: every kind of end, hand-added; every term is there and nothing else."""

import math

import networkx as nx
import pytest

from sizing.making import Made, device, made, pin, section

PLAIN = (
    device("ECU", "controller", pin("1", "s", "signal", "takes"))
    + device("SNS", "sensor", pin("1", "s", "signal", "gives"))
    + section("D", "B1", 300)
    + section("B1", "ECU", 200)
    + section("B1", "SNS", 450)
)


def terms(job: Made, *ends: str) -> dict[str, float]:
    return {term.words: term.mm for term in job.length(*ends).terms}


def test_a_wire_from_a_controller_to_a_sensor() -> None:
    """200 + 450 way, 0.5 % take-up, 40 at the fixed end, 30 and 100 trim at the other: 823.25, cut 830."""
    row = made(PLAIN).length("ECU:1", "SNS:1")
    assert row.path_mm == 650
    assert row.exact_mm == pytest.approx(650 * 1.005 + 40 + 30 + 100)
    assert row.cut_mm == 830
    assert sorted((row.trim_a_mm, row.trim_b_mm)) == [0, 100]


def test_every_term_is_told_in_words() -> None:
    assert terms(made(PLAIN), "SNS:1") == pytest.approx(
        {
            "B1-ECU": 200,
            "B1-SNS": 450,
            "take-up of the lay": 3.25,
            "to the contact of ECU:1": 40,
            "to the contact of SNS:1": 30,
            "trim at SNS": 100,
        }
    )


@pytest.mark.parametrize(
    ("more", "end_mm"),
    [
        ("fixed = true\n", 40),
        ("fixed = false\n", 30 + 100),
        ("allowance_mm = 55\n", 55 + 100),
        ("allowance_mm = 0\n", 0 + 100),
        ("fixed = true\nallowance_mm = 12\n", 12),
    ],
)
def test_what_the_builder_says_of_an_end_goes_before_the_shops_rule(more: str, end_mm: float) -> None:
    text = PLAIN.replace("[device.SNS]\n", f"[device.SNS]\n{more}")
    assert made(text).length("SNS:1").exact_mm == pytest.approx(650 * 1.005 + 40 + end_mm)


@pytest.mark.parametrize(
    ("shop", "exact_mm", "cut_mm"),
    [
        ("cut_step_mm = 25", 823.25, 825),
        ("cut_step_mm = 1", 823.25, 824),
        ("trim_mm = 0", 723.25, 730),
        ("service_mm = 60", 853.25, 860),
        ("fixed_end_mm = 36.75", 820, 820),
        ("take_up_straight = 0", 820, 820),
        ('lay = "concentric"', 650 * 1.04 + 170, 850),
        ('lay = "concentric"\ntake_up_concentric = 0.1', 650 * 1.1 + 170, 890),
    ],
)
def test_the_shops_figures_are_used_and_a_whole_step_is_not_rounded_up(
    shop: str, exact_mm: float, cut_mm: float
) -> None:
    row = made(f"[shop]\n{shop}\n{PLAIN}").length("SNS:1")
    assert row.exact_mm == pytest.approx(exact_mm)
    assert row.cut_mm == cut_mm


def test_the_lay_of_a_section_goes_before_the_shops() -> None:
    text = PLAIN + '[passes."B1-SNS"]\nlay = "concentric"\n'
    assert made(text).length("SNS:1").exact_mm == pytest.approx(200 * 1.005 + 450 * 1.04 + 170)


def test_both_halves_of_a_pair_are_fixed_and_a_pigtail_never() -> None:
    halves = (
        '[loom.other]\ndatum = "XB"\n[area.x]\nair_c = 20\n'
        + device("XA", "mating half", pin("1", "s", "signal", "either"), more='mates = "XB"\n')
        + device("XB", "mating half", pin("1", "s", "signal", "either"), more='mates = "XA"\n')
        + device("ECU", "controller", pin("1", "s", "signal", "takes"))
        + device("SNS", "sensor", pin("1", "s", "signal", "gives"))
        + section("D", "XA", 300)
        + section("D", "ECU", 200)
        + '[section."XB-SNS"]\nloom = "other"\nmm = 400\n'
    )
    job = made(halves)
    assert job.length("ECU:1", "XA:1").exact_mm == pytest.approx(500 * 1.005 + 40 + 40)
    assert job.length("XB:1", "SNS:1").exact_mm == pytest.approx(400 * 1.005 + 40 + 30 + 100)


def test_a_pigtails_own_lead_is_taken_off_and_its_joint_gets_trim() -> None:
    """The lead brings 120 of the way: the wire ends 330 out on the section, 15 into the joint, 100 trim."""
    text = PLAIN.replace("[device.SNS]\n", '[device.SNS]\nsupplied = "pigtail"\nlead_mm = 120\n')
    row = made(text).length("SNS:1")
    assert row.path_mm == 650 - 120
    assert row.exact_mm == pytest.approx(530 * 1.005 + 40 + 15 + 100)
    assert terms(made(text), "SNS:1")["B1-SNS, 330 of 450"] == 330


def test_a_ring_at_a_stud() -> None:
    text = (
        device("LMP", "actuator", pin("1", "g", "power ground", "takes", amps=1.0))
        + '[device.G1]\nis = "block ground stud"\ncavity."stud" = "g"\n'
        + section("D", "LMP", 300)
        + section("D", "G1", 200)
    )
    assert made(text).length("G1:stud").exact_mm == pytest.approx(500 * 1.005 + 20 + 100 + 30 + 100)


def test_a_spares_sealed_end() -> None:
    text = PLAIN + '[spare.SP1]\na = "ECU"\nb = "B1"\n'
    (row,) = (r for r in made(text).sized.lengths if r.wire.startswith("SP1"))
    (sealed,) = (t.mm for t in row.terms if "sealed end at B1" in t.words)
    assert sealed == 30
    assert row.exact_mm == pytest.approx(math.fsum(t.mm for t in row.terms))


def test_a_twisted_pair_takes_up_what_its_helix_is_longer_by() -> None:
    """Two wires of diameter d on a helix of pitch p: each winds round a circle of diameter d."""
    text = (
        device("ECU", "controller", pin("1", "a", "bus", "either"), pin("2", "b", "bus", "either"))
        + device("NOD", "module", pin("1", "a", "bus", "either"), pin("2", "b", "bus", "either"))
        + section("D", "ECU", 400)
        + section("D", "NOD", 600)
        + '[cable.CAN]\nkind = "twisted pair"\ncircuits = ["a", "b"]\npitch_mm = 20\n'
    )
    job = made(text)
    row, od = job.length("ECU:1", "NOD:1"), job.conductor("ECU:1", "NOD:1").size.od_nom_mm
    helix = math.hypot(math.pi * od, 20) / 20 - 1
    assert terms(job, "ECU:1")["take-up of lay and twist"] == pytest.approx(1000 * (0.005 + helix))
    assert row.exact_mm == pytest.approx(1000 * (1.005 + helix) + 40 + 30 + 100)


SPLICED = (
    device("ECU", "controller", pin("1", "5 V", "sensor supply", "gives"))
    + "".join(device(f"S{n}", "sensor", pin("1", "5 V", "sensor supply", "takes")) for n in (1, 2, 3))
    + section("D", "B1", 700)
    + section("D", "ECU", 300)
    + "".join(section("B1", f"S{n}", 100 * n + 150) for n in (1, 2, 3))
)


def test_wires_run_to_the_splices_place_and_into_it() -> None:
    job = made(SPLICED)
    (splice,) = job.routed.splices
    (tree,) = job.routed.trees
    loom = nx.Graph()
    for one in tree.sections:
        loom.add_edge(one.inner, one.outer, mm=one.length_mm)
    on = tree.by_name[splice.place.section]
    loom.add_edge(on.inner, splice.name, mm=splice.place.mm)
    loom.add_edge(splice.name, on.outer, mm=on.length_mm - splice.place.mm)
    for name in ("ECU:1", "S1:1", "S2:1", "S3:1"):
        row, end = job.length(name, splice.name), name.split(":")[0]
        way = nx.shortest_path_length(loom, splice.name, end, weight="mm")
        at_device = 40 if end == "ECU" else 30 + 100
        assert row.path_mm == pytest.approx(way)
        assert row.exact_mm == pytest.approx(way * 1.005 + 15 + at_device)


def test_no_wire_is_longer_than_two_more_than_its_terms_round_to() -> None:
    for row in made(SPLICED).sized.lengths:
        assert row.exact_mm == pytest.approx(math.fsum(term.mm for term in row.terms))
        assert 0 <= row.cut_mm - row.exact_mm < 10
        assert row.cut_mm % 10 == 0
