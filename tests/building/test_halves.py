"""Which half of a mating pair has the pins, and how its face looks from behind."""

from dataclasses import replace

from building.making import job as made_job
from invented import device, tree
from loomwright.building.halves import PINS, SOCKETS, contact_halves, face_of_half
from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.model.words import CircuitKind, Side
from loomwright.sizing.plugs import face_of

FEED = CircuitKind.FEED


def pair(*, source_on_b=False, second=None):
    """Looms a and b joined by XA and XB; the feed comes from a unless told."""
    gives = device("SRC", ("1", "feed", FEED, Side.GIVES), family="tap")
    takes = device("LOAD", ("1", "feed", FEED, Side.TAKES))
    halves = [
        device(name, ("1", "feed", FEED), family="mating half", plug={"mates": other})
        for name, other in (("XA", "XB"), ("XB", "XA"))
    ]
    more = [device("BACK", ("1", "feed", FEED, Side.GIVES))] if second else []
    on_a, on_b = ("LOAD", "SRC") if source_on_b else ("SRC", "LOAD")
    far = [("b0", "BACK", 50)] if second else []
    trees = (
        tree("a", "a0", ("a0", "XA", 100), ("a0", on_a, 200)),
        tree("b", "b0", ("b0", "XB", 100), ("b0", on_b, 200), *far),
    )
    return made_job(devices=(gives, takes, *halves, *more)), trees


def test_the_half_the_feed_comes_from_has_the_sockets():
    assert contact_halves(*pair()) == {"XA": SOCKETS, "XB": PINS}
    assert contact_halves(*pair(source_on_b=True)) == {"XA": PINS, "XB": SOCKETS}


def test_fed_from_both_sides_the_builder_chooses():
    assert contact_halves(*pair(second=True)) == {"XA": "", "XB": ""}


def test_without_a_rope_nothing_is_said():
    job, _ = pair()
    assert contact_halves(job, ()) == {"XA": "", "XB": ""}


def test_the_demo_s_plate_has_its_live_half_in_the_cabin_and_the_tap_its_own():
    worked = work_out(demo_folder("hillclimb")).worked
    found = contact_halves(worked.job, worked.routed.trees)
    assert {found[f"X{n}C"] for n in "1234"} == {SOCKETS}
    assert {found[f"X{n}E"] for n in "1234"} == {PINS}
    # the key loom brings the car's own ignition feed: its half stays live
    assert (found["XTK"], found["XTC"]) == (SOCKETS, PINS)


def placed(face):
    return {one.id: (one.x_mm, one.y_mm) for one in face.cavities}


def test_the_halves_of_a_pair_meet_cavity_by_cavity():
    """Laid mouth to mouth, what one half shows from behind on the left the other shows on the right."""
    job = work_out(demo_folder("hillclimb")).worked.job
    for name in ("X1", "X2", "X3", "X4"):
        one, other = (job.connector[f"{name}{side}"] for side in "CE")
        halves = {one.end: SOCKETS, other.end: PINS}
        with_sockets, with_pins = (placed(face_of_half(job, halves, plug)) for plug in (one, other))
        assert {cavity: (-x, y) for cavity, (x, y) in with_pins.items()} == with_sockets
        assert with_pins != with_sockets
        assert {face_of_half(job, halves, plug).view for plug in (one, other)} == {"wire side"}
        open_choice = [placed(face_of_half(job, {}, plug)) for plug in (one, other)]
        assert open_choice == [with_sockets, with_pins]


def test_only_a_pair_with_one_face_for_both_is_mirrored():
    job = work_out(demo_folder("hillclimb")).worked.job
    plug = replace(job.connector["X1E"], face="one row 2")
    assert face_of_half(job, {"X1E": PINS}, plug) == face_of(job, plug)
    alone = replace(job.connector["X1E"], mates="")
    assert face_of_half(job, {"X1E": PINS}, alone) == face_of(job, alone)
