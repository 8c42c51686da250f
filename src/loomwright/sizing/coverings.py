"""What goes over every section: a sleeve that passes and grips, braid, tube or tape."""

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from loomwright.calc.sleeve_fit import SleeveBore, choose_sleeve, cut_length_mm
from loomwright.errors import OutOfRange
from loomwright.library.coverings import CoverSize, SleeveType, cover, sleeve
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import Routed, section_key
from loomwright.sizing.lengths import is_fixed
from loomwright.sizing.sized import Bundle, SleevePiece, SpliceSizing
from loomwright.sources import OURS, Source

STEP_MM: Final = 5.0  # ours: sleeves are cut to this step
BARE_WALL_MM: Final = 1.0  # ours: where no size fits, the room a sheath will need at least
COVER_NAMES: Final = (
    ("braid", "PET braid"),
    ("convoluted tube", "convoluted tube, split"),
    ("tape", "PET cloth tape"),
)


def section_coverings(
    job: Job, routed: Routed, bundles: Mapping[str, Bundle], bodies: Mapping[str, SpliceSizing]
) -> tuple[SleevePiece, ...]:
    """Return the covering of every section that holds a wire, in tree order."""
    lumps = _lumps(routed, bundles, bodies)
    return tuple(
        _piece(job, tree, section, bundles[key], lumps.get(key))
        for tree in routed.trees
        for section in tree.sections
        if (key := section_key(tree.loom, section.name)) in bundles
    )


def _lumps(
    routed: Routed, bundles: Mapping[str, Bundle], bodies: Mapping[str, SpliceSizing]
) -> dict[str, tuple[float, str]]:
    """The thickest spot a splice makes in each section, and the splice's name.

    The lump lies beside all the section's wires: the rule for a bundle with one round more.
    """
    found: dict[str, tuple[float, str]] = {}
    for splice in routed.splices:
        key = section_key(splice.loom, splice.place.section)
        if key in bundles:
            over = math.hypot(bundles[key].as_laid_mm, bodies[splice.name].lump_mm)
            found[key] = max(found.get(key, (0.0, "")), (over, splice.name))
    return found


def _piece(
    job: Job, tree: Tree, section: Section, bundle: Bundle, lump: tuple[float, str] | None
) -> SleevePiece:
    passes = section.passes
    what = (passes.covering if passes else "") or job.shop.covering
    taped = bundle.as_laid_mm + 2 * job.shop.film_tape_mm.value
    must_pass, over = (taped, "its own bundle")
    if lump is not None and lump[0] > taped:
        must_pass, over = lump[0], f"splice {lump[1]}"
    end = section.outer
    trim = job.shop.trim_mm.value if end in job.connector and not is_fixed(job, end) else 0.0
    form = _Form(bundle.section, what, must_pass, over, taped, section.length_mm, trim)
    if what == "sleeve":
        return form.sleeve((passes.sleeve if passes else "") or job.shop.sleeve, job.shop.sleeve_extra.value)
    if what == "none":
        return form.nothing()
    return form.cover(dict(COVER_NAMES).get(what, what))


class _Form:
    """What is known of a piece before its size is chosen."""

    def __init__(
        self, section: str, what: str, must_pass: float, over: str, bundle: float, length: float, trim: float
    ) -> None:
        self._section, self._what, self._must_pass, self._over = section, what, must_pass, over
        self._bundle, self._length, self._trim = bundle, length, trim

    def sleeve(self, name: str, extra: float) -> SleevePiece:
        """Return the largest size of a sleeve that passes and grips."""
        try:
            kind = sleeve(name)
        except OutOfRange as no:
            return self._made(name, "", self._length, BARE_WALL_MM, False, str(no), OURS)
        length = max(self._length + self._trim, 1.0)
        choice = choose_sleeve(_bores(kind), self._bundle, length, self._must_pass, self._bundle)
        chosen = choice.chosen
        cut = _stepped(cut_length_mm(length, max(extra, kind.shortens_pct / 100)))
        if chosen is None:
            words = f"no size passes {self._must_pass:.1f} mm and grips {self._bundle:.1f} mm"
            return self._made(kind.name, "", cut, BARE_WALL_MM, False, words, kind.source)
        words = "grips lightly: hold both ends with a turn of tape" if choice.lightly else ""
        return self._made(kind.name, chosen.bore.label, cut, chosen.wall_mm, True, words, kind.source)

    def cover(self, name: str) -> SleevePiece:
        """Return the smallest size of a covering that doesn't shrink."""
        try:
            kind = cover(name)
        except OutOfRange as no:
            return self._made(name, "", self._length, BARE_WALL_MM, False, str(no), OURS)
        size = next((s for s in kind.sizes if _takes(s, self._bundle, self._must_pass)), None)
        cut = _stepped(max(self._length + self._trim, 1.0))
        if size is None:
            words = f"no size suits a bundle of {self._bundle:.1f} mm"
            return self._made(name, "", cut, BARE_WALL_MM, False, words, kind.source)
        wall = (size.outside_mm(self._bundle) - self._bundle) / 2
        return self._made(name, size.label, cut, wall, True, "", size.source)

    def nothing(self) -> SleevePiece:
        """Return the bare section."""
        return self._made("", "", 0.0, 0.0, True, "left bare", OURS)

    def _made(
        self, kind: str, size: str, cut: float, wall: float, fits: bool, words: str, source: Source
    ) -> SleevePiece:
        return SleevePiece(
            section=self._section,
            what=self._what,
            type=kind,
            size=size,
            must_pass_mm=self._must_pass,
            passes_over=self._over,
            bundle_mm=self._bundle,
            section_mm=self._length,
            cut_mm=cut,
            trim_mm=self._trim,
            wall_mm=wall,
            finished_mm=self._bundle + 2 * wall,
            fits=fits,
            words=words,
            source=source,
        )


def _takes(size: CoverSize, bundle_mm: float, must_pass_mm: float) -> bool:
    return size.min_bundle_mm <= bundle_mm and must_pass_mm <= size.max_bundle_mm


@lru_cache(maxsize=64)
def _bores_of(name: str) -> tuple[SleeveBore, ...]:
    sizes = sleeve(name).sizes
    return tuple(SleeveBore(s.label, s.expanded_id_mm, s.recovered_id_mm, s.wall_mm) for s in sizes)


def _bores(kind: SleeveType) -> tuple[SleeveBore, ...]:
    return _bores_of(kind.name)


def _stepped(mm: float) -> float:
    return math.ceil(mm / STEP_MM - 1e-9) * STEP_MM
