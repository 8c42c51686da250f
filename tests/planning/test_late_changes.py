"""Late changes to the demo jobs, as a builder makes them: what they cost, and nothing else."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest

from demos.test_late_change import AT_ECU, DEVICE
from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out, work_out_read
from loomwright.jobfile.kept import kept_text
from loomwright.jobfile.read import job_of_text
from loomwright.planning.change import Change, applied, change, cut_rows
from loomwright.planning.change_wires import Deed
from loomwright.records.issued_done import Done
from planning.editing import printed

Swaps = Sequence[tuple[str, str]]


@cache
def issued(name: str) -> WorkedJob:
    return work_out(demo_folder(name))


def changed(name: str, *swaps: tuple[str, str], add: str = "") -> WorkedJob:
    before = issued(name)
    text = before.read.document.text
    for old, new in swaps:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return work_out_read(job_of_text(text + add, kept_text(before.kept)))


def told(name: str, after: WorkedJob, done: Done | None = None) -> Change:
    before = issued(name)
    found = change(before.worked, after.worked, done or Done())
    assert applied(cut_rows(before.worked), found) == cut_rows(after.worked)
    return found


def all_cut(name: str) -> frozenset[str]:
    return frozenset(w.label for w in issued(name).worked.routed.wires)


def labels(found: Change, *deeds: Deed) -> list[str]:
    return [one.label for one in found.with_deed(*deeds)]


@cache
def with_sensor() -> WorkedJob:
    ecu = (AT_ECU, AT_ECU + 'cavity."50" = "exhaust pressure"\n')
    return changed("v8", ecu, ("[device.FLX]", DEVICE + "\n[device.FLX]"))


class TestOneSensorMore:
    def test_it_costs_three_wires(self) -> None:
        found = told("v8", with_sensor())
        assert labels(found, *Deed) == labels(found, Deed.CUT_NEW) == ["W219", "W220", "W221"]
        assert found.unchanged == 218
        assert {one.row.b.name for one in found.wires} | {one.row.a.name for one in found.wires} >= {
            "EBP:1",
            "EBP:2",
            "EBP:3",
            "ECU.B:50",
        }
        was, now = printed(issued("v8").worked), printed(with_sensor().worked)
        assert now.keys() - was.keys() == {"W219", "W220", "W221"}
        assert all(now[label] == row for label, row in was.items())

    def test_all_else_it_takes_is_told(self) -> None:
        found = told("v8", with_sensor())
        assert [one.subject for one in found.devices] == ["EBP"]
        assert [(one.subject, one.now) for one in found.sections] == [("engine/V1-EBP", "310 mm")]
        assert [one.subject for one in found.sleeves] == ["engine/V1-EBP"]
        assert [(one.subject, one.words.split(" Slide")[0]) for one in found.splices] == [
            ("SP23", "Takes in W219."),
            ("SP25", "Takes in W220."),
        ]
        assert [one.subject for one in found.cavities] == ["EBP:1", "EBP:2", "EBP:3", "ECU.B:50"]
        printed_new = [
            one.now for one in found.labels if one.deed is Deed.CUT_NEW and one.now.startswith("W")
        ]
        assert sorted(printed_new) == ["W219"] * 2 + ["W220"] * 2 + ["W221"] * 2
        assert found.stuck == ()

    def test_what_is_closed_stands_in_the_way(self) -> None:
        done = Done(
            spliced=frozenset({"SP23"}), sheathed=frozenset({"engine/B3-V1"}), closed=frozenset({"engine/V1"})
        )
        found = told("v8", with_sensor(), done)
        said = {one.words for one in found.stuck}
        assert "V1 is closed: W219, W220, W221 must run outside the sheath from V1, or open it." in said
        assert "V1 is closed: V1-EBP can only leave it outside the sheath, or open it." in said
        assert any(s.startswith("B3-V1 is sheathed: W219, W220, W221 must run outside") for s in said)
        assert any(s.startswith("SP23 is made. Takes in W219.") and "cut it out" in s for s in said)
        assert len(found.stuck) == 4


class TestBranchPointMoved:
    ADD = '\n[build."B3-B4"]\nloom = "engine"\nmm = {mm}\nreason = "clear of the bracket"\n'

    @staticmethod
    @cache
    def moved(mm: int) -> WorkedJob:
        return changed("hillclimb", add=TestBranchPointMoved.ADD.format(mm=mm))

    @staticmethod
    def through() -> list[str]:
        """Wires that reach the section's outer end; a splice in it stays at its mm from the inner end."""
        rows = issued("hillclimb").worked.routed.in_section["engine/B3-B4"]
        reach = [
            w for w in rows if any(s.section == "B3-B4" and 250.0 in (s.from_mm, s.to_mm) for s in w.way)
        ]
        return [w.label for w in sorted(reach, key=lambda w: w.number)]

    def test_only_wires_through_the_section_are_longer(self) -> None:
        found = told("hillclimb", self.moved(280))
        assert [(one.subject, one.was, one.now) for one in found.sections] == [
            ("engine/B3-B4", "250 mm", "280 mm")
        ]
        assert labels(found, *Deed) == labels(found, Deed.LENGTHEN) == self.through()
        assert all(one.now.cut_mm - one.was.cut_mm in (30, 40) for one in found.wires)

    def test_cut_ones_without_trim_are_cut_again(self) -> None:
        found = told("hillclimb", self.moved(280), Done(cut=all_cut("hillclimb")))
        again = found.with_deed(Deed.REPLACE)
        assert all(one.was.trim_a_mm == one.was.trim_b_mm == 0 for one in again)
        by_trim = found.with_deed(Deed.LENGTHEN)
        assert all("trim covers it" in one.words for one in by_trim)
        assert len(again) + len(by_trim) == len(self.through())
        assert again
        assert all(one.is_scrap for one in again)

    def test_more_than_the_trim_is_cut_again(self) -> None:
        found = told("hillclimb", self.moved(450), Done(cut=all_cut("hillclimb")))
        assert labels(found, Deed.REPLACE) == self.through()

    def test_shorter_is_trimmed(self) -> None:
        found = told("hillclimb", self.moved(200), Done(cut=all_cut("hillclimb")))
        assert labels(found, *Deed) == labels(found, Deed.SHORTEN) == self.through()
        assert all(one.words.startswith("Trim ") for one in found.wires)

    def test_a_sheathed_section_can_not_be_moved(self) -> None:
        done = Done(sheathed=frozenset({"engine/B3-B4"}), closed=frozenset({"engine/B4"}))
        found = told("hillclimb", self.moved(280), done)
        assert [one.words for one in found.stuck] == [
            "B3-B4 is sheathed at 250 mm and should be 280 mm: keep its length, or build it anew.",
            "B4 is closed and can't be moved; B3-B4 should have another length.",
        ]


