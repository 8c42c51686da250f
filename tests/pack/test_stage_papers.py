"""Early papers read back: scope, questions, order list, pins, flags, gauge, the form's round trip."""

import csv
import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from loomwright.cli import main
from loomwright.demos import demo_folder
from loomwright.jobfile.read import job_of_text, read_job
from loomwright.jobfile.read_stock import Stock, read_stock
from loomwright.mockup.capture import capture
from loomwright.mockup.form import FORM_COLUMNS
from loomwright.model.job import Kept
from loomwright.model.shop import Shop
from loomwright.pack.marks import Arc, Circle, Line, Text, extent, flat
from loomwright.pack.pages import PackHead
from loomwright.pack.stage_devices import FREE, device_papers, open_questions
from loomwright.pack.stage_flags import FLAG_MM, PAGE_MM, branch_names, flag_pages, rope_flags
from loomwright.pack.stage_gauge import CENTRE, gauge_drawing
from loomwright.pack.stage_measure import form_table
from loomwright.sheets.csv_out import table_csv
from loomwright.sheets.xlsx import pack_xlsx
from loomwright.sizing.begun import begun_with
from loomwright.starters import starter_text
from pack.worked_jobs import rows
from sheets.paper_reader import MM, ink, page_texts, run_mm

DAY = "--issued=2026-01-01"


@pytest.fixture(scope="module")
def early(tmp_path_factory):
    """A function that gives the folder of a starter's or demo's early papers, each written once."""

    @cache
    def written(name: str, *words: str) -> Path:
        folder = tmp_path_factory.mktemp(name)
        demo = demo_folder(name) / "job.toml" if name != "four-cylinder" else None
        text = demo.read_text("utf-8") if demo else starter_text(name)
        (folder / "job.toml").write_text(text, encoding="utf-8")
        assert main(["early", str(folder), DAY, *words]) == 0
        return folder / "early"

    return written


def words_of(file: Path) -> str:
    """A PDF's text with line ends as blanks."""
    return " ".join(" ".join(page_texts(file.read_bytes())).split())


def test_a_phone_call_is_enough_for_a_scope_sheet(tmp_path, capsys):
    folder = tmp_path / "new customer"
    assert main(["early", str(folder), "--counts", "cylinders=4", "throttle=cable", DAY]) == 0
    said = capsys.readouterr().out
    assert "Hours, likely" in said
    text = words_of(folder / "early" / "1-scope.pdf")
    for expected in ("ESTIMATE", "Counts", "from memory", "28 to 35", "crank sensor", "airbag", "crimp tool"):
        assert expected in text
    assert not (folder / "early" / "2-devices.pdf").exists()
    assert (folder / "scope.toml").read_text("utf-8").splitlines()[-2:] == [
        "cylinders = 4",
        'throttle = "cable"',
    ]
    assert main(["early", str(folder), DAY]) == 0


def test_what_cant_be_understood_writes_nothing(tmp_path, capsys):
    assert main(["early", str(tmp_path), "--counts", "cylinder=4"]) == 2
    assert "Did you mean cylinders?" in capsys.readouterr().err
    assert main(["early", str(tmp_path)]) == 2
    assert main(["early", str(tmp_path), "--counts", "cylinders=4", "--issued", "soon"]) == 2
    assert main(["early", str(tmp_path), "--counts", "cylinders=4", "--measured", "94", "100"]) == 2
    (tmp_path / "scope.toml").write_bytes(b"\xff")
    assert main(["early", str(tmp_path)]) == 2
    assert sorted(one.name for one in tmp_path.iterdir()) == ["scope.toml"]


def test_a_job_without_devices_needs_counts(tmp_path, capsys):
    (tmp_path / "job.toml").write_text('format = 1\n[job]\ntitle = "empty"\n', encoding="utf-8")
    assert main(["early", str(tmp_path), DAY]) == 2
    assert "no device yet" in capsys.readouterr().err
    assert main(["early", str(tmp_path), DAY, "--counts", "cylinders=4"]) == 0


def test_odd_words_are_printed_all_the_same(tmp_path):
    text = PLUGS.replace('title = "plugs"', 'title = "#[x] *\\u20ac* 漢字"')
    text += '[device.VERY_LONG_NAME_OF_A_DEVICE]\nwords = "' + "w" * 300 + '"\nfamily = "sensor"\n'
    (tmp_path / "job.toml").write_text(text + 'cavity."1" = "map 5 V"\n', encoding="utf-8")
    assert main(["early", str(tmp_path), DAY, "--counts", "customer=#let x", "trunk_mm=1500"]) in (0, 1)
    assert "VERY_LONG_NAME" in words_of(tmp_path / "early" / "rope-flags.pdf")
    assert "1.6 m [builder]" in words_of(tmp_path / "early" / "3-rope.pdf")


