"""Findings read as a colleague talks: number and verb agree, times in the unit one speaks of."""

import re

import pytest

from checks.making import findings
from checks.test_every_code import FIRES
from loomwright.checks.looking import an, begun, duration, many, verb
from loomwright.demos import demo_folder, names
from loomwright.job import work_out

PLURALS = (
    "wires|cavities|sections|pins|plugs|rings|terminators|nodes|splices|crossings|circuits|cores|contacts|"
    "points|pieces|devices|loads|ends|groups|legs|studs|fuses|places"
)
ONE_OF_MANY = re.compile(rf"(?<![\d.])1 (?:\w+ )?(?:{PLURALS})\b")
ONE_NAME_PLURAL_VERB = re.compile(
    r"^[A-Z][A-Z0-9.:-]* (?:are|have|lie|leave|run|share|take|get|go|cross|hang|lead|carry)\b"
)
A_BEFORE_VOWEL = re.compile(
    r"(?<![\d.] )(?<![.])\b[Aa] (?!(?:and|at|is|if|in|or|after)\b)(?:[aeio]\w+|NTC|EGR)\b"
)
LONG_FRACTION = re.compile(r"\b0\.0\d+ s\b")
NEVER = (
    ONE_OF_MANY,
    ONE_NAME_PLURAL_VERB,
    A_BEFORE_VOWEL,
    LONG_FRACTION,
    re.compile(r"  |(?<!\.)\.\.(?!\.)|;\."),
)


def texts(found):
    return [(one.key, text) for one in found for text in (one.what_is, one.should, one.remedy)]


def wrong(found):
    return [f"{key}: {text}" for key, text in texts(found) for never in NEVER if never.search(text)]


@pytest.mark.parametrize("name", names())
def test_demos(name):
    assert wrong(work_out(demo_folder(name)).findings) == []


@pytest.mark.parametrize("code", FIRES)
def test_every_code(code):
    assert wrong(findings(FIRES[code])) == []


@pytest.mark.parametrize("code", FIRES)
def test_sentences_begin_and_end(code):
    for one in findings(FIRES[code]):
        assert one.should[0].isupper() or one.should[0].isdigit() or one.code.startswith("CONTACT"), (
            one.should
        )
        assert one.what_is.endswith("."), one.key
        assert one.remedy.endswith((".", "?")), one.key


def test_wrong_words_are_noticed():
    for text in (
        "B1 has 1 wires.",
        "W51 share it.",
        "MAP leave B2.",
        "A injector is driven.",
        "It passes a oil line.",
        "cleared by 0.0062 s",
    ):
        assert any(never.search(text) for never in NEVER), text


def test_words():
    assert [many(n, "wire") for n in (0, 1, 2)] == ["no wire", "1 wire", "2 wires"]
    assert [verb(n, "lies", "lie") for n in (1, 2)] == ["lies", "lie"]
    assert [
        an(w) for w in ("injector", "coil", "NTC", "MAP sensor", "VR sensor", "EGR solenoid", "unit")
    ] == [
        "an injector",
        "a coil",
        "an NTC",
        "a MAP sensor",
        "a VR sensor",
        "an EGR solenoid",
        "a unit",
    ]
    assert begun("two M8 studs") == "Two M8 studs"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.0062, "6.2 ms"),
        (0.0019, "1.9 ms"),
        (0.078, "78 ms"),
        (0.5, "0.5 s"),
        (3.2, "3.2 s"),
        (120, "120 s"),
        (0, "0 ms"),
    ],
)
def test_durations(seconds, words):
    assert duration(seconds) == words


def test_sources_keep_their_capitals():
    """A rule's source was once spelt "46 cfr": what is cited stays as printed."""
    text = FIRES["TIE-01"]
    assert [t for _, t in texts(findings(text)) if "46 CFR" in t]
    assert not [t for _, t in texts(findings(text)) if "46 cfr" in t]
