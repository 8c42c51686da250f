"""Which pins are studs: by the contact told, the face, the stud's own metal; blades are plugs."""

import pytest

from checks.making import changed, device, findings, worked
from loomwright.jobfile.read import job_of_text
from loomwright.library.kinds import kinds
from loomwright.routing.field import on_stud
from loomwright.routing.routed import EndKind

BOX = '[device.X]\nis = "{}"\n'
RINGS = (
    "battery",
    "battery isolator",
    "power stud",
    "block ground stud",
    "starter motor stud",
    "alternator stud",
)


def studs(kind, cavities, more=""):
    """The cavities of a device that are studs."""
    text = BOX.format(kind) + more + "".join(f'cavity."{c}" = "c {c}"\n' for c in cavities)
    job = job_of_text("format = 1\n" + text).job
    found = job.device["X"]
    return [p.cavity for c in found.connectors for p in c.pins if on_stud(job, found, c, p)]


@pytest.mark.parametrize("kind", RINGS)
def test_studs_and_posts_take_rings(kind):
    cavities = [c.cavity for c in kinds()[kind].cavities]
    assert studs(kind, cavities, f'face = "{kinds()[kind].face}"\n') == cavities
    assert studs(kind, cavities) == cavities


def test_a_fuse_box_has_one_stud():
    assert studs("fuse box 4", ["IN", "F1", "F2"], 'face = "fuse box 4"\n') == ["IN"]
    assert studs("fuse box 4", ["IN", "F1", "F2"]) == ["IN"]


def test_an_isolator_with_small_contacts():
    kind = "battery isolator, with alternator contacts"
    assert studs(kind, "1234", f'face = "{kinds()[kind].face}"\n') == ["1", "2"]
    assert studs(kind, "1234", 'face = "blade terminals 6"\n') == []
    assert studs(kind, "1234", 'contact = "ring M8, 25 mm2"\n') == ["1", "2", "3", "4"]


def test_blades_are_no_studs_however_much_they_carry():
    assert studs("power module 24", ["1", "2"], 'face = "two rows 24"\n') == []
    assert studs("alternator", ["1"], 'face = "one row 3"\n') == []
    assert studs("fuse box 4", ["IN"], 'contact = "socket 6.3"\n') == []


def test_blades_of_an_isolator_are_checked_and_take_one_wire():
    iso = device(
        "ISO",
        "battery isolator, with alternator contacts",
        "",
        {"3": '"switched feed"', "4": '"iso out"'},
        face='"two studs M8, two blades"',
    )
    text = changed(add=iso + device("EGR", "EGR solenoid", "", {"1": '"iso out"', "2": '"engine ground"'}))
    one, _ = worked(text)
    wire = next(w for w in one.routed.wires if w.circuit == "iso out")
    assert {e.kind for e in (wire.a, wire.b)} == {EndKind.PIN}
    assert any(f.contact.startswith("socket 6.3") for f in one.sized.conductor[wire.identity].fits)


def test_a_module_s_ground_stud_is_no_home_for_others():
    """Without a stud on metal the ground is spliced; no wire is sent to the module's own terminal."""
    module = device(
        "PM",
        "power module 24",
        "",
        {"-": '{ circuit = "loose ground", kind = "power ground", side = "takes", amps = 5 }'},
    )
    loads = "".join(
        device(f"V{n}", "electric water pump", "", {"1": '"switched feed"', "2": '"loose ground"'})
        for n in (1, 2)
    )
    one, _ = worked(changed(add=module + loads))
    rows = [w for w in one.routed.wires if w.circuit == "loose ground"]
    assert rows
    assert all(any(e.kind is EndKind.SPLICE for e in (w.a, w.b)) for w in rows)
    assert not [f for f in findings(changed(add=module + loads)) if f.code == "GND-01"]
