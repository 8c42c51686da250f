"""Fuses: do they protect the wire, carry the load, and are they made."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.fuses import boat_rule_max_a, load_share_max, may_carry_a
from loomwright.checks.entry import CAUTION, FAULT, NOTE, SHOPS, Entry
from loomwright.checks.looking import begun, duration, labels, live_pins, many, named, verb
from loomwright.checks.worked import Worked
from loomwright.edits import Edit, Verb
from loomwright.errors import OutOfRange
from loomwright.findings import Finding
from loomwright.library.fuses import FuseType, fuse_types
from loomwright.model.circuit import Protection
from loomwright.model.words import CircuitKind, Side
from loomwright.routing.routed import Wire
from loomwright.sizing.loads import Loads
from loomwright.sizing.nets import nets_of
from loomwright.sizing.shorts import BLADES
from loomwright.sizing.sized import Conductor
from loomwright.sources import PRACTICE, Mark, Source

FUSE_01: Final = Entry(
    "FUSE-01",
    "Dead short not proved cleared in time",
    FAULT,
    "By the slow edge of the fuse's table the wire is past its short-time temperature before the fuse opens.",
    Source(Mark.STANDARD, "adiabatic equation of IEC 60949; fuse gates of ISO 8820-3 and data sheets"),
    ("circuits", "conductors"),
    accept=False,
)
FUSE_02: Final = Entry(
    "FUSE-02",
    "Fuse above the guide chart",
    CAUTION,
    "The chart is a careful guide; above it the sums have to show that the wire is safe.",
    Source(Mark.STANDARD, "AC 43.13-1B Table 11-3"),
    ("circuits", "conductors"),
)
FUSE_03: Final = Entry(
    "FUSE-03",
    "Fuse close to its load",
    CAUTION,
    "A fuse that is warm all day opens one day without a fault.",
    Source(Mark.MAKER, "fuse guide: 75 % of the rating at 25 degrees C, less when hotter"),
    ("circuits",),
    also=(FAULT, NOTE),
)
FUSE_04: Final = Entry(
    "FUSE-04",
    "Fuse that isn't made",
    CAUTION,
    "Nobody sells this rating in this kind, so a bigger one will be fitted in its place.",
    Source(Mark.MEMORY, "ISO 8820-3 ratings"),
    ("circuits", "parts"),
)
FUSE_05: Final = Entry(
    "FUSE-05",
    "Clearing time of a link or breaker not known",
    NOTE,
    "Links and breakers differ by maker; only their own curve tells whether the wire survives a short.",
    PRACTICE,
    ("conductors",),
)
FUSE_06: Final = Entry(
    "FUSE-06",
    "Trip set above the wire",
    CAUTION,
    "An output that trips by current protects only a wire that carries its trip current.",
    Source(Mark.STANDARD, "33 CFR 183.455: at most 150 % of what the wire carries"),
    ("circuits", "conductors"),
)
FUSE_07: Final = Entry(
    "FUSE-07",
    "Load that wants a fuse of its own",
    NOTE,
    "Pump, coils, injectors and wideband heater on a fuse of their own: one fault stops one thing.",
    PRACTICE,
    ("circuits",),
    levels=SHOPS,
)
FUSE_08: Final = Entry(
    "FUSE-08",
    "Fuse with nothing behind it",
    NOTE,
    "Its circuit has no cavity that takes anything.",
    PRACTICE,
    ("circuits",),
)
ENTRIES: Final = (FUSE_01, FUSE_02, FUSE_03, FUSE_04, FUSE_05, FUSE_06, FUSE_07, FUSE_08)
STOCKED: Final = (
    ("mini fuse", ("mini blade",)),
    ("blade fuse", ("medium blade",)),
    ("maxi fuse", ("maxi blade",)),
)
OWN_FUSE: Final = (
    ("injector", "injectors"),
    ("fuel pump", "fuel pumps"),
    ("wideband", "wideband heaters"),
    ("coil", "coils"),
)

Row = tuple[Wire, Conductor]


def _rows_of(worked: Worked) -> dict[str, list[Row]]:
    """The wires every protection protects."""
    found: dict[str, list[Row]] = {}
    for row in worked.sized.conductors:
        wire = worked.routed.wire.get(row.wire)
        if row.fuse and wire is not None:
            found.setdefault(row.fuse, []).append((wire, row))
    return found


def short_not_cleared(worked: Worked) -> Iterator[Finding]:
    """FUSE-01: a dead short the fuse isn't proved to clear; one finding per fuse, worst wire told."""
    rows = _rows_of(worked)
    for one in worked.job.protections:
        bad = [r for r in rows.get(one.name, ()) if r[1].short_ok is False]
        if bad:
            yield _short(one, bad)


