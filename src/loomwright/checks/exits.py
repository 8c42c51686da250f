"""Exits and co-runs that get into each other's way."""

from collections.abc import Iterator
from typing import Final

from loomwright.building.exit_paths import Crossing
from loomwright.checks.entry import NOTE, Entry
from loomwright.checks.looking import named
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.tree import Tree
from loomwright.sources import OURS

EXIT_02: Final = Entry(
    "EXIT-02",
    "Co-run across an exit",
    NOTE,
    "Laid flat it goes over what leaves there: it rubs, and neither can be lifted out alone.",
    OURS,
    ("branch points", "board"),
)
ENTRIES: Final = (EXIT_02,)


def exits_cross(worked: Worked) -> Iterator[Finding]:
    """EXIT-02: co-runs that can't but cross an exit, with the exits as noted; one finding a co-run."""
    for exits in worked.built.exits:
        tree = worked.routed.tree[exits.loom]
        found: dict[tuple[str, str], list[Crossing]] = {}
        for one in exits.crossings:
            found.setdefault((one.passer, one.point), []).append(one)
        for (passer, point), some in found.items():
            yield _finding(tree, passer, point, [one.other for one in some], exits.least)


def _finding(tree: Tree, passer: str, point: str, others: list[str], least: bool) -> Finding:
    section = tree.by_name[passer]
    where = f"where it runs past {point}" if point else "on the way they share"
    remedy = (
        f"Let it leave the loom at {point} instead of {section.inner}, or note an exit on the other hand; "
        f"else lay it over {point} on top, last of all, with a tie on either side."
        if point
        else "Let one of them part on the other hand, or begin at another branch point."
    )
    if not least:
        remedy += " Fewer crossings may be possible: there were too many orders of exits to try them all."
    return EXIT_02.at(
        passer,
        ("exit", section.inner),
        f"{passer} crosses {named(others)} {where}.",
        "Sections that run side by side part in the order in which they lie [ours].",
        remedy,
        subject=f"{tree.loom}/{passer}",
    )
