import datetime
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.jobfile.toml_text import read_text

from .random_toml import TABLES, Speller
from .sample_text import SAMPLE, spoiled


def with_iso_dates(value):
    if isinstance(value, dict):
        return {key: with_iso_dates(one) for key, one in value.items()}
    if isinstance(value, list):
        return [with_iso_dates(one) for one in value]
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return value


def typed(value):
    """The value with the type of everything in it, so that 1, 1.0 and True differ and nan equals nan."""
    if isinstance(value, dict):
        return {key: typed(one) for key, one in value.items()}
    if isinstance(value, list):
        return [typed(one) for one in value]
    return type(value).__name__, repr(value)


def assert_as_tomllib(text):
    document = read_text(text)
    assert document.problems == ()
    assert typed(document.values) == typed(with_iso_dates(tomllib.loads(text.removeprefix("\ufeff"))))
    return document


def test_the_sample_reads_like_tomllib():
    assert_as_tomllib(SAMPLE)
    assert_as_tomllib(SAMPLE.replace("\n", "\r\n"))
    assert_as_tomllib("\ufeff" + SAMPLE)


@settings(max_examples=150, deadline=None)
@given(TABLES, st.integers(0, 2**32), st.sampled_from(["\n", "\r\n"]))
def test_random_texts_read_like_tomllib(table, seed, newline):
    text = Speller(seed, newline).text(table)
    assert typed(tomllib.loads(text)) == typed(table), "the speller itself is wrong"
    assert_as_tomllib(text)


@pytest.mark.parametrize("seed", range(600))
def test_a_spoiled_text_has_problems_exactly_when_tomllib_refuses_it(seed):
    text = spoiled(SAMPLE, seed)
    document = read_text(text)
    try:
        expected = tomllib.loads(text.removeprefix("\ufeff"))
    except ValueError:
        assert document.problems
        assert all(
            1 <= one.line <= text.count("\n") + 1 and one.words and one.remedy for one in document.problems
        )
    else:
        assert document.problems == ()
        assert typed(document.values) == typed(with_iso_dates(expected))
