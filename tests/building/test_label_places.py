"""A wire's number lies beyond what trimming cuts off, and both numbers have room."""

import pytest

from loomwright.demos import demo_folder
from loomwright.job import work_out


@pytest.mark.parametrize("name", ["six", "hillclimb"])
def test_no_trim_reaches_a_number(name):
    worked = work_out(demo_folder(name)).worked
    found = {}
    for label in worked.built.labels:
        if label.kind == "wire":
            found.setdefault(label.of, []).append(label)
    trimmed = 0
    for wire in worked.routed.wires:
        length = worked.sized.length[wire.identity]
        a, b = found[wire.identity]
        for label, trim in ((a, length.trim_a_mm), (b, length.trim_b_mm)):
            assert label.from_end_mm >= trim, label.place
            trimmed += trim > 0
        both = a.from_end_mm + b.from_end_mm
        assert both <= length.cut_mm, wire.label
        if wire.path_mm >= a.width_mm:
            assert both + a.width_mm <= length.exact_mm + 1e-6, wire.label
    assert trimmed > 5


def test_what_is_not_on_a_wire_is_not_measured_from_a_wire_s_end():
    labels = work_out(demo_folder("six")).worked.built.labels
    assert all((label.from_end_mm > 0) == (label.kind == "wire") for label in labels)
