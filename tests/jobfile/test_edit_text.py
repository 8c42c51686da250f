import copy
import random
import re
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.edits import Edit, Verb
from loomwright.errors import RefusedEdit
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.edit_words import spliced
from loomwright.jobfile.toml_text import read_text

from .random_toml import KEYS, TABLES, VALUES, Speller
from .sample_text import SAMPLE, spoiled
from .test_toml_text import typed

EMPTY = object()


def without_empty(value):
    """The value without empty tables and lists, and without what they leave empty."""
    if isinstance(value, dict):
        kept = {key: without_empty(one) for key, one in value.items()}
        return {key: one for key, one in kept.items() if one is not EMPTY} or EMPTY
    if isinstance(value, list):
        return [without_empty(one) for one in value] or EMPTY
    return type(value).__name__, repr(value)


def edited(values, edit):
    """The edit carried out on plain values, told once more and without the program's code."""
    values = copy.deepcopy(values)
    *above, last = edit.path
    there = values
    for step, following in zip(above, edit.path[1:], strict=True):
        fresh = [] if isinstance(following, int) else {}
        if isinstance(there, list):
            if step == len(there):
                there.append(fresh)
        else:
            there.setdefault(step, fresh)
        there = there[step]
    if edit.verb is Verb.REMOVE:
        del there[last]
    elif edit.verb is Verb.RENAME:
        there[edit.value] = there.pop(last)
    elif isinstance(there, list) and last == len(there):
        there.append(edit.value)
    else:
        there[last] = edit.value
    return values


def paths(value, above=()):
    if isinstance(value, dict):
        for key, one in value.items():
            yield (*above, key)
            yield from paths(one, (*above, key))
    if isinstance(value, list):
        for number, one in enumerate(value):
            yield (*above, number)
            yield from paths(one, (*above, number))


def random_edit(values, pick, fresh):
    """An edit that makes sense on the values."""
    there = list(paths(values))
    holders = [()] + [path for path in there if isinstance(at(values, path), dict | list)]
    kind = pick.choice(["set", "add", "add", "deep", "remove", "rename"])
    if kind in ("add", "deep") or not there:
        holder = pick.choice(holders)
        above = at(values, holder)
        step = len(above) if isinstance(above, list) else pick.choice(["new", "cavity", "x", "inj 9"])
        more = ("deep", "er")[: pick.randint(1, 2)] if kind == "deep" and not has(above, step) else ()
        return Edit(Verb.SET, (*holder, step, *more), fresh)
    path = pick.choice(there)
    if kind == "set":
        return Edit(Verb.SET, path, fresh)
    if kind == "remove" or isinstance(path[-1], int) or "renamed" in at(values, path[:-1]):
        return Edit(Verb.REMOVE, path)
    return Edit(Verb.RENAME, path, "renamed")


def has(above, step):
    return isinstance(above, dict) and step in above


def at(values, path):
    for step in path:
        values = values[step]
    return values


def remarks(text):
    return set(re.findall(r"# remark \d+ ", text))


def back_bytes(applied):
    raw = applied.text.encode()
    for splices in applied.back:
        raw, _ = spliced(raw, splices)
    return raw.decode()


@settings(max_examples=200, deadline=None)
@given(TABLES, VALUES, st.integers(0, 2**32), st.sampled_from(["\n", "\r\n"]))
def test_random_edits_do_what_they_mean_and_can_be_taken_back(table, fresh, seed, newline):
    pick = random.Random(seed)
    document = read_text(Speller(seed, newline).text(table))
    edit = random_edit(table, pick, fresh)
    done = apply(document, [edit])
    assert without_empty(done.document.values) == without_empty(edited(table, edit))
    assert typed(tomllib.loads(done.text)) == typed(done.document.values)
    assert back_bytes(done) == document.text
    undone = apply(done.document, done.inverse)
    assert without_empty(undone.document.values) == without_empty(table)
    adds = edit.verb is Verb.SET and edit.path not in set(paths(table)) and isinstance(edit.path[-1], str)
    if edit.verb is Verb.RENAME or adds:
        assert remarks(document.text) <= remarks(done.text)
    if newline == "\r\n" and "\r\n" in done.text:
        assert "\n" not in done.text.replace("\r\n", "")


