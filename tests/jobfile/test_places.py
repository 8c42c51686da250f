import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.edits import Edit, Verb
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.toml_text import read_text

from .random_toml import TABLES, Speller
from .sample_text import SAMPLE
from .test_edit_text import at, paths
from .test_toml_text import typed, with_iso_dates


def assert_places_fit(document):
    """What stands in the value span of every single value means that value, and the key span names it."""
    text = document.text
    for path in paths(document.values):
        spans = document.span_of(path)
        assert spans is not None, path
        assert (
            0
            <= spans.statement.start
            <= spans.value.start
            <= spans.value.end
            <= spans.statement.end
            <= len(text)
        )
        assert spans.line == text.count("\n", 0, spans.statement.start) + 1 == document.line_of(path)
        value = at(document.values, path)
        key = text[spans.key.start : spans.key.end]
        if not isinstance(value, dict | list):
            read = tomllib.loads("v = " + text[spans.value.start : spans.value.end])["v"]
            assert typed(with_iso_dates(read)) == typed(value)
        if document.index.get(path) is not None and isinstance(path[-1], str):
            assert list(tomllib.loads(f"{key} = 1")) == [path[-1]]


@pytest.mark.parametrize(
    "text", [SAMPLE, SAMPLE.replace("\n", "\r\n"), "\ufeff" + SAMPLE, "# ü 日本 \U0001f600\n" + SAMPLE]
)
def test_every_value_of_the_sample_knows_its_place(text):
    assert_places_fit(read_text(text))


@settings(max_examples=60, deadline=None)
@given(TABLES, st.integers(0, 2**32))
def test_every_value_of_a_random_text_knows_its_place(table, seed):
    assert_places_fit(read_text(Speller(seed).text(table)))


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ((), 1),
        (("nothing",), 1),
        (("job", "volts"), 5),
        (("job", "owner"), 3),
        (("device",), 13),
        (("device", "INJ1", "cavity"), 17),
        (("device", "INJ1", "cavity", "2"), 19),
        (("device", "INJ1", "cavity", "9"), 17),
        (("device", "INJ9", "is"), 13),
        (("rope", "trunk", "reads", 1), 39),
        (("rope", "trunk", "reads", 1, 1), 39),
        (("rope", "trunk", "reads", 7), 37),
        (("accept", 1), 51),
        (("accept", 1, "by"), 53),
    ],
)
def test_lines(path, line):
    assert read_text(SAMPLE).line_of(path) == line


def remarks_of(text):
    return [line[line.index("#") :] for line in text.splitlines() if "#" in line]


@pytest.mark.parametrize("path", list(paths(read_text(SAMPLE).values)), ids=str)
def test_on_every_path_of_the_sample_each_verb_leaves_the_other_remarks(path):
    document = read_text(SAMPLE)
    whole = document.span_of(path).statement
    for edit in (Edit(Verb.SET, path, "new"), Edit(Verb.REMOVE, path), Edit(Verb.RENAME, path, "new")):
        if edit.verb is Verb.RENAME and isinstance(path[-1], int):
            continue
        done = apply(document, [edit])
        gone = [one for one in remarks_of(SAMPLE) if one not in remarks_of(done.text)]
        if edit.verb is Verb.RENAME:
            assert gone == []
        elif not isinstance(at(document.values, path), dict | list):
            end = SAMPLE.index("\n", whole.end)
            own = SAMPLE[whole.end : end] if edit.verb is Verb.REMOVE else ""
            assert all(one in own for one in gone), (gone, own)
        assert apply(done.document, done.inverse).document.values == document.values
