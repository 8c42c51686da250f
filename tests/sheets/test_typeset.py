"""The pack's PDF read back: pages, heads, words inside their columns, figures at size."""

import io
import time

import pypdfium2
import pytest
from pypdf import PdfReader

from loomwright.pack.lettering import width_em
from loomwright.pack.marks import Drawing, Line, Pen
from loomwright.pack.pages import Column, Figure, PackHead, Paragraph, RowGroup, Sheet, Table
from loomwright.sheets.paper import LETTER
from loomwright.sheets.table_layout import MM_PER_POINT, breakable, layout, shown
from loomwright.sheets.typeset import LEFT_MM, RIGHT_MM, NotSet, pack_pdf
from sheets.paper_reader import MM, ink, page_texts, run_mm
from sheets.sample_drawings import HEAD, board, every_block, wire_table

PT_MM = 25.4 / 72


def letters(pdf: bytes):
    """Every visible character: width of its page, character, left and right [mm]."""
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage()
        for index in range(text.count_chars()):
            letter = text.get_text_range(index, 1)
            if letter.strip():
                left, _, right, _ = text.get_charbox(index)
                yield page.get_width() * PT_MM, letter, left * PT_MM, right * PT_MM


def test_every_block_is_set():
    pdf = pack_pdf(HEAD, every_block())
    texts = page_texts(pdf)
    joined = "\n".join(texts)
    for words in (
        "NOT FOR BUILD", "UNCHECKED", "Invented car <2.0 & four>", "revision B", "3f9a77c1", "2001-02-03",
        "PIN-02", "(3 places)", "Accepted: shielded (AB)", "HOT", "mating side", "=1+1",
        "#let x = 1; $ ` * _ @ref // not markup \\", f"page 1 of {len(texts)}", "0.35 mm² ± 1 Ω",
    ):
        assert words.lower() in joined.lower(), words


def test_column_heads_and_group_titles_come_again_on_every_page():
    texts = page_texts(pack_pdf(HEAD, (Sheet("cut", "Cut list", (wire_table(100),)),)))
    assert len(texts) > 2
    for text in texts:
        assert "circuit" in text
        assert "Cut list" in text
    lots = ["".join(lot for lot in ("Lot 1", "Lot 2") if lot in text) for text in texts]
    assert lots[0] == "Lot 1"
    assert lots[-1] == "Lot 2"
    assert "" not in lots
    assert lots == sorted(lots)


def test_words_stay_inside_their_columns():
    """Each column is filled with one letter of its own; that letter is found nowhere else."""
    columns = tuple(Column("") for _ in range(5))
    nasty = ("A" * 400, "B BB BBB " * 40, "C-C/C" * 60, "D", "E" * 30)
    table = Table(columns, (RowGroup((nasty, ("A", "B", "C", "D", "E"))),))
    pdf = pack_pdf(PackHead("x", "", "", foot="x"), (Sheet("x", "x", (table,)),))
    left, spans = LEFT_MM, {}
    for letter, wide in zip("ABCDE", layout(table, 210 - LEFT_MM - RIGHT_MM).widths_mm, strict=True):
        spans[letter] = (left, left + wide)
        left += wide
    seen = set()
    for _, letter, low, high in letters(pdf):
        if letter in spans:
            seen.add(letter)
            assert spans[letter][0] <= low, letter
            assert high <= spans[letter][1], letter
    assert seen == set("ABCDE")


def test_nothing_runs_off_the_page():
    long = "x" * 500
    numbers, ticks = Column(long, "mm", "number"), Column("t", kind="tick")
    columns = (Column(long), numbers, ticks, Column("b", kind="blank"))
    table = Table(columns, (RowGroup(((long, 1.5e300, True, long),), long),), long, long)
    sheets = (Sheet("a", long, (table, Paragraph(long)), long, (long,)), *every_block())
    for wide, letter, low, high in letters(pack_pdf(PackHead(long, long, long), sheets)):
        assert low >= LEFT_MM - 0.5, letter
        assert high <= wide - RIGHT_MM + 0.5, letter


