"""Device kinds: enough of them, each complete, each figure with its mark, names found when misspelt."""

import pytest

from loomwright.errors import OutOfRange, Unreadable
from loomwright.library.faces import faces
from loomwright.library.kinds import kind, kinds, kinds_by_name, nearest_kinds, read_kinds
from loomwright.library.wires import family
from loomwright.model.words import CircuitKind, Side
from loomwright.sources import Mark

KINDS = tuple(kinds().values())
GAUGES = {size.label: size.area_mm2 for size in family("medium ETFE").sizes}
each_kind = pytest.mark.parametrize("one", KINDS, ids=lambda one: one.name)


def test_there_are_enough_kinds():
    assert len(KINDS) >= 50


@each_kind
def test_every_figure_has_its_mark(one):
    assert one.source.mark in Mark
    for cavity in one.cavities:
        assert cavity.source.mark in (Mark.MAKER, Mark.PRACTICE, Mark.MEMORY, Mark.OURS)
        assert cavity.source.text or cavity.source.mark is Mark.PRACTICE


@each_kind
def test_a_kind_is_complete(one):
    assert one.words
    assert len({cavity.cavity for cavity in one.cavities}) == len(one.cavities)
    assert one.usual_size in GAUGES
    for cavity in one.cavities:
        assert cavity.usual_size in GAUGES
        assert cavity.peak_amps is None or cavity.amps is None or cavity.peak_amps >= cavity.amps
        assert one.roles_from_job == (cavity.kind is CircuitKind.SPARE)


@each_kind
def test_its_face_has_its_cavities(one):
    if one.face:
        assert {cavity.cavity for cavity in one.cavities} <= set(faces()[one.face].ids)


@each_kind
def test_twisted_cavities_come_in_twos_and_threes(one):
    letters = [cavity.pair for cavity in one.cavities if cavity.pair]
    for letter in set(letters):
        assert letters.count(letter) in (2, 3)


@each_kind
def test_its_smallest_wire_allows_the_usual_one(one):
    smallest = min((cavity.usual_size for cavity in one.cavities), key=lambda label: -int(label))
    assert GAUGES[smallest] >= one.min_mm2


@each_kind
def test_ohms_are_a_range(one):
    assert (one.ohms_low is None) == (one.ohms_high is None)
    if one.ohms_low is not None and one.ohms_high is not None:
        assert 0 < one.ohms_low <= one.ohms_high


def test_what_a_device_draws_its_supply_and_ground_agree():
    """A two-wire load carries one current: feed or drive in, ground or drive out."""
    for name in ("injector, high impedance", "fuel pump", "radiator fan", "boost solenoid", "coil, passive"):
        first, second = kind(name).cavities
        assert (first.amps, first.peak_amps, first.duty) == (second.amps, second.peak_amps, second.duty)


def test_an_injectors_current_follows_from_its_ohms():
    """14 V over 10 to 16 ohm is 0.88 to 1.4 A: Ohm's law on the service data the kind names."""
    injector = kind("injector, high impedance")
    feed = injector.cavity("1")
    assert 14 / injector.ohms_high <= feed.amps <= 14 / injector.ohms_low
    assert feed.peak_amps == pytest.approx(14 / injector.ohms_low, abs=0.05)


def test_a_coils_heating_current_follows_from_ramp_dwell_and_speed():
    """A ramp to 8 A in 3 ms, once in two turns at 8000/min: 8 A * sqrt(0.2 / 3); plane arithmetic."""
    sparks_per_s = 8000 / 60 / 2
    rms_a = 8 * (3e-3 * sparks_per_s / 3) ** 0.5
    assert kind("coil, smart, 4 pins").cavity("1").amps == pytest.approx(rms_a, abs=0.05)
    assert kind("wasted-spark pack, two coils").cavity("2").amps == pytest.approx(rms_a * 2**0.5, abs=0.05)
    assert kind("wasted-spark pack, smart, two coils").cavity("1").amps == pytest.approx(rms_a * 2, abs=0.05)


