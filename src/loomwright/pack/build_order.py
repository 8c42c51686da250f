"""The build order: what to do in which order, with its cautions right before the step that needs them."""

from itertools import groupby
from typing import Final

from loomwright.building.built import BuildStep
from loomwright.building.cautions import CAUTIONS
from loomwright.building.rules import ORDER_RULES
from loomwright.pack.build_batches import Batch, batch_list, batches
from loomwright.pack.pages import Block, Caution, Column, Heading, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, mark_words

COLUMNS: Final = (
    Column("step", bold=True, width_mm=24.0),
    Column("do"),
    Column("done", kind="tick"),
    Column("initials", kind="blank", width_mm=20.0),
)
RULES: Final = (
    Column("rule", bold=True),
    Column("kind"),
    Column("what and why"),
    Column("from"),
)
INTRO: Final = (
    "Work from top to bottom. NO WAY BACK marks a step that can't be undone: look twice. Rules are named "
    "in brackets; cannot: the parts don't allow it otherwise; should: practice."
)
ITEM_LETTERS: Final = 700  # of a step's items; ours
BIG_LINES: Final = 32  # a longer order is set in plain type, to stay a booklet; ours


def build_order(view: View) -> Sheet:
    """Return the steps by phase, cautions before the step they belong to, and the rules of the order."""
    blocks: list[Block] = []
    told = tuple(batches(view.built.steps))
    for phase, run in groupby(told, key=lambda b: b.steps[0].phase):
        blocks += [Heading(phase.capitalize()), *_phase(view, tuple(run))]
    if blocks:
        blocks.append(_rules(view))
    big = len(told) <= BIG_LINES
    stamps = view.stamps("build order")
    return Sheet("build-order", "Build order", tuple(blocks), INTRO, stamps=stamps, big=big)


def _phase(view: View, told: tuple[Batch, ...]) -> list[Block]:
    """One phase: a table of steps, broken by cautions and by lists to tick."""
    blocks: list[Block] = []
    waiting: list[Row] = []
    seen: set[str] = set()
    words = {c.key: c.words for c in CAUTIONS}
    headed = False

    def close_table() -> None:
        nonlocal headed
        if waiting:
            blocks.append(Table(COLUMNS, (RowGroup(tuple(waiting)),), headless=headed))
            headed = True
            waiting.clear()

    for batch in told:
        keys = dict.fromkeys(key for step in batch.steps for key in step.cautions)
        fresh = [key for key in keys if key not in seen and key in words]
        if fresh:
            close_table()
        blocks += [Caution(words[key]) for key in fresh]
        seen.update(fresh)
        waiting.append(_row(view, batch))
        if listed := batch_list(view, batch):
            close_table()
            blocks += listed
    close_table()
    return blocks


def _row(view: View, batch: Batch) -> Row:
    step = batch.steps[0]
    loom = f"{step.loom}: " if step.loom and len(view.trees) > 1 else ""
    if batch.kind is None:
        said = [f"{loom}{step.words}", *([_items(step)] if step.items else [])]
    else:
        said = [f"{loom}{batch.kind.words}"]
    rules = sorted({r for s in batch.steps for r in s.rules}, key=lambda r: int(r.split()[0][1:]))
    said += [f"({', '.join(rules)})"] if rules else []
    said += ["NO WAY BACK."] if any(s.irreversible for s in batch.steps) else []
    return (batch.numbers, " ".join(said), None, "")


def _items(step: BuildStep) -> str:
    """Return what a step works on; a long row of wires stands on another paper and is named only."""
    words = together(step.items)
    if len(words) <= ITEM_LETTERS:
        return words + "."
    if step.phase == "lay up":
        return "Wires and exits: see the branch-point cards."
    shown = words[:ITEM_LETTERS].rsplit(", ", 1)[0]
    return f"{shown} and more, {len(step.items)} in all."


def together(items: tuple[str, ...]) -> str:
    """Return items in a row; what follows a colon is said once where it is the same."""
    found: dict[str, list[str]] = {}
    for item in items:
        name, _, rest = item.partition(": ")
        found.setdefault(rest, []).append(name)
    if "" in found or len(found) == len(items):
        return ", ".join(items)
    told = "; ".join(f"{rest}: {', '.join(names)}" for rest, names in found.items())
    return told[:1].upper() + told[1:]


def _rules(view: View) -> Table:
    named = {rule.split()[0] for step in view.built.steps for rule in step.rules}
    rows = tuple((r.code, r.kind, r.words, mark_words(r.source)) for r in ORDER_RULES if r.code in named)
    return Table(RULES, (RowGroup(rows),), "Rules of the order", close=True)