@settings(max_examples=100, deadline=None)
@given(
    st.dictionaries(KEYS, st.lists(st.integers(), min_size=1, max_size=5), min_size=1, max_size=3),
    st.integers(0, 2**32),
)
def test_comments_of_other_items_survive_when_one_is_removed(table, seed):
    pick = random.Random(seed)
    document = read_text(Speller(seed).text(table))
    path = pick.choice([path for path in paths(table) if len(path) == 2])
    done = apply(document, [Edit(Verb.REMOVE, path)])
    assert len(remarks(document.text) - remarks(done.text)) <= 1  # only the removed item's own


def on_sample(*edits, text=SAMPLE):
    return apply(read_text(text), edits)


def changed_lines(before, after):
    gone = [line for line in before.splitlines() if line not in after.splitlines()]
    new = [line for line in after.splitlines() if line not in before.splitlines()]
    return gone, new


def test_a_new_value_changes_only_the_value():
    done = on_sample(Edit(Verb.SET, ("device", "INJ1", "is"), "coil"))
    assert done.text == SAMPLE.replace('"injector, high impedance"', '"coil"')
    assert apply(done.document, done.inverse).text == SAMPLE


@pytest.mark.parametrize(
    "path",
    [
        ("rope", "trunk", "reads"),
        ("accept", 1, "more", "größe"),
        ("circuit", "injector feed", "note"),
        ("passes", "B1-B2", "near", 1, "mm"),
        ("rope", "trunk", "reads", 1, 1),
    ],
)
def test_the_inverse_of_a_new_value_brings_the_old_spelling_back(path):
    done = on_sample(Edit(Verb.SET, path, 7))
    assert done.text != SAMPLE
    assert apply(done.document, done.inverse).text == SAMPLE


def test_a_new_cavity_goes_below_the_others_and_is_quoted():
    done = on_sample(Edit(Verb.SET, ("device", "INJ1", "cavity", "3"), "inj 1 screen"))
    assert done.text == SAMPLE.replace(
        'cavity."2" = "inj 1"\n', 'cavity."2" = "inj 1"\ncavity."3" = "inj 1 screen"\n'
    )


def test_a_new_device_goes_below_the_devices_in_their_style():
    value = {"is": "coil", "cavity": {"1": "12 V", "2": "coil 1"}}
    done = on_sample(Edit(Verb.SET, ("device", "COIL 1"), value))
    block = '\n[device."COIL 1"]\nis = "coil"\ncavity."1" = "12 V"\ncavity."2" = "coil 1"\n'
    assert done.text == SAMPLE.replace('"14" = "inj 1"\n', '"14" = "inj 1"\n' + block)


def test_a_new_key_keeps_the_indentation_of_its_table():
    done = on_sample(Edit(Verb.SET, ("t", "b"), 2), text="[t]\n  a = 1 # one\n\n# more\n[u]\n")
    assert done.text == "[t]\n  a = 1 # one\n  b = 2\n\n# more\n[u]\n"


def test_a_text_of_several_lines_is_written_on_several_lines():
    note = 'first\nsaid "two" and """three"""\n  C:\\dir "'
    done = on_sample(Edit(Verb.SET, ("t", "note"), note), text="[t]\n  a = 1\n")
    assert done.text == (
        '[t]\n  a = 1\n  note = """\nfirst\nsaid "two" and \\"\\""three\\"\\""\n  C:\\\\dir \\""""\n'
    )
    assert done.document.values["t"]["note"] == note


def test_a_first_key_above_all_tables():
    done = on_sample(Edit(Verb.SET, ("format",), 1), text="# mine\n[t]\na = 1\n")
    assert done.text == "format = 1\n\n# mine\n[t]\na = 1\n"


def test_a_table_without_head_gets_one_above_its_first_child():
    done = on_sample(Edit(Verb.SET, ("t", "x"), 1), text="# about b\n[t.b]\na = 1\n")
    assert done.text == "[t]\nx = 1\n\n# about b\n[t.b]\na = 1\n"


def test_an_unended_last_line_is_ended_first():
    done = on_sample(Edit(Verb.SET, ("b",), 2), text="a = 1 # one")
    assert done.text == "a = 1 # one\nb = 2\n"


def test_an_item_added_to_a_list_of_lines_stands_on_its_own_line():
    done = on_sample(Edit(Verb.SET, ("rope", "trunk", "reads", 3), ["B4", 1800]))
    assert changed_lines(SAMPLE, done.text) == ([], ['    ["B4", 1800],'])


