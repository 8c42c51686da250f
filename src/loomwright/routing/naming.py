"""Numbers, names and colours: given once, kept, never used again."""

import re
from collections.abc import Iterable
from functools import lru_cache
from hashlib import blake2b
from typing import Final

from loomwright.model.words import CircuitKind

_DIGITS: Final = re.compile(r"([0-9]{1,18})")
_LAST_NUMBER: Final = re.compile(r"^(.*?)([0-9]{1,18})?$", re.DOTALL)

# What each kind wears where the shelf has it [ours]: black grounds and red feeds are common practice.
_BY_KIND: Final = (
    (CircuitKind.POWER_GROUND, "BK"),
    (CircuitKind.CHASSIS, "BK"),
    (CircuitKind.FEED, "RD"),
    (CircuitKind.SENSOR_GROUND, "BN"),
    (CircuitKind.SENSOR_SUPPLY, "OG"),
)


@lru_cache(maxsize=65536)
def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Return a sort key that puts INJ2 before INJ10."""
    parts = (p for p in _DIGITS.split(text) if p)
    return tuple((0, int(p), "") if _DIGITS.fullmatch(p) else (1, 0, p) for p in parts)


@lru_cache(maxsize=65536)
def wire_identity(circuit: str, a: str, b: str) -> str:
    """Return what a wire is known by: its circuit and both ends, in one fixed order."""
    first, second = sorted((a, b), key=lambda end: (natural(end), end))
    return f"{circuit} | {first} | {second}"


def colour_of(circuit: str, kind: CircuitKind, shelf: tuple[str, ...]) -> str:
    """Return the colour of a circuit's wires, told from nothing but the circuit itself.

    Grounds, feeds and sensor supplies wear the colour of their kind; the others take one of the colours
    left on the shelf by name, and circuits numbered in a row take colours in a row, so that neighbours
    in a plug differ.

    Args:
        circuit: name of the circuit
        shelf: insulation colours at hand, IEC 60757 letters
    """
    given = dict(_BY_KIND)
    if given.get(kind) in shelf:
        return given[kind]
    rest = [c for c in shelf if c not in given.values()] or list(shelf)
    if not rest:
        return ""
    match = _LAST_NUMBER.match(circuit)
    stem, number = (match.group(1), match.group(2)) if match else (circuit, None)
    start = int.from_bytes(blake2b(stem.encode(), digest_size=4).digest(), "big")
    return rest[(start + int(number or 0)) % len(rest)]


def numbers_for(identities: Iterable[str], kept: Iterable[tuple[str, int]]) -> dict[str, int]:
    """Return the number of every wire: the kept one, else the next above every number ever given.

    Args:
        identities: of all wires, in the order new ones are numbered
        kept: (identity, number) of all wires there ever were
    """
    known = dict(kept)
    following = max(known.values(), default=0)
    found = {}
    for identity in identities:
        number = known.get(identity)
        if number is None:
            following += 1
            number = following
        found[identity] = number
    return found


def splice_names_for(identities: Iterable[str], kept: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Return the name of every splice: the kept one, else SP and the next number never given."""
    known = dict(kept)
    given = (_LAST_NUMBER.match(name) for name in known.values())
    following = max((int(m.group(2)) for m in given if m and m.group(2)), default=0)
    found = {}
    for identity in identities:
        name = known.get(identity)
        if name is None:
            following += 1
            name = f"SP{following}"
        found[identity] = name
    return found
