"""A printer is measured once: what its bars read is kept beside the job and corrects every later print."""

import pytest

from loomwright.errors import OutOfRange, Unreadable
from loomwright.sheets.printers import (
    PRINTERS_FILE,
    UnknownPrinter,
    known_printers,
    printer_named,
    remember,
)
from loomwright.sheets.tiles import tile_plan
from sheets.sample_drawings import board


def test_what_was_measured_is_there_again(tmp_path):
    told = remember(tmp_path, "garage", 99.2, 98.9, True)
    assert printer_named(tmp_path, "garage") == told
    assert told.long_side == pytest.approx(100 / 99.2)
    assert told.short_side == pytest.approx(100 / 98.9)


def test_measuring_again_replaces_and_never_multiplies(tmp_path):
    first = remember(tmp_path, "garage", 99.2, 98.9, True)
    assert remember(tmp_path, "garage", 99.2, 98.9, True) == first
    assert remember(tmp_path, "garage", 100.0, 100.0, True).long_side == 1.0


def test_names_of_any_letters_and_the_same_bytes(tmp_path):
    for name in ('Büro "2"', "a.b", "back\\slash", "garage"):
        remember(tmp_path, name, 99.0, 99.5, False)
    once = (tmp_path / PRINTERS_FILE).read_bytes()
    remember(tmp_path, "a.b", 99.0, 99.5, False)
    assert (tmp_path / PRINTERS_FILE).read_bytes() == once
    assert set(known_printers(tmp_path)) == {'Büro "2"', "a.b", "back\\slash", "garage"}


@pytest.mark.parametrize("name", ["", " ", "a\nb", "x" * 41, "\x7f"])
def test_a_name_that_is_none_is_refused(tmp_path, name):
    with pytest.raises(OutOfRange, match="name of the printer"):
        remember(tmp_path, name, 99.0, 99.0, False)
    assert not (tmp_path / PRINTERS_FILE).exists()


def test_an_unknown_printer_says_which_are_known(tmp_path):
    remember(tmp_path, "garage", 99.0, 99.0, False)
    with pytest.raises(UnknownPrinter, match=r"Known here: garage.*--measured"):
        printer_named(tmp_path, "office")


@pytest.mark.parametrize(
    "text",
    [
        "[garage",
        "garage = 3",
        "[garage]\nlevel_bar_mm = 99",
        '[garage]\nlevel_bar_mm = "x"\nupright_bar_mm = 99\nlandscape = true',
        "[garage]\nlevel_bar_mm = 50\nupright_bar_mm = 99\nlandscape = true",
    ],
)
def test_a_damaged_file_is_told_and_left_alone(tmp_path, text):
    (tmp_path / PRINTERS_FILE).write_text(text)
    with pytest.raises(Unreadable, match=PRINTERS_FILE):
        printer_named(tmp_path, "garage")
    with pytest.raises(Unreadable, match=PRINTERS_FILE):
        remember(tmp_path, "office", 99.0, 99.0, False)
    assert (tmp_path / PRINTERS_FILE).read_text() == text


def test_a_remembered_printer_prints_true(tmp_path):
    """A printer that makes 99.2 mm of 100 along the paper's long side prints the corrected 100 mm as 100."""
    scale = remember(tmp_path, "garage", 99.2, 98.9, True)
    plan = tile_plan(board(), scale=printer_named(tmp_path, "garage"))
    assert plan.scale == scale
    across, up = plan.scale_xy
    long, short = (across, up) if plan.landscape else (up, across)
    assert 100 * long * 0.992 == pytest.approx(100)
    assert 100 * short * 0.989 == pytest.approx(100)
