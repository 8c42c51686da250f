"""A cut through a section as data: the pack's own drawing, with the wires each circle stands for."""

from loomwright.checks.worked import Worked
from loomwright.job import WorkedJob
from loomwright.pack.draw_cut import cut_drawing
from loomwright.pack.marks import Circle, flat
from loomwright.routing.routed import Wire
from loomwright.web.views.drawn import Plain, drawing_view, mark_view

OUTLINES = 2  # circles drawn before the wires: as laid, and the tightest


def cut_view(done: WorkedJob, section: str) -> Plain | None:
    """Return a cut through a section; None where there is no such section.

    Args:
        done: the job worked out
        section: key of the section, "engine/B1-B2"

    Returns:
        The pack's drawing in mm and `discs`: circle and wires of every single wire or cable; no drawing where
        the section holds no wire or its sizes are not known.
    """
    worked = done.worked
    loom, _, name = section.partition("/")
    tree = worked.routed.tree.get(loom)
    if tree is None or name not in tree.by_name:
        return None
    bundle = worked.sized.bundle.get(section)
    sleeve = worked.sized.sleeve.get(section)
    found: Plain = {
        "section": section,
        "name": name,
        "wires": [_wire(worked, one) for one in _by_number(worked.routed.in_section.get(section, ()))],
        "as_laid_mm": bundle.as_laid_mm if bundle else None,
        "measured": bool(bundle and bundle.measured),
        "packed_min_mm": bundle.packed_min_mm if bundle else None,
        "lower_bound_mm": bundle.lower_bound_mm if bundle else None,
        "finished_mm": sleeve.finished_mm if sleeve else None,
        "covering": " ".join(x for x in (sleeve.what, sleeve.type, sleeve.size) if x) if sleeve else "",
        "drawing": None,
        "discs": [],
    }
    drawing = cut_drawing(worked, loom, name)
    if drawing is not None:
        circles = [one for one in flat(drawing.marks) if isinstance(one, Circle)][OUTLINES:]
        pairs = zip(circles, _discs(worked, section), strict=True)
        found["drawing"] = drawing_view(drawing)
        found["discs"] = [
            {"outline": mark_view(circle, drawing.height_mm), "wires": labels, "cable": cable}
            for circle, (labels, cable) in pairs
        ]
    return found


def _discs(worked: Worked, section: str) -> list[tuple[list[str], str]]:
    """Labels and cable of every circle, in the order they are drawn: single wires by number, then cables."""
    wires = _by_number(worked.routed.in_section.get(section, ()))
    cables = sorted({one.cable for one in wires if one.cable})
    singles = [([one.label], "") for one in wires if not one.cable]
    return singles + [([one.label for one in wires if one.cable == name], name) for name in cables]


def _by_number(wires: tuple[Wire, ...]) -> list[Wire]:
    return sorted(wires, key=lambda one: (one.number, one.identity))


def _wire(worked: Worked, wire: Wire) -> Plain:
    conductor = worked.sized.conductor.get(wire.identity)
    return {
        "label": wire.label,
        "circuit": wire.circuit,
        "colour": wire.colour,
        "size": conductor.size.label if conductor else "",
        "od_mm": conductor.size.od_nom_mm if conductor else None,
        "cable": wire.cable,
        "a": wire.a.name,
        "b": wire.b.name,
    }
