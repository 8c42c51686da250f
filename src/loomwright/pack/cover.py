"""The cover: what the pack is of, what is wrong, what was accepted, what is in it, general cautions."""

from typing import Final

from loomwright.building.cautions import CAUTIONS
from loomwright.findings import Finding, FindingGroup, Severity, grouped
from loomwright.pack.pages import (
    Block,
    Caution,
    Contents,
    Facts,
    FindingLine,
    FindingList,
    Heading,
    PageBreak,
    Paragraph,
    Sheet,
)
from loomwright.pack.view import View, many

MOST_PLACES: Final = 24
GENERAL: Final = ("figures", "battery", "road law")
DISCLAIMER: Final = (
    "These papers are a design aid. They don't replace the builder's judgement, the data of the parts in "
    "hand, the maker's instructions or the law of the place. Who builds from them checks every figure that "
    "matters."
)
DEMO: Final = "Everything in this demo is invented: no car, part or engine is meant. Build nothing from it."


def cover(view: View) -> Sheet:
    """Return the cover."""
    blocks: list[Block] = [Heading(view.job.title), _facts(view)]
    blocks += [Paragraph(DEMO, bold=True)] if view.job.demo else []
    blocks += [_verdict(view), Heading("Papers"), Contents(), Heading("Before anything else")]
    blocks += [Caution(c.words) for c in CAUTIONS if c.key in GENERAL]
    blocks += [Paragraph("Further cautions stand at the step they belong to."), Paragraph(DISCLAIMER)]
    blocks += _findings(view)
    stamps = tuple(dict.fromkeys(stamp for name in sorted(view.stamped) for stamp in view.stamps(name)))
    return Sheet("cover", "Build pack", tuple(blocks), stamps=stamps)


def _facts(view: View) -> Facts:
    job, routed = view.job, view.routed
    metres = sum(x.cut_mm for x in view.sized.lengths) / 1000
    pairs = [
        ("Level", str(job.level)),
        ("Supply", f"{job.volts:g} V"),
        ("Revision", job.revision or "not issued"),
        ("Date", view.issued),
        ("Digest", view.digest),
        ("Looms", ", ".join(t.loom for t in view.trees) or "none yet"),
        ("Devices", str(len(view.devices))),
        ("Wires", f"{len(routed.wires)}, {metres:.0f} m"),
        ("Sections", str(sum(len(t.sections) for t in view.trees))),
        ("Splices", str(len(routed.splices))),
        ("Built by", ""),
        ("Checked by", ""),
    ]
    named = [("Car", job.car), ("Customer", job.customer)]
    return Facts((*((n, v) for n, v in named if v), *pairs))


def _verdict(view: View) -> Paragraph:
    open_ones = [g for g in grouped(view.findings) if not g.findings[0].accepted]
    count = {s: sum(g.severity is s for g in open_ones) for s in Severity}
    if not open_ones:
        return Paragraph("Nothing was found wrong with this job.", bold=True)
    said = ", ".join(many(n, str(s)) for s, n in count.items())
    if count[Severity.FAULT]:
        stamped = ", ".join(sorted(view.stamped)) or "none"
        return Paragraph(f"{said}. Stamped NOT FOR BUILD: {stamped}.", bold=True)
    return Paragraph(f"{said}. No fault stands in the way.", bold=True)


def _findings(view: View) -> list[Block]:
    groups = grouped(view.findings)
    still = tuple(_line(g) for g in groups if not g.findings[0].accepted)
    kept = tuple(_line(g) for g in groups if g.findings[0].accepted)
    blocks: list[Block] = [PageBreak()] if groups else []
    if still:
        blocks += [Heading("Findings"), FindingList(still)]
    if kept:
        blocks += [Heading("Accepted by the builder"), FindingList(kept)]
    return blocks


def _line(group: FindingGroup) -> FindingLine:
    first: Finding = group.findings[0]
    places = list(dict.fromkeys(f.place.words for f in group.findings))
    named = ", ".join(places[:MOST_PLACES])
    rest = f" and {len(places) - MOST_PLACES} more" if len(places) > MOST_PLACES else ""
    return FindingLine(
        first.code,
        str(group.severity),
        named + rest,
        first.what_is if len(places) == 1 else f"{places[0]}: {first.what_is}",
        first.should,
        first.remedy,
        len(group.findings),
        first.accepted,
    )
