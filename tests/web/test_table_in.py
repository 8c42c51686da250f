"""Tables from CSV and XLSX files: read only, limited, shown before they are taken, harmless."""

import io
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from openpyxl import Workbook
from playwright.sync_api import Page, expect
from tests.web.conftest import Server
from tests.web.hands import Hands

SHEETS = "/api/job/six/sheets"
HTML = "<img src=x onerror=alert(1)>"


TEXT = "=2+2"
"""Typed into a cell as text; other texts with = are formulas."""


def book(**sheets: list[list[Any]]) -> bytes:
    made = Workbook()
    made.remove(made.active)
    for name, rows in sheets.items():
        sheet = made.create_sheet(name)
        for row in rows:
            sheet.append(row)
            for cell in sheet[sheet.max_row]:
                if cell.value == TEXT:
                    cell.data_type = "s"
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def asked(client: TestClient, raw: bytes) -> Any:
    return client.post(SHEETS, content=raw, headers={"content-type": "application/octet-stream"})


def test_a_formula_is_counted_and_never_worked_out(client: TestClient) -> None:
    raw = book(one=[["name", "amps"], ["A", "=1+1"], ["B", 2.0], [None], ["C", 2.5]], two=[[True]])
    one, two = asked(client, raw).json()["sheets"]
    assert one["rows"] == [["name", "amps"], ["A"], ["B", "2"], [], ["C", "2.5"]]
    assert one["formulas"] == 1
    assert two["rows"] == [["yes"]]


def test_a_csv_is_read_as_a_sheet_without_a_name(client: TestClient) -> None:
    (one,) = asked(client, "Name;Länge\nA;1,5\n".encode()).json()["sheets"]
    assert one["rows"] == [["Name", "Länge"], ["A", "1,5"]]


