"""Wires: heat, drop, least size, insulation against the air."""

from collections.abc import Iterator
from typing import Final

from loomwright.calc.tables import row_of, source_of
from loomwright.checks.entry import CAUTION, FAULT, NOTE, SHOPS, Entry
from loomwright.checks.looking import begun, cited, labels, many, named, sections, verb
from loomwright.checks.worked import Worked
from loomwright.edits import Edit, Verb
from loomwright.errors import OutOfRange
from loomwright.findings import Finding
from loomwright.library.wires import WireSize, family
from loomwright.model.words import CircuitKind, Side
from loomwright.routing.routed import Wire
from loomwright.sizing.choices import SHOPS_LEAST
from loomwright.sizing.sized import Conductor
from loomwright.sources import PRACTICE, Mark, Source

HEAT_01: Final = Entry(
    "HEAT-01",
    "Load above what heat allows the wire",
    FAULT,
    "In its hottest bundle the wire goes past the temperature its insulation is made for.",
    Source(
        Mark.STANDARD, "AC 43.13-1B Table 11-9 and MIL-W-5088L bundle curves; beyond them our own estimate"
    ),
    ("conductors", "cut list"),
    accept=False,
)
HEAT_02: Final = Entry(
    "HEAT-02",
    "Air hotter than the insulation",
    FAULT,
    "The insulation softens there without any current at all.",
    Source(Mark.MAKER, "temperature class of the wire family"),
    ("conductors", "cut list"),
)
HEAT_03: Final = Entry(
    "HEAT-03",
    "PVC wire in the engine bay",
    CAUTION,
    "PVC goes soft near an engine and hard afterwards.",
    PRACTICE,
    ("conductors", "parts"),
)
HEAT_04: Final = Entry(
    "HEAT-04",
    "Heat limit is our own estimate",
    NOTE,
    "No published curve covers so many loaded wires in one bundle.",
    Source(Mark.OURS, "beyond the last bundle curve"),
    ("conductors",),
)
DROP_01: Final = Entry(
    "DROP-01",
    "Volt drop above the limit",
    CAUTION,
    "Feed and return together lose more than the load should have to do without.",
    Source(Mark.STANDARD, "AC 43.13-1B Table 11-6: 0.5 V continuous, 1.0 V intermittent on 14 V"),
    ("conductors",),
)
DROP_02: Final = Entry(
    "DROP-02",
    "Wire that loses more than usual",
    NOTE,
    "The trade looks for at most 0.2 V on a feed wire and 0.1 V on a ground wire under load.",
    PRACTICE,
    ("conductors", "test"),
    levels=SHOPS,
)
WIRE_01: Final = Entry(
    "WIRE-01",
    "Wire thinner than the mechanical minimum",
    CAUTION,
    "Thin wire breaks behind its contact before current ever hurts it.",
    PRACTICE,
    ("conductors",),
)
WIRE_02: Final = Entry(
    "WIRE-02",
    "Size fixed without a reason",
    NOTE,
    "Whoever repairs the loom can't tell why the wire isn't the computed one.",
    PRACTICE,
    ("conductors",),
    levels=SHOPS,
)
ENTRIES: Final = (HEAT_01, HEAT_02, HEAT_03, HEAT_04, DROP_01, DROP_02, WIRE_01, WIRE_02)
HOT_BAY_C: Final = 60.0  # ours: from here on an area counts as engine bay for PVC
ROUNDING: Final = 1.001
WORTH_AMPS: Final = 0.5  # ours: below it an estimate decides nothing


def _rows(worked: Worked) -> Iterator[tuple[Wire, Conductor]]:
    for row in worked.sized.conductors:
        wire = worked.routed.wire.get(row.wire)
        if wire is not None and not wire.screen:
            yield wire, row


def _sizes(size: WireSize) -> tuple[WireSize, ...]:
    """Return the sizes of a wire's family, smallest first."""
    try:
        return family(size.family).sizes
    except OutOfRange:
        return ()


def _bigger(size: WireSize) -> WireSize | None:
    return next((one for one in _sizes(size) if one.area_mm2 > size.area_mm2), None)


