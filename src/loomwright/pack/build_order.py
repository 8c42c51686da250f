"""The build order: what to do in which order, with its cautions right before the step that needs them."""

from typing import Final

from loomwright.building.built import BuildStep
from loomwright.building.cautions import CAUTIONS
from loomwright.building.rules import ORDER_RULES
from loomwright.pack.pages import Block, Caution, Column, Heading, PageBreak, Row, RowGroup, Sheet, Table
from loomwright.pack.view import View, mark_words

COLUMNS: Final = (
    Column("step", kind="number", bold=True),
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
ITEM_LETTERS: Final = 330  # of a step's items; ours
BIG_STEPS: Final = 90  # a longer list is set in plain type, to stay a booklet; ours


def build_order(view: View) -> Sheet:
    """Return the steps by phase, cautions before the step they belong to, and the rules of the order."""
    blocks: list[Block] = []
    big = len(view.built.steps) <= BIG_STEPS
    phase = ""
    waiting: list[Row] = []
    told: set[str] = set()
    words = {c.key: c.words for c in CAUTIONS}
    for step in view.built.steps:
        fresh = [key for key in step.cautions if key not in told and key in words]
        if waiting and (step.phase != phase or fresh):
            blocks.append(Table(COLUMNS, (RowGroup(tuple(waiting)),)))
            waiting = []
        if step.phase != phase:
            phase, told = step.phase, set()
            fresh = [key for key in step.cautions if key in words]
            blocks.append(Heading(phase.capitalize()))
        blocks += [Caution(words[key]) for key in fresh]
        told.update(fresh)
        waiting.append(_row(view, step))
    if waiting:
        blocks.append(Table(COLUMNS, (RowGroup(tuple(waiting)),)))
        blocks += [PageBreak(), _rules(view)]
    return Sheet(
        "build-order", "Build order", tuple(blocks), INTRO, stamps=view.stamps("build order"), big=big
    )


def _row(view: View, step: BuildStep) -> Row:
    loom = f"{step.loom}: " if step.loom and len(view.trees) > 1 else ""
    said = [f"{loom}{step.words}"]
    said += [_items(step)] if step.items else []
    said += [f"({', '.join(step.rules)})"] if step.rules else []
    said += ["NO WAY BACK."] if step.irreversible else []
    return (step.number, " ".join(said), None, "")


def _items(step: BuildStep) -> str:
    """Return what a step works on; a long row of wires stands on another paper and is named only."""
    words = ", ".join(step.items)
    if len(words) <= ITEM_LETTERS:
        return words + "."
    if step.phase == "lay up":
        return "Wires and exits: see the branch-point cards."
    shown = words[:ITEM_LETTERS].rsplit(", ", 1)[0]
    return f"{shown} and more, {len(step.items)} in all."


def _rules(view: View) -> Table:
    named = {rule.split()[0] for step in view.built.steps for rule in step.rules}
    rows = tuple((r.code, r.kind, r.words, mark_words(r.source)) for r in ORDER_RULES if r.code in named)
    return Table(RULES, (RowGroup(rows),), "Rules of the order")
