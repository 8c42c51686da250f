"""The current in every wire: a small engine summed by hand, and a network solved by nodal analysis."""

import math
import random

import numpy as np
import pytest

from loomwright.calc.conductors import resistance_factor
from sizing.making import Made, device, made, pin, section

ENGINE = (
    device("BAT", "power", pin("+", "battery", "feed", "gives"))
    + '[device.FB]\nis = "fuse box 4"\ncavity."IN" = "battery"\ncavity."F1" = "inj feed"\n'
    'cavity."F2" = "relay in"\ncavity."F3" = "coil feed"\n'
    '[device.K1]\nis = "relay, 4 pins"\ncavity."30" = "relay in"\ncavity."87" = "pump feed"\n'
    'cavity."86" = { circuit = "coil feed", amps = 0.2 }\ncavity."85" = "pump relay"\n'
    + device(
        "PMP",
        "actuator",
        pin("1", "pump feed", "feed", "takes", amps=10.0, peak_amps=25.0),
        pin("2", "ground", "power ground", "takes"),
    )
    + "".join(
        device(
            f"INJ{n}",
            "actuator",
            pin("1", "inj feed", "feed", "takes", amps=1.2, duty=0.5),
            pin("2", f"inj {n}", "drive", "takes", amps=1.2, duty=0.5),
        )
        for n in (1, 2, 3, 4)
    )
    + device(
        "ECU",
        "controller",
        *(pin(f"{n}", f"inj {n}", "drive", "gives") for n in (1, 2, 3, 4)),
        pin("5", "pump relay", "drive", "gives"),
        pin("6", "ground", "power ground", "takes"),
        pin("7", "ground", "power ground", "takes"),
    )
    + '[device.G1]\nis = "block ground stud"\ncavity."stud" = "ground"\n'
    + '[fuse.F1]\namps = 10\nline = "battery"\nload = "inj feed"\ndevice = "FB"\n'
    + '[fuse.F2]\namps = 20\nline = "battery"\nload = "relay in"\ndevice = "FB"\n'
    + '[fuse.F3]\namps = 3\nline = "battery"\nload = "coil feed"\ndevice = "FB"\n'
    + section("D", "B1", 400)
    + "".join(section("B1", end, 300) for end in ("INJ1", "INJ2", "INJ3", "INJ4", "G1"))
    + "".join(section("D", end, 500) for end in ("BAT", "FB", "K1", "PMP", "ECU"))
)
ONE, FOUR = 1.2 * math.sqrt(0.5), math.sqrt((4 * 0.6) ** 2 + 4 * 1.2**2 * 0.25)
"""Effective currents: one injector half the time; four that switch by themselves (mean 2.4 A, ripple)."""


@pytest.fixture(scope="module")
def engine() -> Made:
    return made(ENGINE)


def test_a_load_heats_by_its_effective_current(engine: Made) -> None:
    assert engine.conductor("INJ1:2", "ECU:1").load_a == pytest.approx(ONE)
    assert engine.conductor("INJ1:1").load_a == pytest.approx(ONE)


def test_a_feed_carries_the_loads_behind_it(engine: Made) -> None:
    assert engine.conductor("FB:F1").load_a == pytest.approx(FOUR)


def test_a_relay_passes_on_what_its_contact_feeds_and_not_what_the_contact_could_carry(engine: Made) -> None:
    pump = engine.conductor("PMP:1")
    assert pump.load_a == pytest.approx(10.0)
    assert pump.peak_a == pytest.approx(25.0)
    assert engine.conductor("K1:30", "FB:F2").load_a == pytest.approx(10.0)
    assert engine.conductor("K1:86", "FB:F3").load_a == pytest.approx(0.2)


def test_the_boxs_own_feed_carries_everything(engine: Made) -> None:
    mean, ripple = 4 * 0.6 + 10.0 + 0.2, 4 * 1.2**2 * 0.25
    assert engine.conductor("BAT:+", "FB:IN").load_a == pytest.approx(math.hypot(mean, math.sqrt(ripple)))


def test_ground_pins_share_what_their_device_sinks(engine: Made) -> None:
    """Two ground pins share four injectors and the relay's coil; the pump's ground carries the pump."""
    sunk = math.hypot(4 * 0.6 + 0.2, math.sqrt(4 * 1.2**2 * 0.25))
    for ground in ("ECU:6", "ECU:7"):
        assert engine.conductor(ground).load_a == pytest.approx(sunk / 2)
    assert engine.conductor("PMP:2").load_a == pytest.approx(10.0)


def test_a_load_nobody_gave_is_known_to_be_unknown() -> None:
    known = made(ENGINE.replace(", amps = 10.0, peak_amps = 25.0", ""))
    assert not known.conductor("PMP:1").known_load
    assert not known.conductor("BAT:+", "FB:IN").known_load
    assert known.conductor("FB:F1").known_load


def test_the_builders_figure_for_a_circuit_is_shared_as_the_pins_are(engine: Made) -> None:
    told = made(ENGINE + '[circuit."inj feed"]\namps = 4.8\n')
    assert told.conductor("FB:F1").load_a == pytest.approx(2 * FOUR)
    assert told.conductor("INJ3:1").load_a == pytest.approx(2 * ONE)