def test_crank_sensors_are_twisted_screened_and_critical():
    for name in ("crank sensor, VR", "crank sensor, Hall"):
        for cavity in kind(name).cavities:
            assert cavity.pair
            assert cavity.screened
            assert cavity.critical


def test_vr_return_is_not_sensor_ground():
    assert kind("crank sensor, VR").cavity("2").kind is CircuitKind.SIGNAL


def test_pedal_tracks_have_supplies_of_their_own():
    pedal = kind("accelerator pedal")
    assert pedal.throttle
    found = [cavity.kind for cavity in pedal.cavities]
    assert found.count(CircuitKind.SENSOR_SUPPLY) == found.count(CircuitKind.SENSOR_GROUND) == 2


def test_relay_paths_and_fuse_ways():
    assert kind("relay, 5 pins").through == (("30", "87"), ("30", "87a"))
    box = kind("fuse box 8")
    assert box.through == tuple(("IN", f"F{n}") for n in range(1, 9))
    assert box.cavity("F8").side is Side.GIVES


def test_studs_say_how_many_rings_they_take():
    for name in ("block ground stud", "head ground stud", "body ground stud", "power stud"):
        assert kind(name).stud_rings >= 2


def test_controllers_take_their_roles_from_the_job():
    for count in (60, 90, 120):
        controller = kind(f"controller {count}")
        assert controller.roles_from_job
        assert len(controller.cavities) == count


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("injecter, high impedence", "injector, high impedance"),
        ("Crank Sensor VR", "crank sensor, VR"),
        ("coolant temp sensor", "coolant temperature sensor"),
        ("relay 5 pin", "relay, 5 pins"),
    ],
)
def test_a_misspelt_kind_finds_its_name(written, meant):
    assert nearest_kinds(written)[0] == meant
    with pytest.raises(OutOfRange, match=meant):
        kind(written)


def test_nonsense_finds_nothing():
    assert nearest_kinds("zzzzqqqq") == ()
    with pytest.raises(OutOfRange, match=r"docs/library\.md"):
        kind("zzzzqqqq")


COLUMNS = (
    "name,words,family,signal,driver,through,throttle,stud_rings,ohms_low,ohms_high,usual_size,min_mm2,roles,"
    "face,source\n"
)
CAVITIES = "kinds,cavity,words,circuit,side,amps,peak_amps,duty,pair,screened,critical,usual_size,source\n"
MINE = COLUMNS + "my valve,,actuator,,,1-2,,0,,,22,0.34,,,MEM\n"
PIN = "my valve,1,feed,feed,takes,1,,1,,no,no,,MEM\n"


def test_a_builders_own_kind_replaces_the_librarys():
    renamed = MINE.replace("my valve", "MAP sensor"), (CAVITIES + PIN + PIN.replace(",1,", ",2,", 1))
    (own,) = read_kinds(renamed[0], renamed[1].replace("my valve", "MAP sensor"))
    merged = kinds_by_name((*KINDS, own))
    assert merged["MAP sensor"] is own
    assert len(merged) == len(KINDS)


@pytest.mark.parametrize(
    ("kinds_text", "cavities_text", "told"),
    [
        (MINE, CAVITIES, "no cavities"),
        (MINE, CAVITIES + PIN, "1-2"),
        (MINE, CAVITIES + PIN.replace("my valve", "your valve"), "your valve"),
        (MINE, CAVITIES + PIN.replace("feed,takes", "juice,takes"), "circuit"),
        (MINE, CAVITIES + PIN.replace("takes,1,,1", "takes,1,,7"), "duty"),
        (MINE, CAVITIES + PIN.replace(",no,no,", ",maybe,no,"), "screened"),
    ],
)
def test_a_builders_own_table_is_refused_with_its_line(kinds_text, cavities_text, told):
    with pytest.raises(Unreadable, match=told) as caught:
        read_kinds(kinds_text, cavities_text)
    assert caught.value.line == 2
