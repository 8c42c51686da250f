"""Direct links guessed from places: only near ones, never past the bulkhead, always told as guesses."""

import math
from functools import partial
from pathlib import Path

import pytest

from loomwright.cli.app import main
from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out, work_out_tried
from loomwright.planning.map_direct import FACTOR, SHORTER, Direct, direct_links
from loomwright.planning.map_from_rope import drawn_links, map_from_tree
from loomwright.planning.map_lengths import places
from loomwright.planning.map_work import chart_of, improving, worked_plan

TEXT = (demo_folder("six") / "job.toml").read_text("utf-8")
BARE = TEXT.partition("# ---- Where else")[0]


def job(folder: Path, text: str) -> WorkedJob:
    (folder / "job.toml").write_text(text, "utf-8")
    return work_out(folder)


def direct(done: WorkedJob) -> Direct:
    tree = done.worked.routed.trees[0]
    return direct_links(done.worked.job, tree, drawn_links(tree))


def test_every_guess_is_shorter_than_the_rope_and_near(tmp_path: Path) -> None:
    done = job(tmp_path, TEXT)
    found = direct(done)
    at = dict(found.at)
    known = places(done.worked.job.maps[0])
    assert at == {name: place for name, place in known.items() if name in at}
    assert {"P1", "P2"} & set(known)
    assert not {"P1", "P2"} & set(at)
    assert found.guesses
    for one in found.guesses:
        assert one.straight_mm == pytest.approx(math.dist(at[one.a], at[one.b]))
        assert one.mm == pytest.approx(FACTOR.value * one.straight_mm)
        assert one.mm < SHORTER * one.rope_mm
        middle = [(x + y) / 2 for x, y in zip(at[one.a], at[one.b], strict=True)]
        inside = [name for name in at if math.dist(middle, at[name]) < one.straight_mm / 2 - 1e-6]
        assert inside == []
        assert one.name in found.words
    assert "measure it before it is used" in found.words


def test_nothing_is_guessed_past_the_bulkhead(tmp_path: Path) -> None:
    """The controller sits 10 mm behind a branch point, but on the other side."""
    text = TEXT.replace("[map.bay.link]", '"ECU.A" = { at = [-220, 200, -60] }\n\n[map.bay.link]', 1)
    found = direct(job(tmp_path, text))
    assert "ECU.A" in dict(found.at)
    met = {name for one in found.guesses for name in (one.a, one.b) if "ECU.A" in (one.a, one.b)}
    assert met == {"ECU.A", "bulkhead"}  # straight from the hole, nearer than the rope went


def test_without_places_it_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = direct(job(tmp_path, BARE))
    assert found.guesses == ()
    assert main(["plan", str(tmp_path), "--map", "rope", "--draw"]) == 0
    assert "No point of the rope has a place, so no direct link is added" in capsys.readouterr().out
    assert "guess" not in (tmp_path / "job.toml").read_text("utf-8").replace("guessed", "")


def test_a_plan_on_guesses_leaves_the_rope_and_says_what_is_guessed(tmp_path: Path) -> None:
    done = job(tmp_path, TEXT)
    tree, found = done.worked.routed.trees[0], direct(done)
    edits = map_from_tree(tree, "rope", False, found.at, [(one.name, one.mm) for one in found.guesses])
    work = partial(work_out_tried, done.read)
    chart = chart_of(work, "rope", done.read.stock, edits)
    assert {f"{one.a}-{one.b}" for one in chart.task.links if one.guess} == {
        one.name for one in found.guesses
    }
    planned = worked_plan(work, chart, list(improving(chart, 2.0))[-1], "why", done.read.stock)
    guessed = [one for one in planned.plan.sections if one.guessed]
    assert guessed
    words = {one.path[1]: str(one.value["reason"]) for one in planned.edits if one.path[0] == "build"}
    for one in planned.plan.sections:
        assert ("guessed" in words[one.name]) == bool(one.guessed)


def test_the_drawn_map_is_read_again_with_its_guesses(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job(tmp_path, TEXT)
    assert main(["plan", str(tmp_path), "--map", "rope", "--draw"]) == 0
    chart = next(one for one in work_out(tmp_path).worked.job.maps if one.name == "rope")
    assert sum(one.guess for one in chart.links) == 3
    assert main(["plan", str(tmp_path), "--map", "rope", "--seconds", "1"]) == 0
    assert "guessed, measure first: B2-B3" in capsys.readouterr().out
