"""What stands of all records: the last tick of each thing, every reading with its retests, time and notes."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from loomwright.records.bench import READINGS, Record

CLOSERS: Final = (("slide ", "sheathed"), ("shrink ", "sheathed"), ("close ", "closed"))


@dataclass(frozen=True)
class Standing:
    """Records sorted by what still counts.

    Attributes:
        ticks: last tick by (what, of), done or taken back
        readings: readings by (what, of), oldest first; the last counts, those before it are kept as retests
        times: times that were not replaced
        notes: notes and photos that were not replaced
        replaced: ids of records another one took the place of
    """

    ticks: dict[tuple[str, str], Record]
    readings: dict[tuple[str, str], tuple[Record, ...]]
    times: tuple[Record, ...]
    notes: tuple[Record, ...]
    replaced: frozenset[str]

    def is_done(self, what: str, of: str) -> bool:
        """Whether a thing is ticked."""
        one = self.ticks.get((what, of))
        return one is not None and one.done

    def last(self, what: str, of: str) -> Record | None:
        """The reading that counts."""
        found = self.readings.get((what, of), ())
        return found[-1] if found else None


def standing(records: Iterable[Record]) -> Standing:
    """Return what stands of records.

    Where two devices told of the same thing without knowing of each other, the one stored later counts;
    both are kept.
    """
    ordered = sorted(records, key=lambda one: one.number)
    replaced = frozenset(of for one in ordered for of in one.replaces.split())
    ticks: dict[tuple[str, str], Record] = {}
    readings: dict[tuple[str, str], tuple[Record, ...]] = {}
    for one in ordered:
        key = (one.what, one.of)
        if one.is_tick:
            ticks[key] = one
        elif one.what in READINGS:
            readings[key] = (*readings.get(key, ()), one)
    live = [one for one in ordered if one.id not in replaced]
    times = tuple(one for one in live if one.what == "time")
    notes = tuple(one for one in ordered if one.what == "note" and one.id not in replaced)
    return Standing(ticks, readings, times, notes, replaced)


def done_by(records: Iterable[Record]) -> dict[str, frozenset[str]]:
    """Return what can't be taken back any more, by the ticks.

    Args:
        records: all of a job

    Returns:
        Names by the fields of `issued_done.Done`: cut, spliced, sheathed, closed.
    """
    found: dict[str, set[str]] = {"cut": set(), "spliced": set(), "sheathed": set(), "closed": set()}
    for (what, of), one in standing(records).ticks.items():
        if not one.done:
            continue
        if what in found:
            found[what].add(of)
        loom, _, name = of.partition("/")
        if what == "step" and name.startswith("splice "):
            found["spliced"].add(name.removeprefix("splice "))
        for begins, field in CLOSERS:
            if what == "step" and name.startswith(begins):
                found[field].add(f"{loom}/{name.removeprefix(begins)}")
    return {name: frozenset(names) for name, names in found.items()}
