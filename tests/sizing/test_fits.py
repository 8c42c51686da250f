"""Does a wire fit its contact: told against the contact's own printed windows."""

import pytest

from loomwright.library.contacts import contacts
from sizing.making import Made, device, made, pin, section

LEFT_OUT = "[shop]\nmin_mm2 = 0.1\n"


def crimped(contact: str, size: str) -> Made:
    return made(
        LEFT_OUT
        + device("ECU", "controller", pin("1", "s", "signal", "takes"))
        + device("SNS", "sensor", pin("1", "s", "signal", "gives"), more=f'contact = "{contact}"\n')
        + section("D", "ECU", 500)
        + section("D", "SNS", 400)
        + f'[circuit."s"]\nsize = "{size}"\nreason = "to see"\n'
    )


@pytest.mark.parametrize("size", ["0.35", "0.75", "2.5", "6"])
@pytest.mark.parametrize("name", sorted(one.name for one in contacts().values() if one.family != "ring"))
def test_the_verdict_is_that_of_the_contacts_windows(name: str, size: str) -> None:
    row, kind = crimped(name, size).conductor("SNS:1"), contacts()[name]
    (fit,) = (f for f in row.fits if f.pin == "SNS:1")
    wire = row.size
    assert fit.contact == name
    if wire.area_mm2 < kind.mm2_min * 0.9:
        assert fit.conductor == "too thin"
    elif wire.area_mm2 > kind.mm2_max * 1.1:
        assert fit.conductor == "too thick"
    elif kind.mm2_min <= wire.area_mm2 <= kind.mm2_max:
        assert fit.conductor == "fits"
    if kind.seal_od_min_mm is None:
        assert fit.seal == "not known"
    elif wire.od_max_mm < kind.seal_od_min_mm:
        assert fit.seal == "too thin"
    elif wire.od_nom_mm > kind.seal_od_max_mm:
        assert fit.seal == "too thick"


def test_an_end_without_a_contact_says_so() -> None:
    row = crimped(next(iter(contacts())), "0.75").conductor("ECU:1")
    (fit,) = (f for f in row.fits if f.pin == "ECU:1")
    assert (fit.contact, fit.conductor) == ("", "not known")
    assert fit.words
