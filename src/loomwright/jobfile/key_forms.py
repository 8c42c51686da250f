"""What a key of the job file can hold, and short ways to write one down."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from types import MappingProxyType
from typing import Final

FORMAT: Final = 1
MOST_MM: Final = 100_000.0
MOST: Final = 1_000_000.0
BOUNDS: Final = MappingProxyType(
    {"mm": (0.0, MOST_MM), "A": (0.0, 10_000.0), "V": (-60.0, 60.0), "degrees C": (-273.0, 2000.0)}
)
"""Least and greatest number of a unit, where a key names no other: beyond it is a slip of the hand; ours."""
LEAST_MM: Final = 0.1
"""Least length of what has to be longer than nothing; ours."""


class Form(StrEnum):
    """What a key holds; the value is how a finding says what should be."""

    TEXT = "text in quotes"
    NUMBER = "a number"
    WHOLE = "a whole number"
    FLAG = "true or false"
    TEXTS = "a list of texts"
    TEXT_BY_NAME = "texts by name"
    TABLE = "a table, { key = value }"
    NAMED = "tables with a name each"
    LIST = "a list of tables"
    PIN = 'a circuit in quotes, or { circuit = "...", amps = ... }'
    PIN_BY_NAME = "a circuit for every cavity"
    TEXTS_BY_NAME = "tables of texts, by name"
    ROWS = "a list of rows"
    ROWS_BY_NAME = "lists by name"


SAMPLES: Final = MappingProxyType(
    {
        Form.TEXT: '"..."',
        Form.FLAG: "true",
        Form.TEXTS: '["...", "..."]',
        Form.PIN: '"..." (a circuit)',
        Form.PIN_BY_NAME: '{ "1" = "...", "2" = "..." }',
        Form.TABLE: "{ ... }",
        Form.ROWS: "[[...], [...]]",
    }
)
"""How a value of a form looks."""


@dataclass(frozen=True)
class Key:
    """One key: its name, what it holds, what is allowed.

    Attributes:
        unit: unit of a number, as printed, "" = none
        low, high: least and greatest number allowed, None = no limit
        above: the least number itself is not allowed
        words: the only texts allowed, () = any
        keys: keys of the table or tables it holds
    """

    name: str
    form: Form
    unit: str = ""
    low: float | None = None
    high: float | None = None
    above: bool = False
    words: tuple[str, ...] = ()
    needed: bool = False
    keys: tuple["Key", ...] = ()

    @cached_property
    def inner(self) -> dict[str, "Key"]:
        """The keys below this one by name."""
        return {key.name: key for key in self.keys}

    @property
    def sample(self) -> str:
        """How a line with this key is written, after the = sign."""
        if self.words:
            return f'"{self.words[0]}"'
        if self.form in (Form.NUMBER, Form.WHOLE):
            return f"... (a bare number{f' of {self.unit}' if self.unit else ''})"
        if self.form is Form.LIST:
            inside = ", ".join(f"{key.name} = ..." for key in self.keys if key.needed)
            return f"[{{ {inside or '...'} }}, ...]"
        return SAMPLES.get(self.form, "...")

    @property
    def should(self) -> str:
        """What the value should be, in words."""
        if self.words:
            return "one of: " + ", ".join(f'"{word}"' for word in self.words)
        text = self.form.value
        if self.unit:
            text += f" in {self.unit}"
        if self.low is not None:
            text += f", above {self.low:.10g}" if self.above else f", {self.low:.10g} or more"
        if self.high is not None:
            text += f", at most {self.high:.10g}"
        return text


def text(name: str, *words: str, needed: bool = False) -> Key:
    """Return a key for a text, or for one of some words."""
    return Key(name, Form.TEXT, words=tuple(words), needed=needed)


def texts(*names: str) -> tuple[Key, ...]:
    """Return keys for texts."""
    return tuple(Key(name, Form.TEXT) for name in names)


def flags(*names: str) -> tuple[Key, ...]:
    """Return keys for true or false."""
    return tuple(Key(name, Form.FLAG) for name in names)


def mm(*names: str, needed: bool = False) -> tuple[Key, ...]:
    """Return keys for lengths [mm]."""
    return tuple(number(name, "mm", needed=needed) for name in names)


def number(name: str, unit: str, low: float | None = None, **more: float | bool) -> Key:
    """Return a key for a number, within the bounds of its unit where no others are given."""
    least, most = BOUNDS.get(unit, (0.0, MOST))
    least = least if low is None else low
    most = more.get("high", most)
    return Key(name, Form.NUMBER, unit, least, most, bool(more.get("above")), needed=bool(more.get("needed")))
