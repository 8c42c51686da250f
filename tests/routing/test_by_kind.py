"""Each kind of circuit is joined the way the trade joins it [common practice]."""

import itertools

from invented import circuit, connector, device, job_of, tree
from loomwright.model.circuit import Cable, LoomPlace, Spare
from loomwright.model.rope import Bend, Passes, Tie
from loomwright.model.shop import Shop
from loomwright.model.words import CableKind, CircuitKind, Join, Side, Supplied
from loomwright.routing import route
from loomwright.routing.routed import EndKind
from loomwright.sources import OURS, Figure

FEED, GROUND, BUS, S0, DRAIN = (
    CircuitKind.FEED,
    CircuitKind.POWER_GROUND,
    CircuitKind.BUS,
    CircuitKind.SENSOR_GROUND,
    CircuitKind.DRAIN,
)
GIVES, TAKES, EITHER = Side.GIVES, Side.TAKES, Side.EITHER


def trunk(*ends, loom="engine", datum="D", passes=None):
    """A trunk of 500 mm between branch points B1, B2 ...; one end 400 mm from each."""
    points = [datum, *(f"B{i + 1}{'' if loom == 'engine' else loom}" for i in range(len(ends)))]
    rows = [(a, b, 500) for a, b in itertools.pairwise(points)]
    rows += [(b, end, 400) for b, end in zip(points[1:], ends, strict=True)]
    return tree(loom, datum, *rows, ends=[*ends, *([datum] if datum != "D" else [])], passes=passes)


def codes(routed):
    return sorted(f.code for f in routed.findings)


def as_text(routed, name):
    """The wires of a circuit as "end - end", splices by name."""
    return sorted(" - ".join(sorted((w.a.name, w.b.name))) for w in routed.wires_of.get(name, ()))


def test_each_ground_has_a_wire_of_its_own_to_the_stud():
    devices = [device(f"COIL{i}", ("2", "gnd", GROUND, TAKES)) for i in (1, 2, 3)]
    devices.append(device("ST", ("stud", "gnd", GROUND, GIVES), family="ground", stud_rings=4))
    routed = route(job_of(devices), (trunk("COIL1", "COIL2", "COIL3", "ST"),))
    assert as_text(routed, "gnd") == ["COIL1:2 - ST:stud", "COIL2:2 - ST:stud", "COIL3:2 - ST:stud"]
    assert routed.splices == ()
    assert routed.joins[0].join is Join.STUD


def test_of_two_studs_the_nearer_takes_the_wire_while_it_has_rings():
    devices = [device(f"C{i}", ("1", "gnd", GROUND, TAKES)) for i in (1, 2, 3)]
    devices += [
        device(s, ("stud", "gnd", GROUND, GIVES), family="ground", stud_rings=2) for s in ("S1", "S2")
    ]
    routed = route(job_of(devices), (trunk("C1", "S1", "C2", "C3", "S2"),))
    assert as_text(routed, "gnd") == ["C1:1 - S1:stud", "C2:1 - S1:stud", "C3:1 - S2:stud"]
    assert codes(routed) == ["JOIN-17"]


def test_a_ground_crosses_a_plug_in_cavities_of_its_own():
    ecu = device("ECU", ("1", "gnd", GROUND, TAKES), ("2", "gnd", GROUND, TAKES))
    halves = [
        device(n, ("7", "gnd"), ("8", "gnd"), plug={"mates": m}) for n, m in (("XM", "XF"), ("XF", "XM"))
    ]
    stud = device("ST", ("stud", "gnd", GROUND, GIVES), family="ground", stud_rings=4)
    trees = (trunk("ECU", "XM", loom="cabin", datum="D2"), trunk("XF", "ST"))
    job = job_of([ecu, *halves, stud], [circuit("gnd", GROUND)], looms=("cabin", "engine"))
    routed = route(job, trees)
    assert as_text(routed, "gnd") == ["ECU:1 - XM:7", "ECU:2 - XM:8", "ST:stud - XF:7", "ST:stud - XF:8"]
    assert codes(routed) == []
    assert {(x.a, x.b) for x in routed.crossings} == {("XM:7", "XF:7"), ("XM:8", "XF:8")}