def test_a_fuse_changed_is_a_fuse_changed() -> None:
    after = changed("hillclimb", ("[fuse.F4]\namps = 5", "[fuse.F4]\namps = 10"))
    found = told("hillclimb", after)
    assert found.wires == found.splices == found.cavities == found.labels == ()
    (fuse,) = found.protections
    assert (fuse.subject, fuse.was.split(",")[0], fuse.now.split(",")[0]) == (
        "F4",
        "blade fuse 5 A",
        "blade fuse 10 A",
    )


def test_a_fuse_that_needs_thicker_wire_says_which() -> None:
    after = changed("hillclimb", ("[fuse.F4]\namps = 5", "[fuse.F4]\namps = 30"))
    found = told("hillclimb", after, Done(cut=all_cut("hillclimb")))
    was, now = (one.worked.sized.conductor for one in (issued("hillclimb"), after))
    thicker = {name for name, row in now.items() if was[name].size != row.size}
    assert {one.row.identity for one in found.with_deed(Deed.REPLACE)} == thicker


class TestDeviceRemoved:
    @staticmethod
    @cache
    def bare() -> WorkedJob:
        text = issued("hillclimb").read.document.text
        first = text.index("[device.IDV]")
        return changed("hillclimb", (text[first : text.index("\n[device.", first + 3)], ""))

    def test_its_wires_go_and_no_other(self) -> None:
        own = {w.label for w in issued("hillclimb").worked.routed.wires if "IDV:" in w.a.name + w.b.name}
        found = told("hillclimb", self.bare())
        assert set(labels(found, *Deed)) == set(labels(found, Deed.REMOVE)) == own
        assert all("Don't cut it" in one.words for one in found.wires)

    def test_laid_ones_are_sealed_where_the_sheath_is_on(self) -> None:
        done = Done(cut=all_cut("hillclimb"), sheathed=frozenset({"engine/B4-B5"}))
        found = told("hillclimb", self.bare(), done)
        assert [one.words for one in found.stuck] == [
            "B4-B5 is sheathed: W58 can stay in it, both ends cut back and sealed."
        ]
        assert all("not given again" in one.words for one in found.wires)


def test_another_cavity_moves_a_contact_and_cuts_nothing() -> None:
    line = 'cavity."9" = "air temperature"\ncavity."10" = "oil temperature"\ncavity."11" = "oil pressure"'
    text = issued("hillclimb").read.document.text
    at = text.index("[device.ECU.connector.B]")
    tail = text[at:]
    after = changed("hillclimb", (tail, tail.replace(line, line.replace('"9"', '"34"'), 1)))
    found = told("hillclimb", after)
    (one,) = found.wires
    assert one.deed is Deed.MOVE
    assert "out of ECU.B:9" in one.words
    assert "into ECU.B:34" in one.words
    assert [piece.subject for piece in found.cavities] == ["X3C:8", "ECU.B:9", "ECU.B:34"]


