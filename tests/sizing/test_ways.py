"""Doubt along a way: shared readings cancel, common errors add straight."""

import math

import pytest

from loomwright.jobfile.read import job_of_text
from loomwright.mockup.trees import trees
from loomwright.sizing.ways import way_doubt_mm

ROPE = """format = 1
[job]
title = "invented"
[shop]
stretch_per_m_mm = 0
[loom.engine]
datum = "D"
[device.P]
cavity."1" = "a"
[device.Q]
cavity."1" = "a"
[rope.trunk]
loom = "engine"
from = "D"
reads = [["B1", 500, 4], ["B2", 900, 3], ["P", 1200, 12]]
common_mm = 2
[rope.side]
loom = "engine"
from = "B1"
reads = [["Q", 200, 5]]
"""


def way(a: str, b: str) -> float:
    tree = trees(job_of_text(ROPE).job)[0][0]
    return way_doubt_mm(tree.way(a, b))


def test_a_whole_tape_has_the_doubt_of_its_last_reading_alone() -> None:
    assert way("D", "P") == pytest.approx(12 + 2)


def test_a_difference_has_both_its_readings() -> None:
    assert way("B1", "P") == pytest.approx(math.hypot(4, 12))


def test_a_way_out_and_back_over_one_branch_point_counts_its_reading_once_per_tape() -> None:
    assert way("Q", "B2") == pytest.approx(math.sqrt(5**2 + 4**2 + 3**2))


def test_without_readings_a_section_stands_for_itself() -> None:
    from dataclasses import replace

    tree = trees(job_of_text(ROPE).job)[0][0]
    bare = [replace(s, readings=()) for s in tree.way("D", "P")]
    assert way_doubt_mm(bare) > way("D", "P")
