"""Coverings: a size that goes on, stays in the air it lies in, and stiff pieces that don't meet."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.bend import STRAIGHT_BY_STIFF_MM
from loomwright.checks.entry import CAUTION, FAULT, NOTE, SHOPS, Entry
from loomwright.checks.looking import cited, many, named, sections, verb
from loomwright.checks.worked import Worked
from loomwright.errors import OutOfRange
from loomwright.findings import Finding
from loomwright.library.coverings import SleeveType, cover, sleeve
from loomwright.sizing.sized import SleevePiece
from loomwright.sources import PRACTICE, Mark, Source

_SHEET: Final = Source(Mark.MEMORY, "sleeve sizes and classes; check against the bought sheet")
SLEEVE_01: Final = Entry(
    "SLEEVE-01",
    "No sleeve size goes on and grips",
    CAUTION,
    "Either the covering doesn't pass what it has to slide over, or it stays loose on the bundle.",
    _SHEET,
    ("sleeves", "parts"),
)
SLEEVE_02: Final = Entry(
    "SLEEVE-02",
    "Air hotter than the covering",
    FAULT,
    "The covering goes brittle or melts where it should protect.",
    _SHEET,
    ("sleeves", "parts"),
)
SLEEVE_03: Final = Entry(
    "SLEEVE-03",
    "Sleeve shrinks hotter than the wire's class",
    CAUTION,
    "To recover it, the wire below is heated past what its insulation is made for.",
    _SHEET,
    ("sleeves", "build order"),
)
SLEEVE_04: Final = Entry(
    "SLEEVE-04",
    "No branch cover goes on and grips",
    CAUTION,
    "The glue-lined piece doesn't pass the thick side or doesn't shrink onto the thin one.",
    _SHEET,
    ("sleeves", "parts"),
)
SLEEVE_05: Final = Entry(
    "SLEEVE-05",
    "Stiff pieces meet in a section",
    CAUTION,
    "The glue-lined pieces of both ends take up the whole section: it doesn't bend any more, or they don't "
    "fit.",
    PRACTICE,
    ("sleeves", "board"),
)
SLEEVE_06: Final = Entry(
    "SLEEVE-06",
    "Bare section",
    NOTE,
    "A section without covering has nothing between its wires and what it rubs on.",
    PRACTICE,
    ("sleeves",),
    levels=SHOPS,
)
ENTRIES: Final = (SLEEVE_01, SLEEVE_02, SLEEVE_03, SLEEVE_04, SLEEVE_05, SLEEVE_06)


def _sleeve(name: str) -> SleeveType | None:
    try:
        return sleeve(name)
    except OutOfRange:
        return None


def _class_c(piece: SleevePiece) -> float | None:
    """Highest continuous temperature of a piece's covering [degrees C]."""
    kind = _sleeve(piece.type)
    if kind is not None:
        return kind.class_c
    try:
        sizes = cover(piece.type).sizes
    except OutOfRange:
        return None
    return min((s.class_c for s in sizes if s.label == piece.size or not piece.size), default=None)


def no_size_fits(worked: Worked) -> Iterator[Finding]:
    """SLEEVE-01: a section for which no size passes and grips."""
    for piece in worked.sized.sleeves:
        if piece.fits or piece.what == "none":
            continue
        name = piece.section.split("/", 1)[-1]
        yield SLEEVE_01.at(
            name,
            ("passes", name),
            f"{piece.type or piece.what} on {name}: {piece.words}.",
            f"It slides over {piece.must_pass_mm:.1f} mm ({piece.passes_over}) and sits tight on "
            f"{piece.bundle_mm:.1f} mm {cited(piece.source)}.",
            "Take braid, tape or split tube for this section, or a sleeve with more shrink.",
            subject=piece.section,
        )


def covering_too_cool(worked: Worked) -> Iterator[Finding]:
    """SLEEVE-02: a section's air above the class of its covering."""
    pieces = worked.sized.sleeve
    for key, section in sections(worked):
        piece = pieces.get(key)
        class_c = _class_c(piece) if piece is not None and piece.what != "none" else None
        if piece is None or class_c is None or section.air_c <= class_c:
            continue
        yield SLEEVE_02.at(
            section.name,
            section.passes.path if section.passes else section.path,
            f"The air along {section.name} is {section.air_c:.0f} degrees C and {piece.type} is made for "
            f"{class_c:.0f}.",
            "A covering is made for more than the air it lies in.",
            "Choose a hotter covering for it, or a heat sleeve over it.",
            subject=key,
        )


