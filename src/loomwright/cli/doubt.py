"""How sure the lengths are: chances, trims and tolerances on the terminal."""

import json as json_words
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Final

from loomwright.cli.progress import working
from loomwright.job import work_out
from loomwright.planning.robust import EndRisk, Robust, robust

MOST_LISTED: Final = 15


def doubt(folder: Path, draws: int, seed: int, every: bool, json: bool) -> int:
    """Draw the rope's readings again and again, and print what comes short.

    Args:
        folder: the job's folder, or its job.toml
        draws: measurements drawn
        seed: the same seed gives the same answer
        every: list all ends
        json: one JSON object instead of words
    """
    with working("Drawing measurements", quiet=json):
        done = work_out(folder)
        found = robust(done.worked, draws, seed)
    if json:
        ends = [{**asdict(one), "needs_mm": one.needs_mm} for one in found.ends]
        points = [asdict(one) for one in found.points]
        print(
            json_words.dumps({"draws": draws, "ends": ends, "points": points}, indent=1, ensure_ascii=False)
        )
        return 0
    print("\n".join((*_ends(found, every), *_points(found))))
    return 0


def _ends(found: Robust, every: bool) -> Iterator[str]:
    yield f"{found.draws} measurements drawn; a give or take is two standard deviations [ours]"
    yield f"  {'end':<18} {'wires':>5} {'gives mm':>9} {'needs mm':>9} {'comes short':>14}"
    listed = found.ends if every else found.ends[:MOST_LISTED]
    for one in listed:
        name = f"{one.loom}/{one.end}"
        yield f"  {name:<18} {one.wires:>5} {one.slack_mm:>9.0f} {one.needs_mm:>9.0f} {_odds(one, found):>14}"
    if len(listed) < len(found.ends):
        yield f"  ... {len(found.ends) - len(listed)} more with --every, none of them likelier"
    yield "  gives: trim and cutting step of its shortest wire, at fixed ends what the allowance gives"
    yield "  needs: what covers 997 of 1000 measurements"


def _odds(one: EndRisk, found: Robust) -> str:
    if one.chance <= 0:
        return f"< 1 in {found.draws}"
    return f"1 in {1 / one.chance:.0f}"


def _points(found: Robust) -> Iterator[str]:
    if not found.points:
        return
    yield ""
    yield f"  {'branch point':<18} {'from datum mm':>13} {'known to mm':>12} {'room mm':>8}"
    for one in found.points:
        name = f"{one.loom}/{one.point}"
        yield f"  {name:<18} {one.from_datum_mm:>13.0f} {one.known_mm:>12.0f} {one.room_mm:>8.0f}"
    yield "  known to: 997 of 1000 measurements; room: so far off along the loom no wire comes short"
