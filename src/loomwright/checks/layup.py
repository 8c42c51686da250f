"""Lay-up: the lay that suits the level of build."""

from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import NOTE, Entry
from loomwright.checks.looking import named, sections, verb
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.words import Level
from loomwright.sources import PRACTICE

LAY_01: Final = Entry(
    "LAY-01",
    "Straight lay on a motorsport loom",
    NOTE,
    "Wires laid straight strain each other in every bend; laid in layers of opposite hand they give way.",
    PRACTICE,
    ("route", "build order"),
    levels=(Level.MOTORSPORT,),
)
ENTRIES: Final = (LAY_01,)
LEAST_WIRES: Final = 7  # core and one layer; fewer are just twisted, common practice
LEAST_BUNDLES: Final = 8.0  # a section shorter than so many diameters isn't worth it, common practice
HEAVY_MM2: Final = 8.0  # 8 AWG and thicker stay out of a concentric lay, common practice


def straight_in_motorsport(worked: Worked) -> Iterator[Finding]:
    """LAY-01: sections that would take a concentric lay and are laid straight; one finding a loom."""
    size = {row.wire: row.size.area_mm2 for row in worked.sized.conductors}
    found: dict[str, list[str]] = {}
    for key, section in sections(worked):
        lay = (section.passes.lay if section.passes else "") or worked.job.shop.lay
        bundle = worked.sized.bundle.get(key)
        if lay != "straight" or bundle is None or bundle.wires < LEAST_WIRES:
            continue
        wires = worked.routed.in_section.get(key, ())
        heavy = any(size.get(w.identity, 0.0) > HEAVY_MM2 for w in wires)
        if not heavy and section.length_mm >= LEAST_BUNDLES * bundle.as_laid_mm:
            found.setdefault(section.loom, []).append(section.name)
    for loom, names in found.items():
        yield LAY_01.at(
            f"loom {loom}",
            ("shop", "lay"),
            f"{named(names)} {verb(len(names), 'is', 'are')} laid straight.",
            "Sections of seven and more wires are usually laid concentric in motorsport [common practice].",
            'Write lay = "concentric" for them or in [shop], or give the bundle a hand twist and keep it so.',
            subject=loom,
        )