def shrinks_too_hot(worked: Worked) -> Iterator[Finding]:
    """SLEEVE-03: recovery above the wire's class; one finding per sleeve type."""
    size = {row.wire: row.size for row in worked.sized.conductors}
    found: dict[str, dict[str, list[str]]] = {}
    for piece in worked.sized.sleeves:
        kind = _sleeve(piece.type) if piece.what == "sleeve" else None
        for wire in worked.routed.in_section.get(piece.section, ()) if kind else ():
            one = size.get(wire.identity)
            if kind is not None and one is not None and one.class_c < kind.recover_c:
                words = f"{one.family} ({one.class_c:.0f})"
                found.setdefault(kind.name, {}).setdefault(words, []).append(piece.section)
    for name, families in sorted(found.items()):
        kind = sleeve(name)
        places = {s for rows in families.values() for s in rows}
        yield SLEEVE_03.at(
            name,
            ("shop", "sleeve"),
            f"{name} recovers at {kind.recover_c:.0f} degrees C; in {many(len(places), 'section')} it lies "
            f"on wire of a cooler class: {named(sorted(families))}.",
            f"Sleeve and wire stand the same heat {cited(kind.source)}.",
            "Move the gun, heat it in short passes and let it cool; or take a sleeve that recovers cooler.",
            subject=name,
        )


def no_branch_cover_fits(worked: Worked) -> Iterator[Finding]:
    """SLEEVE-04: a branch point for which no glue-lined size passes and grips."""
    for one in worked.sized.branch_covers:
        if not one.fits:
            yield SLEEVE_04.at(
                one.point,
                ("shop", "branch_cover"),
                f"{one.type} at {one.point}: {one.words or 'no size fits'}.",
                f"It passes {one.over_mm:.1f} mm and shrinks onto {one.smallest_mm:.1f} mm "
                f"{cited(one.source)}.",
                "Take a 4:1 piece, build the thin side up with tape, or cover it with a moulded piece.",
                subject=f"{one.loom}/{one.point}",
            )


def stiff_pieces_meet(worked: Worked) -> Iterator[Finding]:
    """SLEEVE-05: overlaps from both ends of a section and the straight beside them exceed its length."""
    over: dict[str, list[tuple[str, float]]] = {}
    for one in worked.sized.branch_covers:
        for key, mm in one.legs:
            over.setdefault(key, []).append((one.point, mm))
    straight = STRAIGHT_BY_STIFF_MM
    for key, section in sections(worked):
        pieces = over.get(key, [])
        stiff = sum(mm for _, mm in pieces)
        if not pieces or stiff <= section.length_mm:
            continue
        yield SLEEVE_05.at(
            section.name,
            section.path,
            f"{section.name} is {section.length_mm:.0f} mm long, and the glue-lined "
            f"{verb(len(pieces), 'piece', 'pieces')} at {named(p for p, _ in pieces)} "
            f"{verb(len(pieces), 'takes', 'take')} {stiff:.0f} mm of it.",
            f"Stiff pieces leave room between them, and {straight.value:.0f} mm straight beside each before "
            f"a bend {cited(straight.source)}.",
            "Cover both points with one piece, move a branch point, or plan the section as stiff.",
            subject=key,
        )


def bare_section(worked: Worked) -> Iterator[Finding]:
    """SLEEVE-06: sections left bare; one finding per loom."""
    bare: dict[str, list[str]] = {}
    for piece in worked.sized.sleeves:
        if piece.what == "none":
            loom, _, name = piece.section.partition("/")
            bare.setdefault(loom, []).append(name)
    for loom, names in sorted(bare.items()):
        yield SLEEVE_06.at(
            f"loom {loom}",
            ("shop", "covering"),
            f"{named(names)} {verb(len(names), 'is', 'are')} left bare.",
            "Every section has a covering, but for dry, fixed and hidden ones.",
            "Nothing, if that is how you want it.",
            subject=loom,
        )
