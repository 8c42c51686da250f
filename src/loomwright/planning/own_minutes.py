"""The shop's own minutes, learnt from the times recorded at the bench, and measured sizes, both as edits."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from loomwright.building.built import BuildStep
from loomwright.edits import Edit, Verb
from loomwright.records.bench import Record
from loomwright.records.bench_reading import reading_of
from loomwright.records.bench_standing import standing

LEAST_TIMED: Final = 3  # of a kind before its minutes are told; ours
KINDS: Final = (
    ("cut cable", "", 0),
    ("cut", "per_wire", -1),
    ("cable", "per_pair", 1),
    ("cover", "per_splice", 0),
    ("splice", "per_splice", 1),
    ("slide", "per_section", 1),
    ("shrink", "per_section", 0),
    ("close", "per_branch_point", 1),
    ("crimp", "per_wire_end", -1),
)
"""First words of a step's name, the own minutes it tells of, how many it counts (-1 = one for each item).

Every key is one of `keys.OWN_MINUTES`.
"""


@dataclass(frozen=True, slots=True)
class OwnMinutes:
    """What one thing took on average.

    Attributes:
        key: as stock.toml and scope.toml [minutes] call it
        minutes: for one of them [min]
        number: how many were timed
        spent: all the time [min]
        times: the records it comes from
    """

    key: str
    minutes: float
    number: int
    spent: float
    times: tuple[Record, ...]


def own_minutes(steps: Iterable[BuildStep], records: Iterable[Record]) -> tuple[OwnMinutes, ...]:
    """Return what the timer says of each kind of work; kinds timed fewer than three times are left out.

    Args:
        steps: build order of the job
        records: all of the job; a time is of a step, in minutes
    """
    by_key = {f"{s.loom}/{s.name}": s for s in steps}
    spent: dict[str, float] = {}
    times: dict[str, list[Record]] = {}
    steps_of: dict[str, set[str]] = {}
    for one in standing(records).times:
        step, minutes = by_key.get(one.of), reading_of(one.value, "min")
        key, _ = _kind(step) if step else ("", 0)
        if key and minutes is not None and minutes > 0:
            spent[key] = spent.get(key, 0.0) + minutes
            times.setdefault(key, []).append(one)
            steps_of.setdefault(key, set()).add(one.of)
    found = []
    for key in sorted(spent):
        number = sum(_kind(by_key[of])[1] for of in steps_of[key])
        if number >= LEAST_TIMED:
            mean, whole = round(spent[key] / number, 1), round(spent[key], 1)
            found.append(OwnMinutes(key, mean, number, whole, tuple(times[key])))
    return tuple(found)


def minutes_edits(found: Iterable[OwnMinutes]) -> tuple[Edit, ...]:
    """Return own minutes as edits of stock.toml."""
    return tuple(
        Edit(Verb.SET, ("minutes", one.key), one.minutes, f"timed at the bench, {one.number} of them")
        for one in found
    )


def measured_edits(records: Iterable[Record]) -> tuple[Edit, ...]:
    """Return measured bundles as edits of job.toml: the last size of each section.

    Args:
        records: all of the job; a size is of a section's key, in mm
    """
    found = []
    for (what, of), several in sorted(standing(records).readings.items()):
        size = reading_of(several[-1].value, "mm")
        if what == "size" and size is not None and size > 0:
            _, _, section = of.partition("/")
            reason = f"measured by {several[-1].who}, {several[-1].when[:10]}"
            found.append(Edit(Verb.SET, ("passes", section, "measured_od_mm"), size, reason))
    return tuple(found)


def _kind(step: BuildStep) -> tuple[str, int]:
    for begins, key, count in KINDS:
        if step.name.startswith(f"{begins} "):
            return key, len(step.items) if count < 0 else count
    return "", 0
