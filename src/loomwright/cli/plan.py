"""What each branch point costs, and what could be built instead, on the terminal."""

import json as json_words
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Final

from loomwright.cli.progress import working
from loomwright.job import work_out, work_out_tried
from loomwright.jobfile.edit_log import do
from loomwright.jobfile.read import ReadJob
from loomwright.model.plan import PlanRow
from loomwright.planning.alternatives import Alternative, Alternatives, alternatives, chosen, doing_without
from loomwright.planning.alternatives_chain import (
    branch_point_at_every_device,
    fewer,
    one_branch_point,
    wide,
)
from loomwright.planning.alternatives_rows import AS_IT_WAS, choice_edits, row
from loomwright.planning.price import Fixed, Price
from loomwright.planning.price_words import many
from loomwright.sources import Figure

HEADS: Final = ("points", "wire m", "sheath m", "pieces", "ties", "hours", "copper g", "mass g", "money")
FEWER: Final = "fewer:"  # before the number of a row of ever fewer branch points
MOST_LISTED: Final = 12


def plan(folder: Path, exact: int, apply: str, reason: str, compare: bool, curve: bool, json: bool) -> int:
    """Price the tree and its alternatives; with `apply` take one of them as one logged edit.

    Args:
        folder: the job's folder, or its job.toml
        exact: how many promising alternatives to work out
        apply: number or name of the alternative to take, "fewer:3" = that row of ever fewer, "" = none
        reason: why it is taken
        compare: price also one branch point in all, and one at every device
        curve: price ever fewer branch points
        json: one JSON object instead of words
    """
    with working("Pricing alternatives", quiet=json):
        done = work_out(folder)
        work = partial(work_out_tried, done.read)
        found = alternatives(work, exact)
        far = []
        if compare:
            far = [
                ("one branch point in all", one_branch_point(work, done.read)),
                ("one at every device", branch_point_at_every_device(work, done.read)),
            ]
        down = fewer(work) if curve or apply.startswith(FEWER) else ()
    if apply:
        return _apply(done.read, found, down, apply, reason)
    if json:
        print(json_words.dumps(_object(found, far, down), indent=1, ensure_ascii=False))
        return 0
    print("\n".join((*_present(found.present), *_without(found), *_listed(found), *_far(found, far))))
    print("\n".join((*_down(found, down), *_best(found))))
    return 0


def _named(found: Alternatives, down: Sequence[Alternative], which: str) -> Alternative | None:
    listed = down if which.startswith(FEWER) else found.exact
    number = which.removeprefix(FEWER)
    if number.isdigit():
        return listed[int(number) - 1] if 1 <= int(number) <= len(listed) else None
    return next((one for one in found.found if one.name == which), None)


def _apply(read: ReadJob, found: Alternatives, down: Sequence[Alternative], which: str, reason: str) -> int:
    taken = _named(found, down, which)
    if taken is None:
        most = f"{FEWER}{len(down)}" if which.startswith(FEWER) else str(len(found.exact))
        print(f"There is no alternative {which}. Numbers go from 1 to {most}.", file=sys.stderr)
        return 2
    if not reason:
        print("Say why with --reason: the reason stands on the plan sheet.", file=sys.stderr)
        return 2
    if taken.price is None:
        print(f'"{taken.name}" has only a quick figure yet; raise --exact.', file=sys.stderr)
        return 2
    when = datetime.now().isoformat(timespec="seconds")
    edits = choice_edits(found, taken, reason, down)
    do(read.folder, edits, when, read.document.digest, f"plan: {taken.name}")
    print(f"Taken: {taken.words}. One step in the job; loomwright undo takes it back.")
    for name in taken.again:
        print(f"  measure again: {name}")
    for fault in taken.faults:
        print(f"  brings: {fault}")
    return 0


def _present(one: Price) -> Iterator[str]:
    yield from _table([row(AS_IT_WAS, one)], "The tree as it is")
    yield ""
    yield "In that, each by being there:"
    for fixed in one.fixed:
        yield f"  {_fixed(fixed)}"
    yield f"  an hour {_figure(one.hour)}; money is the shop's own; goods, minutes, rates: stock.toml"
    yield ""


def _fixed(one: Fixed) -> str:
    minutes = f"{one.minutes.least:.0f} to {one.minutes.most:.0f} min [{one.minutes.source.mark}]"
    words = f"{one.number:>3} {one.words}s, one: {minutes}, and {_figure(one.money)}"
    return f"{words} = {one.each:.2f}, together {one.total:.2f}"


def _figure(one: Figure) -> str:
    return f"{one.value:.2f} [{one.source.mark}]"


def _without(found: Alternatives) -> Iterator[str]:
    rows = doing_without(found)
    if not rows:
        return
    yield "What each branch point costs: the cheapest way to do without it"
    wide = max(len(one.name) for _, _, one in rows)
    yield f"  {'point':<14} {'without it':<{wide}} {'money':>8} {'hours':>6} {'copper g':>8}"
    before = row(AS_IT_WAS, found.present)
    for loom, point, one in rows:
        if one.price is None:
            continue
        now = row(one.name, one.price)
        yield (
            f"  {f'{loom}/{point}':<14} {one.name:<{wide}} {now.money - before.money:>+8.2f} "
            f"{now.hours - before.hours:>+6.1f} {now.copper_g - before.copper_g:>+8.0f}{_but(one)}"
        )
    yield ""


