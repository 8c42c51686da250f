"""Plans from a map: read from the job, drawn from the rope, priced as the pack would list them."""

import math
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from loomwright.calc.priced_tree_plan import plan_tree
from loomwright.cli.app import main
from loomwright.demos import demo_folder
from loomwright.errors import RefusedEdit
from loomwright.job import WorkedJob, work_out, work_out_tried
from loomwright.jobfile.read import job_of_text
from loomwright.planning.alternatives_rows import row
from loomwright.planning.map_from_rope import drawn_links, map_from_tree
from loomwright.planning.map_lengths import places
from loomwright.planning.map_work import Chart, chart_of, improving, map_named, pareto, worked_plan
from loomwright.planning.price import price

SIX = demo_folder("six")
WITHOUT = (SIX / "job.toml").read_text("utf-8").partition("# ---- Where else")[0]  # the demo without its map


@pytest.fixture(scope="module")
def six() -> WorkedJob:
    return work_out(SIX)


def drawn(done: WorkedJob) -> Chart:
    tree = done.worked.routed.trees[0]
    return chart_of(
        partial(work_out_tried, done.read), "drawn", done.read.stock, map_from_tree(tree, "drawn", False)
    )


def test_the_map_of_a_rope_holds_its_lengths(six: WorkedJob) -> None:
    tree = six.worked.routed.trees[0]
    links = drawn_links(tree)
    shared = sum(one.until_mm for s in tree.sections for one in s.co_runs) / 2
    assert math.fsum(one.mm for one in links) == pytest.approx(
        math.fsum(s.length_mm for s in tree.sections) - shared
    )
    assert len({one.name for one in links}) == len(links)


def test_the_present_tree_planned_again_costs_what_it_did(six: WorkedJob) -> None:
    """The rope's own tree, taken from the map of the rope: the pack lists the same."""
    chart = drawn(six)
    work = partial(work_out_tried, six.read)
    points = pareto(chart, 5.0, list(improving(chart, 3.0))[-1])
    same = next(one for one in points if one.branch_points == chart.present.branch_points)
    planned = worked_plan(work, chart, same.answer, "as it is", six.read.stock)
    before, after = row("", price(six.worked, six.read.stock)), row("", planned.price)
    assert (after.wire_m, after.sheath_m, after.sheath_pieces) == pytest.approx(
        (before.wire_m, before.sheath_m, before.sheath_pieces)
    )
    assert after.money == pytest.approx(before.money, abs=1.0)
    assert planned.faults == ()


def test_the_best_of_the_map_is_proved_and_its_price_is_that_of_the_edited_job(six: WorkedJob) -> None:
    chart = drawn(six)
    best = plan_tree(chart.task.task, 10.0)
    assert best.proved
    work = partial(work_out_tried, six.read)
    planned = worked_plan(work, chart, best, "fewer points", six.read.stock)
    again = price(work(planned.edits).worked, six.read.stock)
    assert row("", again) == row("", planned.price)
    assert planned.price.money < price(six.worked, six.read.stock).money
    tree = work(planned.edits).worked.routed.trees[0]
    assert {s.name for s in tree.sections} == {one.name for one in planned.plan.sections}
    assert set(planned.plan.again) == {s.name for s in tree.sections}
    assert len(tree.branch_points) == best.worth.branch_points


def test_a_plan_is_taken_in_one_step_and_taken_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (SIX / "job.toml").read_text("utf-8")
    (tmp_path / "job.toml").write_text(text, "utf-8")
    asked = ["plan", str(tmp_path), "--map", "rope", "--seconds", "2"]
    assert main([*asked, "--apply", "1", "--reason", "less to close"]) == 0
    told = capsys.readouterr().out
    assert "measure on the rope" in told
    done = work_out(tmp_path)
    assert done.worked.job.plan is not None
    assert done.worked.job.plan.reason == "less to close"
    assert done.worked.job.plan.rows[1].money == pytest.approx(price(done.worked).money, abs=0.01)
    assert not done.faults
    assert main(["undo", str(tmp_path)]) == 0
    assert (tmp_path / "job.toml").read_text("utf-8") == text


def test_the_map_is_written_and_read_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.toml").write_text(WITHOUT, "utf-8")
    assert main(["plan", str(tmp_path), "--map", "rope", "--draw"]) == 0
    assert map_named(work_out(tmp_path).worked.job, "").name == "rope"
    assert not work_out(tmp_path).faults
    plot = tmp_path / "plot.svg"
    assert (
        main(["plan", str(tmp_path), "--map", "rope", "--seconds", "1", "--plot", str(plot), "--json"]) == 0
    )
    assert "branch points" in plot.read_text("utf-8")
    assert '"proved": true' in capsys.readouterr().out


def test_the_demos_map_says_something_the_rope_does_not(six: WorkedJob) -> None:
    work = partial(work_out_tried, six.read)
    chart = chart_of(work, "bay", six.read.stock)
    best = plan_tree(chart.task.task, 2.0)
    assert best.proved
    planned = worked_plan(work, chart, best, "x", six.read.stock)
    assert planned.faults == ()
    assert planned.plan.removed == ("air box",)
    assert planned.price.money + 3.0 < price(six.worked, six.read.stock).money
    way = {one.name: one.via for one in planned.plan.sections}
    assert way["B2-B3"] == ("P2",)
    stays = replace(chart.task.task, parts=(30.0,))
    assert plan_tree(stays, 2.0).opened == ()
    datum = next(one.datum for one in six.worked.job.looms)
    to_cabin = [one for one in chart.task.links if "ECU.A" in (one.a, one.b)]
    assert [{one.a, one.b} for one in to_cabin] == [{datum, "ECU.A"}]
    assert not any("past the hole" in note for note in chart.task.notes)