def _short(one: Protection, bad: list[Row]) -> Finding:
    wire, row = min(bad, key=lambda r: (r[1].size.area_mm2, -(r[1].short_a or 0.0), r[0].number))
    opens = f"within {duration(row.clears_s)}" if row.clears_s is not None else "at no time anybody promises"
    stands = duration(row.stands_s) if row.stands_s is not None else "an unknown time"
    return FUSE_01.at(
        f"fuse {one.name}",
        one.path,
        f"{one.name} ({one.amps:g} A {one.kind}) is not proved to clear a dead short on "
        f"{labels([w for w, _ in bad])}: at the end of {wire.label} a short draws "
        f"{row.short_a or 0.0:.0f} A, the slow edge of the fuse opens {opens}, and {row.size.words} "
        f"stands it {stands}.",
        "The fuse opens before the wire reaches its short-time limit.",
        "Take a smaller fuse, a thicker wire, or a fuse of its own for the thin ones.",
        subject=one.name,
    )


def above_guide_chart(worked: Worked) -> Iterator[Finding]:
    """FUSE-02: a fuse above the chart's for a wire behind it, though the sums hold; the sum is shown."""
    rows = _rows_of(worked)
    for one in worked.job.protections:
        if one.kind == "trip":
            continue
        above = [
            (w, r)
            for w, r in rows.get(one.name, ())
            if r.guide_fuse_a is not None and one.amps > r.guide_fuse_a and r.short_ok is not False
        ]
        if above:
            yield _above(one, above)


def _above(one: Protection, above: list[Row]) -> Finding:
    wire, row = max(
        above, key=lambda r: (one.amps / (r[1].guide_fuse_a or 1.0), r[1].short_a or 0, -r[0].number)
    )
    cleared = (
        f"A dead short of {row.short_a:.0f} A is cleared within {duration(row.clears_s)}, and the wire "
        f"stands it {duration(row.stands_s)}"
        if row.short_a is not None and row.clears_s is not None and row.stands_s is not None
        else "When a short is cleared can't be said"
    )
    return FUSE_02.at(
        f"fuse {one.name}",
        one.path,
        f"{one.name} is {one.amps:g} A for {labels([w for w, _ in above])}. {wire.label}, "
        f"{row.size.words}, carries {row.load_a:.1f} A; heat allows it {row.heat_limit_a:.1f} A. "
        f"{cleared}{_never_forced(one)}.",
        f"The guide chart gives that wire {row.guide_fuse_a:g} A (AC 43.13-1B Table 11-3 [standard]).",
        "Keep it if the sums convince you, or take a smaller fuse or a thicker wire.",
        subject=one.name,
    )


def _never_forced(one: Protection) -> str:
    """What a blade fuse may carry for ever, in words; "" where nothing is published of its kind."""
    kind = dict(BLADES).get(one.kind)
    try:
        amps = may_carry_a(kind, one.amps).value if kind is not None else 0.0
    except OutOfRange:
        return ""
    return f"; below {amps:.1f} A nothing forces the fuse to open" if amps else ""


def close_to_load(worked: Worked) -> Iterator[Finding]:
    """FUSE-03: the load is above 75 % of the rating; above the rating it is a fault."""
    job = worked.job
    if not job.protections:
        return
    loads = Loads(job, nets_of(job, worked.routed))
    share, rows = load_share_max(), _rows_of(worked)
    for one in job.protections:
        if one.kind == "trip" or one.amps <= 0 or one.load not in job.circuit:
            continue
        load = loads.of_circuit(one.load).heating_a
        if load > share.value * one.amps:
            yield _close(one, load, share.value, rows.get(one.name, []))


def _close(one: Protection, load: float, share: float, behind: list[Row]) -> Finding:
    worth = load_share_max("building").value
    bigger = _next_made(one, load / share)
    borne = bigger is not None and all(
        r.heat_limit_a > 0 and bigger <= boat_rule_max_a(r.heat_limit_a).value for _, r in behind
    )
    mends = (Edit(Verb.SET, (*one.path, "amps"), bigger, f"load {load:.1f} A"),) if bigger and borne else ()
    more = f" {bigger:g} A would do for the load{'' if borne else ', not for these wires'}." if bigger else ""
    return FUSE_03.at(
        f"fuse {one.name}",
        one.path,
        f"{one.name} is {one.amps:g} A and {one.load} draws {load:.1f} A, {100 * load / one.amps:.0f} %.",
        f"At most {100 * share:.0f} % of the rating all the time, at 25 degrees C (fuse guide [maker's "
        f"sheet]).",
        f"Split the circuit over two fuses, or take a bigger fuse with the wire to suit.{more}",
        subject=one.name,
        mends=mends,
        severity=FAULT if load > one.amps else CAUTION if load > worth * one.amps else NOTE,
    )


def _types(kind: str) -> list[FuseType]:
    names = dict(STOCKED).get(kind)
    return [t for t in fuse_types().values() if (t.name in names if names else t.how == kind)]


