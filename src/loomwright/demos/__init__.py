"""Demo jobs: invented from end to end, to be read as examples and worked out as tests."""

from pathlib import Path
from typing import Final

from loomwright.errors import OutOfRange

_NAMES: Final = ("six", "hillclimb", "hillclimb-faults", "v8")


def names() -> tuple[str, ...]:
    """Return the names of the demo jobs, the smallest first."""
    return _NAMES


def demo_folder(name: str) -> Path:
    """Return the job folder of a demo; copy it before anything is written beside it.

    Args:
        name: one of `names`
    Raises:
        OutOfRange: there is no demo of that name.
    """
    if name not in _NAMES:
        raise OutOfRange("demo", name, f"one of {', '.join(_NAMES)}", "take one of these names")
    return Path(__file__).parent / name
