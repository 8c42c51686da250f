"""What the bench page shows of a worked-out job: cut list, build order, tests, devices, as plain data."""

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from loomwright.job import WorkedJob
from loomwright.pack.bench_steps import bench_steps, cut_row
from loomwright.pack.bench_tests import bench_groups, how_to
from loomwright.pack.device_pages import device_pages
from loomwright.pack.label_codes import job_mark
from loomwright.pack.pages import (
    NOT_FOR_BUILD,
    Block,
    Facts,
    Figure,
    FigureRow,
    Heading,
    Paragraph,
    Sheet,
    Table,
)
from loomwright.pack.reels import reel_title, reels
from loomwright.pack.test_by_instrument import instrument_of
from loomwright.pack.view import View, by_loom
from loomwright.sheets.svg import svg_text

FIGURE_SCALE = 3.0  # millimetres of a drawing to pixels of a page; ours


def bench_view(done: WorkedJob) -> dict[str, Any]:
    """Return everything the bench page needs, so that it works on without network.

    Args:
        done: the job worked out
    """
    view = view_of(done)
    job = view.job
    return {
        "title": job.title,
        "mark": job_mark(job),
        "demo": job.demo,
        "revision": job.revision,
        "digest": done.digest,
        "stamp": NOT_FOR_BUILD if done.faults else "",
        "faults": len(done.faults),
        "instrument": instrument_of(view),
        "how_to": how_to(view),
        "cut_cautions": list(view.cautions("cut")),
        "cut_list": _cut_list(view),
        "steps": [asdict(one) for one in bench_steps(view)],
        "groups": [asdict(one) for one in bench_groups(view)],
        "devices": [_named(one) for one in device_pages(view)],
    }


def view_of(done: WorkedJob) -> View:
    """Return a job as papers and bench look at it."""
    return View(done.worked, done.findings, done.digest)


def device_data(done: WorkedJob) -> dict[str, dict[str, Any]]:
    """Return the pages of all devices by name, as data."""
    return {str(_named(one)["name"]): _page(one) for one in device_pages(view_of(done))}


def device_page(done: WorkedJob, name: str) -> dict[str, Any] | None:
    """Return one device's page as data.

    Args:
        done: the job worked out
        name: a device, or one of its plugs: "ECU", "ECU.A"

    Returns:
        None where the job has no such device.
    """
    found = {str(_named(one)["name"]): one for one in device_pages(view_of(done))}
    sheet = found.get(name) or found.get(name.split(".", 1)[0])
    return _page(sheet) if sheet else None


def _page(sheet: Sheet) -> dict[str, Any]:
    return {**_named(sheet), "stamps": list(sheet.stamps), "blocks": _blocks(sheet.blocks)}


def _named(sheet: Sheet) -> dict[str, Any]:
    return {"name": sheet.key.removeprefix("device-"), "title": sheet.title}


def _cut_list(view: View) -> list[dict[str, Any]]:
    spare = view.job.shop.wire_spare.value
    return [
        {
            "loom": tree.loom,
            "title": reel_title(reel, spare),
            "rows": [asdict(cut_row(view, wire)) for wire in reel.wires],
        }
        for tree, wires in by_loom(view)
        for reel in reels(view, wires)
    ]


def _blocks(blocks: Iterable[Block]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for block in blocks:
        match block:
            case Heading() | Paragraph():
                kind = "heading" if isinstance(block, Heading) else "paragraph"
                found.append({"kind": kind, "text": block.text})
            case Facts():
                found.append({"kind": "facts", "pairs": [list(pair) for pair in block.pairs]})
            case FigureRow():
                found.append({"kind": "figures", "figures": [_figure(one) for one in block.figures]})
            case Table():
                found.append(_table(block))
            case _:
                continue
    return found


def _figure(one: Figure) -> dict[str, Any]:
    drawing = one.drawing
    return {
        "svg": svg_text(drawing),
        "words": one.caption or drawing.title,
        "width": round(drawing.width_mm * FIGURE_SCALE),
        "height": round(drawing.height_mm * FIGURE_SCALE),
    }


def _table(table: Table) -> dict[str, Any]:
    shown = [n for n, c in enumerate(table.columns) if c.kind not in ("tick", "blank")]
    rows = [["" if row[n] is None else str(row[n]) for n in shown] for row in table.rows]
    heads = [table.columns[n].head for n in shown]
    return {"kind": "table", "title": table.title, "heads": heads, "rows": rows, "note": table.note}
