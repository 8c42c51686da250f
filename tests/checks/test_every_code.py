"""Every code of the checks: a job that raises it, and the clean job that doesn't."""

import pytest

from checks.making import BASE, changed, codes, device, findings, found
from loomwright.checks.catalogue import CATALOGUE

ECU = 'cavity."16" = "manifold pressure"'
MAP3 = 'cavity."3" = "manifold pressure"'
PASSES = '[passes."B1-B2"]\n'
NEAR = 'near = [{ what = "hot part", mm = 240, temperature_c = 350, words = "exhaust collector" }]'
BEND = "bends = [{ at_mm = 120, radius_mm = 60, angle_deg = 60, support_mm = 50 }]"
TIES = (
    'ties = [{ at_mm = 60, to = "bracket" }, { at_mm = 190, to = "bracket" }, '
    '{ at_mm = 320, to = "bracket" }]'
)
LINKAGE = 'linkage = "cable"\nclear_mm = 60'
PUMP = {"1": '"pump feed"', "2": '"pump ground"'}
CRANK = device("CRK", "crank sensor, VR", "", {"1": '"crank +"', "2": '"crank -"'})
CRANK_ECU = (ECU, ECU + '\ncavity."17" = "crank +"\ncavity."18" = "crank -"\ncavity."19" = "crank screen"')
CABLE = '[cable.crank]\nkind = "screened cable"\ncircuits = ["crank +", "crank -"]\nscreen = "crank screen"\n'
TAP = '[tap.T1]\ncircuit = "ignition on"\nkind = "feed"\nside = "gives"\narea = "cabin"\n'
TAP_ECU = (ECU, ECU + '\ncavity."20" = { circuit = "ignition on", amps = 0.1 }')
TAP_ROPE = '[section."bulkhead-T1"]\nmm = 300\n'
CAN = '\ncavity."21" = { circuit = "can h", kind = "bus" }\ncavity."22" = { circuit = "can l", kind = "bus" }'
DASH = device(
    "DASH",
    "dash display",
    "",
    {"1": '"switched feed"', "2": '"engine ground"', "3": '"can h"', "4": '"can l"'},
)
CAN_CABLE = '[cable.can]\nkind = "twisted pair"\ncircuits = ["can h", "can l"]\n'
HALF = (
    '[device.{0}]\nis = "in-line plug 2"\narea = "bay"\nsettled = true\nmates = "{1}"\ncavity."1" = "x {2}"\n'
)


def near(text):
    return changed((NEAR, f"near = [{{ {text} }}]"))


def bend(text):
    return changed((BEND, f"bends = [{{ {text} }}]"))


def ties(text):
    return changed((TIES, f"ties = [{text}]"))


def pump(kind="fuel pump", feed="relay feed", **more):
    cavities = {"1": f'"{feed}"', "2": '"engine ground"'}
    return device("PMP", kind, "", cavities, **more)


def throttle(*lines):
    return changed((LINKAGE, 'linkage = "electronic"'), add="\n".join(lines))


PEDAL = device(
    "PED",
    "accelerator pedal",
    "",
    {str(n): f'"{name}"' for n, name in enumerate(("s1", "g1", "t1", "s2", "g2", "t2"), 1)},
)


def pedal_ecu(s2, g2):
    rows = [("1", "s1", "sensor supply"), ("2", "g1", "sensor 0 V")]
    extra = "".join(
        f'\ncavity."{n + 16}" = {{ circuit = "{c}", kind = "{k}", side = "gives" }}'
        for n, (_, c, k) in enumerate(rows)
    )
    return changed(
        (ECU, ECU + extra + '\ncavity."23" = "t1"\ncavity."24" = "t2"'),
        (LINKAGE, 'linkage = "electronic"'),
        add=PEDAL.replace('"s2"', f'"{s2}"').replace('"g2"', f'"{g2}"'),
    )


