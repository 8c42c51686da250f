"""Steps of the sheath: sleeves on, branch points closed."""

from loomwright.building.ends import End, bore_mm, slides_on
from loomwright.building.graph import Draft, Plan
from loomwright.building.steps_bench import Work
from loomwright.model.tree import Section
from loomwright.routing.routed import section_key
from loomwright.sizing.sized import BranchCover, SleevePiece

UNSHRUNK_MM = 150  # left unshrunk at an end that is trimmed at fit, common practice


def sheath(work: Work, plan: Plan) -> dict[str, list[str]]:
    """Cover every section and close every branch point.

    Returns:
        keys by what they do: "slide" (sleeves on, by order), "shrink" and "close"
    """
    covers = {c.point: c for c in work.sized.branch_covers if c.loom == work.loom}
    late = {e.section.name: e for e in work.ends if e.section and e.circular and slides_on(e.piece)}
    slide: dict[str, str] = {}
    shrink: dict[str, str] = {}
    for s in work.tree.sections:
        piece = work.sized.sleeve.get(section_key(work.loom, s.name))
        if piece and piece.what != "none":
            slide[s.name] = plan.step(_slide(work, s, piece, covers, s.name in late))
            shrink[s.name] = plan.step(_shrink(work, s, piece)) if s.name in late else slide[s.name]
    parked = _park(work, plan, covers, slide)
    close = {p: plan.step(_close(work, c)) for p, c in covers.items()}
    _rules(work, plan, covers, slide, shrink, close)
    for point, key in parked.items():
        beyond = [slide[s.name] for s in work.tree.out_of.get(point, ()) if s.name in slide]
        plan.before([key], beyond, "R20")
        plan.before([key], [close[point]], "R20")
    return {
        "slide": list(slide.values()),
        "shrink": sorted(set(shrink.values())),
        "close": list(close.values()),
    }


def _rules(
    work: Work,
    plan: Plan,
    covers: dict[str, BranchCover],
    slide: dict[str, str],
    shrink: dict[str, str],
    close: dict[str, str],
) -> None:
    for s in work.tree.sections:
        piece = work.sized.sleeve.get(section_key(work.loom, s.name))
        for point in (s.inner, s.outer):
            if s.name in slide and point in close and piece and slides_on(piece):
                plan.before(
                    [slide[s.name]], [close[point]], "R6" if _too_thick(piece, covers[point]) else "R4"
                )
                plan.before([shrink[s.name]], [close[point]], "R4")


def _too_thick(piece: SleevePiece, cover: BranchCover) -> bool:
    bore = bore_mm(piece)
    return bore is None or cover.over_mm > bore


def _park(work: Work, plan: Plan, covers: dict[str, BranchCover], slide: dict[str, str]) -> dict[str, str]:
    """The step that parks the piece over each point: that of the sleeve it lies on, or its own."""
    found = {}
    for point, cover in covers.items():
        if cover.taped:
            continue
        into = work.tree.into.get(point)
        if into and into.name in slide:
            found[point] = slide[into.name]
        else:
            piece = f"{_size(cover)} x {cover.cut_mm:.0f}"
            words = f"Slide the piece over {point}, {piece}, on a leg and park it there."
            found[point] = plan.step(Draft(work.key(f"park {point}"), work.loom, "sheath", words))
    return found


def _slide(work: Work, s: Section, piece: SleevePiece, covers: dict[str, BranchCover], late: bool) -> Draft:
    name = " ".join(x for x in (piece.what, piece.printed) if x)
    if not slides_on(piece):
        words = f"Put the {name} round {s.name}"
        return Draft(work.key(f"slide {s.name}"), work.loom, "sheath", words + _park_words(s, covers) + ".")
    words = f"Slide the {name} x {piece.cut_mm:.0f} on {s.name}"
    bore = bore_mm(piece)
    thick = [p for p in (s.inner, s.outer) if bore and p in covers and _too_thick(piece, covers[p])]
    if thick:
        points, are = " and ".join(thick), "is" if len(thick) == 1 else "are"
        over = " and ".join(f"{covers[p].over_mm:.1f}" for p in thick)
        words += f", before {points} {are} closed ({over} mm thick, its bore is {bore:.1f} mm)"
    if piece.passes_over.startswith("splice"):
        words += f"; it has to pass {piece.passes_over}, {piece.must_pass_mm:.1f} mm thick"
    if piece.what == "sleeve" and not late:
        words += "; shrink it from the datum outward"
        if piece.trim_mm:
            words += f", all but the last {UNSHRUNK_MM} mm at {s.outer}"
    words += _park_words(s, covers) + "."
    fixed = piece.what == "sleeve" and not late
    items = (f"bundle {piece.bundle_mm:.1f} mm: measure it before cutting",)
    return Draft(work.key(f"slide {s.name}"), work.loom, "sheath", words, items, irreversible=fixed)


def _park_words(s: Section, covers: dict[str, BranchCover]) -> str:
    cover = covers.get(s.outer)
    if cover is None or cover.taped:
        return ""
    return f"; then park the piece over {s.outer}, {_size(cover)} x {cover.cut_mm:.0f}, on it"


def _shrink(work: Work, s: Section, piece: SleevePiece) -> Draft:
    words = f"Shrink the sleeve on {s.name} towards the finished plug."
    return Draft(work.key(f"shrink {s.name}"), work.loom, "sheath", words, irreversible=True)


def _close(work: Work, cover: BranchCover) -> Draft:
    legs = tuple(f"{key.split('/', 1)[1]}: {mm:.0f} mm over it" for key, mm in cover.legs)
    piece = f"{_size(cover)} x {cover.cut_mm:.0f}"
    words = f"Close {cover.point}: bring its piece, {piece}, over the point and shrink it."
    if cover.taped:
        words = f"Close {cover.point}: bind it half lapped with {_size(cover)}, {cover.cut_mm:.0f} mm long."
    elif not cover.fits:
        words = f"Close {cover.point}: {cover.words}."
    return Draft(work.key(f"close {cover.point}"), work.loom, "sheath", words, legs, irreversible=True)


def _size(cover: BranchCover) -> str:
    return " ".join(x for x in (cover.type, cover.printed) if x)


def sleeve_step(work: Work, end: End) -> str:
    """The key of the step that brings the covering of an end on."""
    return work.key(f"slide {end.section.name}") if end.section else ""
