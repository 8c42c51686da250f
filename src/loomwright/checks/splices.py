"""Splices: copper in the window, not too many wires, the kind that suits the level."""

from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import CAUTION, NOTE, Entry
from loomwright.checks.looking import cited, labels, many, verb
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.words import Level
from loomwright.sizing.sized import SpliceSizing
from loomwright.sources import PRACTICE, Mark, Source

SPLICE_07: Final = Entry(
    "SPLICE-07",
    "Copper outside the splice's window",
    CAUTION,
    "No size of this kind takes the summed copper, so the crimp is loose or doesn't close.",
    Source(Mark.MEMORY, "windows by summed copper; go by the bag"),
    ("splices", "parts"),
)
SPLICE_08: Final = Entry(
    "SPLICE-08",
    "Many wires in one splice",
    CAUTION,
    "The more wires a barrel holds the likelier one of them is loose in it.",
    PRACTICE,
    ("splices",),
)
SPLICE_09: Final = Entry(
    "SPLICE-09",
    "Open-barrel splice on a motorsport loom",
    NOTE,
    "At this level closed-barrel splices are usual: smaller, and tested on the bag.",
    PRACTICE,
    ("splices", "parts"),
    levels=(Level.MOTORSPORT,),
)
ENTRIES: Final = (SPLICE_07, SPLICE_08, SPLICE_09)


def copper_outside_window(worked: Worked) -> Iterator[Finding]:
    """SPLICE-07: a splice for which no size fits."""
    body = worked.sized.splice
    for splice in worked.routed.splices:
        one = body.get(splice.name)
        if one is not None and not one.fits and not _only_too_many(worked, one, len(splice.wires)):
            yield SPLICE_07.at(
                f"splice {splice.name}",
                worked.job.circuit[splice.circuit].path,
                f"{splice.name} of {splice.circuit} holds {one.sum_mm2:.2f} mm2 in "
                f"{many(len(splice.wires), 'wire')}; the nearest {one.kind} takes {one.window[0]:g} to "
                f"{one.window[1]:g} mm2.",
                f"The summed copper lies in the splice's window {cited(one.source)}.",
                "Add a filler strand when it is too little, split the splice or take another kind when too "
                "much.",
                subject=splice.identity,
            )


def _only_too_many(worked: Worked, one: SpliceSizing, wires: int) -> bool:
    inside = one.window[0] <= one.sum_mm2 <= one.window[1]
    return inside and wires > worked.job.shop.splice_max_wires.value


def many_wires(worked: Worked) -> Iterator[Finding]:
    """SPLICE-08: more wires than the shop allows."""
    most = worked.job.shop.splice_max_wires
    for splice in worked.routed.splices:
        wires = [worked.routed.wire[w] for w in splice.wires if w in worked.routed.wire]
        if len(wires) > most.value:
            yield SPLICE_08.at(
                f"splice {splice.name}",
                worked.job.circuit[splice.circuit].path,
                f"{splice.name} of {splice.circuit} holds {len(wires)} wires: {labels(wires)}.",
                f"At most {most.value:.0f} wires in one splice {cited(most.source)}.",
                "Split it in two with a link between, or bring the circuit in on another cavity.",
                subject=splice.identity,
            )


def open_barrel_in_motorsport(worked: Worked) -> Iterator[Finding]:
    """SPLICE-09: open-barrel splices at motorsport level; one finding."""
    open_ = [s.splice for s in worked.sized.splices if s.kind == "open barrel"]
    if open_:
        yield SPLICE_09.at(
            "splices",
            ("shop", "splice_kind"),
            f"{many(len(open_), 'splice')} {verb(len(open_), 'is', 'are')} open-barrel.",
            "Motorsport looms usually have closed-barrel splices [common practice].",
            'Write splice_kind = "closed barrel" in [shop], if you have the tool.',
            subject="splices",
        )
