"""The words for how a section leaves a point: car axes, or the clock, and the lean."""

import re
from typing import Final

AXES: Final = ("up", "down", "left", "right", "front", "back")
LEANS: Final = ("outward", "square", "back")
_AGAINST: Final = (("up", "down"), ("left", "right"), ("front", "back"))
_CLOCK: Final = re.compile(r"(1[0-2]|[1-9]) ?o'?clock")


def exit_words(text: str) -> tuple[tuple[str, ...], str] | None:
    """Return (axes, lean) of an exit, or None where the text says neither.

    The axes are one or two car axes, or one clock word such as "3 o'clock", which the tree turns into
    car axes. Without a lean it is outward, as glue-lined covers lean.

    Args:
        text: "left up, outward", "front", "3 o'clock, square"
    """
    way, _, lean = (part.strip() for part in text.lower().partition(","))
    lean = lean or LEANS[0]
    if lean not in LEANS:
        return None
    clock = _CLOCK.fullmatch(way.replace("’", "'"))
    if clock:
        return (f"{clock[1]} o'clock",), lean
    axes = tuple(re.split(r"[ \-]+", way))
    if len(axes) > 2 or any(one not in AXES for one in axes) or len(set(axes)) < len(axes):
        return None
    if any(set(axes) == set(pair) for pair in _AGAINST):
        return None
    return axes, lean


def clock_hour(axes: tuple[str, ...]) -> int | None:
    """Return the hour of a clock exit, None where it is in car axes already."""
    return int(axes[0].split()[0]) if axes and axes[0].endswith("o'clock") else None
