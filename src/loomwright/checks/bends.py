"""Bends and what holds the loom: radius, support, spacing of ties, what they are tied to."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from loomwright.calc.bend import BEND_SUPPORT_MM, BUNDLE_TIGHT_TIMES
from loomwright.calc.clearance import Support, support
from loomwright.checks.entry import CAUTION, FAULT, NOTE, SHOPS, Entry
from loomwright.checks.looking import cited, named, sections, verb
from loomwright.checks.worked import Worked
from loomwright.errors import OutOfRange
from loomwright.findings import Finding
from loomwright.library.wires import cable
from loomwright.model.rope import Bend, Passes, Tie
from loomwright.model.tree import Section
from loomwright.model.words import Level
from loomwright.sources import PRACTICE, Figure, Mark, Source

BEND_01: Final = Entry(
    "BEND-01",
    "Bend tighter than a wire in it stands",
    FAULT,
    "Below six diameters of its thickest wire or cable a bend breaks strands and kinks screens.",
    Source(Mark.STANDARD, "NASA-STD-8739.4: never below 6 x OD of the wire or cable"),
    ("route", "board"),
)
BEND_02: Final = Entry(
    "BEND-02",
    "Bend tighter than the shop's rule",
    CAUTION,
    "A sheathed bundle bent so tightly stays under strain and creases its sleeve.",
    PRACTICE,
    ("route", "board"),
)
BEND_03: Final = Entry(
    "BEND-03",
    "Bend without a support near",
    NOTE,
    "A bend that nothing holds opens, and works with every shake.",
    PRACTICE,
    ("route",),
    also=(CAUTION,),
)
TIE_01: Final = Entry(
    "TIE-01",
    "Supports far apart",
    CAUTION,
    "Between distant supports the loom swings, rubs and pulls on its branch points.",
    Source(Mark.MAKER, "routing texts: 300 mm in vehicles; 46 CFR 183.340: 610 mm at the very most"),
    ("route",),
    also=(FAULT,),
)
TIE_02: Final = Entry(
    "TIE-02",
    "First support far from the plug",
    CAUTION,
    "The plug and its seals have to hold the loom.",
    Source(Mark.MAKER, "routing article: 120 mm from a connector"),
    ("route",),
)
TIE_03: Final = Entry(
    "TIE-03",
    "Tied to a brake line, a hose or what moves",
    FAULT,
    "A tie chafes through a hose, and nothing may pull on a brake line.",
    Source(Mark.STANDARD, "body builder manual: no wiring on brake and fuel lines"),
    ("route",),
)
TIE_04: Final = Entry(
    "TIE-04",
    "Tied to a metal fuel line",
    CAUTION,
    "Seen often; a short there burns through the line.",
    Source(Mark.STANDARD, "AC 43.13-1B 11-96 rules it out; common in the trade"),
    ("route",),
)
TIE_05: Final = Entry(
    "TIE-05",
    "Grommet without a clamp beside it",
    NOTE,
    "A grommet seals; it doesn't carry the loom.",
    PRACTICE,
    ("route",),
    levels=SHOPS,
)
TIE_06: Final = Entry(
    "TIE-06",
    "Held by ties alone",
    CAUTION,
    "A tie that ages or is cut lets the whole section go, and one pulled tight breaks strands.",
    Source(Mark.STANDARD, "AC 43.13-1B 11-96: ties and tape are not the primary support"),
    ("route",),
    levels=(Level.MOTORSPORT,),
)
ENTRIES: Final = (BEND_01, BEND_02, BEND_03, TIE_01, TIE_02, TIE_03, TIE_04, TIE_05, TIE_06)
SOFT: Final = ("hose", "pipe that moves", "shaft", "linkage", "steering", "throttle", "exhaust")


def _bends(worked: Worked) -> Iterator[tuple[str, Section, Passes, Bend]]:
    for key, section in sections(worked):
        if section.passes is not None:
            for bend in section.passes.bends:
                yield key, section, section.passes, bend


def thickest_member_mm(worked: Worked, key: str) -> float:
    """Return the outside diameter of the thickest wire or cable in a section [mm]; 0 = it is empty."""
    size = {row.wire: row.size for row in worked.sized.conductors}
    stock = {c.name: c.stock for c in worked.job.cables}
    found = [0.0]
    for wire in worked.routed.in_section.get(key, ()):
        one = size.get(wire.identity)
        found.append(one.od_max_mm if one is not None else 0.0)
        try:
            found.append(cable(stock[wire.cable]).od_max_mm if stock.get(wire.cable) else 0.0)
        except OutOfRange:
            continue
    return max(found)


def _value(figure: Figure) -> float:
    return figure.value


def bend_radius(worked: Worked) -> Iterator[Finding]:
    """BEND-01, BEND-02: inner radius below the member's rule, or below the shop's for the bundle."""
    shop = worked.job.shop
    for key, section, _, bend in _bends(worked):
        piece = worked.sized.sleeve.get(key)
        member = thickest_member_mm(worked, key)
        if member <= 0:
            continue
        od = piece.finished_mm if piece is not None else member
        inner = max(bend.radius_mm - od / 2, 0.0)
        held = bend.support_mm is not None and bend.support_mm <= BEND_SUPPORT_MM.value
        times = min(shop.bend_bundle_x, BUNDLE_TIGHT_TIMES, key=_value) if held else shop.bend_bundle_x
        never, wanted = shop.bend_member_x.value * member, times.value * od
        where = f"{section.name} at {bend.at_mm:.0f} mm"
        subject = f"{key} {bend.at_mm:.0f}"
        what = (
            f"The bend of {section.name} at {bend.at_mm:.0f} mm has {inner:.0f} mm radius on its inner side."
        )
        remedy = "Lead it in a wider bow, or plan the corner as a branch point with a moulded piece."
        if inner < never:
            should = (
                f"At least {never:.0f} mm: {shop.bend_member_x.value:g} times its thickest wire or cable, "
                f"{member:.1f} mm {cited(shop.bend_member_x.source)}."
            )
            yield BEND_01.at(where, bend.path, what, should, remedy, subject=subject)
        elif inner < wanted:
            how = "held close by" if held else "not held close by"
            should = (
                f"{wanted:.0f} mm: {times.value:g} times the {od:.1f} mm bundle, {how} {cited(times.source)}."
            )
            yield BEND_02.at(where, bend.path, what, should, remedy, subject=subject)


def bend_support(worked: Worked) -> Iterator[Finding]:
    """BEND-03: the next support is farther than 75 mm, or not told."""
    rule = support("from a bend")
    most = rule.most_mm or 0.0
    for key, section, _, bend in _bends(worked):
        told = bend.support_mm
        if bend.angle_deg < 30 or (told is not None and told <= most):
            continue
        what = "isn't told" if told is None else f"is {told:.0f} mm away"
        yield BEND_03.at(
            f"{section.name} at {bend.at_mm:.0f} mm",
            bend.path,
            f"The next support of the {bend.angle_deg:.0f} degree bend {what}.",
            f"A bend is held within {most:.0f} mm {cited(rule.source)}.",
            "Put a clip there, or measure to the nearest one and enter support_mm.",
            subject=f"{key} {bend.at_mm:.0f}",
            severity=NOTE if told is None else CAUTION,
        )


def _tied(worked: Worked) -> Iterator[tuple[str, Section, Passes]]:
    for key, section in sections(worked):
        passes = section.passes
        if passes is not None and (passes.ties_noted or passes.ties):
            yield key, section, passes


def support_spacing(worked: Worked) -> Iterator[Finding]:
    """TIE-01: the longest stretch between supports, where they were noted."""
    usual, most = support("straight, vehicle"), support("straight, aircraft and small vessels")
    for key, section, passes in _tied(worked):
        spots = [0.0, *sorted(t.at_mm for t in passes.ties), section.length_mm]
        gap, start = max((b - a, a) for a, b in pairwise(spots))
        if gap <= (usual.most_mm or 0.0):
            continue
        hard = gap > (most.most_mm or gap)
        yield TIE_01.at(
            section.name,
            passes.path,
            f"Nothing holds {section.name} from {start:.0f} to {start + gap:.0f} mm, {gap:.0f} mm.",
            f"At most {_words(usual)}, and never more than {_words(most)}.",
            "Put a clip in the middle.",
            subject=key,
            severity=FAULT if hard else CAUTION,
        )


def _words(rule: Support) -> str:
    return f"{rule.most_mm or 0:.0f} mm {cited(rule.source)}"


def support_at_plug(worked: Worked) -> Iterator[Finding]:
    """TIE-02: a section to a plug whose last support is far from it."""
    rule = support("from a connector")
    most = rule.most_mm or 0.0
    for key, section, passes in _tied(worked):
        if section.outer not in worked.job.connector or section.length_mm <= most:
            continue
        last = max((t.at_mm for t in passes.ties), default=0.0)
        gap = section.length_mm - last
        if gap > most:
            yield TIE_02.at(
                section.outer,
                passes.path,
                f"The last support before {section.outer} is {gap:.0f} mm away.",
                f"At most {most:.0f} mm from a connector {cited(rule.source)}.",
                "Put a clip nearer to the plug.",
                subject=key,
            )


def tied_to_lines(worked: Worked) -> Iterator[Finding]:
    """TIE-03, TIE-04: ties on brake lines, hoses, moving parts; on metal fuel lines."""
    for key, section, passes in _tied(worked):
        for tie in passes.ties:
            entry = _tied_to(tie)
            if entry is not None:
                yield entry.at(
                    f"{section.name} at {tie.at_mm:.0f} mm",
                    tie.path or passes.path,
                    f"A {tie.what} at {tie.at_mm:.0f} mm of {section.name} is fixed to this: {tie.to}.",
                    "A loom is held by brackets and studs of its own."
                    if entry is TIE_03
                    else "A fuel line carries no loom (AC 43.13-1B 11-96 [standard]).",
                    "Give it a clip on a bracket."
                    if entry is TIE_03
                    else "Use a clip that keeps loom and line apart, or a bracket of its own.",
                    subject=f"{key} {tie.at_mm:.0f}",
                )


def _tied_to(tie: Tie) -> Entry | None:
    to = tie.to.lower()
    if "brake" in to or any(word in to for word in SOFT):
        return TIE_03
    if "fuel" in to and any(word in to for word in ("line", "pipe", "rail", "tube")):
        return TIE_04
    return None


def clamp_at_grommet(worked: Worked) -> Iterator[Finding]:
    """TIE-05: a section from a bulkhead hole whose first support is far from it."""
    rule = support("from a grommet, both sides")
    holes = {loom.datum: loom.name for loom in worked.job.looms if loom.hole_mm is not None}
    for key, section, passes in _tied(worked):
        if holes.get(section.inner) != section.loom:
            continue
        first = min((t.at_mm for t in passes.ties), default=section.length_mm)
        if first > (rule.most_mm or 0.0):
            yield TIE_05.at(
                section.name,
                passes.path,
                f"The first support of {section.name} is {first:.0f} mm from the grommet.",
                f"The loom is clamped within {rule.most_mm:.0f} mm on both sides {cited(rule.source)}.",
                "Put a clamp beside the hole.",
                subject=key,
            )


def ties_alone(worked: Worked) -> Iterator[Finding]:
    """TIE-06: sections whose supports are ties and nothing firmer; one finding a loom."""
    found: dict[str, list[str]] = {}
    for _, section, passes in _tied(worked):
        if passes.ties and all("tie" in tie.what.lower().split() for tie in passes.ties):
            found.setdefault(section.loom, []).append(section.name)
    for loom, names in found.items():
        yield TIE_06.at(
            f"loom {loom}",
            ("loom", loom),
            f"{named(names)} {verb(len(names), 'is', 'are')} held by ties alone.",
            "Cushioned clamps hold a loom, ties only keep it in shape (AC 43.13-1B 11-96 [standard]).",
            'Put a cushioned clamp at every second or third place, and write what = "clamp" there.',
            subject=loom,
        )
