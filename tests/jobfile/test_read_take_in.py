"""Tables of devices and pin lists become edits; carried out, they leave nothing to change."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.edits import Verb
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.read import read_job
from loomwright.jobfile.take_in import Outcome, take_in

DOCUMENT = read_job(Path(__file__).parents[1] / "jobs" / "small").document
VALUES = DOCUMENT.values
DEVICES = """Device list of an invented car
Name,Type,Pin,Function,Current (A)
INJ1,"injector, high impedance",1,injector feed,
,,2,inj one,1.3
IAT,air temperature sensor,1,air temperature,
,,2,sensor 0 V,
bad name,knock sensor,1,knock,
KS1,knok sensor,1,knock,
KS2,knock sensor,1,knock,much
KS2,knock sensor,,knock,
KS2,knock sensor,2,n/c,
"""


def outcomes(taken):
    return [(one.row, one.outcome.value) for one in taken.rows]


def test_every_row_says_what_becomes_of_it():
    taken = take_in(VALUES, "devices.csv", DEVICES.encode())
    assert outcomes(taken) == [
        (3, "already so"),
        (4, "changed"),
        (5, "added"),
        (6, "added"),
        (7, "refused"),
        (8, "refused"),
        (9, "refused"),
        (10, "refused"),
        (11, "added"),
    ]
    assert "knock sensor" in next(one.reason for one in taken.rows if one.row == 8)
    assert {edit.verb for edit in taken.edits} == {Verb.SET}


def test_a_spreadsheet_says_the_same():
    from openpyxl import Workbook

    book = Workbook()
    for line in DEVICES.splitlines():
        book.active.append([int(c) if c.isdigit() else c for c in next(csv.reader([line]))])
    raw = io.BytesIO()
    book.save(raw)
    assert take_in(VALUES, "d.xlsx", raw.getvalue()).rows == take_in(VALUES, "d.csv", DEVICES.encode()).rows


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_a_pin_list_is_about_one_device(delimiter):
    rows = [
        ("Pin", "Function"),
        ("1", "ECU feed"),
        ("7", "-"),
        ("8", "fan relay"),
        ("3", "inj 3"),
        ("3", "inj 1"),
    ]
    raw = "\n".join(delimiter.join(row) for row in rows).encode()
    taken = take_in(VALUES, "pins.csv", raw, device="ECU", connector="A")
    assert [one for _, one in outcomes(taken)] == ["already so", "left out", "added", "changed", "refused"]
    assert taken.edits[0].path == ("device", "ECU", "connector", "A", "cavity", "8")


def test_a_table_without_headings_is_refused_as_a_whole():
    taken = take_in(VALUES, "x.csv", b"1,2,3\n")
    assert taken.edits == ()
    assert taken.counted(Outcome.REFUSED) == 1
    assert take_in(VALUES, "x.xlsx", b"no sheet").counted(Outcome.REFUSED) == 1
    assert take_in(VALUES, "x.csv", b"\xff\xfe").counted(Outcome.REFUSED) == 1


CELL = st.sampled_from(["", "1", "2", "A", "INJ1", "inj 1", "x y", "n/c", "1,5", "knock sensor", "é|", "0.5"])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(CELL, CELL, CELL, CELL, CELL, CELL), max_size=6))
def test_taking_the_same_table_in_twice_changes_nothing(rows):
    lines = [("device", "kind", "connector", "pin", "circuit", "amps"), *rows]
    raw = "\n".join(";".join(row) for row in lines).encode()
    taken = take_in(VALUES, "t.csv", raw)
    again = take_in(apply(DOCUMENT, taken.edits).document.values, "t.csv", raw)
    own = {row[0]: row[1] for row in rows if row[1]}
    if len({(row[0], row[1]) for row in rows if row[1]}) == len(own):  # no device is given two kinds
        assert again.edits == ()
def test_a_rope_end_in_the_column_of_devices_is_device_and_connector() -> None:
    raw = b"device,cavity,circuit\nECU.A,60,air temperature\n,61,oil temperature\n"
    taken = take_in({}, "pins.csv", raw)
    assert [edit.path for edit in taken.edits] == [
        ("device", "ECU", "connector", "A", "cavity", "60"),
        ("device", "ECU", "connector", "A", "cavity", "61"),
    ]