def test_two_grounds_that_share_one_cavity_are_spliced_and_told():
    ecu = device("ECU", ("1", "gnd", GROUND, TAKES), ("2", "gnd", GROUND, TAKES))
    halves = [device(n, ("7", "gnd"), plug={"mates": m}) for n, m in (("XM", "XF"), ("XF", "XM"))]
    stud = device("ST", ("stud", "gnd", GROUND, GIVES), family="ground", stud_rings=4)
    trees = (trunk("ECU", "XM", loom="cabin", datum="D2"), trunk("XF", "ST"))
    routed = route(job_of([ecu, *halves, stud], [circuit("gnd", GROUND)]), trees)
    assert as_text(routed, "gnd") == ["ECU:1 - SP1", "ECU:2 - SP1", "SP1 - XM:7", "ST:stud - XF:7"]
    assert codes(routed) == ["JOIN-05"]


def test_a_circuit_nothing_carries_across_is_told():
    rows = [device("A", ("1", "x")), device("B", ("1", "x")), device("C", ("1", "x"))]
    routed = route(job_of(rows), (trunk("A", loom="cabin", datum="D2"), trunk("B", "C")))
    assert codes(routed) == ["JOIN-01"]
    assert as_text(routed, "x") == ["B:1 - C:1"]


def test_an_end_no_rope_leads_to_is_told():
    routed = route(job_of([device("A", ("1", "x"), ("2", "y")), device("B", ("1", "x"))]), (trunk("B", "C"),))
    assert codes(routed) == ["JOIN-02"]
    assert routed.wires == ()


def test_cavities_that_meet_must_agree():
    halves = [device("XM", ("1", "a"), ("2", "c"), plug={"mates": "XF"}), device("XF", ("1", "b"))]
    routed = route(job_of(halves), (trunk("XM", loom="cabin", datum="D2"), trunk("XF", "E")))
    assert codes(routed) == ["JOIN-03", "JOIN-04"]


def bus_job(order=(), stub=300.0):
    names = ("ECU", "DASH", "LOG", "PDM")
    devices = [device(n, ("1", "can h", BUS), ("2", "can l", BUS)) for n in names]
    circuits = [circuit("can h", BUS, order=order), circuit("can l", BUS)]
    pair = Cable("can", CableKind.PAIR, ("can h", "can l"), ())
    job = job_of(devices, circuits, [pair], shop=Shop(bus_stub_mm=Figure(stub, OURS)))
    return route(job, (trunk("ECU", "PDM", "LOG", "DASH"),))


def test_a_bus_runs_in_line_and_both_its_wires_alike():
    routed = bus_job()
    assert as_text(routed, "can h") == [
        "DASH:1 - SP2",
        "ECU:1 - SP1",
        "LOG:1 - SP2",
        "PDM:1 - SP1",
        "SP1 - SP2",
    ]
    assert as_text(routed, "can l") == [
        "DASH:2 - SP4",
        "ECU:2 - SP3",
        "LOG:2 - SP4",
        "PDM:2 - SP3",
        "SP3 - SP4",
    ]
    places = {s.name: s.place for s in routed.splices}
    assert places["SP1"].section == places["SP3"].section == "B2-PDM"  # stubs of at most 300 mm
    assert abs(places["SP1"].mm - places["SP3"].mm) == 45
    stubs = [w.path_mm for w in routed.wires if {w.a.name[:3], w.b.name[:3]} & {"LOG", "PDM"}]
    assert max(stubs) <= 300
    assert {w.cable for w in routed.wires} == {"can"}
    assert codes(routed) == []


def test_a_bus_keeps_the_builders_order_for_both_wires():
    routed = bus_job(order=("PDM", "ECU", "DASH", "LOG"))
    for name, cavity in (("can h", "1"), ("can l", "2")):
        ends = {n for pair in as_text(routed, name) for n in pair.split(" - ")}
        assert ends >= {f"PDM:{cavity}", f"LOG:{cavity}"}
        spliced = {s.identity for s in routed.splices if s.circuit == name}
        assert spliced == {f"{name}|engine|at ECU:{cavity}", f"{name}|engine|at DASH:{cavity}"}


