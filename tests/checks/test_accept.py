"""Accepting findings, stamping sheets, and the order findings come in."""

from checks.making import changed, codes, device, findings, found, worked
from loomwright.checks.catalogue import NEVER
from loomwright.checks.run import run, stamped_sheets

UNSETTLED = ('settled = true\nface = "one row 2"', 'face = "one row 2"')
ACCEPT = '[[accept]]\nfinding = "{}"\nreason = "short run, checked"\nby = "AB"\n'


def test_an_accepted_finding_says_why():
    rows = findings(changed(UNSETTLED, add=ACCEPT.format("DEVICE-01 INJ1")))
    kept = [one for one in rows if one.accepted]
    assert [(one.code, one.accepted) for one in kept] == [("DEVICE-01", "short run, checked (AB)")]
    assert not [one for one in rows if one.code.startswith("ACCEPT")]


def test_never_accepted():
    assert {"PIN-01", "CIRC-01", "THROTTLE-01", "THROTTLE-02", "FUSE-01", "HEAT-01", "TAP-01"} <= NEVER
    text = changed(('cavity."2" = "sensor 0 V"\n', ""), add=ACCEPT.format("CIRC-01 MAP"))
    rows = findings(text)
    assert not [one for one in rows if one.code == "CIRC-01" and one.accepted]
    assert [one.severity for one in rows if one.code == "ACCEPT-02"] == ["fault"]


def test_an_accept_of_nothing_keeps_nothing():
    rows = findings(changed(add=ACCEPT.format("FUSE-02 fuse F99")))
    assert [one.place.words for one in rows if one.code == "ACCEPT-01"] == ["accept FUSE-02 fuse F99"]


def test_only_open_faults_stamp_sheets():
    fault = changed(("hole_mm = 38", "hole_mm = 3"))
    assert stamped_sheets(findings(fault)) == {"build order", "route"}
    assert (
        stamped_sheets(
            findings(changed(("hole_mm = 38", "hole_mm = 3"), add=ACCEPT.format("HOLE-01 engine")))
        )
        == frozenset()
    )
    assert stamped_sheets(findings(changed(UNSETTLED))) == frozenset()


def test_faults_of_earlier_rungs_stamp_sheets_too():
    loose = changed(('[section."B2-G1"]\nmm = 180\n', ""))
    assert "cut list" in stamped_sheets(findings(loose))


def test_same_findings_twice():
    text = changed(UNSETTLED, ("amps = 5\n", "amps = 10\n"))
    assert run(*worked(text)) == run(*worked(text))


def test_faults_come_first():
    rows = findings(changed(('cavity."2" = "sensor 0 V"\n', ""), UNSETTLED))
    ranks = [("fault", "caution", "note").index(one.severity) for one in rows]
    assert ranks == sorted(ranks)


def test_rules_follow_the_level():
    few = ("min_mm2 = 0.75", 'min_mm2 = 0.75\ncovering = "none"')
    shop, street = changed(few), changed(few, ('level = "small shop"', 'level = "street"'))
    assert "SLEEVE-06" in codes(shop)
    assert "SLEEVE-06" not in codes(street)


def test_a_bigger_fuse_is_offered_only_where_the_wires_bear_it():
    small = found(changed(("amps = 5\n", "amps = 2\n")), "FUSE-03")[0]
    assert [(m.path, m.value) for m in small.mends] == [(("fuse", "F1", "amps"), 3.0)]
    heavy = device("FAN", "radiator fan", "", {"1": '"switched feed"', "2": '"engine ground"'})
    fixed = '[circuit."relay feed"]\nsize = "0.75"\nreason = "test"\n'
    big = found(changed(("amps = 5\n", "amps = 15\n"), add=heavy + fixed), "FUSE-03")[0]
    assert not big.mends
    assert big.severity == "fault"