def load_above_heat_limit(worked: Worked) -> Iterator[Finding]:
    """HEAT-01: the load is above the heat limit, and the size can't or may not grow."""
    for wire, row in _rows(worked):
        if not row.can_overload or row.heat_limit_a <= 0:
            continue
        bigger = _bigger(row.size)
        path = ("circuit", wire.circuit, "size")
        mends = (Edit(Verb.SET, path, bigger.label, "heat"),) if bigger else ()
        yield HEAT_01.at(
            wire.label,
            worked.job.circuit[wire.circuit].path,
            f"{wire.label} ({wire.circuit}, {row.size.words}) carries {row.load_a:.1f} A.",
            f"In {row.hottest.split('/', 1)[-1]}, {row.air_c:.0f} degrees C, among "
            f"{many(row.bundle_wires, 'wire')} it may carry {row.heat_limit_a:.1f} A {cited(row.source)}.",
            f"Take {bigger.words}." if bigger else "Split the load over two wires.",
            subject=wire.identity,
            mends=mends,
        )


def air_above_class(worked: Worked) -> Iterator[Finding]:
    """HEAT-02: a section's air is at or above the class of a wire in it."""
    size = {row.wire: row.size for row in worked.sized.conductors}
    for key, section in sections(worked):
        wires = worked.routed.in_section.get(key, ())
        soft = [w for w in wires if w.identity in size and size[w.identity].class_c <= section.air_c]
        if soft:
            low = min(size[w.identity].class_c for w in soft)
            names = sorted({size[w.identity].family for w in soft})
            yield HEAT_02.at(
                section.name,
                section.passes.path if section.passes else section.path,
                f"The air along {section.name} is {section.air_c:.0f} degrees C, and {named(names)} wire "
                f"({labels(soft)}) is made for {low:.0f} at most.",
                "Wire is made for more than the air it lies in.",
                "Take a hotter wire family for these circuits, or lead the section away from the heat.",
                subject=key,
            )


def pvc_in_the_bay(worked: Worked) -> Iterator[Finding]:
    """HEAT-03: a family that the trade keeps out of the engine bay lies in warm air."""
    size = {row.wire: row.size for row in worked.sized.conductors}
    found: dict[str, list[Wire]] = {}
    for key, section in sections(worked):
        if section.air_c < HOT_BAY_C:
            continue
        for wire in worked.routed.in_section.get(key, ()):
            one = size.get(wire.identity)
            if one is not None and not _for_the_bay(one.family):
                found.setdefault(one.family, []).append(wire)
    for name, wires in sorted(found.items()):
        found_here = list(dict.fromkeys(wires))
        yield HEAT_03.at(
            name,
            ("shop", "wire_family"),
            f"{labels(found_here)} of {name} {verb(len(found_here), 'lies', 'lie')} in air of "
            f"{HOT_BAY_C:.0f} degrees C and more.",
            "PVC wire stays out of the engine bay [common practice].",
            "Take a cross-linked or ETFE family for them.",
            subject=name,
        )


def _for_the_bay(name: str) -> bool:
    try:
        return family(name).engine_bay
    except OutOfRange:
        return True


def limit_is_estimate(worked: Worked) -> Iterator[Finding]:
    """HEAT-04: a loaded wire's heat limit rests on an estimate of ours."""
    by_section: dict[str, list[tuple[Wire, Conductor]]] = {}
    for wire, row in _rows(worked):
        if row.estimated and row.load_a >= WORTH_AMPS and row.load_a > 0.5 * row.heat_limit_a:
            by_section.setdefault(row.hottest, []).append((wire, row))
    for key, rows in sorted(by_section.items()):
        first = rows[0][1]
        name = key.split("/", 1)[-1]
        yield HEAT_04.at(
            name,
            (),
            f"The heat limit of {labels([w for w, _ in rows])} in {name} is an estimate: "
            f"{many(first.bundle_wires, 'wire')} {verb(first.bundle_wires, 'lies', 'lie')} there, loaded to "
            f"{first.loading_percent:.0f} %.",
            "Published bundle curves end before that; beyond them the limit is ours [ours].",
            "Feel that bundle after the first long run, or keep the power wires in a section of their own.",
            subject=key,
        )


