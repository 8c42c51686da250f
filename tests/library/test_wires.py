"""Wire: sizes in order, copper that agrees with its resistance, every figure with its mark."""

import math
from itertools import pairwise

import pytest

from loomwright.errors import OutOfRange, Unreadable
from loomwright.library.tables import packaged, packaged_rows
from loomwright.library.wires import awg_by_area, cable, cables, families, family, read_families
from loomwright.sources import Mark

SIZES = [one for each in families().values() for one in each.sizes]
# Annealed copper at 20 C is 0.017241 ohm mm2/m (IEC 60028, recalled). A maximum resistance holds for copper
# drawn thin, coated, stranded with lay: at most 25 % more on the copper the strands add up to.
COPPER_OHM_MM2_PER_M = 0.017241
MOST_ABOVE_COPPER = 1.25


def plausible(ohm_per_m: float, area_mm2: float) -> bool:
    return COPPER_OHM_MM2_PER_M <= ohm_per_m * area_mm2 <= COPPER_OHM_MM2_PER_M * MOST_ABOVE_COPPER


@pytest.mark.parametrize("one", SIZES, ids=lambda one: f"{one.family} {one.label}")
def test_copper_and_resistance_agree(one):
    assert plausible(one.ohm_per_m_20c_max, one.area_mm2)


def test_a_wrong_resistance_is_noticed():
    size = family("light ETFE").size("24")
    assert not plausible(
        0.0932, size.area_mm2
    )  # Table 11-9 prints 28.4 ohm/kft for 24 AWG, an outlier we don't use
    assert not plausible(size.ohm_per_m_20c_max * 0.8, size.area_mm2)


@pytest.mark.parametrize(
    "row", packaged_rows("wires.csv"), ids=lambda row: f"{row.text('family')} {row.text('label')}"
)
def test_copper_is_what_the_strands_add_up_to(row):
    strands, strand_mm = row.whole("strands"), row.number("strand_mm")
    assert row.number("area_mm2") == pytest.approx(strands * math.pi / 4 * strand_mm**2, rel=0.01)


@pytest.mark.parametrize("each", families().values(), ids=lambda each: each.name)
def test_sizes_ascend(each):
    for small, large in pairwise(each.sizes):
        assert small.area_mm2 < large.area_mm2
        assert small.od_max_mm <= large.od_max_mm
        assert small.od_nom_mm < large.od_nom_mm
        assert small.ohm_per_m_20c_max > large.ohm_per_m_20c_max
        assert small.mass_g_per_m < large.mass_g_per_m
    assert len({one.label for one in each.sizes}) == len(each.sizes)


@pytest.mark.parametrize("one", SIZES, ids=lambda one: f"{one.family} {one.label}")
def test_copper_fits_into_the_wire(one):
    copper_mm = math.sqrt(one.area_mm2 * 4 / math.pi)
    assert copper_mm < one.od_nom_mm <= one.od_max_mm


def test_mass_by_volume_comes_near_the_sheets():
    """Where a maker prints the mass, the estimate used elsewhere must come within 8 % of it."""
    sheet = packaged("wires.csv")
    header, *_ = (line for line in sheet.splitlines() if not line.startswith("#"))
    weighed = family("normal ETFE, nickel").sizes
    bare = [header]
    for row in packaged_rows("wires.csv"):
        if row.text("family") == "normal ETFE, nickel":
            cells = dict(row.cells) | {"mass_g_per_m": ""}
            bare.append(",".join(f'"{cells[column]}"' for column in header.split(",")))
    estimated = read_families("\n".join(bare), packaged("wire_families.csv"))
    (guessed,) = (each for each in estimated if each.name == "normal ETFE, nickel")
    for printed, guess in zip(weighed, guessed.sizes, strict=True):
        assert guess.mass_source.mark is Mark.OURS
        assert guess.mass_g_per_m == pytest.approx(printed.mass_g_per_m, rel=0.08)


@pytest.mark.parametrize(
    ("area_mm2", "gauge"),
    [
        (0.35, 21.7),
        (0.5, 20.1),
        (0.75, 18.4),
        (1.0, 17.2),
        (1.5, 15.4),
        (2.5, 13.2),
        (4.0, 11.2),
        (25.0, 3.3),
    ],
)
def test_gauge_by_area_as_a_conversion_chart_prints_it(area_mm2, gauge):
    """Source: wire size conversion chart of a vehicle service manual, column of gauges by area."""
    assert awg_by_area(area_mm2) == pytest.approx(gauge, abs=0.06)


