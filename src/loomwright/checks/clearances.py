"""What a section passes: heat, moving parts, edges, lines, ignition leads, power cables, splash."""

from collections.abc import Callable, Iterator
from typing import Final

from loomwright.calc.clearance import Clearance, clearance
from loomwright.checks.cables import pair_wires
from loomwright.checks.entry import CAUTION, FAULT, NOTE, Entry
from loomwright.checks.looking import an, cited, labels, sections
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.rope import Near
from loomwright.model.tree import Section
from loomwright.model.words import HazardKind
from loomwright.sources import Mark, Source

CLEAR_01: Final = Entry(
    "CLEAR-01",
    "Too near a hot part",
    CAUTION,
    "Exhaust heat bakes sleeve and insulation long before it melts them.",
    Source(Mark.MAKER, "body builder manual: 200 mm unshielded; routing article: 50 mm to a shield"),
    ("route",),
    also=(FAULT,),
)
CLEAR_02: Final = Entry(
    "CLEAR-02",
    "Too near a moving part",
    FAULT,
    "Belt, fan or shaft catch a loom once and cut it through.",
    Source(Mark.MAKER, "routing articles"),
    ("route",),
    also=(CAUTION,),
)
CLEAR_03: Final = Entry(
    "CLEAR-03",
    "Too near a sharp edge",
    CAUTION,
    "Chafing on an edge is how loom fires start.",
    Source(Mark.MAKER, "routing article"),
    ("route",),
)
CLEAR_04: Final = Entry(
    "CLEAR-04",
    "Too near a fuel or oil line",
    CAUTION,
    "A spark beside a leaking line is a fire.",
    Source(Mark.STANDARD, "AC 43.13-1B 11-96: 6 in, 2 in with rigid clamps"),
    ("route",),
    also=(NOTE,),
)
CLEAR_05: Final = Entry(
    "CLEAR-05",
    "Below a fuel or oil line",
    NOTE,
    "What leaks runs down onto the loom.",
    Source(Mark.STANDARD, "AC 43.13-1B 11-96: route above the line"),
    ("route",),
)
CLEAR_06: Final = Entry(
    "CLEAR-06",
    "Too near a brake line",
    CAUTION,
    "Nothing may rub or pull on a brake line.",
    Source(Mark.STANDARD, "workshop manual, fitting accessories: 10 mm fixed, 25 mm moving"),
    ("route",),
)
CLEAR_07: Final = Entry(
    "CLEAR-07",
    "Sensor pair near an ignition lead",
    CAUTION,
    "Spark noise gets into crank, knock and lambda signals.",
    Source(Mark.MEMORY, "100 to 150 mm, cross at a right angle"),
    ("route",),
)
CLEAR_08: Final = Entry(
    "CLEAR-08",
    "Sensor pair along a power cable",
    CAUTION,
    "Starter, fan or pump cables beside a sensor pair induce their switching in it.",
    Source(Mark.MEMORY, "50 to 100 mm, side by side for 300 mm at most"),
    ("route",),
)
CLEAR_09: Final = Entry(
    "CLEAR-09",
    "Splash without a drip loop told",
    NOTE,
    "Water runs along a loom into its plug unless the loom hangs lower before it.",
    Source(Mark.STANDARD, "AC 43.13-1B: drip loop, lowest point below the connector"),
    ("route",),
)
CLEAR_10: Final = Entry(
    "CLEAR-10",
    "Panel hole without a grommet",
    CAUTION,
    "The edge of a hole cuts whatever moves in it.",
    Source(Mark.STANDARD, "AC 43.13-1B 11-115: grommet, or clamped 3/8 in from the edge"),
    ("route", "parts"),
)
ENTRIES: Final = (
    CLEAR_01,
    CLEAR_02,
    CLEAR_03,
    CLEAR_04,
    CLEAR_05,
    CLEAR_06,
    CLEAR_07,
    CLEAR_08,
    CLEAR_09,
    CLEAR_10,
)
CONTROLS: Final = ("pedal", "steering", "gear", "seat", "link", "handbrake")
Spot = tuple[str, Section, Near]
Rule = Callable[[Worked, Spot], Iterator[Finding]]


