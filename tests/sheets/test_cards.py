"""Cards stay whole: what belongs together is found on one page, and nothing runs off its foot."""

import pypdfium2
import pytest

from loomwright.pack.marks import Drawing, Line
from loomwright.pack.pages import (
    Beside,
    Card,
    Caution,
    Column,
    Facts,
    Figure,
    FigureRow,
    Flow,
    Heading,
    Paragraph,
    RowGroup,
    Sheet,
    Table,
    every_block,
)
from loomwright.sheets.paper import A4, LETTER
from loomwright.sheets.tallness import at_most_mm
from loomwright.sheets.typeset import LEFT_MM, RIGHT_MM, TALL_MM, _Setter, pack_pdf
from sheets.paper_reader import page_texts
from sheets.sample_drawings import HEAD

PT_MM = 25.4 / 72
COLUMNS = (Column("cavity", bold=True), Column("circuit"), Column("in", kind="tick"))


def card(name: str, rows: int, words: str = "feed") -> Card:
    table = Table(COLUMNS, (RowGroup(tuple((f"{name}{n}", words, None) for n in range(rows))),), close=True)
    face = FigureRow((Figure(Drawing("x", 30, 20, (Line((1, 1), (29, 19)),))),))
    beside = Beside(((face,), (Heading(f"Plug {name}"), Facts((("End", "trimmed"),), 0), table)), (32.0, 0.0))
    return Card((beside,))


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_a_card_is_never_torn(paper):
    names = [f"Q{n}q" for n in range(40)]
    sizes = [1 + 7 * n % 23 for n in range(40)]
    sheet = Sheet("p", "P", tuple(card(name, size) for name, size in zip(names, sizes, strict=True)))
    texts = page_texts(pack_pdf(HEAD, (sheet,), paper))
    assert len(texts) > 3
    for name, size in zip(names, sizes, strict=True):
        on = [n for n, text in enumerate(texts) if f"Plug {name}" in text]
        assert len(on) == 1
        assert all(f"{name}{n}" in texts[on[0]] for n in range(size)), name


def test_a_card_taller_than_a_page_runs_over_and_loses_nothing():
    texts = page_texts(pack_pdf(HEAD, (Sheet("p", "P", (card("Zz", 150),)),)))
    assert len(texts) > 1
    joined = " ".join(texts)
    assert all(f"Zz{n}" in joined for n in range(150))


@pytest.mark.parametrize("rows", [20, 33, 40, 47])
def test_nothing_runs_off_the_foot(rows):
    sheet = Sheet("p", "P", (card("A", rows, "a feed of many words " * 5), card("B", rows)))
    for page in pypdfium2.PdfDocument(pack_pdf(HEAD, (sheet,))):
        shown = page.get_textpage()
        boxes = [shown.get_charbox(n) for n in range(shown.count_chars())]
        assert min(low for _, low, _, high in boxes if high > low) * PT_MM > 7


@pytest.mark.parametrize("rows", [1, 9, 30])
@pytest.mark.parametrize("words", ["feed", "a feed of many words and i i l l " * 6, "W" * 70])
def test_a_card_is_no_taller_than_it_was_taken_for(rows, words):
    """Two cards that together are taken to fit a page are found on one."""
    setter = _Setter(A4)
    one = card("A", rows, words)
    told = setter.sheet(Sheet("p", "", (one,)))["blocks"][0]
    most = at_most_mm(told["blocks"], 210 - LEFT_MM - RIGHT_MM)
    room = 297 - TALL_MM
    count = int((room - 20) // (most + 8))
    if count:
        sheet = Sheet("p", "", tuple(card(f"N{n}n", rows, words) for n in range(count)))
        assert len(page_texts(pack_pdf(HEAD, (sheet,)))) == 1


def test_columns_of_a_flow_fill_from_the_left():
    table = Table(COLUMNS, (RowGroup(tuple((f"R{n}r", "feed", None) for n in range(150))),), close=True)
    pdf = pack_pdf(HEAD, (Sheet("p", "P", (Flow((table,), 2),)),))
    texts = page_texts(pdf)
    assert texts[0].count("circuit") == 2
    joined = "".join(texts)
    places = [joined.index(f"R{n}r") for n in range(150)]
    assert places == sorted(places)


def test_cautions_one_after_the_other_share_a_frame():
    sheet = Sheet("p", "P", (Caution("Hot."), Caution("Sharp."), Paragraph("x"), Caution("Live.")))
    text = page_texts(pack_pdf(HEAD, (sheet,)))[0]
    assert text.count("CAUTION") == 2
    assert all(word in text for word in ("Hot.", "Sharp.", "Live."))


def test_tables_on_cards_are_found():
    sheet = Sheet("p", "P", (card("A", 2), Flow((card("B", 3),), 2)))
    assert [len(table.rows) for table in sheet.tables] == [2, 3]
    assert sum(isinstance(block, Heading) for block in every_block(sheet.blocks)) == 2
