"""A dead short and a lasting overload: is the wire protected by its fuse."""

import math
from dataclasses import dataclass
from functools import cache

from loomwright.calc.conductors import resistance_factor
from loomwright.calc.fuses import (
    FuseKind,
    boat_rule_max_a,
    gates,
    interrupting_a,
    may_carry_a,
    opens_within_s,
)
from loomwright.calc.tables import row_of, rows, source_of, value
from loomwright.errors import OutOfRange
from loomwright.sources import Figure, Mark, Source


@dataclass(frozen=True, slots=True)
class ShortResult:
    """What happens when a wire is shorted to ground at its far end.

    Attributes:
        short_a: current at the first moment, wire still at its starting temperature [A]
        worst_a: of all currents while the wire heats up, the one least well cleared [A]
        clears_in_s: by then the fuse has opened at that current; None if nothing forces it to [s]
        wire_withstands_s: so long the wire bears that current [s]
        ok: the fuse opens in time, or the wire carries the current for ever
        fuse_can_break: the current is within what the fuse can interrupt
        source: where the two times come from
    """

    short_a: float
    worst_a: float
    clears_in_s: float | None
    wire_withstands_s: float
    ok: bool
    fuse_can_break: bool
    source: Source


@dataclass(frozen=True, slots=True)
class LastingOverload:
    """Whether a fuse can let through more, for ever, than the wire stands.

    Attributes:
        may_carry_a: below this nothing forces the fuse to open [A]
        wire_limit_a: the wire's heat limit [A]
        ok: the wire stands whatever the fuse lets through for ever
        within_boat_rule: the rating is at most 150 % of the wire's limit (33 CFR 183.455)
        source: where the fuse's figure comes from
    """

    may_carry_a: float
    wire_limit_a: float
    ok: bool
    within_boat_rule: bool
    source: Source


def short_current_a(volts: float, ohms: float) -> float:
    """Return the current of a dead short.

    Args:
        volts: open voltage of the source, above 0 [V]
        ohms: source, wire, fuse and contacts together, above 0 [ohm]
    Raises:
        OutOfRange: an argument is not above 0.
    Source: Ohm's law; exact for a resistive loop.
    """
    _above("volts", volts)
    _above("ohms", ohms)
    return volts / ohms


def adiabatic_k(start_c: float, final_c: float) -> float:
    """Return k of the adiabatic equation I2 t = k2 S2 for copper [A s^0.5/mm2].

    Args:
        start_c: conductor before the short, -40 to below final_c [degrees C]
        final_c: highest the insulation bears for seconds, up to 300 [degrees C]
    Raises:
        OutOfRange: the temperatures do not rise or lie outside.
    Source: IEC 60949 / IEC 60364-5-54, k = 226 sqrt(ln((234.5 + final)/(234.5 + start))), constants from
    memory; gives the well-known 115 (70 to 160 degrees C) and 143 (90 to 250 degrees C).
    """
    if not -40 <= start_c < final_c <= 300:
        raise OutOfRange(
            "start_c",
            start_c,
            f"-40 to below {final_c:g}, which is at most 300 degrees C",
            "check class and air",
        )
    beta = value("copper", "beta_adiabatic")
    return value("copper", "k_adiabatic") * math.sqrt(math.log((beta + final_c) / (beta + start_c)))


@cache
def final_temperature_c(class_c: float) -> Figure:
    """Return what an insulation bears for the seconds of a short.

    Args:
        class_c: insulation class, 60 to 260 [degrees C]
    Returns:
        [degrees C]
    Raises:
        OutOfRange: the class is outside.
    Source: IEC 60364-5-54, 160 for PVC, 250 for cross-linked PE (from memory); by class and for ETFE ours.
    """
    for row in rows("short_temperatures"):
        if row.number("from_class_c") <= class_c <= row.number("to_class_c"):
            return Figure(row.number("final_c"), source_of(row))
    raise OutOfRange("class_c", class_c, "60 to 260 degrees C", "take the class from the wire's sheet")


def withstands_s(area_mm2: float, amps: float, start_c: float, final_c: float) -> float:
    """Return how long a copper conductor bears a current when no heat leaves it.

    Args:
        area_mm2: true copper area, above 0 [mm2]
        amps: steady current, above 0 [A]
        start_c: conductor before the short [degrees C]
        final_c: highest the insulation bears [degrees C]
    Returns:
        [s]; on the safe side beyond 5 s, where heat does leave
    Raises:
        OutOfRange: an argument is outside.
    Source: IEC 60949, I2 t = k2 S2; constants from memory.
    """
    _above("area_mm2", area_mm2)
    _above("amps", amps)
    return (adiabatic_k(start_c, final_c) * area_mm2 / amps) ** 2


