"""Measured lengths: doubt against trim, points too close together, exits, board."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.clearance import support
from loomwright.checks.entry import CAUTION, NOTE, SHOPS, Entry
from loomwright.checks.looking import cited, labels, many, named, verb
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.jobfile.toml_write import path_words
from loomwright.model.job import Job
from loomwright.routing.routed import EndKind, Wire
from loomwright.sizing.sized import WireLength
from loomwright.sources import OURS, PRACTICE, Figure, Mark, Source

DOUBT_01: Final = Entry(
    "DOUBT-01",
    "Fixed ends closer than the doubt allows",
    CAUTION,
    "A wire without trim at either end can come out short, and short wires can't be mended.",
    Source(Mark.OURS, "doubt of the way against what the ends can give"),
    ("cut list", "board"),
)
DOUBT_02: Final = Entry(
    "DOUBT-02",
    "Doubt greater than the trim",
    CAUTION,
    "The trim left is less than the measuring may be wrong by.",
    Source(Mark.OURS, "doubt of the way against the shop's trim"),
    ("cut list", "board"),
)
DOUBT_03: Final = Entry(
    "DOUBT-03",
    "Way known no better than 30 mm",
    NOTE,
    "Branch points drawn from such readings sit where the car doesn't want them.",
    OURS,
    ("cut list", "board"),
    levels=SHOPS,
)
BRANCH_01: Final = Entry(
    "BRANCH-01",
    "Branch points close together",
    CAUTION,
    "Two covers side by side make one stiff lump that neither bends nor closes well.",
    Source(Mark.STANDARD, "QC/T 29106: joints and branch points at least 20 mm apart"),
    ("branch points", "board"),
)
EXIT_01: Final = Entry(
    "EXIT-01",
    "Exits not noted",
    NOTE,
    "Without its direction a branch is laid the way the board happens to show it.",
    PRACTICE,
    ("branch points", "board"),
)
BOARD_01: Final = Entry(
    "BOARD-01",
    "Sections cross on the board",
    NOTE,
    "Where drawn sections cross, nails and loom get into each other's way.",
    OURS,
    ("board",),
)
BOARD_05: Final = Entry(
    "BOARD-05",
    "Fixed on the other hand than on the car",
    CAUTION,
    "Laid on the wrong hand, a branch has to be twisted round the trunk to reach its device.",
    OURS,
    ("board",),
)
ENTRIES: Final = (DOUBT_01, DOUBT_02, DOUBT_03, BRANCH_01, EXIT_01, BOARD_01, BOARD_05)
LOOSE_MM: Final = Figure(30.0, OURS)


def doubt_of_ways(worked: Worked) -> Iterator[Finding]:
    """DOUBT-01, DOUBT-02, DOUBT-03: one finding per pair of ends' worst, grouped by the far end."""
    worst: dict[tuple[str, str], tuple[Entry, list[Wire], WireLength]] = {}
    for row in worked.sized.lengths:
        wire = worked.routed.wire.get(row.wire)
        entry = _doubt(worked.job, wire, row) if wire is not None and not wire.screen else None
        if wire is None or entry is None:
            continue
        key = (entry.code, _far_end(wire))
        _, wires, known = worst.setdefault(key, (entry, [], row))
        wires.append(wire)
        if row.doubt_mm > known.doubt_mm:
            worst[key] = (entry, wires, row)
    for (_, end), (entry, wires, row) in sorted(worst.items()):
        yield _say(worked.job, entry, end, wires, row)


def _far_end(wire: Wire) -> str:
    """The end the wire is told at: its plug that isn't a splice."""
    return wire.b.point if wire.b.kind in (EndKind.PIN, EndKind.STUD, EndKind.JOINT) else wire.a.point


def _gives_mm(row: WireLength) -> float:
    """What the ends' allowances can give without trim [mm]."""
    return sum(t.mm for t in row.terms if t.words.startswith(("to the contact", "sealed end", "ring at")))


def _doubt(job: Job, wire: Wire, row: WireLength) -> Entry | None:
    trim = row.trim_a_mm + row.trim_b_mm
    spliced = EndKind.SPLICE in (wire.a.kind, wire.b.kind)
    if trim <= 0:
        return DOUBT_01 if row.doubt_mm > _gives_mm(row) and not spliced else None
    if row.doubt_mm > trim:
        return DOUBT_02
    return DOUBT_03 if row.doubt_mm > LOOSE_MM.value else None


