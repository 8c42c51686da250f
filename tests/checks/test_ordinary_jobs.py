"""What ordinary jobs are not to be told, and what they are told in one line instead of many."""

import re

import pytest

from checks.making import changed, codes, device, findings, found
from checks.test_every_code import CABLE, CRANK_ECU, ECU, TAP, TAP_ECU, TAP_ROPE
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.toml_text import read_text

NO_LOOP = ("loop_mm = 30\n", "")
WIDE = {"1": '"switched feed"', "2": '"engine ground"', "3": '"can h"', "4": '"can l"'}
CAN = '\ncavity."21" = { circuit = "can h", kind = "bus" }\ncavity."22" = { circuit = "can l", kind = "bus" }'
SCREEN_PIN = {"1": '"crank +"', "2": '"crank -"', "3": '"crank screen"'}


def of(text, code):
    return [one for one in findings(text) if one.code == code]


def areas(first, second):
    """INJ1's section from a trunk in one moving area to another."""
    return changed(
        NO_LOOP,
        ("moves_mm = 5", f"moves_mm = {first}"),
        ("[area.cabin]", f'[area.head]\nair_c = 90\nmoves_mm = {second}\nside = "bay"\n\n[area.cabin]'),
        ('via = "behind the intake"', 'via = "behind the intake"\narea = "head"\nloop_mm = 90'),
    )


class TestMovement:
    def test_areas_that_move_alike_move_together(self):
        text = areas(12, 12).replace("loop_mm = 90\n", "")
        # from the standing bay on to the engine, and back to the bay; not the breakouts that stay on it
        assert [one.subject for one in of(text, "MOVE-01")] == ["engine/B1-B2", "engine/B2-MAP"]

    def test_the_difference_counts(self):
        text = areas(20, 8).replace("loop_mm = 90", "loop_mm = 10")
        rows = [one for one in of(text, "MOVE-02") if one.subject == "engine/B2-INJ1"]
        assert [r for r in rows if "12 mm" in r.what_is]

    def test_a_trunk_on_the_engine_is_asked_for_once(self):
        text = changed(NO_LOOP, ("moves_mm = 5", "moves_mm = 12"))
        rows = of(text, "MOVE-01")
        assert [one.subject for one in rows] == ["engine/B1-B2 area"]
        for word in ("B1-B2", "B2-INJ1", "B2-G1", "12 mm"):
            assert word in rows[0].what_is
        assert [(m.path, m.value) for m in rows[0].mends] == [(("passes", "B1-B2", "area"), "block")]

    def test_the_trunk_told_its_area_crosses_once(self):
        text = changed(NO_LOOP, ("moves_mm = 5", "moves_mm = 12"))
        mended = apply(read_text(text), of(text, "MOVE-01")[0].mends).document.text
        assert [one.subject for one in of(mended, "MOVE-01")] == ["engine/B1-B2", "engine/B2-MAP"]

    def test_one_breakout_alone_is_told_by_itself(self):
        text = changed(NO_LOOP, ("moves_mm = 5", "moves_mm = 12")).replace(
            '[device.G1]\nis = "block ground stud"\narea = "block"',
            '[device.G1]\nis = "block ground stud"\narea = "bay"',
        )
        assert [one.subject for one in of(text, "MOVE-01")] == ["engine/B2-INJ1"]


class TestReturns:
    def test_an_output_nobody_uses_needs_no_return(self):
        text = changed((ECU, ECU + CAN), add=device("WBC", "wideband controller", "", WIDE))
        assert "CIRC-01" not in codes(text)

    def test_an_output_in_use_does(self):
        used = {**WIDE, "5": '"lambda"'}
        text = changed(
            (ECU, ECU + CAN + '\ncavity."23" = "lambda"'), add=device("WBC", "wideband controller", "", used)
        )
        assert 'cavity "6" (analogue 0 V)' in found(text, "CIRC-01")[0].what_is

    def test_a_flow_meter_s_heater_ground_is_asked_for_by_its_feed(self):
        flow = {"1": '"switched feed"', "3": '"flow"', "4": '"sensor 0 V"'}
        text = changed(
            (ECU, ECU + '\ncavity."23" = "flow"'), add=device("MAF", "mass air flow sensor", "", flow)
        )
        assert 'cavity "2" (heater ground)' in found(text, "CIRC-01")[0].what_is

    def test_a_drive_is_the_way_home_of_its_feed(self):
        text = changed(add=device("EGR", "EGR solenoid", "", {"1": '"switched feed"'}))
        assert 'cavity "2" (drive)' in found(text, "CIRC-01")[0].what_is

    def test_winding_of_a_valve_that_nobody_drives(self):
        two = {"1": '"switched feed"', "2": '"open"'}
        text = changed(
            (ECU, ECU + '\ncavity."23" = "open"'), add=device("IDL", "idle valve, 3 wires", "", two)
        )
        assert 'cavity "3"' in found(text, "CIRC-01")[0].what_is

    def test_unused_channels_of_an_igniter(self):
        two = {"1": '"trig a"', "5": '"sensor 0 V"', "6": '"out a"', "10": '"engine ground"'}
        text = changed(
            (ECU, ECU + '\ncavity."23" = "trig a"'),
            add=device("IGN", "igniter, four channels", "", two)
            + device("COIL", "coil, passive", "", {"1": '"switched feed"', "2": '"out a"'}),
        )
        assert "CIRC-01" not in codes(text)
        lost = text.replace('cavity."5" = "sensor 0 V"\ncavity."6"', 'cavity."6"')
        assert 'cavity "5" (trigger 0 V)' in found(lost, "CIRC-01")[0].what_is


