"""Habits of good looms: spare wires, colours that can be told apart, looms with wires in them."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import NOTE, SHOPS, Entry
from loomwright.checks.looking import many, named
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.words import Level
from loomwright.routing.routed import EndKind
from loomwright.sources import PRACTICE

SPARE_01: Final = Entry(
    "SPARE-01",
    "No spare wire in the trunk",
    NOTE,
    "The sensor somebody wants next year needs a wire through the trunk.",
    PRACTICE,
    ("cut list",),
    levels=SHOPS,
)
COLOUR_01: Final = Entry(
    "COLOUR-01",
    "One colour many times in a plug",
    NOTE,
    "With more than two wires of one colour in a plug only their numbers tell them apart.",
    PRACTICE,
    ("pinouts", "labels"),
    levels=(Level.STREET, Level.SMALL_SHOP),
)
LOOM_01: Final = Entry(
    "LOOM-01",
    "Loom without a wire",
    NOTE,
    "The rope is measured, and no circuit runs in it yet.",
    PRACTICE,
    ("map",),
)
ENTRIES: Final = (SPARE_01, COLOUR_01, LOOM_01)
TRUNK_WIRES: Final = 20  # ours: from here on a loom is worth spares
LIKE: Final = 2  # two alike in a plug are ordinary practice


def no_spares(worked: Worked) -> Iterator[Finding]:
    """SPARE-01: a loom of twenty and more wires and no spare in any loom."""
    if worked.job.spares:
        return
    for tree in worked.routed.trees:
        wires = sum(1 for w in worked.routed.wires if w.loom == tree.loom)
        if wires >= TRUNK_WIRES:
            yield SPARE_01.at(
                f"loom {tree.loom}",
                ("loom", tree.loom),
                f"{tree.loom} has {wires} wires and no spare.",
                "Two to four spare wires lie in the trunk, sealed and labelled [common practice].",
                "Add [spare] tables from the controller to the far end.",
                subject=tree.loom,
            )


def colour_repeated(worked: Worked) -> Iterator[Finding]:
    """COLOUR-01: more than two wires of one colour in a plug; one group."""
    plugs: dict[str, Counter[str]] = {}
    for wire in worked.routed.wires:
        for end in (wire.a, wire.b):
            if end.kind is EndKind.PIN and wire.colour and not wire.screen:
                plugs.setdefault(end.name.rsplit(":", 1)[0], Counter())[wire.colour] += 1
    for plug, colours in sorted(plugs.items()):
        often = sorted(c for c, n in colours.items() if n > LIKE)
        if often and len(colours) > 1:
            connector = worked.job.connector.get(plug)
            yield COLOUR_01.at(
                plug,
                connector.path if connector else (),
                f"{plug} has {named(f'{colours[c]} wires of {c}' for c in often)}.",
                "Two of a colour in a plug are usual; more are told apart by number only [common practice].",
                "Label every wire behind this plug, or buy one colour more.",
                subject=plug,
            )


def loom_without_wire(worked: Worked) -> Iterator[Finding]:
    """LOOM-01: a measured loom with no wires."""
    busy = {w.loom for w in worked.routed.wires}
    for tree in worked.routed.trees:
        if tree.sections and tree.loom not in busy:
            yield LOOM_01.at(
                f"loom {tree.loom}",
                ("loom", tree.loom),
                f"{tree.loom} has {many(len(tree.sections), 'section')} and no wire.",
                "Circuits run in a measured loom.",
                "Enter the circuits at its devices.",
                subject=tree.loom,
            )