def test_an_element_added_to_a_list_of_tables_gets_its_own_head():
    done = on_sample(Edit(Verb.SET, ("accept", 2), {"finding": "X", "by": "jd"}))
    assert done.text == SAMPLE + '\n[[accept]]\nfinding = "X"\nby = "jd"\n'


def test_removing_a_table_takes_it_whole_and_nothing_else():
    done = on_sample(Edit(Verb.REMOVE, ("device", "ECU")))
    start, end = SAMPLE.index("[device.ECU]"), SAMPLE.index("# feeds")
    assert done.text == SAMPLE[:start] + SAMPLE[end:]


def test_removing_a_key_takes_its_own_remark():
    done = on_sample(Edit(Verb.REMOVE, ("job", "title")))
    assert changed_lines(SAMPLE, done.text) == (
        [line for line in SAMPLE.splitlines() if line.startswith("title")],
        [],
    )


def test_renaming_a_device_changes_every_head():
    done = on_sample(Edit(Verb.RENAME, ("device", "ECU"), "ECU 2"))
    assert done.text == SAMPLE.replace("device.ECU", 'device."ECU 2"')
    assert apply(done.document, done.inverse).document.values == read_text(SAMPLE).values


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (Edit(Verb.REMOVE, ("device", "INJ9")), "device.INJ9 is not in the file"),
        (Edit(Verb.REMOVE, ()), "name a key"),
        (Edit(Verb.RENAME, ("device", "INJ1"), "ECU"), "is there already"),
        (Edit(Verb.RENAME, ("accept", 0), "x"), "only a key takes a name"),
        (Edit(Verb.SET, ("job", "volts", "max"), 14), "holds 13.8"),
        (Edit(Verb.SET, ("accept", 9, "by"), "x"), "has 2 items"),
        (Edit(Verb.SET, ("accept", "by"), "x"), "is a list"),
        (Edit(Verb.SET, ("job", 0), "x"), "is a table"),
        (Edit(Verb.SET, ("job", "volts"), None), "can't stand in a job file"),
        (Edit(Verb.SET, ("job", "owner"), "half \ud800"), "half a character"),
        (Edit(Verb.SET, ("new", 3), 1), "no item 4"),
        (Edit(Verb.SET, ("job",), 5, ""), None),
        (Edit(Verb.SET, (), {"format": 2}), None),
        (Edit(Verb.SET, (), 3), "only be a table"),
    ],
)
def test_an_edit_without_sense_is_refused_in_words(edit, words):
    if words is None:
        assert on_sample(edit).text
        return
    with pytest.raises(RefusedEdit, match=words):
        on_sample(edit)


def test_edits_are_all_or_none_and_their_inverse_runs_backwards():
    done = on_sample(
        Edit(Verb.SET, ("job", "owner"), "A. N."),
        Edit(Verb.RENAME, ("job", "owner"), "for"),
        Edit(Verb.REMOVE, ("job", "for")),
    )
    assert done.text == SAMPLE
    assert apply(done.document, done.inverse).text == SAMPLE


@pytest.mark.parametrize("seed", range(40))
def test_many_edits_at_once_are_the_edits_one_by_one(seed):
    pick = random.Random(seed)
    document, edits = read_text(SAMPLE), []
    for _ in range(pick.randint(2, 12)):
        singles = [
            path for path in paths(document.values) if not isinstance(at(document.values, path), dict | list)
        ]
        fresh = pick.choice([1, "x", {"a": [1]}, []])
        edit = random_edit(document.values, pick, fresh)
        if pick.random() < 0.7:
            edit = Edit(Verb.SET, pick.choice(singles), fresh)
        edits.append(edit)
        document = apply(document, [edit]).document
    done = on_sample(*edits)
    assert done.text == document.text
    assert back_bytes(done) == SAMPLE
    assert without_empty(apply(done.document, done.inverse).document.values) == without_empty(
        read_text(SAMPLE).values
    )


@pytest.mark.parametrize("seed", range(300))
def test_an_edit_on_a_spoiled_text_works_or_is_refused(seed):
    pick = random.Random(seed)
    document = read_text(spoiled(SAMPLE, seed))
    edit = random_edit(document.values, pick, pick.choice([1, "x", {"a": [1]}, []]))
    try:
        done = apply(document, [edit])
    except RefusedEdit as refused:
        words = str(refused)
        done = None
    if done is None:
        assert words
        return
    assert without_empty(done.document.values) == without_empty(edited(document.values, edit))
    assert back_bytes(done) == document.text