def test_too_little_for_hours_says_so_and_still_asks(tmp_path, capsys):
    assert main(["early", str(tmp_path), "--counts", "sensors=12", DAY]) == 0
    assert "Too little is told" in capsys.readouterr().out
    text = words_of(tmp_path / "early" / "1-scope.pdf")
    assert "Tell cylinders" in text
    assert "How many cylinders?" in text


def test_same_input_same_bytes(tmp_path):
    for name in ("a", "b"):
        assert (
            main(["early", str(tmp_path), "--counts", "cylinders=6", DAY, "--out", str(tmp_path / name)]) == 0
        )
        (tmp_path / "scope.toml").unlink()
    for one in (tmp_path / "a").iterdir():
        assert one.read_bytes() == (tmp_path / "b" / one.name).read_bytes()


def test_hours_of_the_sheet_are_numbers_in_the_workbook(tmp_path):
    assert main(["early", str(tmp_path), "--counts", "cylinders=4", DAY]) == 0
    book = load_workbook(tmp_path / "early" / "early-tables.xlsx")
    found = {row[0]: row for page in book for row in page.iter_rows(values_only=True) if row[0]}
    assert found["agree the scope"][3:6] == (2, 4, "from memory")


# devices alone


def papers(text: str, stock: str = ""):
    shelf = read_stock(stock)[0] if stock else Stock()
    return {one.key: one for one in device_papers(job_of_text(text).job, shelf)}


PLUGS = """format = 1
[job]
title = "plugs"
[device.ECU]
is = "controller 26"
face = "header 26"
settled = true
cavity."1" = "inj 1"
cavity."2" = "map 5 V"
[device.INJ1]
is = "injector, high impedance"
face = "one row 2"
cavity."1" = "injector feed"
cavity."2" = "inj 1"
[device.OLD]
is = "MAP sensor"
state = "removed"
cavity."1" = "map 5 V"
[device.MAP]
is = "MAP sensor"
supplied = "moulded lead"
settled = true
face = "one row 3"
face_checked = true
cavity."1" = { circuit = "map 5 V", amps = 0.01, source = "sheet" }
"""


def test_open_questions_name_what_is_open_and_nothing_else():
    job = job_of_text(PLUGS).job
    asked = {
        plug.end: open_questions(job, device, plug) for device in job.devices for plug in device.connectors
    }
    assert "place not settled" in asked["INJ1"]
    assert "face not compared with the part" in asked["INJ1"]
    assert "no part named" in asked["INJ1"]
    assert asked["MAP"] == ("length of its lead",)
    assert not any("current" in one for one in asked["ECU"])


def test_a_current_nobody_knows_is_asked_for():
    text = PLUGS + '[device.HTR]\nis = "relay, 4 pins"\n[device.X]\nfamily = "actuator"\nwords = "heater"\n'
    text += 'cavity."1" = { circuit = "injector feed", kind = "feed", side = "takes" }\n'
    job = job_of_text(text).job
    device = job.device["X"]
    assert "current not known" in open_questions(job, device, device.connectors[0])
    known = job_of_text(text.replace('"takes" }', '"takes", amps = 2, source = "measured" }')).job
    device = known.device["X"]
    assert not any("current" in one for one in open_questions(known, device, device.connectors[0]))


def test_of_one_of_the_cars_own_wires_the_meter_is_asked_for():
    text = PLUGS + '[tap.IGN]\ncircuit = "ignition on"\nkind = "feed"\ncolour = "BN"\nkey_on_v = 12.4\n'
    job = job_of_text(text).job
    (plug,) = job.device["IGN"].connectors
    asked = " ".join(open_questions(job, job.device["IGN"], plug))
    assert "size, place" in asked
    assert "meter not read: key off, cranking" in asked
    assert "part" not in asked


def test_what_only_passes_current_on_is_not_asked_for_one():
    job = read_job(demo_folder("v8")).job
    for name in ("PM", "ISO", "MAIN"):
        asked = [open_questions(job, job.device[name], plug) for plug in job.device[name].connectors]
        assert "current" not in str(asked), name