@pytest.mark.parametrize("kept_colour", [True, False])
def test_a_circuit_called_otherwise_is_the_same_wire(kept_colour: bool) -> None:
    name = "inj 1" if kept_colour else "manifold pressure"
    text = issued("six").read.document.text
    after = work_out_read(
        job_of_text(text.replace(f'"{name}"', f'"{name} anew"'), kept_text(issued("six").kept))
    )
    found = told("six", after, Done(cut=all_cut("six")))
    if kept_colour:
        assert labels(found, *Deed) == labels(found, Deed.RELABEL)
        assert len(found.wires) == 1
        return
    (gone,), (new,) = found.with_deed(Deed.REMOVE), found.with_deed(Deed.CUT_NEW)
    assert gone.row.colour != new.row.colour
    assert f"{new.label} differs from it in colour" in gone.words
    assert f"fix {gone.row.colour} in the job" in gone.words


def test_a_breakout_from_another_point_is_laid_another_way() -> None:
    after = changed(
        "six", ('[section."B3-K1"]\nmm = 170', '[section."B1-K1"]\nmm = 380'), ('K1 = "front"\n', "")
    )
    found = told("six", after, Done(sheathed=frozenset({"engine/B1-B3"}), cut=all_cut("six")))
    relaid = found.with_deed(Deed.RELAY)
    assert relaid
    assert all(one.differs == () for one in relaid)
    assert all("engine/B1-K1" in one.entered and "engine/B3-K1" in one.left for one in relaid)
    assert all("it ran through" in one.words for one in relaid)
    assert any("can stay in it" in one.words for one in found.stuck)


def test_a_wire_cut_for_a_splice_may_be_cut_there() -> None:
    """A second sensor at a lone 0 V wire: the wire goes, its halves meet in a splice."""
    add = """
[device.CLT]
is = "coolant temperature sensor"
area = "block"
settled = true
face = "one row 2"
face_checked = true
cavity."1" = "coolant temperature"
cavity."2" = "sensor 0 V"

[section."B2-CLT"]
mm = 240
"""
    found = told("six", changed("six", add=add), Done(cut=all_cut("six")))
    (gone,) = found.with_deed(Deed.REMOVE)
    assert gone.label == "W14"
    assert "In its place" in gone.words
    assert "long enough to be cut there" in gone.words


def test_a_wire_told_from_its_other_end_stays() -> None:
    """Its row is printed otherwise, so the list names it; there is nothing to do."""
    before = issued("six").worked
    wire = before.routed.wires[0]
    length = before.sized.length[wire.identity]
    turned = replace(wire, a=wire.b, b=wire.a, way=wire.way[::-1])
    other = replace(length, trim_a_mm=length.trim_b_mm, trim_b_mm=length.trim_a_mm)
    after = replace(
        before,
        routed=replace(before.routed, wires=(turned, *before.routed.wires[1:])),
        sized=replace(before.sized, lengths=tuple(other if x is length else x for x in before.sized.lengths)),
    )
    found = change(before, after, Done())
    assert [(one.label, one.deed) for one in found.wires] == [(wire.label, Deed.ON_PAPER)]
    assert found.wires[0].words == "From and to have changed places; the wire stays."
    assert applied(cut_rows(before), found) == cut_rows(after)


def test_names_nobody_knows_are_told() -> None:
    done = Done(cut=frozenset({"W1", "W999"}), closed=frozenset({"engine/NOWHERE"}))
    found = told("six", issued("six"), done)
    assert found.unknown == ("W999", "engine/NOWHERE")


@pytest.mark.parametrize("name", ["six", "hillclimb"])
def test_a_splice_moved_keeps_its_wires_numbers(name: str) -> None:
    before = issued(name)
    splice = before.worked.routed.splices[0]
    text = kept_text(before.kept)
    line = next(x for x in text.splitlines() if x.startswith(f'"{splice.identity}" = {{'))
    tree = before.worked.routed.tree[splice.loom]
    length = tree.by_name[splice.place.section].length_mm
    mm = splice.place.mm + 20 if splice.place.mm + 60 < length else splice.place.mm - 20
    other = f'"{splice.identity}" = {{ section = "{splice.place.section}", mm = {mm} }}'
    after = work_out_read(job_of_text(before.read.document.text, text.replace(line, other)))
    found = told(name, after)
    (one,) = found.splices
    assert one.subject == splice.name
    assert "Lies elsewhere" in one.words
    moved = {before.worked.routed.wire[i].label for i in splice.wires}
    assert set(labels(found, *Deed)) <= moved
