"""A faulty line is shown mended: with the builder's own names and numbers as far as they go."""

import pytest

from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.read import job_of_text
from loomwright.jobfile.toml_text import read_text

JOB = """format = 1
[job]
title = "small"
volts = 13.8
[area.bay]
air_c = 60
[loom.engine]
datum = "bulkhead"
[device.INJ1]
is = "injector, high impedance"
area = "bay"
settled = true
cavity."1" = "feed"
[rope.trunk]
from = "bulkhead"
reads = [["B1", 300], ["INJ1", 640]]
parts = [["MAP", 400, 60]]
"""
READS = 'reads = [["B1", 300], ["INJ1", 640]]'
ROWS = {
    'reads = [["B1", "300"], ["INJ1", 640]]': ("its running distance stands in quotes", 'Write ["B1", 300].'),
    'reads = [["B1", "300 mm"], ["INJ1", 640]]': ("stands in quotes", 'Write ["B1", 300].'),
    'reads = [[300, "B1"], ["INJ1", 640]]': ("a point in quotes does not come first", 'Write ["B1", 300].'),
    'reads = [["B1"], ["INJ1", 640]]': ("its running distance is missing", 'Write ["B1", mm]'),
    'reads = [[["B1", 300]], ["INJ1", 640]]': ("one pair of brackets too many", 'Write ["B1", 300].'),
    'reads = [["B1", -300], ["INJ1", 640]]': ("is below 0", 'Write ["B1", mm]'),
    'reads = ["B1", ["INJ1", 640]]': ("no row in brackets of its own", 'Write ["B1", mm]'),
    'reads = [["B1", 1e30], ["INJ1", 640]]': ("no length of a rope", 'Write ["B1", mm]'),
    'reads = [["B1", 300, "mating fase"], ["INJ1", 640]]': ('"mating fase" can\'t be used', "mating face"),
}
VALUES = {
    ("volts = 13.8", 'volts = "13.8"'): ('job.volts is "13.8".', "Write 13.8, without quotes."),
    ("volts = 13.8", 'volts = "13,8 V"'): ('job.volts is "13,8 V".', "Write 13.8, without quotes and unit."),
    ("volts = 13.8", "volts = [13.8]"): ("job.volts is [13.8].", "Write 13.8, without brackets."),
    ("settled = true", 'settled = "yes"'): ('settled is "yes".', "Write true or false, without quotes."),
    ("settled = true", "settled = yes"): ("The value yes is no value", "Write true, in small letters."),
    ("air_c = 60", 'air_c = "60 in"'): ('air_c is "60 in".', "Write the number alone, without quotes"),
    ('cavity."1" = "feed"', 'cavity."1" = 5'): ("cavity.1 is 5.", 'Write cavity."1" = "..." (a circuit)'),
    ('cavity."1" = "feed"', 'cavity."1" = "the "big" feed"'): (
        "a quote stands inside the text",
        'Take the inner quotes out: "the big feed".',
    ),
    ("air_c = 60", "ar_c = 60"): ("There is no key ar_c", "Did you mean air_c?"),
    ("air_c = 60", "air_c = 60\nlinkage = 'cable'"): ("There is no key linkage", "It belongs in [throttle]"),
    ("air_c = 60", ""): ("area.bay has no air_c.", "Add a line air_c = ... (a bare number of degrees C)."),
    ('is = "injector, high', 'is = "injector, hihg'): (
        'There is no device kind "injector, hihg impedance".',
        'Did you mean "injector, high impedance"',
    ),
}


def told(text, code=""):
    rows = [one for one in job_of_text(text).findings if one.code.startswith(code or "FILE-0")]
    assert rows
    return rows[0]


@pytest.mark.parametrize("line", ROWS)
def test_a_row_of_a_rope(line):
    assert READS in JOB
    one = told(JOB.replace(READS, line), "FILE-04")
    what, remedy = ROWS[line]
    assert what in one.what_is
    assert remedy in one.remedy
    assert one.should.startswith("A row has a point in quotes, then its running distance")


def test_where_an_end_parts():
    one = told(JOB.replace('["MAP", 400, 60]', '["MAP", "400", 60, "mating face"]'), "FILE-04")
    assert "the distance where it parts stands in quotes" in one.what_is
    assert one.remedy == 'Write ["MAP", 400, 60, "mating face"].'  # without it, a depth less


def test_give_or_take_stays_in_the_mended_row():
    one = told(JOB.replace(READS, READS.replace("300]", '"300 mm", 15]')), "FILE-04")
    assert 'Write ["B1", 300, 15].' in one.remedy


@pytest.mark.parametrize("swap", VALUES)
def test_a_value(swap):
    assert swap[0] in JOB
    one = told(JOB.replace(*swap))
    what, remedy = VALUES[swap]
    assert what in one.what_is
    assert remedy in one.remedy
    if one.code == "FILE-04" and one.mends:
        mended = apply(read_text(JOB.replace(*swap)), one.mends).document.text
        assert not job_of_text(mended).findings