def spoilt(part: str, raw: bytes) -> bytes:
    """A spreadsheet with one of its parts replaced."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book(one=[["a"]]))) as old, zipfile.ZipFile(out, "w", 8) as new:
        for name in old.namelist():
            new.writestr(name, raw if name == part else old.read(name))
    return out.getvalue()


SHEET = "xl/worksheets/sheet1.xml"


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"PK\x03\x04 and no more", "no readable XLSX"),
        (b"\xd0\xcf\x11\xe0 old", "old kind"),
        (b"\xff\xfe\x00", "not UTF-8"),
        (spoilt(SHEET, b"<worksheet><sheetData><row>"), "no readable XLSX"),
        (spoilt(SHEET, b'<!DOCTYPE x [<!ENTITY a "aa">]><worksheet/>'), "no spreadsheet needs"),
        (spoilt("docProps/app.xml", b" " * 61_000_000), "unpacks to more"),
        (b"a" * 8_000_001, "too big"),
    ],
)
def test_what_is_no_table_is_refused_in_words(client: TestClient, raw: bytes, words: str) -> None:
    answer = asked(client, raw)
    assert answer.status_code == 422
    assert words in answer.json()["say"]


def test_a_sheet_that_says_it_is_huge_is_read_as_far_as_it_goes(client: TestClient) -> None:
    raw = spoilt(
        SHEET,
        b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        b'<dimension ref="A1:XFD1048576"/><sheetData><row r="1"><c r="A1"><v>7</v></c></row></sheetData>'
        b"</worksheet>",
    )
    (one,) = asked(client, raw).json()["sheets"]
    assert one["rows"] == [["7"]]
    (long,) = asked(client, book(one=[[n] for n in range(2100)])).json()["sheets"]
    assert len(long["rows"]) == 2000
    assert long["cut"]


def job_of(server: Server) -> dict[str, Any]:
    return tomllib.loads((server.root / "six" / "job.toml").read_text("utf-8"))


def take(page: Page, title: str, file: Path) -> None:
    """Choose a file for a table and go on to what it changes."""
    page.get_by_label(f"File for {title}", exact=True).set_input_files(str(file))
    page.get_by_role("dialog").get_by_role("button", name="Show what it changes").click()


def test_devices_cavities_circuits_and_tapes_come_from_a_spreadsheet(
    page: Page, server: Server, tmp_path: Path
) -> None:
    dialogs: list[str] = []
    page.on("dialog", lambda one: (dialogs.append(one.message), one.dismiss()))
    hands = Hands(page, server.address)
    hands.open("six", "devices")
    before = job_of(server)
    file = tmp_path / "<b>list.xlsx"
    rows = [
        ["our list"],
        ["What it is", "Name", "In words"],
        ["sensor-2wire", HTML, TEXT],
        ["injector", "INJ1", HTML],
        ["no.such", "X1", ""],
        ["", "X2", "x"],
    ]
    file.write_bytes(book(devices=rows, other=[["x"]]))
    take(page, "Devices", file)
    shown = page.get_by_role("dialog")
    expect(shown).to_contain_text("1 refused")
    expect(shown).to_contain_text(HTML)
    assert job_of(server) == before, "shown before it is taken"
    hands.saved(lambda: shown.get_by_role("button", name="Carry it out").click())
    after = job_of(server)["device"]
    assert after[HTML]["words"] == TEXT
    assert after["INJ1"]["words"] == HTML
    assert page.locator("img").count() == 0
    assert dialogs == []
    hands.saved(lambda: page.get_by_role("button", name="Undo").click(), "/undo")
    assert job_of(server) == before

    cavities = page.get_by_role("grid", name="Cavities of", exact=False).first
    title = str(cavities.get_attribute("aria-label"))
    end = title.removeprefix("Cavities of ")
    cavity = cavities.locator("tbody tr td").first.inner_text()
    file.write_bytes(book(pins=[["cavity", "circuit", "does", "A"], [cavity, "taken in", "a word", 0.5]]))
    take(page, title, file)
    hands.saved(lambda: shown.get_by_role("button", name="Carry it out").click())
    name, _, plug = end.partition(".")
    device = job_of(server)["device"][name]
    held = (device["connector"][plug] if plug else device)["cavity"][cavity]
    assert held["circuit"] == "taken in"
    assert (held["words"], held["amps"]) == ("a word", 0.5)

    hands.station("Rope")
    tape = next(iter(before["rope"]))
    point, mm = before["rope"][tape]["reads"][0][:2]
    file.write_bytes(
        book(tape=[["point", "running distance, mm"], [point, mm + 5], ["B77", "1 200"], ["B78", "far"]])
    )
    take(page, f"Readings of {tape}", file)
    expect(shown).to_contain_text("1 added, 1 changed, 0 already so, 1 refused")
    hands.saved(lambda: shown.get_by_role("button", name="Carry it out").click())
    reads = job_of(server)["rope"][tape]["reads"]
    assert reads[0][:2] == [point, mm + 5]
    assert reads[-1][:2] == ["B77", 1200]
    assert len(reads) == len(before["rope"][tape]["reads"]) + 1

    hands.station("Circuits")
    circuit = str(before["device"]["INJ1"]["cavity"]["1"])
    file.write_bytes(
        book(c=[["circuit", "colour", "reason"], [circuit, "RD", "ours"], ["no such one", "RD", ""]])
    )
    take(page, "Circuits", file)
    expect(shown).to_contain_text("there is none of that name")
    hands.saved(lambda: shown.get_by_role("button", name="Carry it out").click())
    assert job_of(server)["circuit"][circuit]["colour"] == "RD"


def test_a_pin_list_comes_from_a_spreadsheet(page: Page, server: Server, tmp_path: Path) -> None:
    hands = Hands(page, server.address)
    hands.open("six", "devices")
    file = tmp_path / "pins.xlsx"
    file.write_bytes(book(pins=[["Pin", "Function", "Current A"], ["7", 'inj "2"', "1,2"], ["8", "n/c", ""]]))
    page.get_by_role("button", name="Take in a table").click()
    page.get_by_label("File", exact=True).set_input_files(str(file))
    page.get_by_label("which", exact=False).last.fill("ECU.A")
    page.get_by_role("button", name="Show what it changes").click()
    expect(page.get_by_role("dialog")).to_contain_text("the cavity is not used")
    hands.saved(lambda: page.get_by_role("button", name="Carry it out").click())
    assert job_of(server)["device"]["ECU"]["connector"]["A"]["cavity"]["7"] == {
        "circuit": 'inj "2"',
        "amps": 1.2,
    }
