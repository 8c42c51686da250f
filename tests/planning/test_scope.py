"""Counts, hours and material from a phone call: do they follow what was told, and whose figures they are."""

import csv
import io
import tomllib
from importlib.resources import files
from math import hypot
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomwright.errors import Unreadable
from loomwright.jobfile.read import job_of_text
from loomwright.jobfile.read_stock import Stock, read_stock
from loomwright.library.tables import rows
from loomwright.planning.effort import cost_of, hours_of, material_of
from loomwright.planning.effort_counts import counts_of, counts_of_job, guide_for, usual_devices
from loomwright.planning.scope import SCOPE, read_scope, scope_text
from loomwright.sources import Mark
from loomwright.starters import starter_text

# One reference job, from memory.
REFERENCE = (
    "devices=50",
    "connectors=45",
    "wires=150",
    "contacts=310",
    "splices=12",
    "branch_points=18",
    "sensors=14",
)


def bands(*words):
    return {one.key: one.band for one in counts_of(read_scope("", words))}


def hours(*words, stock=None):
    scope = read_scope("", words)
    return hours_of(scope, counts_of(scope), stock or Stock())


@pytest.mark.parametrize(("lay", "least", "most"), [("straight", 72, 134), ("concentric", 89, 175)])
def test_the_reference_job_takes_about_the_hours_recalled_for_it(lay, least, most):
    """Sums of the least and of the most, from memory; minutes recalled by the unit part from them by 6 %."""
    found = hours(*REFERENCE, f"lay={lay}").straight
    assert found.least == pytest.approx(least, rel=0.06)
    assert found.most == pytest.approx(most, rel=0.06)


@pytest.mark.parametrize(
    "words",
    [
        ("cylinders=4", "injection=sequential", "throttle=cable"),
        ("cylinders=6", "injection=sequential", "throttle=electronic", "cams=2"),
        ("cylinders=8", "throttle=electronic", "cams=4", "knock=2", "wideband=2"),
    ],
)
def test_usual_devices_meet_the_counting_guide(words):
    scope = read_scope("", words)
    guide, found = guide_for(scope), bands(*words)
    assert guide is not None
    for here, told in ((found["devices"], guide.devices), (found["wires"], guide.wires)):
        assert here.least <= told.most
        assert told.least <= here.most
        assert here.least < told.middle < here.most


def test_an_engine_of_another_size_does_not_meet_it():
    guide = guide_for(read_scope("", ("cylinders=4",)))
    eight = bands("cylinders=8", "throttle=electronic", "cams=4", "knock=2", "wideband=2")
    assert eight["devices"].least > guide.devices.most
    assert eight["wires"].least > guide.wires.most


def test_an_answer_narrows_and_never_widens():
    wide = bands("cylinders=4")
    for answer in ("cams=1", "knock=0", "wideband=1", "sensors=10", "injection=sequential"):
        narrow = bands("cylinders=4", answer)
        assert (
            narrow["devices"].most - narrow["devices"].least <= wide["devices"].most - wide["devices"].least
        )
    assert bands("cylinders=4", "wires=90")["wires"].source.mark is Mark.BUILDER


def test_batch_injection_saves_two_to_six_wires_through_the_bulkhead():
    many = bands("cylinders=4", "injection=sequential", "cams=1")["bulkhead"]
    few = bands("cylinders=4", "injection=batch", "cams=1")["bulkhead"]
    assert (many.least - few.least, many.most - few.most) == pytest.approx((6, 2))


def test_wasted_spark_halves_the_coils():
    coils = [
        one.number.most
        for words in ("ignition=coil per cylinder", "ignition=wasted spark")
        for one in usual_devices(read_scope("", ("cylinders=6", words)))
        if one.name.startswith("coil")
    ]
    assert [coil for coil in coils if coil > 1] == [6, 3]


def test_own_minutes_replace_ours_and_say_so():
    stock, _ = read_stock("[minutes]\nper_splice = 20\nper_wire_end = 1\n")
    steps = {one.key: one for one in hours(*REFERENCE, stock=stock).steps}
    assert steps["splices"].hours.least == steps["splices"].hours.most == pytest.approx(4.0)
    assert steps["ends"].minutes.source.mark is Mark.BUILDER
    assert steps["lay-up"].minutes.source.mark is Mark.MEMORY
    scope = read_scope("devices = 50\n[minutes]\nper_splice = 5\n")
    both = {one.key: one for one in hours_of(scope, counts_of(scope), stock).steps}
    assert both["splices"].minutes.least == 5


def test_a_first_loom_takes_two_to_three_times_as_long():
    one, other = hours(*REFERENCE), hours(*REFERENCE, "first_loom=yes")
    assert other.straight.least == pytest.approx(2 * one.straight.least)
    assert other.straight.most == pytest.approx(3 * one.straight.most)


def test_likely_hours_add_minutes_in_square():
    found = hours(*REFERENCE, "branches=30")
    fixed = [one for one in found.steps if one.number.least == one.number.most]
    other = [one for one in found.steps if one not in fixed]
    middle = sum(one.number.most * one.minutes.middle for one in (*fixed, *other))
    doubt = hypot(*(one.number.most * one.minutes.half for one in (*fixed, *other)))
    assert found.likely.most == pytest.approx((middle + doubt) / 60)
    assert found.straight.least < found.likely.least < found.likely.most < found.straight.most