def _made(kind: str) -> list[float]:
    return sorted({r.amps for t in _types(kind) for r in t.ratings})


def _next_made(one: Protection, least_a: float) -> float | None:
    return next((amps for amps in _made(one.kind) if amps >= least_a and amps != one.amps), None)


def not_made(worked: Worked) -> Iterator[Finding]:
    """FUSE-04: a rating that is not sold in this kind."""
    for one in worked.job.protections:
        made = _made(one.kind)
        if one.kind == "trip" or not made or one.amps in made:
            continue
        below = [a for a in made if a < one.amps][-1:]
        above = [a for a in made if a > one.amps][:1]
        near = [f"{a:g}" for a in (*below, *above)]
        take = (below or above)[0]
        yield FUSE_04.at(
            f"fuse {one.name}",
            one.path,
            f"{one.name} is a {one.kind} of {one.amps:g} A.",
            f"Nearest made: {named(near)} A (ISO 8820-3 [from memory]).",
            f"Take {take:g} A" + (f", or {above[0]:g} A if the wires bear it." if below and above else "."),
            subject=one.name,
            mends=(Edit(Verb.SET, (*one.path, "amps"), take, "a rating that is made"),),
        )


def clearing_not_known(worked: Worked) -> Iterator[Finding]:
    """FUSE-05: a link, breaker or unmade fuse whose clearing time can't be said."""
    rows = _rows_of(worked)
    for one in worked.job.protections:
        unknown = [w for w, r in rows.get(one.name, ()) if r.short_ok is None]
        if one.kind == "trip" or not unknown:
            continue
        yield FUSE_05.at(
            f"fuse {one.name}",
            one.path,
            f"When {one.name}, a {one.kind} of {one.amps:g} A, opens on a short of {labels(unknown)} isn't "
            f"known here.",
            "The maker's curve shows it opening before the wire is spoilt.",
            "Look it up in the maker's curve, or use a blade fuse for the thin wires.",
            subject=one.name,
        )


def trip_above_wire(worked: Worked) -> Iterator[Finding]:
    """FUSE-06: an electronic trip above what a wire carries for ever."""
    rows = _rows_of(worked)
    for one in worked.job.protections:
        if one.kind != "trip":
            continue
        live = [(w, r) for w, r in rows.get(one.name, ()) if r.heat_limit_a > 0]
        weak = [(w, r) for w, r in live if one.amps > boat_rule_max_a(r.heat_limit_a).value]
        if not weak:
            continue
        wire, row = min(weak, key=lambda pair: (pair[1].heat_limit_a, pair[0].number))
        most = boat_rule_max_a(row.heat_limit_a).value
        yield FUSE_06.at(
            f"trip {one.name}",
            one.path,
            f"{one.name} trips at {one.amps:g} A; {wire.label}, {row.size.words}, may carry "
            f"{row.heat_limit_a:.1f} A in {row.hottest.split('/', 1)[-1]}, where "
            f"{many(row.bundle_wires, 'wire')} {verb(row.bundle_wires, 'lies', 'lie')}.",
            f"At most {most:.1f} A, 150 % of what the smallest wire carries (33 CFR 183.455 [standard]).",
            f"Set the trip to {most:.0f} A or less, or take a thicker wire.",
            subject=one.name,
        )


def wants_own_fuse(worked: Worked) -> Iterator[Finding]:
    """FUSE-07: pump, coils, injectors or wideband heater share a fuse with something else."""
    job = worked.job
    for one in job.protections:
        takers = [
            p
            for p in live_pins(job, one.load)
            if p.side is Side.TAKES and p.kind is CircuitKind.FEED and job.device[p.device].family != "relay"
        ]
        groups = {_group(job.device[p.device].kind or job.device[p.device].words) for p in takers}
        shy = sorted(groups - {""})
        if len(groups) > 1 and shy:
            yield FUSE_07.at(
                f"fuse {one.name}",
                one.path,
                f"{one.name} feeds {named(sorted({p.device for p in takers}))}, {named(shy)} among them.",
                f"{begun(named(shy))} usually go on a fuse of their own [common practice].",
                "Give each its own fuse where the box has room.",
                subject=one.name,
            )


def _group(words: str) -> str:
    return next((group for word, group in OWN_FUSE if word in words.lower()), "")


def nothing_behind(worked: Worked) -> Iterator[Finding]:
    """FUSE-08: a fuse whose load circuit has no taker."""
    job = worked.job
    lines = {one.line for one in job.protections}
    for one in job.protections:
        pins = live_pins(job, one.load)
        if one.load in lines or any(p.side is not Side.GIVES for p in pins):
            continue
        yield FUSE_08.at(
            f"fuse {one.name}",
            one.path,
            f"{one.name} protects {one.load}, and nothing takes current from it.",
            "A fuse has a load.",
            f"Put {one.load} on the device it feeds, or mark the way as spare.",
            subject=one.name,
            misses=(one.load,),
        )
