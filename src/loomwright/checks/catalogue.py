"""Every code the program can raise: one entry each, from the checks and from the rungs below them."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from loomwright.checks import (
    accept,
    bends,
    bulkhead,
    buses,
    cables,
    circuits,
    clearances,
    conductors,
    contacts,
    coverings,
    devices,
    earlier_file,
    earlier_routing,
    exits,
    faces,
    feeds,
    fuses,
    grounds,
    layup,
    looms,
    movement,
    pins,
    rope,
    splices,
    taps,
    throttle,
)
from loomwright.checks.entry import Entry

ENTRIES: Final[tuple[Entry, ...]] = tuple(
    sorted(
        (
            *earlier_file.ENTRIES,
            *earlier_routing.ENTRIES,
            *pins.ENTRIES,
            *circuits.ENTRIES,
            *grounds.ENTRIES,
            *feeds.ENTRIES,
            *fuses.ENTRIES,
            *conductors.ENTRIES,
            *contacts.ENTRIES,
            *cables.ENTRIES,
            *buses.ENTRIES,
            *splices.ENTRIES,
            *layup.ENTRIES,
            *coverings.ENTRIES,
            *bends.ENTRIES,
            *clearances.ENTRIES,
            *movement.ENTRIES,
            *bulkhead.ENTRIES,
            *rope.ENTRIES,
            *exits.ENTRIES,
            *throttle.ENTRIES,
            *taps.ENTRIES,
            *faces.ENTRIES,
            *devices.ENTRIES,
            *looms.ENTRIES,
            *accept.ENTRIES,
        ),
        key=lambda one: one.code,
    )
)
CATALOGUE: Final[Mapping[str, Entry]] = MappingProxyType({one.code: one for one in ENTRIES})
NEVER: Final = frozenset(one.code for one in ENTRIES if not one.accept)
"""Codes that no accept turns off."""


def entry(code: str) -> Entry | None:
    """Return what a code means, None where there is no such code."""
    return CATALOGUE.get(code.strip().upper())
