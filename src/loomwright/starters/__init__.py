"""Starters: commented job files to begin a new job from."""

from pathlib import Path
from typing import Final

from loomwright.errors import OutOfRange

_NAMES: Final = ("four-cylinder", "v8", "bare")


def names() -> tuple[str, ...]:
    """Return the names of the starters."""
    return _NAMES


def starter_text(name: str) -> str:
    """Return the text of a starter's job file.

    Args:
        name: one of `names`
    Raises:
        OutOfRange: there is no starter of that name.
    """
    if name not in _NAMES:
        raise OutOfRange("starter", name, f"one of {', '.join(_NAMES)}", "take one of these names")
    return (Path(__file__).parent / f"{name}.toml").read_text("utf-8")
