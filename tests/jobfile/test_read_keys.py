"""The table of keys and the manual say the same."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from loomwright.jobfile.keys import KEPT, ROOT, STOCK, Form, Key
from loomwright.jobfile.read_table import Notes, entry_of

MANUAL = Path(__file__).parents[2] / "docs" / "job-file.md"


def blocks() -> list[dict[str, object]]:
    """The job file and the stock file of the manual."""
    found = re.findall(r"```toml\n(.*?)```", MANUAL.read_text(encoding="utf-8"), re.DOTALL)
    return [tomllib.loads(block) for block in found]


def shown() -> dict[str, object]:
    return blocks()[0]


def tables(value: object, key: Key) -> Iterator[dict[str, object]]:
    """Every table of the manual that has the keys of `key`."""
    if key.form is Form.TABLE:
        yield value
    elif key.form in (Form.NAMED, Form.PIN_BY_NAME):
        yield from (one for one in value.values() if isinstance(one, dict))
    elif key.form is Form.LIST:
        yield from value


def marked(value: object, key: Key) -> set[int]:
    """The keys, by identity, that some table of the manual shows."""
    found = set()
    for table in tables(value, key):
        for one in key.keys:
            if one.name in table:
                found |= {id(one)} | marked(table[one.name], one)
    return found


def all_keys(key: Key, at: str = "") -> Iterator[tuple[str, Key]]:
    for one in key.keys:
        yield f"{at}{one.name}", one
        yield from all_keys(one, f"{at}{one.name}.")


def never_shown(values: object, root: Key = ROOT) -> list[str]:
    found = marked(values, root)
    return [name for name, one in all_keys(root) if id(one) not in found]


def test_every_key_stands_in_the_manual():
    assert never_shown(shown()) == []
    assert never_shown(blocks()[1], STOCK) == []


def test_a_key_left_out_of_the_manual_is_noticed():
    values = shown()
    del values["loom"]["engine"]["hole_mm"]
    assert never_shown(values) == ["loom.hole_mm"]


def test_every_key_in_the_manual_is_known_and_its_value_is_allowed():
    notes = Notes()
    entry_of(shown(), ROOT, (), notes)
    entry_of(blocks()[1], STOCK, (), notes)
    assert [(one.code, one.place.words) for one in notes.findings] == []


def test_the_manual_names_every_allowed_word():
    text = MANUAL.read_text(encoding="utf-8")
    words = {word for _, one in all_keys(ROOT) for word in one.words}
    assert sorted(word for word in words if word not in text) == []


@pytest.mark.parametrize("name", KEPT)
def test_the_manual_names_the_tables_of_the_kept_file(name):
    assert f"`[{name}]`" in MANUAL.read_text(encoding="utf-8")
