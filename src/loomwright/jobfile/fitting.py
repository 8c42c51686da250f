"""Whether a value suits its key, how it is shown, and what to write instead."""

import re
from math import isfinite
from typing import Final, cast

from loomwright.edits import Value
from loomwright.jobfile.key_forms import Form, Key
from loomwright.jobfile.toml_write import written
from loomwright.library.tables import nearest

MOST_SHOWN: Final = 50  # letters of a value that are shown
YES: Final = ("true", "yes", "y", "on", "1", "ja")
NO: Final = ("false", "no", "n", "off", "0", "nein")
_NUMBER: Final = re.compile(r"([+-]?[0-9]{1,12}(?:[.,][0-9]{1,12})?)\s*([A-Za-z0-9 ]*)")


def mended(value: object, key: Key, above: str) -> tuple[str, Value | None]:
    """Return what to write instead, in words, and as a value where it can be told.

    Args:
        value: what stands there and does not suit
        key: the key by the name it has there
        above: the table it stands in, in words
    """
    if key.form is Form.NAMED:
        return f"Write [{key.name}.NAME] with a name of your own, in single brackets.", None
    if key.form is Form.TABLE and key.name in key.inner:
        return f"Give its table a name, as in [{above}.NAME], and write {key.name} there.", None
    if isinstance(value, list) and len(value) == 1 and fits(value[0], key):
        return f"Write {written(value[0])}, without brackets.", value[0]
    if key.form is Form.FLAG:
        said = str(value).strip().lower()
        flag = True if said in YES else False if said in NO else None
        return "Write true or false, without quotes.", flag
    if key.words and isinstance(value, str):
        like = nearest(value, key.words, 1)
        return (f'Did you mean "{like[0]}"?', like[0]) if like else ("Write one of them.", None)
    if key.form is Form.TEXT and isinstance(value, int | float) and not isinstance(value, bool):
        text = str(value)
        return f'Write "{text}", with quotes.', text if not key.words or text in key.words else None
    if key.form in (Form.NUMBER, Form.WHOLE):
        return _number_mended(value, key)
    return f"Write {key.name} = {key.sample}; until then it is left out.", None


def _number_mended(value: object, key: Key) -> tuple[str, Value | None]:
    unit = f" of {key.unit}" if key.unit else ""
    found = _NUMBER.fullmatch(value.strip()) if isinstance(value, str) else None
    if found is None:
        alone = "" if isinstance(value, int | float) else f" alone: a bare number{unit}, without quotes"
        return f"Write the right number{alone}; until then it is left out.", None
    number = float(found[1].replace(",", "."))
    plain = int(number) if number.is_integer() else number
    same = found[2].lower() in ("", key.unit.lower())
    if not fits(plain, key) or not same:
        return f"Write the number alone, without quotes{f', in {key.unit}' if key.unit else ''}.", None
    return f"Write {plain}, without quotes{' and unit' if found[2] else ''}.", plain


def shown(value: object) -> str:
    """Return a value as it stands in the file, cut where it is long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, dict | list):
        text = written(cast(Value, value)).replace("\n", " ")
        return text if len(text) <= MOST_SHOWN else f"{text[: MOST_SHOWN - 1]}…"
    return str(value)


def fits(value: object, key: Key) -> bool:
    """Return whether a value is of the key's form, one of its words and inside its limits."""
    form = key.form
    if form is Form.TEXT:
        return isinstance(value, str) and (not key.words or value in key.words)
    if form is Form.FLAG:
        return isinstance(value, bool)
    if form in (Form.NUMBER, Form.WHOLE):
        if isinstance(value, bool) or not isinstance(value, int if form is Form.WHOLE else (int, float)):
            return False
        return within(float(cast(float, value)), key)
    if form is Form.TEXTS:
        return isinstance(value, list) and all(isinstance(one, str) for one in value)
    if form in (Form.LIST, Form.ROWS):
        return isinstance(value, list)
    return isinstance(value, dict)


def within(number: float, key: Key) -> bool:
    """Return whether a number is inside the key's limits."""
    if not isfinite(number):
        return False
    if key.low is not None and (number < key.low or (key.above and number == key.low)):
        return False
    return key.high is None or number <= key.high
