"""One cause, one finding: what follows from another finding is in its words, and shows once that is kept."""

import pytest

from checks.making import changed, codes, findings, found
from loomwright.checks.causes import one_finding_for_a_cause
from loomwright.findings import Finding, Place, Severity

KEEP = '[[accept]]\nfinding = "{}"\nreason = "tried"\nby = "AB"\n'
READS = 'reads = [["B1", 320], ["B2", 690, 5], ["INJ1", 910]]'
PAIRS = {
    "no rope": ("ROPE-03 ECU.A", "JOIN-02", (('[["ECU.A", 540]]', "[]"),)),
    "mm in quotes": (
        "FILE-04 rope.trunk.reads (no. 3)",
        "ROPE-03",
        ((READS, READS.replace("910", '"910"')),),
    ),
    "a reading out of order": ("ROPE-04 rope trunk", "ROPE-03", ((READS, READS.replace("690", "290")),)),
    "a reading's name": ("ROPE-05 INJ", "ROPE-03", ((READS, READS.replace("INJ1", "INJ")),)),
    "a title without quotes": ("FILE-01 job.toml line {}", "FILE-05", (('title = "', "title = "),)),
    "a key misspelt": (
        "FILE-03 device.INJ1.setled",
        "DEVICE-01",
        (('settled = true\nface = "one row 2"', 'setled = true\nface = "one row 2"'),),
    ),
    "a kind not known": (
        "FILE-06 device.INJ1.is",
        "DEVICE-05",
        (('is = "injector, high impedance"', 'is = "injectr"'),),
    ),
    "a cavity off the face": (
        "PIN-03 MAP:33",
        "CIRC-01",
        (('cavity."2" = "sensor 0 V"', 'cavity."33" = "sensor 0 V"'),),
    ),
    "a contact": (
        "CONTACT-01 blade 2.8 sealed",
        "CONTACT-02",
        (('face = "one row 3"', 'face = "one row 3"\ncontact = "blade 2.8 sealed"'),),
    ),
}


def _text(cause, swaps, add=""):
    text = changed(*swaps, add=add)
    line = next(
        (
            at
            for at, one in enumerate(text.splitlines(), 1)
            if one.startswith("title = ") and '"' not in one[:9]
        ),
        0,
    )
    return text, cause.format(line)


@pytest.mark.parametrize("name", PAIRS)
def test_the_cause_names_what_follows(name):
    cause, effect, swaps = PAIRS[name]
    text, key = _text(cause, swaps)
    assert effect not in codes(text)
    one = next(one for one in found(text, key.split()[0]) if one.key == key)
    told = {"ROPE-03 ECU.A": "can't be laid", "CONTACT-01 blade 2.8 sealed": "in the grip"}
    assert told.get(key, f"({effect})") in one.what_is


@pytest.mark.parametrize("name", [name for name in PAIRS if not name.startswith("a cavity")])
def test_once_the_cause_is_kept_the_other_shows(name):
    cause, effect, swaps = PAIRS[name]
    _, key = _text(cause, swaps)
    text, key = _text(cause, swaps, KEEP.format(key))
    kept = next(one for one in found(text, key.split()[0]) if one.key == key)
    assert kept.accepted
    assert f"({effect})" not in kept.what_is
    assert found(text, effect)


def test_a_lost_table_head_is_told_once():
    """Without [device.ECU] its keys stand a second time in the table above, or in none that knows them."""
    rows = findings(changed(("[device.ECU]\n", "")))
    (one,) = [one for one in rows if one.code == "FILE-02"]
    assert "the keys is, area and settled of device." in one.what_is
    assert "write the head of the table they belong to, [device.NAME], above line" in one.remedy
    rows = findings(changed(("[throttle]\n", "")))
    (one,) = [one for one in rows if one.code == "FILE-03"]
    assert "It belongs in [throttle]" in one.remedy
    assert "(FILE-03)" in one.what_is
    assert "(THROTTLE-01)" in one.what_is


def test_a_mended_cause_leaves_the_other():
    """Two slips that look alike: the plug has no rope, and its reading's row is sound again."""
    both = changed((READS, READS.replace('["INJ1", 910]', "")))
    assert "ROPE-03" in codes(both)


def _finding(code, severity, **names):
    return Finding(code, severity, Place(code), f"{code} is.", "It should.", "Do it.", ("map",), **names)


def test_what_goes_round_in_a_ring_is_told_once():
    rows = [
        _finding("ROPE-02", Severity.FAULT, leaves_out=("B1",), misses=("B2",)),
        _finding("ROPE-04", Severity.FAULT, leaves_out=("B2",), misses=("B1",)),
    ]
    told = one_finding_for_a_cause(rows)
    assert len(told) == 1
    assert all(one.code in told[0].what_is for one in rows if one.code != told[0].code)


def test_a_milder_finding_hides_no_harder_one():
    rows = [
        _finding("DEVICE-01", Severity.NOTE, leaves_out=("X",)),
        _finding("ROPE-03", Severity.FAULT, misses=("X",)),
    ]
    assert {one.code for one in one_finding_for_a_cause(rows)} == {"DEVICE-01", "ROPE-03"}


def test_the_cause_stamps_the_sheets_of_what_follows():
    cause = Finding("FILE-04", Severity.FAULT, Place("a"), "A.", "B.", "C.", ("parts",), leaves_out=("X",))
    (one,) = one_finding_for_a_cause([cause, _finding("ROPE-03", Severity.FAULT, misses=("X",))])
    assert set(one.sheets) == {"parts", "map"}
