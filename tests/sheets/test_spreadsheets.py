"""Workbook and CSV read back."""

import csv
import io

import openpyxl
import pytest

from loomwright.pack.pages import Column, RowGroup, Sheet, Table
from loomwright.sheets.csv_out import guarded, table_csv
from loomwright.sheets.xlsx import pack_xlsx, sheet_name
from sheets.sample_drawings import HEAD, every_block, wire_table

FORMULAS = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "{=1}", "http://x")


def book():
    return openpyxl.load_workbook(io.BytesIO(pack_xlsx(HEAD, every_block())))


def test_numbers_are_numbers_with_their_unit_in_the_head():
    page = book()["Wires"]
    heads = [cell.value for cell in page[4]]
    assert heads[:5] == ["group", "wire", "circuit", "size [mm²]", "cut length [mm]"]
    assert [cell.value for cell in page[5]][:6] == ["Lot 1", "W000", "injector feed", 0.35, 1240, True]
    assert page["D5"].number_format == "0.00"
    assert page.freeze_panes == "A5"


def test_each_table_has_a_worksheet_and_names_differ():
    assert book().sheetnames == ["Wires", "Wires 2"]
    assert HEAD.digest in book()["Wires"]["A2"].value


def test_text_never_becomes_a_formula():
    table = Table((Column("t"),), (RowGroup(tuple((text,) for text in FORMULAS)),), "T")
    page = openpyxl.load_workbook(io.BytesIO(pack_xlsx(HEAD, (Sheet("a", "A", (table,)),))))["T"]
    cells = [page.cell(5 + n, 1) for n in range(len(FORMULAS))]
    assert [cell.data_type for cell in cells] == ["s"] * len(FORMULAS)
    assert [cell.value for cell in cells] == list(FORMULAS)


def test_a_pack_without_tables_is_still_a_workbook():
    assert openpyxl.load_workbook(io.BytesIO(pack_xlsx(HEAD, ()))).sheetnames == ["No tables"]


def test_worksheet_names_keep_to_the_rules():
    assert sheet_name("a/b[c]:*?" + "x" * 50, ()) == "abc" + "x" * 28
    assert sheet_name("Wires", ("wires", "WIRES 2")) == "Wires 3"
    assert sheet_name("[]", ()) == "Table"


def test_csv_comes_back_as_it_was():
    written = table_csv(wire_table(4))
    assert written.endswith(b"\r\n")
    lines = list(csv.reader(io.StringIO(written.decode("utf-8"), newline="")))
    assert lines[0][:5] == ["group", "wire", "circuit", "size [mm²]", "cut length [mm]"]
    assert lines[0][5:] == ["cut", "measured [Ω]", "note"]
    assert lines[1][:7] == ["Lot 1", "W000", "injector feed", "0.35", "1240", "yes", ""]
    assert lines[2][2] == "'=1+1"


def test_csv_quotes_what_has_to_be_quoted():
    table = Table((Column("a"), Column("b")), (RowGroup((('say "x", y\nz', -1.5),)),))
    text = table_csv(table).decode()
    assert text == 'a,b\r\n"say ""x"", y\nz",-1.5\r\n'


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1"])
def test_formulas_are_disarmed(text):
    assert guarded(text) == "'" + text
