"""How to read the papers: names, sizes, marks, stamps; one short page."""

from typing import Final

from loomwright.pack.pages import Column, RowGroup, Sheet, Table
from loomwright.pack.view import View
from loomwright.sources import Mark

COLUMNS: Final = (Column("you see", bold=True), Column("it means"))
NAMES: Final = (
    ("W12", "Wire 12. A number is given once and never used again; both ends carry it."),
    ("INJ1:2", "Cavity 2 of the plug at INJ1. ECU.A:14 is cavity 14 of plug A at ECU."),
    ("SP3", "Splice 3."),
    ("B1-B2", "The section from B1 outward to B2; B1 is the end nearer the datum."),
    ("B1-B2, 345 mm from B1", "A place on the loom: measured along the section from its inner end."),
    ("datum", "The point all lengths start from, normally the bulkhead grommet."),
    (
        "0.5 mm² / 20.1 AWG",
        "The size as printed on the reel, then the other system by true copper: not the name of a reel.",
    ),
    ("22 AWG / 0.38 mm²", "The same the other way round."),
    (
        "RD, RD/WH",
        "Colours: BK black, BN brown, RD red, OG orange, YE yellow, GN green, BU blue, "
        "VT violet, GY grey, "
        "WH white, PK pink; base / stripe (IEC 60757).",
    ),
    ("trim", "Length cut off at the test fit, on the car. It is in the cut length already."),
    ("fixed end", "Finished first, no trim."),
    ("wire side", "The plug seen from where the wires go in. The mating side is its mirror."),
    (
        "loom half",
        "The half of a plug on a loom; the device half is part of its device. A loom half has sockets, a "
        "device half pins (common practice). Of a mating pair both are loom halves: the one that stays live "
        "when they part has the sockets, the other the pins.",
    ),
    (
        "3 o'clock",
        "Seen looking outward from the datum; 12 is up; where it runs within 30° of vertical 12 is front.",
    ),
    ("as laid", "What hands make of a bundle; packed is the least it can be."),
    (
        "give or take",
        "Doubt of a length: reading errors added in square, errors common to a tape added straight.",
    ),
)
STAMPS: Final = (
    ("NOT FOR BUILD", "A fault nobody accepted touches this paper. See the findings behind the cover."),
    ("UNCHECKED", "Nobody compared these faces with the numbers moulded in the plugs."),
    ("NO WAY BACK", "A step that can't be undone."),
    ("–", "Nothing to say here."),
    ("* behind a current", "Estimated by our own method, not read from a published table."),
    ("? behind a load", "A device on this wire has no known current."),
)
MARKS: Final = (
    (Mark.STANDARD, "Read in a published text, named below the table."),
    (Mark.MAKER, "Read in a maker's data sheet."),
    (Mark.PRACTICE, "Common practice of the trade, no published source."),
    (Mark.MEMORY, "Recalled: check it against the part in hand."),
    (Mark.OURS, "Worked out or chosen by this program."),
    (Mark.BUILDER, "Entered in the job by the builder."),
)


def how_to_read(view: View) -> Sheet:
    """Return the page that explains names, stamps and marks."""
    marks = tuple((str(mark), words) for mark, words in MARKS)
    groups = (
        RowGroup(NAMES, "Names and words"),
        RowGroup(STAMPS, "Stamps and signs"),
        RowGroup(marks, "Where a figure comes from"),
    )
    return Sheet("how-to-read", "How to read these papers", (Table(COLUMNS, groups),))