def _say(job: Job, entry: Entry, end: str, wires: list[Wire], row: WireLength) -> Finding:
    connector = job.connector.get(end)
    trim = row.trim_a_mm + row.trim_b_mm
    what = {
        DOUBT_01.code: f"and their ends give {_gives_mm(row):.0f} mm without trim",
        DOUBT_02.code: f"and the trim is {trim:.0f} mm",
        DOUBT_03.code: f"and the trim of {trim:.0f} mm covers it",
    }[entry.code]
    should = {
        DOUBT_01.code: "Between two fixed ends the way is known better than the ends can give.",
        DOUBT_02.code: f"The trim covers the doubt; the shop leaves {job.shop.trim_mm.value:.0f} mm.",
        DOUBT_03.code: f"Ways are known to {LOOSE_MM.value:.0f} mm {cited(LOOSE_MM.source)}.",
    }[entry.code]
    return entry.at(
        end,
        connector.path if connector else (),
        f"{labels(wires)} to {end}: the way of {row.path_mm:.0f} mm may be wrong by {row.doubt_mm:.0f} mm, "
        f"{what}.",
        should,
        "Measure that way again with one tape"
        + (", or let one of the ends be trimmed." if entry is DOUBT_01 else ", or leave more trim."),
        subject=end,
    )


def branch_points_close(worked: Worked) -> Iterator[Finding]:
    """BRANCH-01: two branch points less than 20 mm apart."""
    rule = support("between joints and branch points")
    least = rule.least_mm or 0.0
    for tree in worked.routed.trees:
        points = set(tree.branch_points)
        for section in tree.sections:
            if {section.inner, section.outer} <= points and section.length_mm < least:
                yield BRANCH_01.at(
                    section.name,
                    section.path,
                    f"{section.inner} and {section.outer} are {section.length_mm:.0f} mm apart.",
                    f"Branch points are at least {least:.0f} mm apart {cited(rule.source)}.",
                    "Make one branch point of the two, or move one.",
                    subject=f"{tree.loom}/{section.name}",
                )


def exits_not_noted(worked: Worked) -> Iterator[Finding]:
    """EXIT-01: branch points whose sections have no direction; one finding per point."""
    for tree in worked.routed.trees:
        noted = {(e.point, e.to) for e in tree.exits}
        for point in tree.branch_points:
            missing = [s.outer for s in tree.out_of.get(point, ()) if (point, s.outer) not in noted]
            if missing:
                yield EXIT_01.at(
                    point,
                    ("exit", point),
                    f"Nobody noted how {named(missing)} {verb(len(missing), 'leaves', 'leave')} {point}.",
                    "Every section that leaves a branch point has a direction in car axes [common practice].",
                    f"Hold the rope to the car again and write [exit.{point}].",
                    subject=f"{tree.loom}/{point}",
                    misses=(*missing, *(path_words(("exit", point, to)) for to in missing)),
                )


def board_crossings(worked: Worked) -> Iterator[Finding]:
    """BOARD-01: sections that cross on a loom's board."""
    for board in worked.built.boards:
        if board.crossings > 0:
            yield BOARD_01.at(
                f"board {board.loom}",
                ("loom", board.loom),
                f"{many(board.crossings, 'crossing')} on the board of {board.loom} couldn't be avoided.",
                "Sections lie side by side on the board.",
                "Lay the upper section last, or draw the board with some angles fixed.",
                subject=board.loom,
            )


def board_hands(worked: Worked) -> Iterator[Finding]:
    """BOARD-05: sections the builder fixed on the other hand than they leave on the car."""
    for board in worked.built.boards:
        for name in board.against_hand:
            path = next(x.path for x in worked.job.board_angles if (x.loom, x.section) == (board.loom, name))
            yield BOARD_05.at(
                f"board {name}",
                path,
                f"{name} is fixed on the other side of what it leaves than its exit on the car.",
                "Board and car agree in handedness.",
                "Turn it to the other side, or note its exit anew if the car has changed.",
                subject=f"{board.loom}/{name}",
            )