def test_a_screen_goes_to_its_cable():
    found = rows(papers(starter_text("four-cylinder"))["early-pins"], "cavity", "agreed")
    to = {row["circuit"]: row["goes to"] for row in found}
    assert to["crank screen"].startswith("screen of cable ")


def test_register_leaves_removed_devices_out():
    found = rows(papers(PLUGS)["early-register"], "open questions")
    assert [row["plug"] for row in found] == ["ECU", "INJ1", "MAP"]


def test_controller_pins_show_every_cavity_and_which_are_free():
    found = rows(papers(PLUGS)["early-pins"], "cavity", "agreed")
    assert len(found) == 26
    assert [row["circuit"] for row in found][:3] == ["inj 1", "map 5 V", FREE]
    assert sum(row["circuit"] == FREE for row in found) == 24
    assert found[0]["goes to"] == "INJ1:2"


def test_a_controller_without_face_says_that_free_pins_cant_be_told(early):
    text = words_of(early("four-cylinder") / "2-devices.pdf")
    assert "free pins can't be told" in text
    assert "EARLY" in text


def test_order_list_counts_pins_and_looks_on_the_shelf():
    stock = '[[item]]\nkind = "part"\nname = "plug 7"\nhave = 3\n'
    text = PLUGS.replace(
        'face = "one row 2"', 'face = "one row 2"\npart = "plug 7"\ncontact = "blade 1.5 sealed"'
    )
    found = {row["part"]: row for row in rows(papers(text, stock)["early-order"], "lead time")}
    assert (found["plug 7"]["need"], found["plug 7"]["on the shelf"], found["plug 7"]["lead time"]) == (
        1,
        3,
        "",
    )
    (told,) = contacts_of(text, "blade 1.5 sealed: ")
    assert (told["need"], told["take"], told["rests on"]) == (2, 3, "named in the job")  # the injector's
    (guessed,) = contacts_of(text, "blade 1.5 sealed, small wire: ")
    assert (guessed["need"], guessed["rests on"][:8]) == (2, "GUESSED:")  # the controller's
    assert found["wire seal for blade 1.5 sealed"]["need"] == 2
    assert found["sealed in-line joint"]["need"] == 1


def test_guessed_contacts_say_what_they_rest_on_and_what_a_thicker_wire_takes():
    wide = PLUGS.replace('face = "one row 2"', 'face = "one row 2, 2.8"')
    (told,) = contacts_of(wide, "blade 2.8 sealed, small wire: ")
    assert told["rests on"].startswith("GUESSED: ")
    assert told["for, takes"] == "0.47 to 1.6 mm² [from memory]"
    assert "blade 2.8 sealed up to 4.1 mm²" in told["thicker wire takes"]
    (seal,) = contacts_of(wide, "wire seal for blade 2.8 sealed, small wire")
    assert seal["rests on"] == "GUESSED: with its contact"


def test_a_contact_of_a_fixed_size_or_a_told_class_is_no_guess():
    wide = PLUGS.replace('face = "one row 2"', 'face = "one row 2, 2.8"')
    fixed = '[circuit."injector feed"]\nsize = "2.5"\nreason = "tried"\n'
    told, *_ = contacts_of(wide + fixed, "blade 2.8 sealed: ")
    assert told["rests on"] == "2.5 mm2 (13.3 AWG by area), size fixed in the job"
    assert not told["thicker wire takes"]
    named = wide.replace('2.8"', '2.8"\ncontact = "blade 2.8 sealed"')
    (told,) = contacts_of(named, "blade 2.8 sealed: ")
    assert (told["need"], told["rests on"]) == (2, "named in the job")


def test_a_size_found_with_the_rope_is_no_guess():
    job = read_job(demo_folder("six")).job
    pin = job.pin["INJ1:2"]
    assert not begun_with(job, pin).sure
    kept = replace(job, kept=Kept(sizes=(("inj 1 | ECU.A:5 | INJ1:2", "1.5"),)))
    assert (begun_with(kept, pin).size.label, begun_with(kept, pin).sure) == ("1.5", True)


def contacts_of(text, start):
    """The rows of the order list whose part begins so."""
    return [row for row in rows(papers(text)["early-order"], "rests on") if row["part"].startswith(start)]


def test_every_table_of_devices_is_written_as_csv(early):
    folder = early("hillclimb")
    raw = (folder / "early-pins.csv").read_text("utf-8")
    assert {row["circuit"] for row in csv.DictReader(io.StringIO(raw))} >= {FREE}
    assert "lead time" in (folder / "early-order.csv").read_text("utf-8").splitlines()[0]