def short_cleared(
    *,
    volts: float,
    source_ohm: float,
    wire_ohm_20c: float,
    contact_ohm: float,
    area_mm2: float,
    class_c: float,
    start_c: float,
    kind: FuseKind,
    rating_a: float,
    wire_limit_a: float = 0.0,
) -> ShortResult:
    """Return whether a fuse opens before a wire shorted at its far end is damaged.

    The wire's resistance grows while it heats, so every current from the cold to the hot one is tried;
    between two gates of the fuse the slower time stands.

    Args:
        volts: open voltage of the source, above 0 [V]
        source_ohm: battery, main cables and return, 0 or more [ohm]
        wire_ohm_20c: the wire at 20 degrees C, above 0 [ohm]
        contact_ohm: fuse, crimps and contacts, 0 or more [ohm]
        area_mm2: the wire's true area, above 0 [mm2]
        class_c: its insulation class, 60 to 260 [degrees C]
        start_c: conductor before the short, -40 to the class [degrees C]
        kind: "C" medium, "F" small, "E" high-current blade
        rating_a: a rating that is made [A]
        wire_limit_a: what the wire carries for ever; a weaker short does no harm [A]
    Raises:
        OutOfRange: an argument is outside.
    Source: Ohm's law, `withstands_s`, `opens_within_s`.
    """
    if min(source_ohm, contact_ohm) < 0:
        raise OutOfRange(
            "source_ohm, contact_ohm", min(source_ohm, contact_ohm), "0 ohm or more", "check the entry"
        )
    final_c = final_temperature_c(class_c).value
    others = source_ohm + contact_ohm
    cold_a = short_current_a(volts, others + wire_ohm_20c * resistance_factor(start_c))
    hot_a = short_current_a(volts, others + wire_ohm_20c * resistance_factor(final_c))
    worst = max(
        _tries(kind, rating_a, hot_a, cold_a),
        key=lambda one: _strain(
            one[0], one[1], wire_limit_a, withstands_s(area_mm2, one[0], start_c, final_c)
        ),
    )
    amps, clears = worst
    bears = withstands_s(area_mm2, amps, start_c, final_c)
    ok = amps <= wire_limit_a or (clears is not None and clears <= bears)
    return ShortResult(
        cold_a, amps, clears, bears, ok, cold_a <= interrupting_a(kind).value, _source(kind, rating_a)
    )


def lasting_overload(kind: FuseKind, rating_a: float, wire_limit_a: float) -> LastingOverload:
    """Return whether a fuse can carry for ever more than the wire stands.

    Args:
        kind: "C" medium, "F" small, "E" high-current blade
        rating_a: a rating that is made [A]
        wire_limit_a: the wire's heat limit, above 0 [A]
    Raises:
        OutOfRange: an argument is outside.
    Source: lowest gate that forces opening (135 % of the rating); 33 CFR 183.455 for the 150 % rule.
    """
    _above("wire_limit_a", wire_limit_a)
    carried = may_carry_a(kind, rating_a)
    boat = rating_a <= boat_rule_max_a(wire_limit_a).value
    return LastingOverload(carried.value, wire_limit_a, carried.value <= wire_limit_a, boat, carried.source)


def _tries(kind: FuseKind, rating_a: float, low_a: float, high_a: float) -> list[tuple[float, float | None]]:
    """Return the currents to try with their opening times: both ends and just below each gate between."""
    found = [(high_a, opens_within_s(kind, rating_a, high_a)), (low_a, opens_within_s(kind, rating_a, low_a))]
    slower: float | None = None
    for gate in gates(kind, rating_a):
        if gate.max_s is not None:
            amps = gate.percent * rating_a / 100
            if low_a < amps < high_a:
                found.append((amps, slower))
            slower = gate.max_s
    return found


def _strain(amps: float, clears: float | None, wire_limit_a: float, bears_s: float) -> float:
    """Return opening time over what the wire bears; a current it carries for ever strains nothing."""
    if amps <= wire_limit_a:
        return 0.0
    return math.inf if clears is None else clears / bears_s


@cache
def _source(kind: FuseKind, rating_a: float) -> Source:
    remembered = any(gate.source.mark is Mark.MEMORY for gate in gates(kind, rating_a))
    fuse = "time-current gates of the fuse" + (", some from memory" if remembered else "")
    k = source_of(row_of("copper", "quantity", "k_adiabatic"))
    return Source(Mark.MEMORY, f"{k.text}; {fuse}")


def _above(name: str, number: float) -> None:
    if not number > 0:
        raise OutOfRange(name, number, "above 0", "check the entry")