def test_an_order_that_leaves_a_node_out_is_told():
    assert codes(bus_job(order=("PDM", "ECU", "DASH"))) == ["JOIN-11", "JOIN-11"]


def test_a_stub_that_has_no_room_near_its_node_is_told():
    assert set(codes(bus_job(stub=60.0))) == {"SPLICE-04"}


def grouped(*givers):
    pins = [("1", "0v", S0, TAKES, {"group": g}) for g in ("crank", "crank", "minor", "minor")]
    devices = [device(f"S{i}", row) for i, row in enumerate(pins)]
    devices.append(device("ECU", *((c, "0v", S0, GIVES) for c in givers)))
    return route(job_of(devices), (trunk("S0", "S1", "S2", "S3", "ECU"),))


def test_groups_do_not_share_a_wire_home():
    routed = grouped("10", "11")
    assert as_text(routed, "0v") == [
        "ECU:10 - SP1", "ECU:11 - SP2", "S0:1 - SP1", "S1:1 - SP1", "S2:1 - SP2", "S3:1 - SP2",
    ]  # fmt: skip
    assert [s.identity for s in routed.splices] == ["0v|engine|crank", "0v|engine|minor"]
    assert [c.pins for c in routed.commons] == [("ECU:10", "ECU:11")]
    assert codes(routed) == []


def test_groups_without_a_giver_pin_each_are_told():
    assert codes(grouped("10")) == ["JOIN-08"]


def test_a_giver_pin_without_a_group_is_told():
    assert codes(grouped("10", "11", "12")) == ["JOIN-18"]


def test_a_critical_circuit_without_groups_hangs_on_one_splice_and_that_is_told():
    devices = [device(f"S{i}", ("1", "0v", S0, TAKES, {"critical": True})) for i in range(3)]
    devices.append(device("ECU", ("10", "0v", S0, GIVES)))
    routed = route(job_of(devices), (trunk("S0", "S1", "S2", "ECU"),))
    assert len(routed.splices) == 1
    assert codes(routed) == ["JOIN-09"]


def test_pins_in_one_box_are_joined_by_its_bus_bar():
    box = device("FB", *((f"F{i}", "bar", FEED, TAKES) for i in (1, 2, 3)), family="box")
    routed = route(job_of([box, device("RLY", ("87", "bar", FEED, GIVES))]), (trunk("FB", "RLY"),))
    assert as_text(routed, "bar") == ["FB:F1 - RLY:87"]
    assert routed.commons[0].pins == ("FB:F1", "FB:F2", "FB:F3")
    assert routed.joins[0].join is Join.BUS_BAR


def test_a_feed_with_a_ring_for_every_wire_needs_no_splice():
    loads = [device(f"L{i}", ("1", "feed", FEED, TAKES)) for i in (1, 2, 3)]
    stud = device("PS", ("stud", "feed", FEED, GIVES), family="power", stud_rings=4)
    routed = route(job_of([*loads, stud]), (trunk("L1", "L2", "L3", "PS"),))
    assert as_text(routed, "feed") == ["L1:1 - PS:stud", "L2:1 - PS:stud", "L3:1 - PS:stud"]


def test_a_stated_join_is_kept_and_an_impossible_one_told():
    devices = [device(f"C{i}", ("1", "gnd", GROUND, TAKES)) for i in (1, 2)]
    devices.append(device("ST", ("stud", "gnd", GROUND, GIVES), family="ground", stud_rings=4))
    shape = (trunk("C1", "C2", "ST"),)
    spliced = route(job_of(devices, [circuit("gnd", GROUND, join=Join.SPLICE)]), shape)
    assert len(spliced.splices) == 1
    refused = route(job_of(devices, [circuit("gnd", GROUND, join=Join.DIRECT)]), shape)
    assert codes(refused) == ["JOIN-10"]
    assert refused.splices == ()