def test_gauge_by_area_meets_the_definition_at_both_ends():
    assert awg_by_area(math.pi / 4 * 0.127**2) == pytest.approx(36, abs=1e-9)
    assert awg_by_area(math.pi / 4 * 11.684**2) == pytest.approx(-3, abs=1e-9)


def test_trade_label_is_not_the_gauge():
    size = family("thin-wall XLPE mm2").size("1.0")
    assert size.label == "1"
    assert size.awg_by_area == pytest.approx(17.1, abs=0.1)
    assert "AWG by area" in size.words


def test_sizes_are_found_as_a_builder_writes_them():
    light = family("light ETFE")
    assert light.size("22 AWG") is light.size("22")
    assert family("thin-wall XLPE mm2").size("0.50 mm2").label == "0.5"


@pytest.mark.parametrize("label", ["23", "banana", "", "-1"])
def test_a_size_the_family_lacks_is_refused(label):
    with pytest.raises(OutOfRange, match="size of light ETFE"):
        family("light ETFE").size(label)


def test_recalled_families_say_so():
    for name in ("light ETFE", "medium ETFE"):
        assert {one.source.mark for one in family(name).sizes} == {Mark.MEMORY}
        assert all("check against the bought sheet" in one.source.text for one in family(name).sizes)


def test_every_figure_has_its_mark():
    for one in SIZES:
        for source in (one.source, one.ohm_source, one.mass_source):
            assert source.text, one
    assert all(each.source.text for each in families().values())


def test_pvc_stays_out_of_the_engine_bay():
    assert [each.name for each in families().values() if not each.engine_bay] == [
        "thin-wall PVC mm2",
        "battery cable mm2",
    ]


@pytest.mark.parametrize("one", cables().values(), ids=lambda one: one.name)
def test_cables_are_larger_and_heavier_than_their_cores(one):
    core = family(one.core_family).size(one.label)
    assert one.cores >= 2
    assert one.od_max_mm >= 1.85 * core.od_nom_mm
    assert one.mass_g_per_m >= 0.95 * one.cores * core.mass_g_per_m
    assert one.class_c <= core.class_c
    assert one.source.text


def test_screened_cables_cover_what_a_crank_sensor_needs():
    for cores in (2, 3, 4):
        assert cable(f"screened {cores} x 22, light ETFE").screened
        assert cable(f"screened {cores} x 0.35, XLPE").cores == cores
        assert cable(f"screened {cores} x 0.5, XLPE").kind == "screened cable"


FAMILIES = "name,words,system,class_c,g_per_cm3,bay,source\nmine,,AWG,150,1.7,yes,MEM\n"
SIZE_COLUMNS = (
    "family,label,strands,strand_mm,area_mm2,wall_mm,od_nom_mm,od_max_mm,mass_g_per_m,mohm_per_m_max,"
    "od_source,mass_source,ohm_source\n"
)


@pytest.mark.parametrize(
    ("sizes", "told"),
    [
        ("", "wires.csv"),
        (SIZE_COLUMNS + "mine,22,19", "wires.csv:2"),
        (SIZE_COLUMNS + "mine,22,19,0.16,wide,,1.1,1.2,,53,MEM,,MEM", "area_mm2"),
        (SIZE_COLUMNS + "mine,22,19,0.16,nan,,1.1,1.2,,53,MEM,,MEM", "finite"),
        (SIZE_COLUMNS + "mine,22,1.5,0.16,0.38,,1.1,1.2,,53,MEM,,MEM", "whole number"),
        (SIZE_COLUMNS + "yours,22,19,0.16,0.38,,1.1,1.2,,53,MEM,,MEM", "yours"),
        (SIZE_COLUMNS + "mine,22,19,0.16,0.38,,1.1,1.2,,53,HEARSAY,,MEM", "od_source"),
        (SIZE_COLUMNS + "mine,22,19,0.16,0.38,,1.1,,,53,MEM,,MEM", "od_max_mm"),
    ],
)
def test_a_builders_own_table_is_refused_with_its_line(sizes, told):
    with pytest.raises(Unreadable, match=told):
        read_families(sizes, FAMILIES)


def test_a_builders_own_table_is_read():
    (mine,) = read_families(SIZE_COLUMNS + "mine,22,19,0.16,0.38,,1.1,1.2,,53,MEM: reel,,MEM", FAMILIES)
    assert mine.sizes[0].od_max_mm == 1.2
    assert mine.sizes[0].source.text.endswith("reel")
