"""Alternatives: priced as their own pack would be, ranked, chosen by the price of a branch point."""

import json
from functools import cache, partial

import pytest

from loomwright.cli import main
from loomwright.demos import demo_folder
from loomwright.job import work_out, work_out_read, work_out_tried
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.read import job_of_text
from loomwright.planning.alternatives import alternatives, chosen, crowded, doing_without
from loomwright.planning.alternatives_chain import branch_point_at_every_device, fewer, one_branch_point
from loomwright.planning.alternatives_rows import choice_edits, row
from loomwright.planning.price import price
from whole.made_jobs import made_job


@cache
def found(name, exact=20):
    done = work_out(demo_folder(name))
    return done, alternatives(partial(work_out_tried, done.read), exact)


@pytest.mark.parametrize(("name", "every"), [("six", 1), ("hillclimb", 6)])
def test_what_is_applied_costs_what_was_shown(name, every):
    done, some = found(name)
    assert row("", some.present) == row("", price(done.worked))
    for one in some.exact[::every]:
        text = apply(done.read.document, one.edits).text
        after = work_out_read(job_of_text(text), boards=False)
        assert price(after.worked) == one.price, one.name


@pytest.mark.parametrize("seed", range(200, 230))
def test_what_is_applied_costs_what_was_shown_on_any_job(seed):
    read = job_of_text(made_job(seed).text)
    some = alternatives(partial(work_out_tried, read), 3)
    for one in some.exact[:3]:
        if one.price is not None:
            after = work_out_read(job_of_text(apply(read.document, one.edits).text), boards=False)
            assert price(after.worked) == one.price, one.name
            assert all(s.length_mm > 0 for tree in after.trees for s in tree.sections)


def test_the_quick_figure_puts_the_best_first():
    _, some = found("six")
    exact = [one for one in some.exact if one.price is not None]
    for one in exact:
        assert one.about == pytest.approx(one.price.money - some.present.money, abs=8.0), one.name
    quick = sorted(exact, key=lambda one: one.about)
    best = min(exact, key=lambda one: one.price.money)
    assert best in quick[:4]


def test_sound_ones_come_first_by_money():
    _, some = found("hillclimb")
    sound = [one.price.money for one in some.exact if one.sound]
    assert sound == sorted(sound)
    first = [one.sound for one in some.exact]
    assert first == sorted(first, reverse=True)
    assert not any(one.price for one in some.found[len(some.exact) :])


def test_branch_points_never_rise_with_their_price():
    _, some = found("six")
    counts = []
    for more in (-200, -60, -42, -30, -5, 0, 5, 40, 200):
        best = chosen(some, more)
        counts.append(some.present.branch_points if best is None else best.price.branch_points)
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]


def test_every_branch_point_but_a_datum_has_its_price():
    done, some = found("hillclimb")
    points = {(t.loom, p) for t in done.trees for p in t.branch_points if p in t.into}
    points -= {("key", "T1")}  # next to ends alone: nothing to be one with
    assert {(loom, point) for loom, point, _ in doing_without(some)} == points
    for _, point, one in doing_without(some):
        assert one.price is not None
        assert one.moves[0].point == point


def test_ever_fewer_branch_points():
    done, some = found("six")
    down = fewer(partial(work_out_tried, done.read))
    counts = [some.present.branch_points, *(one.price.branch_points for one in down)]
    assert counts == sorted(set(counts), reverse=True)
    assert counts[-1] == 1
    assert all(one.sound for one in down)


def test_one_branch_point_in_all_and_one_at_every_device():
    done, some = found("six")
    work = partial(work_out_tried, done.read)
    one, every = one_branch_point(work, done.read), branch_point_at_every_device(work, done.read)
    assert one.price.branch_points == 1
    assert every.price.branch_points > some.present.branch_points
    assert one.price.mass.copper_g > some.present.mass.copper_g > 0.99 * every.price.mass.copper_g
    assert one.price.minutes < some.present.minutes < every.price.minutes
    (tree,) = work_out_tried(done.read, every.edits).trees
    assert not any(s.co_runs for s in tree.sections)


def test_a_crowded_point_is_told():
    reads = "".join(f'[section."P-S{n}"]\nmm = {100 + n}\n' for n in range(9))
    devices = "".join(f'[device.S{n}]\nfamily = "sensor"\ncavity."1" = "c"\n' for n in range(9))
    text = f'format = 1\n[loom.e]\ndatum = "D"\n[section."D-P"]\nmm = 200\n{reads}{devices}'
    (tree,) = work_out_read(job_of_text(text)).trees
    assert list(crowded(tree)) == ["crowded P: 10 sections meet, at most 8"]


def job(tmp_path, name="six"):
    (tmp_path / "job.toml").write_bytes((demo_folder(name) / "job.toml").read_bytes())
    return tmp_path


def test_applied_as_one_step_and_undone(tmp_path, capsys):
    folder = job(tmp_path)
    before = (folder / "job.toml").read_bytes()
    assert main(["plan", str(folder), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    first = told["alternatives"][0]
    assert main(["plan", str(folder), "--apply", "1", "--reason", "one cover less"]) == 0
    assert "loomwright undo" in capsys.readouterr().out
    assert len((folder / "edits.log").read_text("utf-8").splitlines()) == 1
    done = work_out(folder)
    assert done.read.job.plan.chosen == first["name"]
    assert done.read.job.plan.reason == "one cover less"
    now = row("", price(done.worked))
    assert now.money == pytest.approx(first["price"]["money"])
    (kept,) = [one for one in done.read.job.plan.rows if one.name == first["name"]]
    assert kept.money == pytest.approx(now.money, abs=0.006)
    assert main(["undo", str(folder)]) == 0
    assert (folder / "job.toml").read_bytes() == before


def test_a_choice_needs_a_reason_and_has_to_be_there(tmp_path, capsys):
    folder = job(tmp_path)
    before = (folder / "job.toml").read_bytes()
    assert main(["plan", str(folder), "--apply", "1"]) == 2
    assert "--reason" in capsys.readouterr().err
    assert main(["plan", str(folder), "--apply", "99", "--reason", "x"]) == 2
    assert main(["plan", str(folder), "--apply", "no such", "--reason", "x"]) == 2
    assert (folder / "job.toml").read_bytes() == before


def test_the_edits_of_a_choice_can_be_taken_in_any_text():
    done, some = found("six")
    edits = choice_edits(some, some.exact[0], "why")
    after = job_of_text(apply(done.read.document, edits).text)
    assert [f.code for f in after.findings] == [f.code for f in done.read.findings]
    assert after.job.plan.rows[0].name == "as it was"


def test_a_broken_row_of_the_plan_is_a_finding():
    text = 'format = 1\n[plan]\nchosen = "x"\npriced = [["a", 1], ["b", 1, 1, 1, 1, 1, 1, 1, 1, 1]]\n'
    read = job_of_text(text)
    assert [one.name for one in read.job.plan.rows] == ["b"]
    assert [f.code for f in read.findings if f.place.path[:1] == ("plan",)] == ["FILE-04"]