def _near(worked: Worked) -> Iterator[Spot]:
    for key, section in sections(worked):
        if section.passes is not None:
            for near in section.passes.near:
                yield key, section, near


def hazards(worked: Worked) -> Iterator[Finding]:
    """CLEAR-01 to CLEAR-10: every hazard noted along a section against its distance."""
    rules = dict(RULES)
    for spot in _near(worked):
        rule = rules.get(spot[2].kind)
        if rule is not None:
            yield from rule(worked, spot)


def _say(
    entry: Entry,
    spot: Spot,
    what: str,
    should: str,
    remedy: str,
    *,
    fault: bool = False,
    caution: bool = False,
    note: bool = False,
) -> Finding:
    key, section, near = spot
    where = section.name if near.at_mm is None else f"{section.name} at {near.at_mm:.0f} mm"
    severity = FAULT if fault else CAUTION if caution else NOTE if note else None
    subject = f"{key} {near.kind}{f' {near.at_mm:.0f}' if near.at_mm is not None else ''}"
    return entry.at(where, near.path, what, should, remedy, subject=subject, severity=severity)


def _passes(spot: Spot) -> str:
    _, section, near = spot
    words = f" ({near.words})" if near.words else ""
    return (
        f"{section.name} {'crosses' if near.crosses else 'passes'} {an(near.kind)}{words} at {near.mm:.0f} mm"
    )


def _mm(rule: Clearance) -> str:
    return f"{rule.least_mm:.0f} mm {cited(rule.source)}"


def _hot(worked: Worked, spot: Spot) -> Iterator[Finding]:
    near = spot[2]
    bare, shielded = clearance("hot part", "unshielded"), clearance("hot part", "shielded or sleeved")
    shield = clearance("hot part", "to its shield, part of 200 C and more")
    if near.above:
        should = f"Never directly above a hot part {cited(clearance('hot part', 'directly above').source)}."
        yield _say(CLEAR_01, spot, f"{_passes(spot)}, directly above it.", should, "Lead it round the side.")
    elif near.shielded_by and near.mm < shielded.least_mm:
        should = f"Shielded: {_mm(shielded)}, and {_mm(shield)} to the shield."
        what = f"{_passes(spot)}, shielded by {near.shielded_by}."
        yield _say(CLEAR_01, spot, what, should, "Lead it farther off, or sleeve it against heat as well.")
    elif not near.shielded_by and near.mm < bare.least_mm:
        should = f"Unshielded: {_mm(bare)}; shielded or sleeved {_mm(shielded)}."
        remedy = "Lead it farther off, put a shield between, or a heat sleeve over it."
        yield _say(CLEAR_01, spot, f"{_passes(spot)}.", should, remedy, fault=near.mm < shielded.least_mm)


def _moving(worked: Worked, spot: Spot) -> Iterator[Finding]:
    near = spot[2]
    control = any(word in near.words.lower() for word in CONTROLS)
    belt = clearance("moving part", "belt, pulley, fan, shaft")
    least = clearance("throttle linkage", "through its whole travel with one clip broken")
    wanted = least if control else belt
    if near.mm < wanted.least_mm:
        should = f"At least {_mm(wanted)}, through its whole travel and with one clip broken."
        remedy = "Lead it elsewhere, or hold it with two clips so that it can't get there."
        yield _say(CLEAR_02, spot, f"{_passes(spot)}.", should, remedy, caution=near.mm >= least.least_mm)


def _edge(worked: Worked, spot: Spot) -> Iterator[Finding]:
    rule = clearance("sharp edge", "bracket, bolt head, thread")
    if spot[2].mm < rule.least_mm and not spot[2].shielded_by:
        yield _say(
            CLEAR_03,
            spot,
            f"{_passes(spot)}.",
            f"At least {_mm(rule)}, or trim on the edge.",
            "Fit edge trim.",
        )


