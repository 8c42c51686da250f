"""Tables taken in from the command line: of the wrong sort, for a plug that is not there, or said twice."""

import pytest

from loomwright.cli import main
from loomwright.demos import demo_folder

PINS = "Pin,Function,Current\n5,inj 1,1.1\n20,fan relay,0.2\n"
FORM = "tape,from,point,running mm,give\n"


@pytest.fixture
def taking(tmp_path, capsys):
    """A function that takes a table into a copy of the smallest demo; returns the code and what was said."""
    job = tmp_path / "job"
    job.mkdir()
    (job / "job.toml").write_bytes((demo_folder("six") / "job.toml").read_bytes())

    def take(text, *words):
        table = tmp_path / "table.csv"
        table.write_text(text, encoding="utf-8")
        code = main(["take-in", str(table), str(job), *words])
        said = capsys.readouterr()
        return code, said.out + said.err

    return take


@pytest.mark.parametrize(
    ("text", "words", "asked"),
    [
        (PINS, (), "repeat with --device ECU.A"),
        (PINS, ("--device", "ECU"), "repeat with --device ECU.A"),
        (PINS, ("--device", "ECU.B"), "ECU has no plug ECU.B; it has ECU.A."),
        (PINS, ("--device", "EUC.A"), 'no device "EUC". Did you mean ECU.A?'),
        (PINS, ("--device", "K1.B"), "its one plug is called K1"),
        (PINS, ("--rope",), "Repeat without --rope"),
        (FORM + "bay,B1,B2,372,\n", (), "Repeat with --rope"),
        ("one,two\n1,2\n", (), "One row should hold the heading device."),
        ("one,two\n1,2\n", ("--rope",), "the headings point and running mm."),
    ],
)
def test_what_to_do_is_said(taking, text, words, asked):
    code, said = taking(text, *words)
    assert code == 1
    assert asked in said
    assert "--write" not in said


def test_a_pin_list_of_a_named_plug_is_taken(taking):
    code, said = taking(PINS, "--device", "ECU.A")
    assert code == 0
    assert "2 edits" in said


def test_a_second_tape_that_agrees_may_stay(taking):
    """The trunk gives B1 to B2 as 690 - 320 = 370 mm."""
    code, said = taking(FORM + "bay,B1,B2,372,2\n", "--rope")
    assert code == 0
    assert (
        "B1-B2 is measured twice: 372 mm (rope bay: 372) and 370 mm (rope trunk: 690 - 320), 2 mm apart"
        in said
    )
    assert "372 mm holds, its doubt is the smaller; both may stay." in said


def test_a_second_tape_that_disagrees_says_which_holds_and_what_to_do(taking):
    code, said = taking(FORM + "bay,B1,B2,452,20\n", "--rope")
    assert code == 0
    assert "82 mm apart" in said
    assert "a fault (ROPE-01). 370 mm holds until you measure a third time" in said.replace(
        ", its doubt is the smaller", ""
    )
    assert said.count("ROPE-01") == 1


def test_what_else_comes_of_a_tape_is_said_before_it_is_written(taking):
    _, said = taking(FORM + "bay,B1,NOPE,300,\n", "--rope")
    assert "Afterwards ROPE-05: The rope ends at NOPE, which is no device." in said
