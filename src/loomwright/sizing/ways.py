"""Doubt along a way: reading errors in square, errors common to a tape straight."""

import math
from collections.abc import Iterable

from loomwright.model.tree import Section


def way_doubt_mm(sections: Iterable[Section]) -> float:
    """Return the give or take of a way of sections [mm].

    Readings of one tape that two neighbouring sections share cancel, because what one section gains
    the other loses. Common errors add straight over all tapes.

    Source: propagation of independent errors; exact for independent readings.
    """
    readings: dict[str, tuple[float, float]] = {}
    common = 0.0
    for section in sections:
        common += section.common_mm
        for name, sign, give_mm in section.readings or ((section.name, 1.0, section.own_mm),):
            readings[name] = (readings.get(name, (0.0, 0.0))[0] + sign, give_mm)
    return math.sqrt(math.fsum((sign * give) ** 2 for sign, give in readings.values())) + common
