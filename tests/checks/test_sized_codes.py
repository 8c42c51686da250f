"""Codes that rest on sizes: what the checks say of figures that a small clean job doesn't reach."""

from dataclasses import replace

import pytest

from checks.making import changed, device, found, with_conductors, with_sized, worked
from checks.test_every_code import ECU, PEDAL
from loomwright.checks.run import run
from loomwright.model.rope import BoardAngle
from loomwright.routing.routed import WireEnd

SIZED = frozenset(
    {
        "PIN-02",
        "FUSE-01",
        "HEAT-01",
        "HEAT-04",
        "DROP-01",
        "DROP-02",
        "CONTACT-04",
        "SPLICE-07",
        "SPLICE-08",
        "SLEEVE-01",
        "SLEEVE-04",
        "BOARD-01",
        "BOARD-05",
        "THROTTLE-04",
    }
)


@pytest.fixture(scope="module")
def clean():
    return worked()[0]


def raised(one, code):
    rows = [f for f in run(one) if f.code == code]
    assert rows, code
    return rows


def test_clean_job_raises_none_of_them(clean):
    codes = {f.code for f in run(clean)}
    assert not codes & SIZED


def test_two_wires_in_one_contact(clean):
    first, *others = clean.routed.wires
    to = next(w for w in others if w.b.name.startswith("ECU.A"))
    doubled = replace(first, b=WireEnd(to.b.kind, to.b.name, to.b.point))
    one = replace(clean, routed=replace(clean.routed, wires=(doubled, *others)))
    assert to.label in raised(one, "PIN-02")[0].what_is


def test_short_not_proved_cleared_tells_the_numbers(clean):
    one = with_conductors(clean, short_a=38.0, clears_s=5.0, stands_s=3.2, short_ok=False)
    first = raised(one, "FUSE-01")[0]
    for word in ("not proved", "38 A", "5 s", "3.2 s", "slow edge"):
        assert word in first.what_is
    assert {"circuits", "conductors"} <= set(first.sheets)


def test_short_that_nothing_clears(clean):
    one = with_conductors(clean, short_a=12.0, clears_s=None, stands_s=30.0, short_ok=False)
    assert "at no time anybody promises" in raised(one, "FUSE-01")[0].what_is


def test_short_that_cannot_be_said_is_a_note(clean):
    one = with_conductors(clean, short_a=None, clears_s=None, stands_s=None, short_ok=None)
    rows = raised(one, "FUSE-05")
    assert {f.severity for f in rows} == {"note"}
    assert not [f for f in run(one) if f.code == "FUSE-01"]


def test_trip_counts_as_protecting():
    text = changed(("amps = 5\n", 'amps = 5\nkind = "trip"\n'))
    codes = {f.code for f in run(*worked(text))}
    assert not codes & {"FEED-01", "FUSE-01", "FUSE-05", "FUSE-06"}


def test_overload_offers_the_next_size(clean):
    one = with_conductors(clean, load_a=20.0, heat_limit_a=6.0, can_overload=True)
    first = next(f for f in raised(one, "HEAT-01") if f.subject.startswith("inj 1 "))
    assert [(m.path, m.value) for m in first.mends] == [(("circuit", "inj 1", "size"), "1")]


def test_estimated_limit(clean):
    one = with_conductors(clean, estimated=True, load_a=4.0, heat_limit_a=5.0)
    assert raised(one, "HEAT-04")[0].severity == "note"


def test_drops(clean):
    one = with_conductors(clean, drop_v=0.62, own_drop_v=0.25, drop_limit_v=0.5)
    assert "0.62 V" in raised(one, "DROP-01")[0].what_is
    assert len(raised(one, "DROP-02")) == 2  # feeds, grounds


def test_drop_at_its_limit_is_no_finding(clean):
    one = with_conductors(clean, drop_v=0.5, own_drop_v=0.05, drop_limit_v=0.5)
    assert not {f.code for f in run(one)} & {"DROP-01", "DROP-02"}


def test_load_above_contact(clean):
    one = with_conductors(clean, load_a=18.0)
    assert "18.0 A" in raised(one, "CONTACT-04")[0].what_is


def test_splices():
    text = changed(
        add="".join(
            device(f"V{n}", "MAP sensor", "", {"1": '"sensor 5 V"', "2": '"sensor 0 V"', "3": f'"p{n}"'})
            for n in (1, 2)
        ),
    )
    one = worked(text)[0]
    assert one.routed.splices
    rows = tuple(replace(s, sum_mm2=9.0, window=(1.2, 4.0), fits=False) for s in one.sized.splices)
    assert "9.00 mm2" in raised(with_sized(one, splices=rows), "SPLICE-07")[0].what_is
    few = replace(
        one.job,
        shop=replace(one.job.shop, splice_max_wires=replace(one.job.shop.splice_max_wires, value=2.0)),
    )
    assert raised(replace(one, job=few), "SPLICE-08")


def test_sleeves_and_covers(clean):
    pieces = tuple(replace(p, fits=False, size="", words="no size passes") for p in clean.sized.sleeves)
    assert raised(with_sized(clean, sleeves=pieces), "SLEEVE-01")
    covers = tuple(
        replace(c, fits=False, size="", words="no size goes over") for c in clean.sized.branch_covers
    )
    assert raised(with_sized(clean, branch_covers=covers), "SLEEVE-04")


def test_board(clean):
    boards = tuple(replace(b, crossings=2) for b in clean.built.boards)
    one = replace(clean, built=replace(clean.built, boards=boards))
    assert "2 crossings" in raised(one, "BOARD-01")[0].what_is


def test_board_against_the_hand(clean):
    section = clean.built.boards[0].sections[0].section
    loom, name = section.split("/")
    angle = BoardAngle(loom, name, 90.0, "", ("board", name))
    boards = (replace(clean.built.boards[0], against_hand=(name,)), *clean.built.boards[1:])
    built = replace(clean.built, boards=boards)
    one = replace(clean, built=built, job=replace(clean.job, board_angles=(angle,)))
    assert raised(one, "BOARD-05")[0].place.path == ("board", name)


def test_pedal_and_throttle_share():
    body = device(
        "ETB",
        "electronic throttle body",
        "",
        {"1": '"m +"', "2": '"m -"', "3": '"s1"', "4": '"g3"', "5": '"tp 1"', "6": '"tp 2"'},
    )
    extra = '\ncavity."17" = { circuit = "s1", kind = "sensor supply", side = "gives" }'
    text = changed((ECU, ECU + extra), add=PEDAL + body)
    rows = found(text, "THROTTLE-04")
    assert "ETB and PED" in rows[0].what_is or "PED and ETB" in rows[0].what_is
    assert not [f for f in run(*worked(text)) if f.code == "THROTTLE-03"]