def test_level_and_closing_choose_their_own_steps():
    plain = {one.key for one in hours(*REFERENCE).steps}
    other = {one.key for one in hours(*REFERENCE, "level=motorsport", "closing=boots").steps}
    assert {"ends", "close"} <= plain
    assert {"ends machined", "close boots"} <= other
    assert not {"ends", "close"} & other


def test_prices_come_from_the_shelf_alone():
    text = (
        '[[item]]\nkind = "wire"\nname = "a"\nprice = 0.4\n[[item]]\nkind = "wire"\nname = "b"\nprice = 0.9\n'
    )
    scope = read_scope("", REFERENCE)
    stock, _ = read_stock(text)
    cost, open_ = cost_of(material_of(scope, counts_of(scope), stock))
    assert (cost.least, cost.most) == pytest.approx((150 * 1.5 * 0.4, 150 * 2.5 * 0.9))
    assert "plugs" in open_
    assert cost_of(material_of(scope, counts_of(scope), Stock()))[0] is None


def test_a_longer_trunk_takes_more_wire():
    def wire(*words):
        scope = read_scope("", (*REFERENCE, *words))
        return material_of(scope, counts_of(scope), Stock())[0].need.most

    assert wire("trunk_mm=3200") == pytest.approx(2 * wire())


def test_a_listed_job_is_counted_device_by_device():
    job = job_of_text(starter_text("four-cylinder")).job
    found = {one.key: one.band for one in counts_of_job(job, read_scope(""))}
    assert found["devices"].least == found["devices"].most == len(job.devices)
    assert sum(found[key].most for key in ("sensors", "actuators", "controllers", "supply")) == len(
        job.devices
    )
    assert found["devices"].source.mark is Mark.BUILDER


def test_wires_of_a_list_lie_between_pin_to_pin_and_splice():
    from loomwright.job import work_out
    from pack.worked_jobs import SMALL

    done = work_out(SMALL)
    found = {one.key: one.band for one in counts_of_job(done.worked.job, read_scope(""))}["wires"]
    assert found.least <= len(done.worked.routed.wires) <= found.most


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        ("cylnders = 4", (), "scope.toml:1  There is no key cylnders"),
        ("\ncylinders = 40", (), "scope.toml:2  cylinders is 40"),
        ("cylinders = ", (), "scope.toml:1"),
        ("", ("cylinders",), '--counts  "cylinders" is no count'),
        ("", ("throttle=rod",), 'It should be one of: "cable", "electronic"'),
        ("", ("sensors=-1",), "sensors is -1"),
        ("", ("sensors=nan",), "sensors is"),
        ('cams = "two"\nknock = true', (), "knock is"),
    ],
)
def test_what_cant_be_taken_is_named(text, words, said):
    with pytest.raises(Unreadable) as caught:
        read_scope(text, words)
    assert said in str(caught.value)


def test_too_little_gives_no_counts():
    assert counts_of(read_scope("")) == ()
    assert counts_of(read_scope("", ("sensors=5",))) == ()
    assert counts_of(read_scope("", ("sensors=5", "actuators=9"))) != ()


def test_counts_of_the_command_line_are_read_back_from_the_file():
    words = ("cylinders=4", "throttle=electronic", "first_loom=yes", "rate=62.5")
    assert read_scope(scope_text(words)) == read_scope("", words)


@given(st.integers(1, 16), st.sampled_from(["sequential", "batch"]), st.sampled_from(["cable", "electronic"]))
def test_least_is_never_above_most(cylinders, injection, throttle):
    words = (f"cylinders={cylinders}", f"injection={injection}", f"throttle={throttle}")
    assert all(0 <= band.least <= band.most for band in bands(*words).values())
    found = hours(*words)
    assert found.straight.least <= found.likely.least <= found.likely.most <= found.straight.most


def test_every_row_of_the_tables_has_its_mark():
    folder = files("loomwright.planning") / "data"
    for name in ("usual_devices", "count_rules", "counts_guide", "effort", "material", "questions", "tools"):
        text = (folder / f"{name}.csv").read_text("utf-8")
        for row in rows(text, name):
            assert row.source().mark in (Mark.PRACTICE, Mark.MEMORY, Mark.OURS), f"{name}:{row.line}"


def test_questions_ask_for_keys_there_are():
    text = (files("loomwright.planning") / "data" / "questions.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    keys = {row["key"] for row in csv.DictReader(io.StringIO("\n".join(lines)))} - {""}
    assert keys <= set(SCOPE.inner)


def test_every_key_is_in_the_manual():
    page = (Path(__file__).parents[2] / "docs" / "how-to" / "first-phone-call.md").read_text("utf-8")
    example = page.split("```toml")[1].split("```")[0]
    told = tomllib.loads(example)
    assert set(told) == set(SCOPE.inner)
    assert set(told["minutes"]) == set(SCOPE.inner["minutes"].inner)
    read_scope(example)