def _line(worked: Worked, spot: Spot) -> Iterator[Finding]:
    near = spot[2]
    best, least = clearance(near.kind, "preferred"), clearance(near.kind, "rigid clamps close by")
    if near.mm >= best.least_mm:
        return
    own = f" {cited(best.source)}" if best.source != least.source else ""
    should = f"At least {best.least_mm:.0f} mm{own}, or {_mm(least)} with rigid clamps close by."
    close = near.mm < least.least_mm
    remedy = (
        "Lead it farther off, on clips of its own; cross above the line, never below."
        if close
        else "Hold it with clamps close by, so that it can't reach the line."
    )
    yield _say(CLEAR_04, spot, f"{_passes(spot)}.", should, remedy, note=not close)
    if not near.above:
        should = f"A loom runs above a fuel or oil line, not below {cited(best.source)}."
        what = f"{_passes(spot)} and isn't said to run above it."
        yield _say(CLEAR_05, spot, what, should, "Lead it above, or write above = true if it does.")


def _brake(worked: Worked, spot: Spot) -> Iterator[Finding]:
    area = worked.job.area.get(spot[1].area)
    moves = area is not None and area.moves_mm > 0
    rule = clearance("brake line", "wires that move with the engine" if moves else "wires fixed to the body")
    if spot[2].mm < rule.least_mm:
        should = f"At least {_mm(rule)} for {'wires that move with the engine' if moves else 'fixed wires'}."
        yield _say(CLEAR_06, spot, f"{_passes(spot)}.", should, "Move it, on a clip of its own.")


def _ignition(worked: Worked, spot: Spot) -> Iterator[Finding]:
    pairs, near = pair_wires(worked, spot[0]), spot[2]
    rule = clearance("ignition lead", "speed, knock and lambda sensor wires")
    if pairs and not near.crosses and near.mm < rule.least_mm:
        what = f"{_passes(spot)}, with wires of sensor pairs in it: {labels(pairs)}."
        should = (
            f"At least {rule.least_mm:.0f} to {rule.most_mm:.0f} mm {cited(rule.source)}, or crossing square."
        )
        yield _say(CLEAR_07, spot, what, should, "Move the leads, or take the pairs another way.")


def _power(worked: Worked, spot: Spot) -> Iterator[Finding]:
    pairs, near = pair_wires(worked, spot[0]), spot[2]
    rule = clearance("power cable", "alternator, starter, fan, pump by pulses; from sensor pairs")
    along = near.over_mm if near.over_mm is not None else spot[1].length_mm
    if pairs and not near.crosses and near.mm < rule.least_mm and along > 300:
        what = f"{_passes(spot)} over {along:.0f} mm, with wires of sensor pairs in it: {labels(pairs)}."
        should = (
            f"At least {rule.least_mm:.0f} to {rule.most_mm:.0f} mm {cited(rule.source)}, and {rule.unless}."
        )
        yield _say(CLEAR_08, spot, what, should, "Part them, or let them cross and go separate ways.")


def _splash(worked: Worked, spot: Spot) -> Iterator[Finding]:
    if spot[1].outer in worked.job.connector:
        what = f"{spot[1].name} gets splash and ends in the plug {spot[1].outer}."
        should = "Before a plug the loom's lowest point lies below it (AC 43.13-1B [standard])."
        yield _say(CLEAR_09, spot, what, should, "Leave a drip loop, and count its length in.")


def _hole(worked: Worked, spot: Spot) -> Iterator[Finding]:
    rule = clearance("panel hole", "without grommet")
    near = spot[2]
    if not near.shielded_by and near.mm < rule.least_mm:
        should = (
            f"A grommet, or a clamp that keeps it {rule.least_mm:.1f} mm from the edge {cited(rule.source)}."
        )
        remedy = 'Fit a grommet and write shielded_by = "grommet".'
        yield _say(CLEAR_10, spot, f"{_passes(spot)}.", should, remedy)


RULES: Final[tuple[tuple[HazardKind, Rule], ...]] = (
    (HazardKind.HOT_PART, _hot),
    (HazardKind.MOVING_PART, _moving),
    (HazardKind.SHARP_EDGE, _edge),
    (HazardKind.FUEL_LINE, _line),
    (HazardKind.OIL_LINE, _line),
    (HazardKind.BRAKE_LINE, _brake),
    (HazardKind.IGNITION_LEAD, _ignition),
    (HazardKind.POWER_CABLE, _power),
    (HazardKind.SPLASH, _splash),
    (HazardKind.PANEL_HOLE, _hole),
)
