"""Whose least size a wire misses, and which size would do."""

from dataclasses import replace

from checks.making import changed, codes, found, worked
from loomwright.checks.conductors import drop_worth_a_note

REASON = ('reason = "the stud of the box takes a 6 mm2 ring; what it feeds is fused at 5 A"\n', "")


def test_the_device_is_named_where_its_kind_asks_for_more():
    (one,) = found(changed(REASON), "WIRE-01")
    assert one.should == "A wire at BAT has at least 9.5 mm2 [common practice]."
    assert "name another family for battery feed" in one.remedy  # the family ends at 6 mm2


def test_a_reason_leaves_the_shops_figure_alone_to_hold():
    assert "WIRE-01" not in codes()


def test_the_shop_is_named_where_its_figure_is_missed():
    (one,) = found(changed(add='[circuit."manifold pressure"]\nsize = "0.35"\nreason = "test"\n'), "WIRE-01")
    assert one.should == "A single wire of this shop has at least 0.75 mm2 [builder]."
    assert one.remedy.startswith("Take 0.75 mm2")
    assert [edit.value for edit in one.mends] == ["0.75"]


def test_one_wire_that_drops_much_is_told_as_one():
    done = worked()[0]
    feeds = [row for row in done.sized.conductors if done.routed.wire[row.wire].kind == "feed"]
    told = [
        one.what_is
        for drop in (feeds[:1], feeds)
        for one in drop_worth_a_note(_dropping(done, drop))
        if one.subject == "feed"
    ]
    assert told[0].startswith("Feed wire: 0.30 V on ")
    assert told[1].startswith("Each of ")
    assert " loses more than 0.2 V, most of all 0.30 V on " in told[1]


def _dropping(done, rows):
    chosen = {row.wire for row in rows}
    sized = tuple(replace(row, own_drop_v=0.3 * (row.wire in chosen)) for row in done.sized.conductors)
    return replace(done, sized=replace(done.sized, conductors=sized))
