"""Drawings and sheets for the tests of this folder; every figure in them is invented."""

from loomwright.pack.marks import (
    BOLD_PEN,
    CHAIN,
    DASHED,
    FULL,
    GREY,
    Arc,
    Box,
    Circle,
    Drawing,
    Group,
    Hatch,
    Line,
    Mark,
    Pen,
    Polygon,
    Polyline,
    Text,
)
from loomwright.pack.pages import (
    NOT_FOR_BUILD,
    Caution,
    Column,
    Contents,
    Facts,
    Figure,
    FigureRow,
    FindingLine,
    FindingList,
    Heading,
    PackHead,
    PageBreak,
    Paragraph,
    RowGroup,
    Sheet,
    Table,
)

HEAD = PackHead("Invented car <2.0 & four>", "B", "3f9a77c1", "2001-02-03")


def every_mark() -> Drawing:
    frame = ((10.0, 10.0), (190.0, 10.0), (190.0, 60.0), (10.0, 60.0))
    slope = ((30.0, 30.0), (60.0, 30.0), (60.0, 50.0), (45.0, 55.0))
    marks: tuple[Mark, ...] = (
        Polygon(frame, BOLD_PEN, layer="frame"),
        Line((20, 20), (120, 20)),
        Circle((150, 40), 15, FULL, "#dddddd"),
        Arc((100, 40), 12, 30, 200, DASHED),
        Polygon(slope, FULL, "#eeeeee", Hatch(30, 2), layer="trim zone"),
        Text((100, 65), "0.35 mm² ± 1 Ω → <ok> & Жук", 4, "middle"),
        Text((150, 40), "B3", 5, "middle", "middle", 45, True),
        Polyline(((10, 70), (60, 75), (110, 70), (190, 75)), CHAIN),
        Group("section:trunk", (Text((120, 25), "cut by a window", 5), Circle((140, 27), 6, None, GREY)),
              Box(118, 20, 142, 28)),
    )
    return Drawing("every mark <&>", 200, 80, marks)


def board(length_mm: float = 2600.0) -> Drawing:
    marks: list[Mark] = [Line((30, 300), (length_mm - 30, 300), Pen(8, ink="#999999"), "bundle")]
    for place in range(int(length_mm // 260)):
        x, up = 150 + place * 240.0, 1 if place % 2 else -1
        marks += [
            Line((x, 300), (x + 60, 300 + up * 190), Pen(4, ink="#999999"), "bundle"),
            Circle((x, 300), 9, FULL, "#ffffff"),
            Text((x, 300), f"BP{place}", 4, "middle", "middle", bold=True),
        ]
    return Drawing("Invented forming board", length_mm, 600, tuple(marks))


def wire_table(rows: int, group: int = 60) -> Table:
    columns = (
        Column("wire", bold=True),
        Column("circuit"),
        Column("size", "mm²", "number", decimals=2),
        Column("cut length", "mm", "number"),
        Column("cut", kind="tick"),
        Column("measured", "Ω", kind="blank"),
        Column("note"),
    )
    cells = tuple(
        (f"W{n:03}", ("injector feed", "=1+1", "sensor 0 V")[n % 3], 0.35, 1240 + n, n == 0, None,
         "twist with the next one, pitch 25 mm" if n % 9 == 0 else "")
        for n in range(rows)
    )
    groups = tuple(RowGroup(cells[at : at + group], f"Lot {at // group + 1}") for at in range(0, rows, group))
    return Table(columns, groups, "Wires", "Lengths include the trim.")


def every_block() -> tuple[Sheet, ...]:
    small = Drawing("face", 60, 20, (Circle((10, 10), 8), Text((10, 10), "1", 3, "middle", "middle")))
    finding = FindingLine("PIN-02", "fault", "X4, cavity 7", "Two wires.", "One contact.", "Join them.", 3)
    kept = FindingLine("HEA-01", "caution", "trunk", "60 mm.", "90 mm.", "Move it.", 1, "shielded (AB)")
    cover = (
        Facts((("Job", "Invented"), ("Builder", ""), ("Level", "street"))),
        Heading("Sheets"),
        Contents(),
        FindingList((finding, kept)),
        PageBreak(),
        Paragraph("#let x = 1; $ ` * _ @ref // not markup \\"),
        Caution("Disconnect the battery first."),
        FigureRow((Figure(small, "wire side", 1.0), Figure(small, "mating side", 1.0))),
        Figure(every_mark(), "shrunk to the page"),
    )
    return (
        Sheet("cover", "Cover", cover, "What it is.", ("Hot.",), (NOT_FOR_BUILD, "UNCHECKED")),
        Sheet("cut", "Cut list", (wire_table(100),)),
        Sheet("test", "Bench test", (wire_table(12),), big=True, landscape=True),
    )