def drop_above_limit(worked: Worked) -> Iterator[Finding]:
    """DROP-01: a load's feed and return lose more than the limit."""
    pins = {p.id: p for p in worked.job.pins}
    worst: dict[str, tuple[Wire, Conductor]] = {}
    for wire, row in _rows(worked):
        if row.drop_v <= row.drop_limit_v * ROUNDING:
            continue
        for end in (wire.a, wire.b):
            pin = pins.get(end.name)
            if pin is not None and pin.side is Side.TAKES and pin.kind is CircuitKind.FEED:
                worst.setdefault(pin.id, (wire, row))
    for name, (wire, row) in sorted(worst.items()):
        yield DROP_01.at(
            name,
            pins[name].path,
            f"{name} loses {row.drop_v:.2f} V on feed and return, {row.own_drop_v:.2f} V of it on "
            f"{wire.label}.",
            f"At most {row.drop_limit_v:.1f} V {cited(worked.job.shop.drop_limit_v.source)}.",
            "Take a thicker wire where the size is fixed, shorten the way, or mark the load intermittent.",
            subject=name,
        )


def drop_worth_a_note(worked: Worked) -> Iterator[Finding]:
    """DROP-02: a feed wire above 0.2 V or a ground wire above 0.1 V by itself."""
    for kinds, case, word in (
        ((CircuitKind.FEED,), "feed, note", "feed"),
        ((CircuitKind.POWER_GROUND, CircuitKind.CHASSIS), "ground, note", "ground"),
    ):
        limit = row_of("drop_limits", "system", case)
        over = [
            (w, r)
            for w, r in _rows(worked)
            if w.kind in kinds and r.own_drop_v > limit.number("limit") * ROUNDING
        ]
        if over:
            wire, row = max(over, key=lambda pair: (pair[1].own_drop_v, -pair[0].number))
            most = f"{row.own_drop_v:.2f} V on {wire.label} ({wire.circuit})"
            each = f"each of {labels([w for w, _ in over])} loses more than {limit.number('limit'):g} V"
            yield DROP_02.at(
                f"{word} wires",
                (),
                f"{begun(each)}, most of all {most}." if len(over) > 1 else f"{begun(word)} wire: {most}.",
                f"A {word} wire usually loses at most {limit.number('limit'):g} V under load "
                f"{cited(source_of(limit))}.",
                "Nothing, if the load takes it; else a thicker wire.",
                subject=word,
            )


def below_mechanical_minimum(worked: Worked) -> Iterator[Finding]:
    """WIRE-01: a single wire thinner than the shop's or the device's minimum."""
    for wire, row in _rows(worked):
        if wire.cable or wire.spare or row.size.area_mm2 >= row.min_mm2 * 0.95:
            continue
        enough = next((one for one in _sizes(row.size) if one.area_mm2 >= row.min_mm2 * 0.95), None)
        path = ("circuit", wire.circuit, "size")
        at_device = row.least.removeprefix("usual ")
        whose = "a single wire of this shop" if row.least == SHOPS_LEAST else f"a wire {at_device}"
        yield WIRE_01.at(
            wire.label,
            worked.job.circuit[wire.circuit].path,
            f"{wire.label} ({wire.circuit}) is {row.size.words}.",
            f"{begun(whose)} has at least {row.min_mm2:g} mm2 {cited(row.least_source)}.",
            f"Take {enough.words}, or lead it inside a jacketed cable."
            if enough
            else f"{row.size.family} has no size that thick: name another family for {wire.circuit}.",
            subject=wire.identity,
            mends=(Edit(Verb.SET, path, enough.label, "least size"),) if enough else (),
        )


def fixed_without_reason(worked: Worked) -> Iterator[Finding]:
    """WIRE-02: the builder fixed a circuit's size and gave no reason."""
    for circuit in worked.job.circuits:
        if circuit.size and not circuit.reason:
            yield WIRE_02.at(
                f"circuit {circuit.name}",
                circuit.path,
                f"{circuit.name} is fixed at {circuit.size} without a reason.",
                "What is fixed has a reason beside it.",
                'Write reason = "..." in the circuit\'s table.',
                subject=circuit.name,
            )
