"""kept.toml goes out and comes back the same."""

import tomllib

from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.jobfile.kept import kept_text, read_kept
from loomwright.model.circuit import LoomPlace
from loomwright.model.job import Kept

NAMES = st.text(st.characters(codec="utf-8"), max_size=12)
MM = st.floats(-1e6, 1e6, allow_nan=False)


def table(values):
    return st.dictionaries(NAMES, values, max_size=5).map(lambda found: tuple(sorted(found.items())))


NUMBERS = st.dictionaries(NAMES, st.integers(1, 999), max_size=5).map(
    lambda found: tuple(sorted({number: (name, number) for name, number in found.items()}.values()))
)
KEPT = st.builds(
    Kept, NUMBERS, table(NAMES), table(st.builds(LoomPlace, NAMES, MM)), table(NAMES), table(NAMES), table(MM)
)


@settings(max_examples=80, deadline=None)
@given(KEPT)
def test_what_is_written_reads_back(kept):
    text = kept_text(kept)
    assert read_kept(text) == (kept, ())
    assert kept_text(read_kept(text)[0]) == text
    tomllib.loads(text)


def test_the_order_things_were_given_in_does_not_show():
    assert kept_text(Kept(wire_numbers=(("b", 2), ("a", 1)))) == kept_text(
        Kept(wire_numbers=(("a", 1), ("b", 2)))
    )


def test_faults_are_findings_and_the_rest_is_kept():
    numbers = 'format = 1\nx = 1\n[wire_numbers]\n"a" = 1\n"b" = "two"\n"c" = 1\n'
    text = numbers + '[colours]\n"a" = "RD"\n[sizes]\nq = =\n'
    kept, findings = read_kept(text)
    assert kept.wire_numbers == (("a", 1), ("c", 1))
    assert kept.colours == (("a", "RD"),)
    assert {one.code for one in findings} == {"FILE-10"}
    assert sum("number 1 was given" in one.what_is for one in findings) == 1
    assert len(findings) == 4
