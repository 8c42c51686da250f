"""An exit nobody noted, settled so that nothing crosses, is told alike on papers and in the browser."""

import pytest

from loomwright.job import WorkedJob, work_out
from loomwright.pack.pages import Table
from loomwright.pack.route import route
from loomwright.pack.view import View
from loomwright.web.views.board import board_view

SETTLED = "to the right, clear of the others"
CAR = """
format = 1
[job]
title = "A co-run past a branch point, invented"
[loom.engine]
datum = "D"
[rope.trunk]
loom = "engine"
from = "D"
reads = [["B1", 300], ["B2", 600], ["B3", 1000], ["V", 1090, "wire exit"]]
parts = [["X", 800, 100, "B1"]]
[rope.y]
loom = "engine"
from = "B2"
reads = [["Y", 150, "wire exit"]]
[rope.z]
loom = "engine"
from = "B2"
reads = [["Z", 150, "wire exit"]]
[rope.w]
loom = "engine"
from = "B3"
reads = [["W", 90, "wire exit"]]
[exit.D]
B1 = "front"
[exit.B1]
B2 = "front"
X = "left"
[exit.B2]
B3 = "front"
Z = "right"
"""


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> WorkedJob:
    folder = tmp_path_factory.mktemp("settled")
    devices = "".join(
        f'[device.{name}]\nis = "coolant temperature sensor"\ncavity."1" = "a"\ncavity."2" = "b"\n'
        for name in "VWXYZ"
    )
    (folder / "job.toml").write_text(CAR + devices, "utf-8")
    return work_out(folder)


def test_the_route_sheet_tells_it(done: WorkedJob):
    sheet = route(View(done.worked, done.findings))
    rows = {row[0]: row for table in sheet.blocks if isinstance(table, Table) for row in table.rows}
    assert rows["B2-Y"][2] == SETTLED
    assert str(rows["B2-Z"][2]).startswith("right")


def test_the_browsers_board_tells_it(done: WorkedJob):
    (shown,) = board_view(done)
    hands = {one["name"]: (one["hand"], one["hand_words"]) for one in shown["sections"]}
    assert hands["B2-Y"] == (-1, SETTLED)