def eight_loads(**more):
    loads = [device(f"L{i}", ("1", "feed", FEED, TAKES)) for i in range(1, 9)]
    job = job_of([*loads, device("SRC", ("1", "feed", FEED, GIVES))], [circuit("feed", FEED, **more)])
    return job, (trunk("SRC", *(d.name for d in loads)),)


def test_nine_wires_take_two_splices_of_at_most_six():
    routed = route(*eight_loads())
    assert [len(s.wires) for s in routed.splices] == [6, 5]


def test_the_builders_splice_place_is_kept_and_its_faults_told():
    routed = route(*eight_loads(splice_at=LoomPlace("B3-B4", 120.0)))
    assert (routed.splices[0].place, routed.splices[0].chosen) == (LoomPlace("B3-B4", 120.0), "builder")
    assert codes(routed) == []
    assert codes(route(*eight_loads(splice_at=LoomPlace("B3-B4", 10.0)))) == ["SPLICE-02"]
    assert codes(route(*eight_loads(splice_at=LoomPlace("B3-B4", 900.0)))) == ["SPLICE-03"]
    assert codes(route(*eight_loads(splice_at=LoomPlace("nowhere", 9.0)))) == ["SPLICE-03"]


def test_a_splice_keeps_out_of_bends_and_from_under_ties():
    job = job_of([device(n, ("1", "x")) for n in ("A", "B", "C")])
    bare = route(job, (trunk("A", "B", "C"),)).splices[0].place
    assert bare == LoomPlace("B1-B2", 465.0)  # 20 mm and half a cover beside B2
    bends, ties = (Bend(440.0, 20.0, 90.0, None, ()),), (Tie(390.0, "bracket", ()),)
    for passes in (Passes("B1-B2", (), bends=bends), Passes("B1-B2", (), bends=bends, ties=ties)):
        place = route(job, (trunk("A", "B", "C", passes={"B1-B2": passes}),)).splices[0].place
        assert place != bare
        assert not (
            place.section == "B1-B2" and (400 < place.mm < 480 or (370 < place.mm < 410 and passes.ties))
        )


def test_no_room_is_told():
    short = tree("engine", "D", ("D", "A", 50), ("D", "B", 50), ("D", "C", 50))
    routed = route(job_of([device(n, ("1", "x")) for n in ("A", "B", "C")]), (short,))
    assert codes(routed) == ["SPLICE-01"]


def test_a_pigtail_is_joined_where_its_lead_ends():
    lead = {"supplied": Supplied.PIGTAIL, "lead_mm": 300.0}
    job = job_of([device("A", ("1", "x"), plug=lead), device("B", ("1", "x"))])
    (wire,) = route(job, (trunk("A", "B"),)).wires
    assert (wire.a.kind, wire.a.name, wire.a.place) == (EndKind.JOINT, "A:1", LoomPlace("B1-A", 100.0))
    assert wire.path_mm == 400 + 500 + 400 - 300


def test_a_lead_longer_than_its_breakout_is_joined_in_the_trunk():
    lead = {"supplied": Supplied.MOULDED_LEAD, "lead_mm": 550.0}
    job = job_of([device("A", ("1", "x"), plug=lead), device("B", ("1", "x"))])
    (wire,) = route(job, (trunk("A", "B"),)).wires
    assert wire.a.place == LoomPlace("B1-B2", 150.0)


def test_a_lead_longer_than_its_way_and_one_of_unknown_length_are_told():
    for lead, code in ((2000.0, "JOIN-14"), (None, "JOIN-15")):
        plug = {"supplied": Supplied.PIGTAIL, "lead_mm": lead}
        job = job_of([device("A", ("1", "x"), plug=plug), device("B", ("1", "x"))])
        assert codes(route(job, (trunk("A", "B"),))) == [code]