def test_wrong_words_are_answered_in_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.toml").write_text(WITHOUT, "utf-8")
    assert main(["plan", str(tmp_path), "--map", "bay"]) == 2
    assert "no map" in capsys.readouterr().err
    assert (
        main(["plan", str(tmp_path), "--map", "rope", "--seconds", "1", "--apply", "99", "--reason", "x"])
        == 2
    )
    assert "no plan 99" in capsys.readouterr().err
    assert main(["plan", str(tmp_path), "--map", "rope", "--seconds", "1", "--apply", "1"]) == 2
    assert "--reason" in capsys.readouterr().err


ROPELESS = """
format = 1
[job]
title = "invented"
[loom.engine]
datum = "bulkhead"
hole_mm = 40
[device.ECU]
family = "controller"
cavity."1" = "a"
cavity."2" = "b"
[device.S1]
family = "sensor"
cavity."1" = "a"
[device.S2]
family = "sensor"
cavity."1" = "b"
[map.bay]
[map.bay.point.P]
at = [0, 0, 0]
[map.bay.point.Q]
at = [300, 400, 0]
[map.bay.link."ECU-bulkhead"]
mm = 200
[map.bay.link."bulkhead-P"]
mm = 150
[map.bay.link."P-Q"]
[map.bay.link."Q-S1"]
mm = 120
[map.bay.link."Q-S2"]
mm = 130
air_c = 95
[map.bay.link."P-S2"]
mm = 900
needs = "box"
[map.bay.part.box]
price = 25
"""


def test_a_job_without_rope_is_planned_from_its_map() -> None:
    read = job_of_text(ROPELESS)
    assert [one for one in read.findings if one.code.startswith("FILE") and one.code != "FILE-09"] == []
    work = partial(work_out_tried, read)
    chart = chart_of(work, "", read.stock)
    assert chart.present is None
    assert sorted(chart.task.ends) == ["ECU", "S1", "S2"]
    best = plan_tree(chart.task.task, 10.0)
    assert best.proved
    planned = worked_plan(work, chart, best, "from the map", read.stock)
    done = work(planned.edits)
    tree = done.worked.routed.trees[0]
    far = {end: tree.from_datum_mm[end] for end in ("S1", "S2", "ECU")}
    assert far == pytest.approx({"S1": 150 + 500 + 120, "S2": 150 + 500 + 130, "ECU": 200})
    assert tree.by_name[tree.into["S2"].name].air_c == 95
    assert planned.plan.removed == ()
    assert not [one for one in done.findings if one.code in ("ROPE-02", "ROPE-03", "FILE-07")]


def test_a_way_past_the_hole_is_told() -> None:
    sides = ROPELESS.replace(
        "[device.ECU]\n",
        '[area.in]\nair_c = 30\nside = "cabin"\n[area.out]\nair_c = 80\nside = "bay"\n'
        '[device.ECU]\narea = "in"\n',
    )
    sides = sides.replace("[device.S1]\n", '[device.S1]\narea = "out"\n')
    sides += '[map.bay.link."ECU-P"]\nmm = 90\n'
    read = job_of_text(sides)
    notes = chart_of(partial(work_out_tried, read), "", read.stock).task.notes
    assert any("past the hole at bulkhead" in one for one in notes)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (('[map.bay.link."Q-S1"]\nmm = 120', '[map.bay.link."Q-S1"]'), "has no mm"),
        (('[map.bay.link."bulkhead-P"]\nmm = 150\n', ""), "reach"),
        (("at = [300, 400, 0]", 'tape = [["P", 500]]'), "4 or more"),
        (("at = [300, 400, 0]", 'tape = [["nowhere", 500]]'), "not known"),
    ],
)
def test_what_a_map_lacks_is_told(change: tuple[str, str], told: str) -> None:
    read = job_of_text(ROPELESS.replace(*change))
    with pytest.raises(RefusedEdit, match=told):
        chart_of(partial(work_out_tried, read), "", read.stock)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (('needs = "box"', 'needs = "bocks"'), "FILE-07"),
        (("at = [0, 0, 0]", "at = [0, 0]"), "FILE-04"),
        (('link."Q-S1"', 'link."QS1"'), "FILE-08"),
        (("[map.bay]\n", '[map.bay]\napart = [["a", "nothing"]]\n'), "FILE-07"),
        (("[map.bay]\n", '[map.bay]\napart = ["a"]\n'), "FILE-04"),
        (("[map.bay]\n", '[map.bay]\nloom = "other"\n'), "FILE-07"),
        (("[map.bay]\n", "[map.bay]\nexits = 2\n"), "FILE-04"),
    ],
)
def test_faults_of_a_map_are_findings(change: tuple[str, str], code: str) -> None:
    assert code in {one.code for one in job_of_text(ROPELESS.replace(*change)).findings}


def test_places_come_from_tapes() -> None:
    job = job_of_text(
        ROPELESS
        + "".join(
            f"[map.bay.point.H{n}]\nat = {at}\n"
            for n, at in enumerate(([900, 0, 0], [0, 900, 0], [0, 0, 900]))
        )
        + "[map.bay.point.X]\ntape = "
        + str(
            [
                [name, math.dist(at, (200, 300, 250))]
                for name, at in (
                    ("P", (0, 0, 0)),
                    ("H0", (900, 0, 0)),
                    ("H1", (0, 900, 0)),
                    ("H2", (0, 0, 900)),
                )
            ]
        ).replace("'", '"')
        + "\n"
    ).job
    assert places(job.maps[0])["X"] == pytest.approx((200, 300, 250), abs=0.1)