class TestTaps:
    @pytest.mark.parametrize(
        "place", ["behind the airbag module", "below the brake pedal", "by the ABS unit"]
    )
    def test_a_place_says_nothing_of_the_wire(self, place):
        text = changed(
            TAP_ECU, add=TAP + f'system = "ignition"\nplace = "{place}"\nplug = "{place}"\n' + TAP_ROPE
        )
        assert not codes(text) & {"TAP-01", "TAP-02"}

    @pytest.mark.parametrize(
        ("system", "code"), [("Airbag", "TAP-01"), ("SRS", "TAP-01"), ("brakes", "TAP-02")]
    )
    def test_the_system_does(self, system, code):
        assert code in codes(changed(TAP_ECU, add=TAP + f'system = "{system}"\n' + TAP_ROPE))

    def test_a_circuit_called_brake_light_is_no_brake_wiring(self):
        text = changed(
            TAP_ECU, add=TAP.replace("ignition on", "brake light") + 'system = "lamps"\n' + TAP_ROPE
        )
        assert "TAP-02" not in codes(text)

    def test_an_airbag_circuit_without_a_system_is_refused_all_the_same(self):
        text = changed(TAP_ECU, add=TAP.replace("ignition on", "airbag feed") + TAP_ROPE)
        assert "TAP-01" in codes(text)


HALVES = "".join(
    f'[device.{own}]\nis = "in-line plug 4"\narea = "{area}"\nsettled = true\nmates = "{mate}"\n'
    'cavity."1" = "crank +"\ncavity."2" = "crank -"\ncavity."3" = "crank screen"\n'
    for own, mate, area in (("XA", "XB", "bay"), ("XB", "XA", "bay"))
)
REAR = '[loom.rear]\ndatum = "XB"\narea = "bay"\n[section."XB-CRK"]\nloom = "rear"\nmm = 300\n'


def crossing(cavities):
    """A crank sensor on a small loom of its own, its cable led through a plug."""
    text = re.sub(r"(\[(?:rope|section)\.[^]]+\]\n)", r'\1loom = "engine"\n', changed(CRANK_ECU))
    crank = device("CRK", "crank sensor, VR, screen pin", "", cavities)
    crank = crank.replace('[section."B2-CRK"]\nmm = 200\n', "")
    own = '[section."B2-XA"]\nloom = "engine"\nmm = 200\n'
    return "\n".join((text, crank, CABLE, HALVES, REAR, own))


class TestScreens:
    def test_drained_at_both_ends_of_a_screen_that_crosses_a_pair(self):
        rows = found(crossing(SCREEN_PIN), "SCREEN-02")
        assert [one.subject for one in rows] == ["crank"]
        assert "CRK:3" in rows[0].what_is
        assert "ECU.A:19" in rows[0].what_is

    def test_drained_once_it_may_cross(self):
        assert "SCREEN-02" not in codes(crossing({"1": '"crank +"', "2": '"crank -"'}))


class TestPlugs:
    def test_no_face_is_asked_of_a_moulded_lead(self):
        bare = ('face = "one row 3"\nface_checked = true\n', 'supplied = "moulded lead"\nlead_mm = 300\n')
        assert not codes(changed(bare)) & {"PIN-07", "CONTACT-05"}

    def test_a_window_is_compared_as_printed(self):
        text = changed(
            ('face = "one row 2"', 'face = "one row 2"\ncontact = "blade 1.5 sealed, small wire"'),
            ("min_mm2 = 0.75", "min_mm2 = 0.35"),
            add='[circuit."inj 1"]\nsize = "0.35"\nreason = "test"\n'
            '[circuit."switched feed"]\nsize = "0.35"\nreason = "test"\n',
        )
        assert "CONTACT-03" not in codes(text)


class TestWords:
    def test_a_start_button_is_no_coil(self):
        """Its kind's words tell of a relay's coil."""
        button = device("STB", "start button", "", {"1": '"switched feed"', "2": '"start request"'})
        text = changed(add=button).replace('load = "relay feed"', 'load = "switched feed"')
        assert not [one for one in of(text, "FUSE-07") if "coils" in one.what_is]

    def test_a_cable_is_only_proposed_where_it_can_be_made(self):
        hall = {"1": '"sensor 5 V"', "2": '"sensor 0 V"', "3": '"crank signal"'}
        text = changed(
            (ECU, ECU + '\ncavity."23" = "crank signal"'), add=device("CRK", "crank sensor, Hall", "", hall)
        )
        remedy = found(text, "PAIR-01")[0].remedy
        assert remedy.startswith("Twist the last stretch to CRK by hand")
        assert "sensor 5 V" in remedy
        assert "crank signal" not in remedy