FIRES = {
    "PIN-01": changed(('cavity."15" = "sensor 0 V"', 'cavity."15" = "sensor 0 V"\ncavity."015" = "inj 1"')),
    "PIN-03": changed(
        (MAP3, 'cavity."9" = { circuit = "manifold pressure", kind = "signal", side = "gives" }')
    ),
    "PIN-04": changed((ECU, "")),
    "PIN-05": changed((ECU, ECU + '\ncavity."20" = "tacho"')),
    "PIN-06": changed(("fixed = true", "fixed = true\nempty_plugged = false")),
    "PIN-07": changed(('face = "one row 3"\nface_checked = true\n', "")),
    "CIRC-01": changed(('cavity."2" = "sensor 0 V"\n', "")),
    "CIRC-02": changed(
        add='[device.FAN]\nfamily = "actuator"\narea = "bay"\nsettled = true\n'
        'cavity."1" = { circuit = "switched feed", kind = "feed", side = "takes", amps = 0.1 }\n'
        '[section."B2-FAN"]\nmm = 90\n'
    ),
    "CIRC-03": changed(
        add=device("EG2", "EGR solenoid", "", {"1": '"switched feed"', "2": '"egr"'})
        + device("EG3", "EGR solenoid", "", {"1": '"switched feed"', "2": '"egr"'})
    ),
    "CIRC-04": changed(
        add=device(
            "M2", "MAP sensor", "", {"1": '"sensor 5 V"', "2": '"sensor 0 V"', "3": '"manifold pressure"'}
        )
    ),
    "CIRC-05": changed(
        ('cavity."26" = "engine ground"', 'cavity."26" = "sensor 0 V"'),
        ('cavity."stud" = "engine ground"', 'cavity."stud" = "sensor 0 V"'),
    ),
    "CIRC-06": changed(('cavity."2" = "sensor 0 V"', 'cavity."2" = "switched feed"')),
    "CIRC-07": changed(('cavity."1" = "sensor 5 V"', 'cavity."1" = "switched feed"')),
    "CIRC-08": changed(
        CRANK_ECU,
        add=device(
            "CRK",
            "crank sensor, VR, screen pin",
            "",
            {"1": '"crank +"', "2": '"crank -"', "3": '"engine ground"'},
        )
        + CABLE,
    ),
    "CIRC-09": changed(("amps = 0.7, ", "")),
    "GND-01": changed(
        add="".join(
            device(f"K{n}", "radiator fan", "", {"1": '"switched feed"', "2": '"engine ground"'})
            for n in (2, 3, 4)
        )
    ),
    "GND-02": changed(CRANK_ECU, add=CRANK.replace('"crank -"', '"sensor 0 V"')),
    "GND-03": changed(
        ('cavity."26" = "engine ground"\n', ""),
        (ECU, ECU + "".join(f'\ncavity."{n}" = "o{n}"' for n in (20, 21, 22))),
        add="".join(
            device(f"V{n}", "EGR solenoid", "", {"1": '"switched feed"', "2": f'"o{n}"'})
            for n in (20, 21, 22)
        ),
    ),
    "DRIVE-01": changed(
        ('cavity."5" = "inj 1"', 'cavity."5" = { circuit = "inj 1", words = "logic output 3" }')
    ),
    "DRIVE-02": changed(
        (ECU, ECU + '\ncavity."20" = "step a"\ncavity."21" = "step c"\ncavity."22" = "step d"'),
        add=device(
            "STP",
            "idle stepper",
            "",
            {"1": '"step a"', "2": '"switched feed"', "3": '"step c"', "4": '"step d"'},
        ),
    ),
    "DRIVE-03": changed(
        (ECU, ECU + '\ncavity."20" = { circuit = "pump out", kind = "feed", side = "gives" }'),
        add=pump(feed="pump out"),
    ),
    "FEED-01": changed(add=pump(feed="battery feed").replace("fuel pump", "electric water pump"))
    .replace("[fuse.F1]", "[fuse.F1]")
    .replace('line = "battery feed"', 'line = "other feed"'),
    "FEED-02": changed(("from_source_mm = 150\n", "")),
    "FEED-03": changed(("from_source_mm = 150", "from_source_mm = 900")),
    "FEED-04": changed(add=pump(feed="permanent feed")),
    "FEED-05": changed(
        add=device("ISO", "battery isolator", "", {"1": '"battery feed"', "2": '"iso out"'})
        + device("ALT", "alternator stud", "", {"stud": '"iso out"'})
    ),
    "FEED-06": changed(('level = "small shop"', 'level = "motorsport"')),
    "FUSE-02": changed(("amps = 5\n", "amps = 10\n")),
    "FUSE-03": changed(("amps = 5\n", "amps = 2\n")),
    "FUSE-04": changed(("amps = 5\n", "amps = 6\n")),
    "FUSE-05": changed(("amps = 5\n", 'amps = 5\nkind = "breaker"\n')),
    "FUSE-06": changed(("amps = 5\n", 'amps = 40\nkind = "trip"\n')),
    "FUSE-07": changed(
        add=device("COIL", "coil, passive", "", {"1": '"switched feed"', "2": '"inj 1"'})
    ).replace('load = "relay feed"', 'load = "switched feed"'),
    "FUSE-08": changed(
        ('cavity."F2"', 'cavity."F3" = "nothing"\ncavity."F2"'),
        add='[fuse.F3]\namps = 5\nline = "battery feed"\nload = "nothing"\nfrom_source_mm = 150\n'
        '[[accept]]\nfinding = "PIN-05 FB:F3"\nreason = "a place for later"\nby = "AB"\n',
    ),
    "HEAT-02": changed(("near = [", "air_c = 140\nnear = [")),
    "HEAT-03": changed(
        ("min_mm2 = 0.75", 'min_mm2 = 0.75\nwire_family = "thin-wall PVC mm2"'), ("air_c = 100", "air_c = 80")
    ),
    "WIRE-01": changed(add='[circuit."manifold pressure"]\nsize = "0.35"\nreason = "test"\n'),
    "WIRE-02": changed(add='[circuit."inj 1"]\nsize = "0.75"\n'),
    "CONTACT-01": changed(('face = "one row 3"', 'face = "one row 3"\ncontact = "blade 2.8 sealed"')),
    "CONTACT-02": changed(
        ('face = "one row 3"', 'face = "one row 3"\ncontact = "blade 2.8 sealed"'),
        add='[[accept]]\nfinding = "CONTACT-01 blade 2.8 sealed"\nreason = "tried"\nby = "AB"\n',
    ),
    "CONTACT-03": changed(('face = "one row 3"', 'face = "one row 3"\ncontact = "sealed rectangular 16"')),
    "CONTACT-05": changed(('face = "one row 3"\nface_checked = true\n', "")),
    "CONTACT-06": changed(('face = "one row 3"', 'face = "one row 3"\ncontact = "header 0.64"')),
    "PAIR-01": changed(CRANK_ECU, add=CRANK),
    "PAIR-02": changed(
        add='[cable.odd]\nkind = "twisted pair"\ncircuits = ["manifold pressure", "engine ground"]\n'
    ),
    "PAIR-03": changed(
        (ECU, ECU + '\ncavity."17" = "crank +"\ncavity."25" = "crank -"'),
        add=CRANK + CABLE.replace("screened cable", "twisted pair").replace('screen = "crank screen"\n', ""),
    ),
    "PAIR-04": changed(
        (ECU, ECU + '\ncavity."17" = "ref"'),
        add=device("P2", "MAP sensor", "", {"1": '"sensor 5 V"', "2": '"sensor 0 V"', "3": '"ref"'})
        + '[cable.p]\nkind = "twisted pair"\ncircuits = ["sensor 5 V", "sensor 0 V"]\n'
        '[circuit."sensor 5 V"]\njoin = "splice"\n[circuit."sensor 0 V"]\njoin = "splice"\n',
    ),
    "SCREEN-01": changed(CRANK_ECU, add=CRANK),
    "SCREEN-02": changed(
        CRANK_ECU,
        add=device(
            "CRK",
            "crank sensor, VR, screen pin",
            "",
            {"1": '"crank +"', "2": '"crank -"', "3": '"crank screen"'},
        )
        + CABLE,
    ),
    "SCREEN-03": changed(
        (ECU, ECU + '\ncavity."17" = "crank +"\ncavity."18" = "crank -"'),
        add=device(
            "CRK",
            "crank sensor, VR, screen pin",
            "",
            {"1": '"crank +"', "2": '"crank -"', "3": '"crank screen"'},
        )
        + CABLE,
    ),
    "CABLE-01": changed(CRANK_ECU, add=CRANK + CABLE + 'stock = "pair 2 x 0.5, PVC, no jacket"\n'),
    "BUS-01": changed((ECU, ECU + CAN), add=DASH + CAN_CABLE),
    "BUS-02": changed(
        (ECU, ECU + CAN), ("hole_mm = 38", "hole_mm = 38\nterminators = 3"), add=DASH + CAN_CABLE
    ),
    "BUS-03": changed(
        (ECU, ECU + CAN),
        add=DASH
        + DASH.replace("DASH", "LOG")
        + CAN_CABLE
        + '[circuit."can h"]\njoin = "splice"\n[circuit."can l"]\njoin = "splice"\n',
    ),
    "BUS-04": changed((ECU, ECU + CAN), add=DASH.replace('cavity."4" = "can l"\n', "")),
    "BUS-05": changed(
        (ECU, ECU + CAN),
        add=DASH
        + DASH.replace("DASH", "LOG")
        .replace('"3" = "can h"', '"3" = "can l"')
        .replace('"4" = "can l"', '"4" = "can h"'),
    ),
    "SPLICE-09": changed(('level = "small shop"', 'level = "motorsport"')),
    "SLEEVE-02": changed(
        ("near = [", "air_c = 126\nnear = ["),
        ("min_mm2 = 0.75", 'min_mm2 = 0.75\nwire_family = "light ETFE"'),
    ),
    "SLEEVE-03": changed(('sleeve = "polyolefin 2:1"', 'sleeve = "diesel-resistant 2:1"')),
    "SLEEVE-05": changed(('["B2", 690, 5], ["INJ1", 910]', '["B2", 345, 5], ["INJ1", 910]')),
    "SLEEVE-06": changed(("loop_mm = 30", 'loop_mm = 30\ncovering = "none"')),
    "BEND-01": bend("at_mm = 120, radius_mm = 12, angle_deg = 60, support_mm = 50"),
    "BEND-02": bend("at_mm = 120, radius_mm = 22, angle_deg = 60, support_mm = 50"),
    "BEND-03": bend("at_mm = 120, radius_mm = 80, angle_deg = 60"),
    "TIE-01": ties('{ at_mm = 5, to = "bracket" }'),
    "TIE-02": changed(add='[passes."bulkhead-ECU.A"]\nties = [{ at_mm = 270, to = "bracket" }]\n'),
    "TIE-03": ties('{ at_mm = 60, to = "brake hose" }, { at_mm = 190, to = "bracket" }'),
    "TIE-04": ties('{ at_mm = 60, to = "fuel line" }, { at_mm = 190, to = "bracket" }'),
    "TIE-05": changed(("{ at_mm = 70, to", "{ at_mm = 110, to")),
    "CLEAR-01": near('what = "hot part", mm = 120'),
    "CLEAR-02": near('what = "moving part", mm = 30, words = "fan belt"'),
    "CLEAR-03": near('what = "sharp edge", mm = 4'),
    "CLEAR-04": near('what = "fuel line", mm = 30, above = true'),
    "CLEAR-05": near('what = "oil line", mm = 100'),
    "CLEAR-06": near('what = "brake line", mm = 5'),
    "CLEAR-07": changed((NEAR, 'near = [{ what = "ignition lead", mm = 40 }]'), CRANK_ECU, add=CRANK + CABLE),
    "CLEAR-08": changed(
        (NEAR, 'near = [{ what = "power cable", mm = 20, over_mm = 350 }]'), CRANK_ECU, add=CRANK + CABLE
    ),
    "CLEAR-09": changed(add='[passes."B2-INJ1"]\nnear = [{ what = "splash", mm = 0 }]\n'),
    "CLEAR-10": near('what = "panel hole", mm = 3'),
    "TIE-06": changed(('level = "small shop"', 'level = "motorsport"')),
    "LAY-01": changed(
        ('level = "small shop"', 'level = "motorsport"'),
        add="".join(
            device(f"M{n}", "MAP sensor", "", {"1": '"sensor 5 V"', "2": '"sensor 0 V"', "3": f'"p{n}"'})
            for n in (1, 2)
        )
        + "".join(
            f'[device.M{n}9]\nis = "oil warning switch"\narea = "cabin"\ncavity."1" = "p{n}"\n'
            f'[section."bulkhead-M{n}9"]\nmm = 300\n'
            for n in (1, 2)
        ),
    ),
    "DEVICE-06": changed(add='[spare.SP3]\na = "B1"\nb = "B2"\n'),
    "MOVE-01": changed(("loop_mm = 30\n", ""), ("moves_mm = 5", "moves_mm = 12")),
    "MOVE-02": changed(("loop_mm = 30\n", "loop_mm = 15\n"), ("moves_mm = 5", "moves_mm = 12")),
    "HOLE-01": changed(('through_bulkhead = "after"', 'through_bulkhead = "before"')),
    "HOLE-02": changed(("hole_mm = 38", "hole_mm = 30")),
    "HOLE-03": changed(('through_bulkhead = "after"\n', "")),
    "HOLE-04": changed(('face = "one row 2"', 'face = "one row 2"\nthrough_bulkhead = "before"')),
    "DOUBT-01": changed(
        ('face = "one row 2"', 'face = "one row 2"\nfixed = true\nallowance_mm = 5'),
        ('method = "tape"', 'method = "tape"\ngive_mm = 60'),
    ),
    "DOUBT-02": changed(('reads = [["B1", 320]', 'give_mm = 120\nreads = [["B1", 320]')),
    "DOUBT-03": changed(('reads = [["B1", 320]', 'give_mm = 40\nreads = [["B1", 320]')),
    "BRANCH-01": changed(('["B2", 690, 5], ["INJ1", 910]', '["B2", 335, 5], ["INJ1", 910]')),
    "EXIT-01": changed(('MAP = "front up"\n', "")),
    "EXIT-02": changed(
        ('parts = [["MAP", 760, 70, "mating face"]]', 'parts = [["MAP", 760, 70, "mating face", "B1"]]'),
        ('B3 = "left"\n', 'B3 = "left"\nMAP = "left"\n'),
        ('MAP = "front up"\nG1 = "down"', 'G1 = "left"'),
    ),
    "THROTTLE-01": changed(("\nclear_mm = 60", "")),
    "THROTTLE-02": near('what = "throttle linkage", mm = 20'),
    "THROTTLE-03": pedal_ecu("s1", "g1"),
    "THROTTLE-05": throttle(""),
    "THROTTLE-06": throttle(""),
    "TAP-01": changed(TAP_ECU, add=TAP + 'system = "airbag"\n' + TAP_ROPE),
    "TAP-02": changed(TAP_ECU, add=TAP + 'system = "ABS"\n' + TAP_ROPE),
    "TAP-03": changed(TAP_ECU, add=TAP + 'system = "ignition"\nkey_on_v = 12.4\n' + TAP_ROPE),
    "TAP-04": changed(
        TAP_ECU, add=TAP + 'system = "ignition"\nkey_on_v = 12.4\ncranking_v = 0.2\n' + TAP_ROPE
    ),
    "TAP-05": changed(TAP_ECU, add=TAP + 'system = "ignition"\n' + TAP_ROPE),
    "FACE-01": changed(('face = "one row 3"\nface_checked = true', 'face = "one row 3"')),
    "MATE-01": changed(add=HALF.format("XA", "XB", "1") + HALF.format("XB", "", "2")),
    "MATE-02": changed(
        add=HALF.format("XA", "XB", "1")
        + HALF.format("XB", "XA", "1")
        + '[section."B2-XA"]\nmm = 90\n[section."B2-XB"]\nmm = 90\n'
    ),
    "MATE-03": changed(
        add=HALF.format("XA", "XB", "1").replace("mates", 'face = "one row 2"\nmates')
        + HALF.format("XB", "XA", "1").replace("mates", 'face = "one row 3"\nmates')
    ),
    "DEVICE-01": changed(('settled = true\nface = "one row 2"', 'face = "one row 2"')),
    "DEVICE-02": changed(('settled = true\nface = "one row 2"', 'state = "removed"\nface = "one row 2"')),
    "DEVICE-03": changed(
        ('settled = true\nface = "one row 2"', 'state = "provision only"\nface = "one row 2"')
    ),
    "DEVICE-04": changed(add='[device.X1]\nis = "MAP sensor"\narea = "bay"\n'),
    "DEVICE-05": changed(add='[device.X1]\narea = "bay"\ncavity."1" = "inj 1"\n'),
    "SPARE-01": changed(
        (ECU, ECU + "".join(f'\ncavity."{n}" = "t{n}"' for n in range(17, 26))),
        add="".join(device(f"T{n}", "oil warning switch", "", {"1": f'"t{n}"'}) for n in range(17, 26)),
    ),
    "COLOUR-01": changed(("min_mm2 = 0.75", 'min_mm2 = 0.75\ncolours = ["BK", "WH"]')),
    "LOOM-01": changed(
        add='[loom.rear]\ndatum = "plate"\n'
        '[rope.rear]\nloom = "rear"\nfrom = "plate"\nreads = [["R1", 200]]\n'
    ),
    "ACCEPT-01": changed(add='[[accept]]\nfinding = "FUSE-02 fuse F99"\nreason = "x"\nby = "AB"\n'),
    "ACCEPT-02": changed(
        ("\nclear_mm = 60", ""), add='[[accept]]\nfinding = "THROTTLE-01 throttle"\nreason = "x"\nby = "AB"\n'
    ),
    "ACCEPT-03": changed(
        ("moves_mm = 5", "moves_mm = 5"),
        ('settled = true\nface = "one row 2"', 'face = "one row 2"'),
        add='[[accept]]\nfinding = "DEVICE-01 INJ1"\nreason = ""\nby = ""\n',
    ),
}


@pytest.mark.parametrize("code", FIRES)
def test_fires(code):
    rows = found(FIRES[code], code)
    entry = CATALOGUE[code]
    for one in rows:
        assert one.severity in (entry.severity, *entry.also)
        assert one.what_is.endswith(".")
        assert one.should.endswith(".")
        assert one.remedy
        assert "None" not in one.what_is + one.should + one.remedy
        assert one.key.split(" ", 1)[1]


def test_the_clean_job_is_clean():
    raised = codes(BASE)
    assert not raised & {code for code in FIRES if code not in ("SPLICE-09",)}, raised
    assert not [one for one in findings(BASE) if one.severity != "note"]
