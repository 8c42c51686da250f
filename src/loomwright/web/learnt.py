"""What the bench teaches: the shop's own minutes and the measured bundles, each with where it comes from."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from typing import Final

from loomwright.errors import ChangedMeanwhile, LoomwrightError, RefusedEdit
from loomwright.job import WorkedJob
from loomwright.jobfile.edit_log import do, edits_as_json, read_log, steps_of, undo
from loomwright.jobfile.read_stock import STOCK_FILE, Stock
from loomwright.jobfile.save import NEW, locked, read
from loomwright.jobfile.save import replace as put
from loomwright.jobfile.toml_text import read_text
from loomwright.planning.own_minutes import OwnMinutes, measured_edits, minutes_edits, own_minutes
from loomwright.planning.price_time import hours
from loomwright.records.bench import Record
from loomwright.records.bench_standing import standing
from loomwright.records.bench_store import all_records
from loomwright.sources import Mark
from loomwright.web.desk import Desk

Plain = dict[str, object]
SAME: Final = 1e-9
WORDS: Final = (
    ("per_wire", "a wire cut and marked"),
    ("per_pair", "a twisted pair"),
    ("per_splice", "a splice with its cover"),
    ("per_section", "a section sheathed"),
    ("per_branch_point", "a branch point closed"),
    ("per_wire_end", "a wire end crimped"),
)


def learnt_view(desk: Desk) -> Plain:
    """Return minutes and bundle sizes the records teach, beside what the shop and the job say now.

    Args:
        desk: the job in use
    Raises:
        Unreadable: the records are damaged.
    """
    done = desk.state().done
    records = all_records(desk.folder)
    minutes = own_minutes(done.worked.built.steps, records)
    return {
        "minutes": [_minutes(one, done.worked.stock) for one in minutes],
        "stock_edits": edits_as_json(minutes_edits(minutes)),
        "hours": {"now": _hours(done, done.worked.stock), "then": _hours(done, _with(done, minutes))},
        "job_goes_before": _job_goes_before(done),
        "sizes": _sizes(done, records),
        "stock_digest": _stock_digest(desk),
        "can_undo": _can_undo(desk),
    }


def take_minutes(desk: Desk, base: str, keys: Iterable[str]) -> None:
    """Take learnt minutes over into stock.toml, as a step that can be taken back.

    Args:
        desk: the job in use
        base: digest of stock.toml they were shown for
        keys: which of them
    Raises:
        RefusedEdit: stock.toml was changed meanwhile, or nothing of that name is learnt.
    """
    wanted = set(keys)
    minutes = own_minutes(desk.state().done.worked.built.steps, all_records(desk.folder))
    edits = [one for one in minutes_edits(minutes) if one.path[-1] in wanted]
    if not edits or len(edits) < len(wanted):
        raise RefusedEdit("The records say something else by now. Look at them again.")
    file = desk.folder / STOCK_FILE
    if base == NEW:
        with locked(file):
            _meanwhile(lambda: put(file, b"format = 1\n", NEW))
        base = read(file).digest
    _meanwhile(lambda: do(desk.folder, edits, _now(), base, "timed at the bench", STOCK_FILE))


def take_minutes_back(desk: Desk) -> None:
    """Take the last step on stock.toml back.

    Raises:
        RefusedEdit: there is none, or stock.toml was changed since.
    """
    if not (desk.folder / STOCK_FILE).is_file():
        raise RefusedEdit("There is nothing to undo.")
    undo(desk.folder, _now(), STOCK_FILE)


def _meanwhile(carry_out: Callable[[], object]) -> None:
    try:
        carry_out()
    except ChangedMeanwhile as fault:
        raise RefusedEdit(
            f"{STOCK_FILE} was changed meanwhile. Look at it again; nothing was written."
        ) from fault


def _now() -> str:
    return datetime.now().isoformat(timespec="seconds")


def _stock_digest(desk: Desk) -> str:
    file = desk.folder / STOCK_FILE
    return read(file).digest if file.is_file() else NEW


def _can_undo(desk: Desk) -> bool:
    file = desk.folder / STOCK_FILE
    if not file.is_file():
        return False
    try:
        digest = read_text(read(file).text).digest
    except LoomwrightError:
        return False
    return bool(steps_of(read_log(desk.folder, STOCK_FILE), digest).undoable)


def _minutes(one: OwnMinutes, stock: Stock) -> Plain:
    now = dict(stock.minutes).get(one.key)
    return {
        "key": one.key,
        "words": dict(WORDS)[one.key],
        "minutes": one.minutes,
        "number": one.number,
        "spent": one.spent,
        "now": now,
        "taken": now is not None and abs(now - one.minutes) < SAME,
        "from": [_record(x) for x in one.times],
    }


def _record(one: Record) -> Plain:
    return {"who": one.who, "when": one.when, "of": one.of, "value": one.value}


def _with(done: WorkedJob, minutes: Iterable[OwnMinutes]) -> Stock:
    stock = done.worked.stock
    return replace(
        stock, minutes=tuple(sorted({**dict(stock.minutes), **{x.key: x.minutes for x in minutes}}.items()))
    )


def _hours(done: WorkedJob, stock: Stock) -> float:
    spent = hours(done.worked, stock)
    return round(spent.factor.middle * sum(one.hours.middle for one in spent.steps), 2)


def _job_goes_before(done: WorkedJob) -> str:
    if done.worked.job.shop.min_per_splice.source.mark is Mark.BUILDER:
        return "The job's own shop table says minutes a splice; they go before the shop's."
    return ""


def _sizes(done: WorkedJob, records: Iterable[Record]) -> list[Plain]:
    """Measured bundles of sections that are still there, beside what the job says of them."""
    bundles = {one.section.partition("/")[2]: one for one in done.worked.sized.bundles}
    readings = standing(records).readings
    last = {of.partition("/")[2]: said[-1] for (what, of), said in readings.items() if what == "size"}
    edits = [one for one in measured_edits(records) if str(one.path[1]) in bundles]
    found: list[Plain] = []
    for edit, plain in zip(edits, edits_as_json(edits), strict=True):
        section = str(edit.path[1])
        bundle = bundles[section]
        found.append(
            {
                "section": section,
                "value": edit.value,
                "now": round(bundle.as_laid_mm, 4),
                "measured": bundle.measured,
                "taken": bundle.measured and bundle.as_laid_mm == edit.value,
                "from": _record(last[section]),
                "edit": plain,
            }
        )
    return found