# flags


def test_there_is_a_flag_for_every_end_and_branch_point(early):
    job = read_job(demo_folder("hillclimb")).job
    names = [flag.name for flag in rope_flags(job)]
    ends = {plug.end for device in job.devices for plug in device.connectors if plug.pins}
    assert ends - {d.name for d in job.devices if d.state == "removed"} <= set(names)
    assert set(branch_names(job)) <= set(names)
    assert len(names) == len(set(names))
    printed = words_of(early("hillclimb") / "rope-flags.pdf")
    assert all(printed.count(name) >= 2 for name in names)


def test_branch_points_are_numbered_where_the_rope_names_none():
    job = job_of_text(starter_text("four-cylinder")).job
    found = branch_names(job)
    assert found[:3] == ("B1", "B2", "B3")
    taken = job_of_text(PLUGS + '[device.B1]\nis = "MAP sensor"\ncavity."1" = "map 5 V"\n').job
    assert "B1" not in branch_names(taken)


def test_flags_stay_inside_their_cut_lines():
    job = read_job(demo_folder("v8")).job
    for page in flag_pages(
        rope_flags(job), "a job with a title that is far too long for the foot of any flag"
    ):
        box = extent(page.marks)
        assert (box.left, box.right, box.top) == pytest.approx((0, PAGE_MM[0], PAGE_MM[1]))
        for text in (mark for mark in flat(page.marks) if isinstance(mark, Text)):
            column = text.at[0] // FLAG_MM[0]
            around = extent((text,))
            assert column * FLAG_MM[0] <= around.left
            assert around.right <= (column + 1) * FLAG_MM[0] + 1e-6


def test_flags_print_at_full_size(early):
    pdf = (early("hillclimb") / "rope-flags.pdf").read_bytes()
    reader = PdfReader(io.BytesIO(pdf))
    assert reader.viewer_preferences.print_scaling == "/None"
    top = (297 - PAGE_MM[1]) / 2
    row = ink(pdf, 0)[round((top + 10) / MM)]
    start, end = run_mm(row)
    assert end - start == pytest.approx(PAGE_MM[0], abs=0.3)


# gauge


def test_the_gauge_has_exact_arcs_and_bars():
    marks = list(flat(gauge_drawing(Shop()).marks))
    arcs = {mark.radius_mm for mark in marks if isinstance(mark, Arc) and mark.centre == CENTRE}
    assert {float(r) for r in range(10, 101, 10)} <= arcs
    bars = [mark for mark in marks if isinstance(mark, Line) and mark.layer == "bars"]
    lengths = [abs(b.end[0] - b.start[0]) + abs(b.end[1] - b.start[1]) for b in bars]
    assert sorted(lengths)[-2:] == [100.0, 100.0]
    assert any(isinstance(mark, Circle) and mark.radius_mm == 8.0 for mark in marks)


@pytest.mark.parametrize("paper", [("A4", 210.0, 297.0), ("Letter", 215.9, 279.4)])
def test_the_gauge_prints_at_full_size(paper, early):
    name, wide, high = paper
    pdf = (early("four-cylinder", f"--paper={name}") / "bend-gauge.pdf").read_bytes()
    dots = ink(pdf)
    assert dots.shape[1] * MM == pytest.approx(wide, abs=0.1)
    left, low = (wide - 186) / 2 + CENTRE[0], (high - 258) / 2 + CENTRE[1]
    bar = dots[round((high - low + 14) / MM)]
    start, end = run_mm(bar)
    assert end - start - 0.35 == pytest.approx(100, abs=0.1)
    upright = dots[round((high - low - 104) / MM) : round((high - low + 4) / MM), round((left - 14) / MM)]
    start, end = run_mm(upright)
    assert end - start - 0.35 == pytest.approx(100, abs=0.1)
    for radius in (10, 30, 60, 100):  # along 45 degrees, out of the way of words
        x, y = left + radius * 0.5**0.5, high - low - radius * 0.5**0.5
        row = dots[round(y / MM), round((x - 1.5) / MM) : round((x + 1.5) / MM)]
        first, last = run_mm(row)
        assert (first + last) / 2 - 1.5 == pytest.approx(0, abs=0.1)