def test_a_row_longer_than_a_page_runs_over_and_loses_nothing():
    words = " ".join(f"w{n}" for n in range(3000))
    table = Table((Column("note"), Column("n", kind="number")), (RowGroup(((words, 77),), "G"),))
    pdf = pack_pdf(HEAD, (Sheet("a", "A", (table,)),))
    text = " ".join(page_texts(pdf))
    assert all(f"w{n}" in text for n in range(3000))
    assert "77" in text.replace("w77", "")
    for page in pypdfium2.PdfDocument(pdf):
        shown = page.get_textpage()
        lows = [shown.get_charbox(index)[1] for index in range(shown.count_chars())]
        assert min(low for low in lows if low) * PT_MM > 7


def test_a_full_size_figure_is_full_size():
    line = Drawing("bar", 120, 20, (Line((10, 10), (110, 10), Pen(0.5)),))
    pdf = pack_pdf(HEAD, (Sheet("f", "Face", (Figure(line, "", 1.0),)),))
    dots = ink(pdf)
    widest = max((run_mm(row) for row in dots[round(30 / MM) : round(80 / MM)] if (row > 127).any()),
                 key=lambda run: run[1] - run[0])
    assert widest[1] - widest[0] - 0.5 == pytest.approx(100, abs=0.1)
    assert widest[0] == pytest.approx(LEFT_MM + 10 - 0.25, abs=0.1)
    preferences = PdfReader(io.BytesIO(pdf)).viewer_preferences
    assert preferences is not None
    assert preferences.print_scaling == "/None"


def test_a_full_size_figure_larger_than_the_page_is_refused_in_words():
    with pytest.raises(NotSet, match="Print it as tiles"):
        pack_pdf(HEAD, (Sheet("f", "Board", (Figure(board(), "", 1.0),)),))


def test_letter_paper():
    page = PdfReader(io.BytesIO(pack_pdf(HEAD, every_block(), LETTER))).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((612, 792), abs=0.1)


def test_only_shipped_faces_are_used():
    names = set()
    for page in PdfReader(io.BytesIO(pack_pdf(HEAD, every_block()))).pages:
        names |= {font["/BaseFont"].split("+")[-1] for font in page["/Resources"].get("/Font", {}).values()}
    assert names
    assert all("Plex" in name or "DejaVu" in name for name in names), names


def test_bookmarks_lead_to_the_sheets():
    reader = PdfReader(io.BytesIO(pack_pdf(HEAD, every_block())))
    assert [mark.title for mark in reader.outline if not isinstance(mark, list)][:3] == [
        "Cover", "Cut list", "Bench test"]


def test_sixty_pages_in_time():
    sheets = [Sheet(f"s{n}", f"List {n}", (wire_table(180),)) for n in range(10)]
    begin = time.process_time()
    pdf = pack_pdf(HEAD, sheets)
    spent = time.process_time() - begin
    assert len(PdfReader(io.BytesIO(pdf)).pages) >= 50
    assert spent < 4.0  # processor seconds over two cores, with room for a slow machine


def test_widths_fill_the_page_and_type_shrinks_before_words_break():
    for rows, room in ((5, 178.0), (5, 90.0)):
        form = layout(wire_table(rows), room)
        assert sum(form.widths_mm) == pytest.approx(room)
    assert layout(wire_table(5), 70.0).size_pt < layout(wire_table(5), 178.0).size_pt


def test_heads_do_not_break_inside_a_word():
    table, room = wire_table(30), 178.0
    form = layout(table, room)
    for column, wide in zip(table.columns, form.widths_mm, strict=True):
        em = wide / (form.size_pt * MM_PER_POINT)
        assert all(width_em(word, True) < em for word in column.head.split())
        assert "\u200b" not in breakable(column.head, em - 0.84, True)


@pytest.mark.parametrize(("cell", "decimals", "text"), [
    (1.005, 1, "1.0"), (-0.04, 1, "0.0"), (-3, None, "−3"), (1240, None, "1240"), (0.1 + 0.2, None, "0.3"),
    (None, 2, ""), ("=x", None, "=x"), (float("nan"), 1, ""), (True, None, "yes"),
])
def test_cells_as_printed(cell, decimals, text):
    assert shown(cell, Column("n", kind="number", decimals=decimals)) == text
