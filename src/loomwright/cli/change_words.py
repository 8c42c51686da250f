"""A change on the terminal and as JSON."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from loomwright.pack.change_parts import More
from loomwright.pack.change_sheet import counted
from loomwright.pack.reprint import Reprints
from loomwright.planning.change import Change
from loomwright.planning.change_pieces import PieceChange
from loomwright.planning.change_wires import WireChange


def change_lines(
    change: Change, prints: Reprints, order: Sequence[More], since: str, files: Sequence[Path]
) -> Iterator[str]:
    """Yield what changed since an earlier state, what stands in the way first."""
    if not files:
        yield f"Nothing changed since {since}."
        return
    yield f"Since {since}: {counted(change)}."
    yield from _titled("In the way", (f"  {one.words}" for one in change.stuck))
    stray = (f"  {name} is recorded as done; neither state has it." for name in change.unknown)
    yield from _titled("Look at done.toml", stray)
    yield from _titled("Wires", map(_wire, change.wires))
    for title, pieces in _told(change):
        yield from _titled(title, map(_piece, pieces))
    yield from _titled("Order", (f"  {m.more:g} {m.unit}  {m.part}" for m in order))
    yield from _titled("Papers to exchange", (f"  {words}" for words in _papers(prints)))
    yield "Written: " + ", ".join(str(file) for file in files)


def _titled(title: str, lines: Iterator[str]) -> Iterator[str]:
    found = list(lines)
    if found:
        yield f"{title}:"
        yield from found


def _told(change: Change) -> tuple[tuple[str, tuple[PieceChange, ...]], ...]:
    return (
        ("Devices", change.devices),
        ("Fuses and trips", change.protections),
        ("Sections", change.sections),
        ("Splices", change.splices),
        ("Coverings", (*change.sleeves, *change.covers)),
        ("Cavities", change.cavities),
        ("Labels", change.labels),
    )


def _wire(one: WireChange) -> str:
    row = one.row
    ends = f"{row.a.name} - {row.b.name}"
    stuff = f"{row.size} {row.colour}".strip()
    return f"  {row.label:5} {one.deed:16} {row.cut_mm:5.0f} mm  {stuff}  {row.circuit}: {ends}. {one.words}"


def _piece(one: PieceChange) -> str:
    return f"  {one.subject}: {one.was or 'nothing'} -> {one.now or 'nothing'} {one.words}".rstrip()


def _papers(prints: Reprints) -> Iterator[str]:
    for one in prints.sheets:
        if one.state != "stays":
            yield f"{one.title} ({one.state})"
    yield from (f"Forming board, loom {name} (changed)" for name in prints.boards)
    yield from (f"Forming board, loom {name} (gone)" for name in prints.boards_gone)


def change_json(
    change: Change, prints: Reprints, order: Sequence[More], since: str, files: Sequence[Path]
) -> str:
    """Return a change as one JSON object."""
    found: dict[str, Any] = {
        "since": since,
        "unchanged": change.unchanged,
        "wires": [_wire_json(one) for one in change.wires],
        "stuck": [asdict(one) for one in change.stuck],
        "unknown": list(change.unknown),
        "pieces": {title: [asdict(one) for one in pieces] for title, pieces in _told(change)},
        "order": [asdict(one) for one in order],
        "papers": list(_papers(prints)),
        "files": [str(file) for file in files],
    }
    return json.dumps(found, indent=1, ensure_ascii=False)


def _wire_json(one: WireChange) -> dict[str, Any]:
    return {
        "do": str(one.deed),
        "wire": one.label,
        "was": asdict(one.was) if one.was else None,
        "now": asdict(one.now) if one.now else None,
        "words": one.words,
        "is_cut": one.is_cut,
    }
