"""The plot of trees over their branch points: figures where the scales say, nothing covered, in the pack."""

import re
import shutil
from pathlib import Path

import pytest

from loomwright.cli.app import main
from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.model.plan import PlanRow
from loomwright.pack.draw_fewer_points import PANELS, cheapest, draw_fewer_points
from loomwright.pack.marks import Circle, Drawing, Line, Polyline, Text, bounds, extent
from loomwright.pack.pages import Figure
from loomwright.pack.papers import pack_head, papers
from loomwright.sheets.write_boards import BoardTask
from loomwright.sheets.write_more import PLOT, more_files


def rows(many: int, each: int = 1) -> list[PlanRow]:
    """Trees with figures that bend; the first is the tree as it was."""
    return [
        PlanRow(
            f"tree {points}/{n}",
            points,
            100.0 + points,
            20.0 + (many - points) ** 1.5 / 3 + n,
            50,
            9,
            150.0 + 0.9 * points + 0.1 * n,
            1500.0 + (many - points) ** 2,
            2000.0,
            7000.0 + 40.0 * abs(points - 5) + 3 * n,
        )
        for points in range(many, 0, -1)
        for n in range(each)
    ]


def shown(drawing: Drawing) -> list[Text]:
    return [one for one in drawing.marks if isinstance(one, Text)]


@pytest.mark.parametrize(("many", "each"), [(1, 2), (2, 1), (7, 3), (30, 1), (90, 1)])
def test_it_stays_on_its_paper_and_no_words_meet(many: int, each: int) -> None:
    some = rows(many, each)
    drawing = draw_fewer_points(some, some[-1].name, some[0].name)
    box = extent(drawing.marks)
    assert drawing.box.encloses(box)
    texts = [bounds(one).grown(-0.1) for one in shown(drawing)]
    assert not [(a, b) for n, a in enumerate(texts) for b in texts[:n] if a.meets(b)]


def test_dots_lie_where_the_scales_beside_them_say() -> None:
    some = rows(8, 2)
    drawing = draw_fewer_points(some, some[3].name, some[0].name)
    dots = [one.centre for one in drawing.marks if isinstance(one, Circle) and one.fill]
    assert len(dots) == len(PANELS) * len(some)
    for panel, (head, field, _) in enumerate(PANELS):
        mine = dots[panel * len(some) : (panel + 1) * len(some)]
        left, low = min(x for x, _ in mine), (66.0 if panel < 2 else 0.0)
        scale = sorted(
            (t.at[1], float(t.text))
            for t in shown(drawing)
            if t.side == "right"
            and t.level == "middle"
            and left - 20 < t.at[0] < left
            and low < t.at[1] < low + 66
        )
        (y0, v0), (y1, v1) = scale[0], scale[-1]
        for (_, y), one in zip(mine, some, strict=True):
            value = v0 + (y - y0) * (v1 - v0) / (y1 - y0)
            assert value == pytest.approx(getattr(one, field), abs=1e-6 * v1), head


def test_the_line_joins_the_cheapest_of_each_number() -> None:
    some = rows(6, 3)
    assert [one.branch_points for one in cheapest(some)] == [1, 2, 3, 4, 5, 6]
    assert all(one.name.endswith("/0") for one in cheapest(some))
    lines = [one for one in draw_fewer_points(some, "").marks if isinstance(one, Polyline)]
    assert [len(one.points) for one in lines] == [6] * len(PANELS)


def test_it_is_black_and_white_and_says_its_units() -> None:
    some = rows(5)
    drawing = draw_fewer_points(some, some[2].name, some[0].name)
    inks = {one.pen.ink for one in drawing.marks if isinstance(one, Line)}
    assert all(len(set(re.findall("..", ink[1:]))) == 1 for ink in inks)
    words = " ".join(one.text for one in shown(drawing))
    for head, _, _ in PANELS:
        assert head in words
    assert words.count("chosen") == words.count("as it was") == len(PANELS)


def test_a_taken_plan_has_its_plot_on_the_sheet_and_as_a_file(tmp_path: Path) -> None:
    folder = shutil.copytree(demo_folder("six"), tmp_path / "six")
    assert (
        main(["plan", str(folder), "--exact", "0", "--apply", "fewer:1", "--reason", "x"]) == 0
    )
    done = work_out(folder)
    plan = done.worked.job.plan
    assert plan is not None
    head = pack_head(done.worked, done.digest, "2030-01-01")
    (sheet,) = [
        one for one in papers(done.worked, done.findings, done.digest, "2030-01-01") if one.key == "plan"
    ]
    (figure,) = [one for one in sheet.blocks if isinstance(one, Figure)]
    assert figure.drawing == draw_fewer_points(plan.rows, plan.chosen, "as it was")
    assert len({one.branch_points for one in plan.rows}) >= 2
    (file,) = [
        one
        for one in more_files(BoardTask(done.worked, done.findings, head, "A4", None, None), "A4")
        if one.name == PLOT
    ]
    (row,) = [one for one in plan.rows if one.name == plan.chosen]
    assert f"chosen {row.money:.0f}" in file.data.decode()