def test_a_printer_that_prints_short_is_corrected(tmp_path):
    (tmp_path / "job.toml").write_text(starter_text("four-cylinder"), encoding="utf-8")
    assert main(["early", str(tmp_path), DAY, "--measured", "99", "98.5"]) == 0
    dots = ink((tmp_path / "early" / "bend-gauge.pdf").read_bytes())
    columns = [run_mm(row) for row in dots if (row > 127).any()]
    widest = max(end - start for start, end in columns)
    assert widest - 0.7 == pytest.approx(186 / 0.99, abs=0.3)


# the form's round trip


def filled(raw: bytes) -> bytes:
    """The form with a branch point, an end with everything, and a co-run filled in by hand."""
    table = list(csv.reader(io.StringIO(raw.decode("utf-8"))))
    head = table[0]

    def fill(point: str, **cells: str) -> None:
        row = next(row for row in table if row[head.index("point")] == point)
        for name, text in cells.items():
            row[head.index(name.replace("_", " "))] = text

    fill("B1", tape="trunk", **{"from": "bulkhead"}, running_mm="430", exit="front")
    fill("INJ1", tape="trunk", running_mm="720,5", give="5", near="hot part 90 at 60", ties="50 bracket")
    fill("INJ2", tape="trunk", running_mm="900", parts_at="820")
    out = io.StringIO(newline="")
    csv.writer(out).writerows(table)
    return out.getvalue().encode()


def check_taken(found) -> None:
    assert found.problems == ()
    edits = {edit.path: edit.value for edit in found.edits}
    reads = edits[("rope", "trunk", "reads")]
    assert [list(one)[:2] for one in reads] == [["B1", 430], ["INJ1", 720.5]]
    assert any(path[:1] == ("passes",) and path[-1] == "near" for path in edits)
    assert "INJ2" in str(edits[("rope", "trunk", "parts")])


def test_the_filled_csv_is_taken_in_again():
    job = job_of_text(starter_text("four-cylinder")).job
    raw = table_csv(form_table(job))
    assert raw.decode().splitlines()[0].split(",") == list(FORM_COLUMNS)
    assert capture(job, "measuring-form.csv", raw).edits == ()
    check_taken(capture(job, "measuring-form.csv", filled(raw)))


def test_the_filled_spreadsheet_is_taken_in_again():
    from loomwright.pack.pages import Sheet

    job = job_of_text(starter_text("four-cylinder")).job
    table = form_table(job)
    book = load_workbook(io.BytesIO(pack_xlsx(PackHead("t", "", "d"), (Sheet("f", table.title, (table,)),))))
    page = book.worksheets[0]
    wanted = list(csv.reader(io.StringIO(filled(table_csv(table)).decode())))
    for number, row in enumerate(wanted[1:], 5):
        for place, text in enumerate(row, 1):
            page.cell(number, place).value = float(text) if text.isdigit() else text or None
    out = io.BytesIO()
    book.save(out)
    check_taken(capture(job, "measuring-form.xlsx", out.getvalue()))


def test_a_form_of_a_measured_job_changes_nothing_when_its_own_readings_are_typed_in():
    job = read_job(demo_folder("six")).job
    table = form_table(job)
    assert {row[2] for row in table.rows} >= {one.point for run in job.runs for one in run.readings}
    assert capture(job, "f.csv", table_csv(table)).edits == ()


def test_a_filled_form_is_never_overwritten(tmp_path, capsys):
    (tmp_path / "job.toml").write_text(starter_text("four-cylinder"), encoding="utf-8")
    assert main(["early", str(tmp_path), DAY]) == 0
    form = tmp_path / "early" / "measuring-form.csv"
    kept = filled(form.read_bytes())
    form.write_bytes(kept)
    assert main(["early", str(tmp_path), DAY]) == 0
    assert form.read_bytes() == kept
    assert "measuring-form.csv is filled in" in capsys.readouterr().out
    assert main(["take-in", str(form), str(tmp_path), "--rope", "--write"]) == 0
    assert {one.name for one in read_job(tmp_path).job.runs} == {"trunk"}


def test_papers_of_a_faulty_job_are_stamped(tmp_path):
    (tmp_path / "job.toml").write_text(PLUGS + "[device.BAD]\nisx = 3\n", encoding="utf-8")
    assert main(["early", str(tmp_path), DAY]) == 1
    assert "NOT FOR BUILD" in words_of(tmp_path / "early" / "2-devices.pdf")


def test_the_how_to_is_one_page_with_its_cautions(early):
    reader = PdfReader(early("four-cylinder") / "3-rope.pdf")
    first = reader.pages[0].extract_text()
    assert "Battery off" in first
    assert "Rope to buy" in first
    assert "Measuring form" in reader.pages[1].extract_text()
