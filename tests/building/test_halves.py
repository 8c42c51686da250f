"""Which half of a mating pair has the pins."""

from building.making import job as made_job
from invented import device, tree
from loomwright.building.halves import PINS, SOCKETS, contact_halves
from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.model.words import CircuitKind, Side

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