def _but(one: Alternative) -> str:
    notes = [f"brings {fault}" for fault in one.faults]
    notes += [f"measure again {', '.join(one.again)}"] if one.again else []
    return f"  {'; '.join(notes)}" if notes else ""


def _listed(found: Alternatives) -> Iterator[str]:
    exact = found.exact
    others = ", the others by a quick figure" if len(exact) < len(found.found) else ""
    yield f"Alternatives: {len(exact)} of {len(found.found)} worked out exactly{others}"
    rows = [row(one.name, one.price) for one in exact[:MOST_LISTED] if one.price is not None]
    yield from _table(rows, "", [_but(one) for one in exact])
    if len(exact) > MOST_LISTED:
        yield f"  ... {len(exact) - MOST_LISTED} more with --json"
    yield ""


def _far(found: Alternatives, far: Sequence[tuple[str, Alternative]]) -> Iterator[str]:
    if far:
        yield "For comparison"
        priced = [(name, one) for name, one in far if one.price is not None]
        rows = [row(AS_IT_WAS, found.present), *(row(name, one.price) for name, one in priced if one.price)]
        notes = [
            "",
            *(f"  brings {many(len(one.faults), 'fault')}" if one.faults else "" for _, one in priced),
        ]
        yield from _table(rows, "", notes)
        yield ""


def _down(found: Alternatives, down: Sequence[Alternative]) -> Iterator[str]:
    if down:
        kept = wide(found.present.branch_points)
        yield "Ever fewer branch points: of each number the cheapest of the promising merges priced,"
        yield f"{kept} trees of each number gone on from; a way found, not proved the best"
        rows = [row(AS_IT_WAS, found.present)]
        rows += [
            row(f"{FEWER}{at} {one.moves[-1].name}", one.price)
            for at, one in enumerate(down, start=1)
            if one.price is not None
        ]
        yield from _table(rows, "")
        yield ""


def _best(found: Alternatives) -> Iterator[str]:
    best = chosen(found)
    if best is None or best.price is None:
        yield "Nothing cheaper was found."
        return
    saves = found.present.money - best.price.money
    yield f"Cheapest: {best.name}, {saves:.2f} less. {best.words}."
    yield "Nothing is written. Take one with --apply NUMBER --reason WHY; it names what to measure again."


def _table(rows: Sequence[PlanRow], title: str, notes: Sequence[str] = ()) -> Iterator[str]:
    wide = max((len(one.name) for one in rows), default=0)
    number = bool(notes) and rows and rows[0].name != AS_IT_WAS
    yield f"{title:<{wide + 6}} {' '.join(f'{head:>8}' for head in HEADS)}"
    for at, one in enumerate(rows, start=1):
        cells = (
            f"{one.branch_points:>8}",
            f"{one.wire_m:>8.2f}",
            f"{one.sheath_m:>8.2f}",
            f"{one.sheath_pieces:>8}",
            f"{one.ties:>8}",
            f"{one.hours:>8.1f}",
            f"{one.copper_g:>8.0f}",
            f"{one.mass_g:>8.0f}",
            f"{one.money:>8.2f}",
        )
        lead = f"{at:>3}" if number else "   "
        yield f"{lead}   {one.name:<{wide}} {' '.join(cells)}{notes[at - 1] if notes else ''}"


def _object(
    found: Alternatives, far: Sequence[tuple[str, Alternative]], down: Sequence[Alternative]
) -> dict[str, object]:
    best = chosen(found)
    return {
        "present": _priced(AS_IT_WAS, found.present),
        "chosen": None if best is None else best.name,
        "branch_points": [
            {"loom": loom, "point": point, "without": one.name, "money": _more(found, one)}
            for loom, point, one in doing_without(found)
        ],
        "alternatives": [_alternative(found, one) for one in found.found],
        "compared": [{"what": name, **_alternative(found, one)} for name, one in far],
        "fewer": [_alternative(found, one) for one in down],
    }


def _more(found: Alternatives, one: Alternative) -> float | None:
    return None if one.price is None else round(one.price.money - found.present.money, 4)


def _alternative(found: Alternatives, one: Alternative) -> dict[str, object]:
    return {
        "name": one.name,
        "words": one.words,
        "exact": one.price is not None,
        "about": round(one.about, 2),
        "more_money": _more(found, one),
        "measure_again": list(one.again),
        "faults": list(one.faults),
        "price": None if one.price is None else _priced(one.name, one.price),
        "edits": len(one.edits),
    }


def _priced(name: str, one: Price) -> dict[str, object]:
    fixed = [
        {"what": x.words, "number": x.number, "minutes": x.minutes.middle, "each": x.each, "total": x.total}
        for x in one.fixed
    ]
    return {**asdict(row(name, one)), "fixed": fixed, "hour": one.hour.value, "unpriced": list(one.unpriced)}