def network(seed: int) -> Made:
    """Loads that are always on, spread over a random loom: one feed, one ground."""
    pick = random.Random(seed)
    points = ["D", *(f"B{n}" for n in range(pick.randint(1, 5)))]
    rows = [section(points[n - 1], points[n], pick.randrange(50, 900)) for n in range(1, len(points))]
    loads = pick.randint(2, 9)
    lines = []
    for n in range(loads):
        amps = pick.choice((0.5, 1.2, 3.0, 8.0))
        lines.append(
            device(
                f"L{n}",
                "actuator",
                pin("1", "feed", "feed", "takes", amps=amps),
                pin("2", "ground", "power ground", "takes"),
            )
        )
    lines += [device("FB", "box", pin("1", "feed", "feed", "gives"))]
    lines += ['[device.G1]\nis = "block ground stud"\ncavity."stud" = "ground"\n']
    ends = [*(f"L{n}" for n in range(loads)), "FB", "G1"]
    rows.append(section(points[-1], ends.pop(), pick.randrange(60, 1500)))
    rows += [section(pick.choice(points), end, pick.randrange(60, 1500)) for end in ends]
    return made("".join(lines + rows))


def solved(
    job: Made, circuit: str, root: str, longer: float = 1.0
) -> tuple[dict[str, float], dict[str, float]]:
    """Return wire currents and node voltages below the root, by nodal analysis (Kirchhoff, Ohm).

    The device currents are drawn at the pins; the root is held at 0 V.
    """
    wires = job.routed.wires_of[circuit]
    nodes = sorted({end.name for wire in wires for end in (wire.a, wire.b)})
    at = {name: k for k, name in enumerate(nodes)}
    conductance = np.zeros((len(nodes), len(nodes)))
    ohms = {}
    for wire in wires:
        row = job.sized.conductor[wire.identity]
        metre = row.size.ohm_per_m_20c_max * resistance_factor(min(row.conductor_c, row.size.class_c))
        ohms[wire.identity] = metre * wire.path_mm * longer / 1000
        a, b = at[wire.a.name], at[wire.b.name]
        conductance[[a, b], [a, b]] += 1 / ohms[wire.identity]
        conductance[[a, b], [b, a]] -= 1 / ohms[wire.identity]
    drawn = np.zeros(len(nodes))
    for load in (d for d in job.job.devices if d.family == "actuator"):
        amps = next(p.amps for p in load.pins if p.circuit == "feed")
        drawn[at[next(p.id for p in load.pins if p.circuit == circuit)]] = amps
    kept = [k for k, name in enumerate(nodes) if name != root]
    volts = np.zeros(len(nodes))
    volts[kept] = np.linalg.solve(conductance[np.ix_(kept, kept)], drawn[kept])
    currents = {w.identity: abs(volts[at[w.a.name]] - volts[at[w.b.name]]) / ohms[w.identity] for w in wires}
    return currents, {name: float(volts[k]) for name, k in at.items()}


@pytest.mark.parametrize("seed", range(40))
def test_currents_and_drops_are_those_of_the_resistive_network(seed: int) -> None:
    job = network(seed)
    (stud,) = (p.id for p in job.job.pins_of["ground"] if p.device == "G1")
    feed_a, feed_v = solved(job, "feed", "FB:1")
    ground_a, ground_v = solved(job, "ground", stud)
    for identity, amps in (feed_a | ground_a).items():
        assert job.sized.conductor[identity].load_a == pytest.approx(amps, rel=1e-6), identity
    for load in (d for d in job.job.devices if d.family == "actuator"):
        out, home = f"{load.name}:1", f"{load.name}:2"
        lost = feed_v[out] + ground_v[home]
        for own in (job.conductor(out), job.conductor(home)):
            assert own.drop_v == pytest.approx(lost, rel=1e-6)


def test_a_thousandth_more_resistance_would_be_noticed() -> None:
    job = network(3)
    _, volts = solved(job, "feed", "FB:1")
    _, more = solved(job, "feed", "FB:1", longer=1.001)
    _, home = solved(job, "ground", "G1:stud")
    lost = job.conductor("L0:1").drop_v
    assert lost == pytest.approx(volts["L0:1"] + home["L0:2"], rel=1e-6)
    assert lost != pytest.approx(more["L0:1"] + home["L0:2"], rel=1e-6)


def lost(job: Made, *wires: tuple[str, ...]) -> float:
    """The drops of these wires, each told by its ends; none below Ohm's law at its heating current."""
    found = 0.0
    for ends in wires:
        row, wire = job.conductor(*ends), job.wire(*ends)
        metre = row.size.ohm_per_m_20c_max * resistance_factor(row.conductor_c)
        found += row.own_drop_v
        assert row.own_drop_v >= row.load_a * metre * wire.path_mm / 1000 * (1 - 1e-9)
    return found


def test_a_pumps_path_goes_through_fuse_box_and_relay_and_home_by_its_ground(engine: Made) -> None:
    way = [("BAT:+", "FB:IN"), ("FB:F2", "K1:30"), ("K1:87", "PMP:1"), ("PMP:2",)]
    assert engine.conductor("PMP:1").drop_v == pytest.approx(lost(engine, *way))


def test_an_injectors_path_goes_home_through_its_driver_and_the_worse_of_its_grounds() -> None:
    thick = pin("7", "ground", "power ground", "takes")
    job = made(ENGINE.replace(thick, pin("7", "ground", "power ground", "takes", size="4")))
    assert job.conductor("ECU:7").own_drop_v < job.conductor("ECU:6").own_drop_v
    (splice,) = (s.name for s in job.routed.splices if s.circuit == "inj feed")
    way = [("BAT:+", "FB:IN"), ("FB:F1", splice), (splice, "INJ1:1"), ("INJ1:2", "ECU:1"), ("ECU:6",)]
    assert job.conductor("INJ1:1").drop_v == pytest.approx(lost(job, *way))
    assert job.conductor("INJ1:2").drop_v == pytest.approx(lost(job, *way))