def test_a_screen_runs_with_its_cable_and_is_drained_at_one_end():
    crank = device("CRK", ("1", "crank +"), ("2", "crank -"))
    ecu = device(
        "ECU", connectors=[connector("ECU", "A", ("1", "crank +"), ("2", "crank -"), ("3", "screen", DRAIN))]
    )
    cable = Cable("crank", CableKind.SCREENED, ("crank +", "crank -"), (), screen="screen")
    routed = route(job_of([crank, ecu], cables=[cable]), (trunk("CRK", "ECU.A"),))
    (screen,) = (w for w in routed.wires if w.screen)
    ends = {(e.kind, e.name) for e in (screen.a, screen.b)}
    assert ends == {(EndKind.PIN, "ECU.A:3"), (EndKind.DRAIN_CUT, "CRK")}
    core = routed.wires_of["crank +"][0]
    assert {s.section for s in screen.way} == {s.section for s in core.way}
    assert {w.cable for w in routed.wires} == {"crank"}
    assert codes(routed) == []


def test_a_screen_without_a_drain_is_told():
    rows = [device(n, ("1", "crank +"), ("2", "crank -")) for n in ("A", "B")]
    cable = Cable("crank", CableKind.SCREENED, ("crank +", "crank -"), (), screen="screen")
    assert codes(route(job_of(rows, cables=[cable]), (trunk("A", "B"),))) == ["JOIN-12"]
    bare = Cable("crank", CableKind.SCREENED, ("crank +", "crank -"), ())
    assert codes(route(job_of(rows, cables=[bare]), (trunk("A", "B"),))) == ["JOIN-12"]


def test_three_screens_to_one_pin_are_spliced_beside_it():
    sensors = [device(f"K{i}", ("1", f"k{i}"), ("2", f"r{i}")) for i in (1, 2, 3)]
    rows = [(f"{n}{i}", f"{c}{i}") for i in (1, 2, 3) for n, c in (("1", "k"), ("2", "r"))]
    ecu = device("ECU", *rows, ("9", "screen", DRAIN))
    cables = [
        Cable(f"knock {i}", CableKind.SCREENED, (f"k{i}", f"r{i}"), (), screen="screen") for i in (1, 2, 3)
    ]
    routed = route(job_of([*sensors, ecu], cables=cables), (trunk("K1", "K2", "K3", "ECU"),))
    assert [len(s.wires) for s in routed.splices] == [4]
    assert as_text(routed, "screen") == ["ECU:9 - SP1", "K1 - SP1", "K2 - SP1", "K3 - SP1"]


def test_a_shared_return_is_a_core_on_the_sensors_side_only():
    cam = device("CAM", ("1", "cam"), ("2", "0v", S0, TAKES))
    map_ = device("MAP", ("1", "0v", S0, TAKES))
    ecu = device("ECU", ("1", "cam"), ("2", "0v", S0, GIVES))
    cable = Cable("cam pair", CableKind.PAIR, ("cam", "0v"), ())
    routed = route(job_of([cam, map_, ecu], cables=[cable]), (trunk("CAM", "MAP", "ECU"),))
    cores = {w.identity for w in routed.wires if w.cable}
    assert cores == {"cam | CAM:1 | ECU:1", "0v | CAM:2 | splice engine 1"}


def test_a_spare_is_sealed_at_both_ends():
    spares = [Spare("SP1", "A", "B1", ()), Spare("SP2", "A", "nowhere", ())]
    routed = route(job_of([device("A", ("1", "x"))], spares=spares), (trunk("A", "B"),))
    (wire,) = routed.wires
    assert (wire.spare, wire.a.kind, wire.b.kind, wire.path_mm) == (True, EndKind.SEALED, EndKind.SEALED, 400)
    assert codes(routed) == ["JOIN-16"]


def test_numbered_neighbours_in_a_plug_wear_different_colours():
    devices = [device(f"INJ{i}", ("2", f"inj {i}")) for i in range(1, 5)]
    devices.append(device("ECU", *((str(i), f"inj {i}") for i in range(1, 5))))
    routed = route(job_of(devices), (trunk("INJ1", "INJ2", "INJ3", "INJ4", "ECU"),))
    assert len({w.colour for w in routed.wires}) == 4
